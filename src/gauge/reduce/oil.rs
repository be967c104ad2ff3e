//! Readings told against a published limit, vacuum at sea level, and used-oil
//! figures over a usual oil life.

use super::samples::{self, Sample};
use super::{Bench, Raw, Reduced, error_of, log, one, said, settled};
use crate::engine::Place;
use crate::gauge::oil_log::OIL_CHECK;
use crate::gauge::oil_sample::{Life, at_interval};
use crate::gauge::oil_use::{OilUse, Running};
use crate::gauge::units::Unit;
use crate::gauge::{Dimension, Length, Power, Pressure, Share, Time, units, vacuum};
use crate::problem::Problem;
use crate::rules::file::Limit;

/// How this engine is taken to run: an aircraft's limit is told at rated power,
/// the others at half load.
pub fn running(bench: &Bench) -> Running {
    let power = bench
        .engine
        .dimensions
        .power_kw
        .map(|kw| Power::of(kw, units::KW));
    if bench.engine.traits.contains("aircraft") {
        return Running {
            power,
            load: 1.0,
            load_error: 0.05,
            ..Running::default()
        };
    }
    Running {
        power,
        ..Running::default()
    }
}

/// The limit that grades a reading on this engine: of those that apply the one
/// that names most traits.
fn limit<'a>(reading: &str, bench: &Bench<'a>) -> Option<&'a Limit> {
    bench
        .limits
        .iter()
        .filter(|limit| limit.of == reading && limit.grades)
        .max_by_key(|limit| (limit.on.len(), std::cmp::Reverse(&limit.limit)))
        .copied()
}

/// Each reading over the limit for this kind of engine.
pub(super) fn share_of_limit(
    reading: &str,
    raws: &[Raw],
    bench: &Bench,
    problems: &mut Vec<Problem>,
) -> Vec<Reduced> {
    let own: Vec<&Raw> = raws
        .iter()
        .filter(|raw| raw.reading.reading == reading)
        .collect();
    let Some(limit) = limit(reading, bench) else {
        problems.push(
            Problem::new(format!(
                "no limit is known for `{reading}` on this kind of engine"
            ))
            .hint("state the grade itself, or add a limit to the rules"),
        );
        return vec![];
    };
    let mut each = Vec::new();
    for raw in own {
        match over_limit(raw, limit, bench) {
            Ok(it) => each.push((it, vec![raw.index], raw.place, String::new())),
            Err(problem) => problems.push(problem),
        }
    }
    if reading == OIL_RATE && !bench.log.is_empty() {
        each.extend(by_the_log(limit, bench, problems));
    }
    // Oil use drifts: the latest figure is the engine's, earlier ones are its history.
    let latest = each
        .into_iter()
        .max_by_key(|(_, from, ..)| from.iter().max().copied());
    let Some(((value, deviation), from, place, how)) = latest else {
        return vec![];
    };
    vec![Reduced {
        place,
        value,
        deviation,
        from,
        how: format!("{how}{} times the limit: {}", said(value), limit.title),
    }]
}

/// The rate of oil use, stated or from the checks of the oil.
const OIL_RATE: &str = "oil-use-rate";

/// Whether the checks of the oil speak of a reading.
pub(super) fn speaks_of(reading: &str, bench: &Bench) -> bool {
    [OIL_RATE, OIL_CHECK].contains(&reading) && !bench.log.is_empty()
}

/// A figure over its limit with its deviation, what it rests on, where, and how it was got.
type OverLimit = ((f64, f64), Vec<usize>, Place, String);

/// The rate that the checks of the oil come to, over the limit.
fn by_the_log(limit: &Limit, bench: &Bench, problems: &mut Vec<Problem>) -> Option<OverLimit> {
    let (log, now) = log::rate(bench, problems)?;
    let told = most_of(limit, bench).and_then(|(unit, most)| {
        let (rate, extra) = log.rate(&now).to(unit.dimension(), &running(bench))?;
        let share = rate.si() / most;
        // The rate's own error goes the same way as the rate; a rate of nothing has an error too.
        let one = log.rate(&crate::gauge::oil_trend::Rate {
            each: now.deviation,
            ..now
        });
        let error = one.to(unit.dimension(), &running(bench))?.0.si() / most;
        Ok((share, error.hypot(share * extra).max(0.01)))
    });
    match told {
        Ok(it) => {
            let how = format!("{}, ", log.says(&now));
            Some((it, log.from, Place::Engine, how))
        }
        Err(problem) => {
            problems.push(problem);
            None
        }
    }
}

/// The limit's unit, and the most that it allows this engine, in SI.
fn most_of(limit: &Limit, bench: &Bench) -> Result<(Unit, f64), Problem> {
    let unit = Unit::named(&limit.unit).ok_or_else(|| {
        Problem::new(format!(
            "limit `{}`: `{}` is no unit",
            limit.limit, limit.unit
        ))
    })?;
    let power = bench.engine.dimensions.power_kw;
    let most = match (limit.per_kw, power) {
        (false, _) => limit.most,
        (true, Some(kw)) => limit.most * kw,
        (true, None) => {
            return Err(
                Problem::new(format!("`{}` needs the engine's rated power", limit.title))
                    .hint("give it as `power_kw`"),
            );
        }
    };
    Ok((unit, unit.to_si(most)))
}

fn over_limit(raw: &Raw, limit: &Limit, bench: &Bench) -> Result<(f64, f64), Problem> {
    let (unit, most) = most_of(limit, bench)?;
    let instrument = bench.shop.instrument(raw.instrument, &raw.reading.reading);
    let (value, extra) = match unit.dimension() {
        Dimension::VolumeRate if raw.reading.quantity == "flow" => {
            (raw.figure.unit.to_si(raw.figure.value), 0.0)
        }
        form @ (Dimension::VolumeRate | Dimension::VolumePerLength | Dimension::MassPerWork) => {
            let (rate, error) = OilUse::of(raw.figure)?.to(form, &running(bench))?;
            (rate.si(), error)
        }
        _ => (raw.figure.unit.to_si(raw.figure.value), 0.0),
    };
    let own = Unit::named(&raw.reading.unit).unwrap_or(raw.figure.unit);
    let error = match raw.figure.value_in(own) {
        Some(shown) if shown > 0.0 => error_of(shown, raw.reading, instrument, own) / shown,
        _ => raw.reading.error_share,
    };
    let share = value / most;
    Ok((share, (share * error.hypot(extra)).max(0.01)))
}

/// Manifold vacuum as it would be at sea level.
pub(super) fn at_sea_level(
    reading: &str,
    raws: &[Raw],
    bench: &Bench,
    problems: &mut Vec<Problem>,
) -> Vec<Reduced> {
    let mut found = settled(reading, raws, bench, problems);
    found.retain_mut(|it| {
        match vacuum::at_sea_level(Pressure::of(it.value, units::KPA), bench.shop.around) {
            Ok(corrected) => {
                let corrected = corrected.get(units::KPA);
                if (corrected - it.value).abs() > 0.3 {
                    it.how = format!("{} kPa at sea level", said(corrected));
                }
                it.value = corrected;
                if !bench.shop.air_known {
                    it.deviation = it.deviation.hypot(1.5);
                }
                true
            }
            Err(problem) => {
                problems.push(problem);
                false
            }
        }
    });
    found
}

/// A usual oil life for the kind of engine (judgement): aircraft 50 h, boats and
/// small engines 100 h, cars 10 000 km or 250 h, lorries 30 000 km or 400 h, others 250 h.
pub fn usual_life(bench: &Bench) -> (Time, Length) {
    let has = |words: &[&str]| words.iter().any(|w| bench.engine.traits.contains(*w));
    let (hours, km) = match () {
        () if has(&["aircraft"]) => (50.0, 10_000.0),
        () if has(&["inboard", "outboard", "watercraft", "utility", "motorcycle"]) => {
            (100.0, 6_000.0)
        }
        () if has(&["truck"]) => (400.0, 30_000.0),
        () => (250.0, 10_000.0),
    };
    (Time::of(hours, units::HOURS), Length::of(km, units::KM))
}

/// A metal as this wear would bring it to over a usual oil life without top-ups.
pub(super) fn at_usual_interval(
    reading: &str,
    raws: &[Raw],
    bench: &Bench,
    problems: &mut Vec<Problem>,
) -> Vec<Reduced> {
    let samples = samples::samples(raws);
    let last = samples.iter().rev();
    let Some((sample, raw)) = last
        .filter_map(|sample| Some((sample, sample.get(reading)?)))
        .next()
    else {
        return vec![];
    };
    let (ppm, error) = match one(raw, bench) {
        Ok(it) => it,
        Err(problem) => {
            problems.push(problem);
            return vec![];
        }
    };
    match brought(ppm, sample, bench) {
        Ok((value, share, mut from, how)) => {
            from.insert(0, raw.index);
            let deviation = (error * value / ppm.max(1e-9)).hypot(share * value);
            vec![Reduced {
                place: Place::Engine,
                value,
                deviation: deviation.max(error),
                from,
                how,
            }]
        }
        Err(problem) => {
            problems.push(problem);
            vec![]
        }
    }
}

/// The figure over a usual life, the share that this adds to its error, what it rests on.
fn brought(
    ppm: f64,
    sample: &Sample,
    bench: &Bench,
) -> Result<(f64, f64, Vec<usize>, String), Problem> {
    let (usual_time, usual_distance) = usual_life(bench);
    let Some((life, index)) = sample.life() else {
        let how = "hours on the oil not given: taken as a usual oil life".to_string();
        return Ok((ppm, 0.35, vec![], how));
    };
    let usual = match life {
        Life::Hours(_) => Life::Hours(usual_time),
        Life::Distance(_) => Life::Distance(usual_distance),
    };
    let (added, sump, topped_up) = sample.top_ups(bench);
    let from = [index].into_iter().chain(topped_up).collect();
    let share = Share::of(ppm, units::PPM);
    let value = at_interval(share, life, usual, added, sump)?.get(units::PPM);
    // Wear metal is not quite proportional to the oil's life: what is left from the last oil, and settling (judgement).
    let error = 0.15 * usual.over(life)?.ln().abs();
    let how = match (value / ppm.max(1e-9) - 1.0).abs() > 0.05 {
        true => format!("{} ppm over a usual oil life", said(value)),
        false => String::new(),
    };
    Ok((value, error, from, how))
}
