//! What a gauge's figures come to, in sentences.

use super::{Gauge, Row, Take};
use crate::engine::Place;
use crate::gauge::reduce::{Bench, Raw, Reduced, sound};
use crate::measure::units::Unit;
use crate::measure::{Absolute, Figure, Pressure, units};
use crate::rules::file::{Reading, Scope};

/// What a gauge's figures come to.
pub(super) fn says(gauge: &Gauge, reading: &Reading) -> Vec<String> {
    let mut says = Vec::new();
    if let Some(spread) = gauge.spread {
        says.push(format!(
            "Lowest over highest: {}; manuals ask for 0.75 or more.",
            crate::words::three_figures(spread)
        ));
    }
    if let (Some(place), Scope::Cylinder) = (gauge.odd, reading.scope) {
        says.push(format!("Cylinder {place} stands out from the others."));
    }
    if gauge.reading == "compression-first-stroke" {
        says.extend(gauge.rows.iter().filter_map(strokes));
    }
    let slack = slack(reading, gauge.unit);
    let moved: Vec<String> = (gauge.rows.iter())
        .filter_map(|row| before_and_after(row, &slack))
        .collect();
    let again = gauge.rows.iter().filter(|row| row.takes.len() > 1).count();
    says.extend(moved.iter().cloned());
    if again > moved.len() {
        let which = if moved.is_empty() {
            "Taken again"
        } else {
            "The others taken again"
        };
        says.push(format!("{which}: no change beyond what the gauge errs."));
    }
    says
}

/// A metal's rate from one oil sample to the next.
pub(super) fn trend(it: &Reduced) -> String {
    let words = match it.value {
        up if up - it.deviation > 0.5 => "rising",
        down if down + it.deviation < 0.5 => "falling",
        _ => "no change beyond what laboratory and sampling err",
    };
    format!("From sample to sample: {}: {words}.", it.how)
}

/// How a cylinder that is not sound builds up, stroke by stroke.
fn strokes(row: &Row) -> Option<String> {
    let grading = row.grading.as_ref().filter(|it| !it.sound)?;
    let pattern = match grading.value < 0.65 {
        true => "it builds slowly, as leaking rings do",
        false => "it hardly builds, as a leaking valve does",
    };
    let share = crate::words::three_figures(100.0 * grading.value);
    Some(format!(
        "Cylinder {}: first stroke {share} % of the last; {pattern}.",
        row.place
    ))
}

/// What a gauge errs at a value, both in `unit`.
fn slack(reading: &Reading, unit: Unit) -> impl Fn(f64) -> f64 {
    let scale = Unit::named(&reading.unit)
        .filter(|own| own.dimension() == unit.dimension())
        .map_or(1.0, |own| {
            own.error_to_si(1.0, 1.0) / unit.error_to_si(1.0, 1.0)
        });
    let (error, share) = (reading.error * scale, reading.error_share);
    move |value| error.hypot(share * value)
}

/// What a sound cylinder of this engine should read here, and what that rests on.
pub(super) fn band(unit: Unit, bench: &Bench, raws: &[Raw]) -> Option<(String, Vec<String>)> {
    let sound = sound(bench, raws)?;
    let told = |p: Pressure| {
        Figure::new(p.si(), units::PA)
            .value_in(unit)
            .map(|v| v.round())
    };
    let air: Absolute = bench.shop.around;
    let says = format!(
        "A sound cylinder should read {} ({} to {}) {unit} in air of {} kPa.",
        told(sound.likely)?,
        told(sound.low)?,
        told(sound.high)?,
        crate::words::three_figures(air.get(units::KPAA))
    );
    let mut assumed = sound.assumed;
    if let Some(usual) = sound.usual.and_then(told) {
        assumed.push(format!(
            "weighed with the {usual} {unit} usual for the family"
        ));
    }
    Some((says, assumed))
}

/// How the figure moved when it was taken again, if by more than the gauge errs.
fn before_and_after(row: &Row, slack: impl Fn(f64) -> f64) -> Option<String> {
    let (first, last) = (row.takes.first()?, row.takes.last()?);
    if (last.value - first.value).abs() <= 3.0 * slack(first.value).hypot(slack(last.value)) {
        return None;
    }
    let remark = |take: &Take| match take.remark.is_empty() {
        true => String::new(),
        false => format!(" ({})", take.remark),
    };
    let place = match row.place {
        Place::Engine => String::new(),
        place => format!("Cylinder {place}: "),
    };
    Some(format!(
        "{place}{}{} at reading {}, then {}{} at reading {}.",
        first.said,
        remark(first),
        first.number,
        last.said,
        remark(last),
        last.number
    ))
}
