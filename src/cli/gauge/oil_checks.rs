//! Checks of the oil as typed, and the trend in rows and sentences.

use crate::gauge::oil_trend::{Check, Rate, Trend};
use crate::gauge::sheet::{Line, Sheet};
use crate::gauge::{Figure, Kind, UnitSet, Volume, short, units};
use crate::measure::units::Unit;
use crate::problem::{Problem, Problems};
use std::collections::BTreeSet;

/// Reads `METER:ADDED[:LEVEL]`; meters are hours, or kilometres (then `true`).
///
/// # Errors
/// Every check that cannot be read.
pub fn checks(words: &[String], set: UnitSet) -> Result<(Vec<Check>, bool), Problems> {
    let mut problems = Problems::new();
    let mut found = Vec::new();
    let mut kinds = BTreeSet::new();
    for word in words.iter().flat_map(|w| w.split_whitespace()) {
        match check(word, set) {
            Ok((check, by_distance)) => {
                found.push(check);
                kinds.insert(by_distance);
            }
            Err(problem) => problems.push(Problem {
                what: format!("check `{word}`: {}", problem.what),
                ..problem
            }),
        }
    }
    if kinds.len() > 1 {
        problems.push(Problem::new(
            "some checks are in hours and some in distance",
        ));
    }
    match problems.is_empty() {
        true => Ok((found, kinds.contains(&true))),
        false => Err(problems),
    }
}

fn check(word: &str, set: UnitSet) -> Result<(Check, bool), Problem> {
    let mut parts = word.split(':');
    let (meter, added, level) = (parts.next().unwrap_or(""), parts.next(), parts.next());
    let (Some(added), None) = (added, parts.next()) else {
        return Err(Problem::new("it is not METER:ADDED or METER:ADDED:LEVEL")
            .hint("write `1215h:1qt`, `1240h:0.5qt:-0.3qt` or `1250h:changed`"));
    };
    let (at, by_distance) = match Figure::parse(meter, Kind::Hours, set) {
        Ok(figure) => (figure.value_in(units::HOURS).unwrap_or(f64::NAN), false),
        Err(problem) => match Figure::parse(meter, Kind::Distance, set) {
            Ok(figure) => (figure.value_in(units::KM).unwrap_or(f64::NAN), true),
            Err(_) => return Err(problem),
        },
    };
    let litres = |text: &str| -> Result<Volume, Problem> {
        let figure = Figure::parse(text, Kind::Volume, set)?;
        Ok(Volume::from_si(figure.unit.to_si(figure.value)))
    };
    let changed = added == "changed";
    Ok((
        Check {
            at,
            added: if changed {
                Volume::from_si(0.0)
            } else {
                litres(added)?
            },
            level: level.map(litres).transpose()?,
            changed,
            fuel: None,
        },
        by_distance,
    ))
}

/// The trend in rows and sentences.
pub fn told(found: &Trend, by_distance: bool, set: UnitSet, sheet: &mut Sheet) {
    let unit = match set {
        UnitSet::Metric => units::LITRE,
        UnitSet::Us => units::US_QT,
    };
    let meter = |v: f64| {
        Figure::new(
            v,
            if by_distance {
                Unit::from(units::KM)
            } else {
                units::HOURS.into()
            },
        )
    };
    for interval in &found.intervals {
        sheet.rows.push(vec![
            Line::words("from", "From", meter(interval.from).to_string()),
            Line::words("to", "To", meter(interval.to).to_string()),
            Line::figure("used", "Used", interval.used, unit),
            Line::words(
                "counted",
                "Counted",
                if interval.caught.is_some() {
                    "no"
                } else {
                    "yes"
                },
            ),
        ]);
        if let Some(caught) = interval.caught {
            sheet.says.push(format!(
                "{} to {}: {}.",
                meter(interval.from),
                meter(interval.to),
                caught.says()
            ));
        }
    }
    let each = |rate: &Rate| {
        let form = match (by_distance, set) {
            (false, UnitSet::Metric) => Figure::new(rate.each.get(units::LITRE), units::L_PER_H),
            (false, UnitSet::Us) => Figure::new(rate.each.get(units::US_QT), units::QT_PER_H),
            (true, UnitSet::Metric) => {
                Figure::new(rate.each.get(units::LITRE) * 1000.0, units::L_PER_1000KM)
            }
            (true, UnitSet::Us) => {
                Figure::new(rate.each.get(units::US_QT) * 1609.344, units::QT_PER_1000MI)
            }
        };
        let share = rate.deviation.si() / rate.each.si();
        format!(
            "{} {} within {}",
            short(form.value),
            form.unit,
            short((form.value * share * 1.645).abs())
        )
    };
    match &found.rate {
        Some(rate) => sheet.says.push(format!(
            "Over all that counts: {} (nine times in ten).",
            each(rate)
        )),
        None => sheet
            .says
            .push("No interval counts, so there is no rate.".into()),
    }
    if let Some(change) = &found.change {
        sheet.says.push(format!(
            "The rate changed at {}: before {}, after {}.",
            meter(change.at),
            each(&change.before),
            each(&change.after)
        ));
    }
    if let Some((least, most)) = found.unlike {
        sheet.says.push(format!(
            "Checks came {} to {} apart: litres a top-up compare nothing, the rate does.",
            meter(least),
            meter(most)
        ));
    }
}
