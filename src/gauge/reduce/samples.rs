//! Used-oil samples of one engine, told apart, and a metal's rate from one to
//! the next.
//!
//! The figures of a sample are recorded together or one after the other. A new
//! sample begins with an act that gives the oil's life anew beside figures that
//! the one before already has.

use super::{Bench, Raw, Reduced, one, said};
use crate::engine::Place;
use crate::gauge::oil_sample::{Life, dilution};
use crate::gauge::{Length, Time, Volume, units};
use crate::measure::units::Unit;
use crate::problem::Problem;

const HOURS: &str = "oil-sample-hours";
const DISTANCE: &str = "oil-sample-distance";
const TOPPED_UP: &str = "oil-sample-topped-up";

/// A sump where neither job nor family gives one (judgement).
const USUAL_SUMP: f64 = 4.0;

/// The figures of one sample; a figure recorded again stands in the first one's place.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Sample<'r, 'a> {
    figures: Vec<&'r Raw<'a>>,
}

/// Whether a reading is of a used-oil report.
pub fn is_sample(reading: &str) -> bool {
    reading.starts_with("oil-sample-") || reading == "oil-viscosity-change"
}

fn is_life(raw: &Raw) -> bool {
    [HOURS, DISTANCE].contains(&raw.reading.reading.as_str())
}

/// The samples in the order recorded.
pub(super) fn samples<'r, 'a>(raws: &'r [Raw<'a>]) -> Vec<Sample<'r, 'a>> {
    let own: Vec<&Raw> = (raws.iter())
        .filter(|raw| is_sample(&raw.reading.reading))
        .collect();
    let mut samples: Vec<Sample> = Vec::new();
    for act in own.chunk_by(|a, b| a.act == b.act) {
        let begins = match samples.last() {
            None => true,
            Some(last) => {
                let known = |raw: &&Raw| last.get(&raw.reading.reading).is_some();
                act.iter().any(|raw| is_life(raw)) && act.iter().any(known)
            }
        };
        if begins {
            samples.push(Sample::default());
        }
        if let Some(last) = samples.last_mut() {
            last.figures.extend(act);
        }
    }
    samples
}

impl<'r, 'a> Sample<'r, 'a> {
    /// The figure of a reading; of several the last.
    pub fn get(&self, reading: &str) -> Option<&'r Raw<'a>> {
        let mut own = self.figures.iter().rev();
        own.find(|raw| raw.reading.reading == reading).copied()
    }

    /// In a unit, with the reading's index.
    fn value(&self, reading: &str, unit: impl Into<Unit>) -> Option<(f64, usize)> {
        let raw = self.get(reading)?;
        Some((raw.figure.value_in(unit.into())?, raw.index))
    }

    /// The oil's life, and the reading that it is.
    pub fn life(&self) -> Option<(Life, usize)> {
        let hours = self.value(HOURS, units::HOURS);
        let hours = hours.map(|(h, index)| (Life::Hours(Time::of(h, units::HOURS)), index));
        hours.or_else(|| {
            let (km, index) = self.value(DISTANCE, units::KM)?;
            Some((Life::Distance(Length::of(km, units::KM)), index))
        })
    }

    /// What was topped up and the sump, with the reading that says so; nothing
    /// topped up where it was not said.
    pub fn top_ups(&self, bench: &Bench) -> (Volume, Volume, Option<usize>) {
        let sump = bench.engine.dimensions.oil_litres;
        let added = self.value(TOPPED_UP, units::LITRE);
        let full = Volume::of(sump.unwrap_or(USUAL_SUMP), units::LITRE);
        let litres = match (added, sump) {
            (Some((litres, _)), Some(_)) => litres,
            _ => 0.0,
        };
        let index = added.map(|(_, index)| index);
        (Volume::of(litres, units::LITRE), full, index)
    }

    /// A metal's rate in ppm of the sump an hour or a kilometre, its deviation,
    /// and the readings that it rests on.
    fn rate(&self, reading: &str, bench: &Bench) -> Option<Result<Rate, Problem>> {
        let raw = self.get(reading)?;
        let (life, at) = self.life()?;
        let found = || {
            let (ppm, error) = one(raw, bench)?;
            let (added, sump, topped) = self.top_ups(bench);
            let (span, by_hours) = match life {
                Life::Hours(time) => (time.get(units::HOURS), true),
                Life::Distance(length) => (length.get(units::KM), false),
            };
            let scale = dilution(added, sump)? / span.max(1e-9);
            let from = [raw.index, at].into_iter().chain(topped).collect();
            Ok(Rate {
                value: ppm * scale,
                deviation: error * scale,
                span,
                by_hours,
                from,
            })
        };
        Some(found())
    }
}

struct Rate {
    value: f64,
    deviation: f64,
    span: f64,
    by_hours: bool,
    from: Vec<usize>,
}

/// The later rate of a metal over the sum of the earlier and the later.
pub(super) fn against_earlier(
    reading: &str,
    raws: &[Raw],
    bench: &Bench,
    problems: &mut Vec<Problem>,
) -> Vec<Reduced> {
    let samples = samples(raws);
    let holding: Vec<&Sample> = (samples.iter())
        .filter(|sample| sample.get(reading).is_some())
        .collect();
    let [.., earlier, later] = holding.as_slice() else {
        return vec![];
    };
    let rates = (earlier.rate(reading, bench), later.rate(reading, bench));
    let (before, after) = match rates {
        (Some(Ok(before)), Some(Ok(after))) => (before, after),
        (Some(Err(problem)), _) | (_, Some(Err(problem))) => {
            problems.push(problem);
            return vec![];
        }
        _ => {
            problems.push(
                Problem::new(
                    "two oil samples cannot be compared: the life of the oil is not known of both",
                )
                .hint(format!("record `{HOURS}` or `{DISTANCE}` with each sample")),
            );
            return vec![];
        }
    };
    if before.by_hours != after.by_hours {
        problems.push(
            Problem::new("two oil samples cannot be compared: one is by the hours, the other by the distance")
                .hint(format!("record `{HOURS}` with each sample, or `{DISTANCE}` with each")),
        );
        return vec![];
    }
    turned(&before, &after).into_iter().collect()
}

fn turned(before: &Rate, after: &Rate) -> Option<Reduced> {
    // Wear metal is not quite proportional to the oil's life: what is left from
    // the last oil, and settling (judgement).
    let uneven = 0.15 * (after.span / before.span).ln().abs();
    let blur = |rate: &Rate| rate.deviation.hypot(uneven * rate.value);
    let (e, l) = (before.value, after.value);
    let sum = e + l;
    if sum <= before.deviation.hypot(after.deviation) {
        return None;
    }
    let share = l / sum;
    let deviation = (e * blur(after)).hypot(l * blur(before)) / (sum * sum);
    let least = 0.1 * before.deviation.hypot(after.deviation) / sum;
    let unit = if before.by_hours { "an hour" } else { "a km" };
    Some(Reduced {
        place: Place::Engine,
        value: share,
        deviation: deviation.max(least),
        from: before.from.iter().chain(&after.from).copied().collect(),
        how: format!("{}, then {} ppm of the sump {unit}", said(e), said(l)),
    })
}
