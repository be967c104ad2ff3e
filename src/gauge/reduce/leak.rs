//! Leak-down, whatever tester it was read on, as the reference tester would show it.

use super::{Bench, Raw, Reduced, one, pooled, said};
use crate::engine::Place;
use crate::gauge::leakdown::{LeakDown, Tester};
use crate::gauge::shop::Instrument;
use crate::gauge::{Length, Pressure, Share, units};
use crate::problem::Problem;

/// Repeatability of one gauge of a two-gauge tester, where the shop gives none:
/// 1 psi, the usual division of its dial (judgement).
const GAUGE_ERROR: f64 = 6_894.757;

/// Percent lost of a two-gauge reading and its deviation: each gauge errs alone.
pub(super) fn percent_of_gauges(raw: &Raw, instrument: Option<&Instrument>) -> (f64, f64) {
    let supply = raw.figure.unit.to_si(raw.figure.over.unwrap_or(1.0));
    let cylinder = raw.figure.unit.to_si(raw.figure.value);
    let error = instrument
        .and_then(|it| it.repeatability)
        .and_then(|figure| {
            figure
                .unit
                .typed()
                .map(|unit| Pressure::of(figure.value, unit).si())
        })
        .unwrap_or(GAUGE_ERROR);
    let held = cylinder / supply;
    (
        100.0 * (1.0 - held),
        100.0 * error / supply * (1.0 + held * held).sqrt(),
    )
}

/// The tester that bands are meant for. Bores of 5.00 in and over have two
/// restrictors in use (0.040 and 0.060 in): there the 0.060 in one is its own reference.
fn meant(bore: Option<Length>, used: Option<Length>) -> Tester {
    let wide = Length::of(0.060, units::INCHES);
    let large = bore.is_some_and(|bore| bore >= Length::of(5.0, units::INCHES));
    let is_wide = used.is_some_and(|d| (d / wide - 1.0).abs() < 0.05);
    Tester {
        restrictor: Some(if large && is_wide {
            wide
        } else {
            Length::of(0.040, units::INCHES)
        }),
        ..Tester::reference()
    }
}

/// Every leak-down reading in percent on the reference tester.
pub(super) fn as_reference_tester(
    reading: &str,
    raws: &[Raw],
    bench: &Bench,
    problems: &mut Vec<Problem>,
) -> Vec<Reduced> {
    let mut places: Vec<Place> = raws
        .iter()
        .filter(|raw| raw.reading.reading == reading)
        .map(|raw| raw.place)
        .collect();
    places.sort();
    places.dedup();
    let mut found = Vec::new();
    for place in places {
        let mut each = Vec::new();
        let mut how = String::new();
        for raw in raws
            .iter()
            .filter(|r| r.reading.reading == reading && r.place == place)
        {
            match brought(raw, bench) {
                Ok((estimate, words)) => {
                    each.push((estimate, raw.index));
                    how = words;
                }
                Err(problem) => problems.push(problem),
            }
        }
        if !each.is_empty() {
            let mut figure = pooled(place, &each);
            figure.how = [figure.how, how]
                .into_iter()
                .filter(|w| !w.is_empty())
                .collect::<Vec<_>>()
                .join("; ");
            found.push(figure);
        }
    }
    found
}

/// One reading brought over, its error with it.
fn brought(raw: &Raw, bench: &Bench) -> Result<((f64, f64), String), Problem> {
    let (lost, error) = one(raw, bench)?;
    let instrument = bench.shop.instrument(raw.instrument, &raw.reading.reading);
    let supply = raw
        .figure
        .over
        .map(|over| Pressure::from_si(raw.figure.unit.to_si(over)));
    let tester = bench.shop.tester(instrument, supply);
    let bore = bench
        .engine
        .dimensions
        .bore_mm
        .map(|mm| Length::of(mm, units::MM));
    let reference = meant(bore, tester.restrictor);
    let convert = |lost: f64| -> Result<f64, Problem> {
        let share = Share::of(lost.clamp(0.0, 100.0), units::PERCENT);
        Ok(LeakDown::of_percent(&tester, share)?
            .on(&reference)?
            .get(units::PERCENT))
    };
    let value = convert(lost)?;
    let step = error.max(0.01);
    let (below, above) = (lost - step, lost + step);
    let run = above.min(100.0) - below.max(0.0);
    let slope = (convert(above)? - convert(below)?) / run;
    // A restrictor that is not known: the same leak may read some way off (judgement).
    let share = value / 100.0;
    let unknown = if tester.restrictor.is_none() {
        12.0 * share * (1.0 - share)
    } else {
        0.0
    };
    let deviation = (slope * error).hypot(unknown).max(0.1);
    let how = match (value - lost).abs() > 0.5 {
        true => format!("{} % as the reference tester would show it", said(value)),
        false => String::new(),
    };
    Ok(((value, deviation), how))
}
