//! Checks of the oil as typed, and the trend in rows and sentences.

use crate::gauge::oil_log::{OilCheck, parted};
use crate::gauge::oil_trend::{Sump, trend};
use crate::gauge::reduce::Log;
use crate::gauge::sheet::{Line, Sheet};
use crate::gauge::{UnitSet, short, units};
use crate::problem::{Problem, Problems};

/// The log that a line of checks makes.
///
/// # Errors
/// Every check that cannot be read; what [`trend`] refuses.
pub fn log(words: &[String], set: UnitSet, sump: Sump) -> Result<Log, Problems> {
    let mut problems = Problems::new();
    let mut found = Vec::new();
    for word in parted(words) {
        match OilCheck::parse(&word, set, false) {
            Ok(check) => found.push(check),
            Err(problem) => problems.push(Problem {
                what: format!("check `{word}`: {}", problem.what),
                ..problem
            }),
        }
    }
    let by_distance = found.iter().any(OilCheck::by_distance);
    if by_distance && !found.iter().all(OilCheck::by_distance) {
        problems.push(
            Problem::new("some checks are in hours and some in distance")
                .hint("give all of them by one meter"),
        );
    }
    if !problems.is_empty() {
        return Err(problems);
    }
    let checks: Vec<_> = found.iter().map(OilCheck::check).collect();
    Ok(Log {
        trend: trend(&checks, sump).map_err(|p| vec![p])?,
        checks,
        from: vec![],
        by_distance,
        set,
        sump,
    })
}

/// The trend in rows and sentences.
pub fn told(log: &Log, sheet: &mut Sheet) {
    let unit = match log.set {
        UnitSet::Metric => units::LITRE,
        UnitSet::Us => units::US_QT,
    };
    for interval in &log.trend.intervals {
        let (from, to) = (log.meter(interval.from), log.meter(interval.to));
        let counted = if interval.caught.is_some() {
            "no"
        } else {
            "yes"
        };
        let used = match interval.read {
            true => Line::figure("used", "Used", interval.used, unit),
            false => Line::unknown("used", "Used", "level not read"),
        };
        sheet.rows.push(vec![
            Line::words("from", "From", from.clone()),
            Line::words("to", "To", to.clone()),
            used,
            Line::words("counted", "Counted", counted),
        ]);
        if let Some(caught) = interval.caught {
            sheet
                .says
                .push(format!("{from} to {to}: {}.", caught.says(log.set)));
        }
    }
    let figure = |volume: crate::gauge::Volume| {
        let unit = crate::measure::units::Unit::from(unit);
        format!("{} {unit}", short(unit.of_si(volume.si())))
    };
    sheet.assumed.push(format!(
        "A sump of {}; one look at the dipstick errs by {}.",
        figure(log.sump.full),
        figure(log.sump.error)
    ));
    match &log.trend.rate {
        Some(rate) => sheet.says.push(format!(
            "Over all that counts: {} (nine times in ten).",
            log.says(rate)
        )),
        None => sheet
            .says
            .push("No interval counts, so there is no rate.".into()),
    }
    if let Some(change) = &log.trend.change {
        sheet.says.push(format!(
            "The rate changed at {}: before {}, after {}. What follows is of the rate after.",
            log.meter(change.at),
            log.says(&change.before),
            log.says(&change.after)
        ));
    }
    if let Some(jump) = &log.trend.jump {
        let times = jump.share / (1.0 - jump.share).max(0.01);
        if jump.share - jump.deviation > 0.6 {
            sheet.says.push(format!(
                "It jumped to about {} times rather than crept up.",
                short(times)
            ));
        }
    }
    if let Some((least, most)) = log.trend.unlike {
        sheet.says.push(format!(
            "Checks came {} to {} apart: litres a top-up compare nothing, the rate does.",
            log.meter(least),
            log.meter(most)
        ));
    }
}
