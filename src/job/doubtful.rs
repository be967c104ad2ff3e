//! Readings that cannot be taken as they stand: instruments that the shop does
//! not know, repeats that lie too far apart.

use super::Job;
use super::evidence::Warning;
use crate::gauge::reduce::{self, Raw};
use crate::gauge::shop::Workbench;
use crate::gauge::units::Unit;
use crate::words::{listed, nearest};
use std::collections::BTreeMap;

/// Instruments that readings name and the shop file does not describe, each once.
pub(super) fn strange_instruments(job: &Job, shop: &Workbench) -> Vec<Warning> {
    let mut strange: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (index, reading) in job.readings.iter().enumerate() {
        let name = reading.instrument.as_deref().filter(|_| reading.counts());
        if let Some(name) = name.filter(|name| !shop.instruments.contains_key(*name)) {
            strange.entry(name).or_default().push(index);
        }
    }
    // A shop that has described none is not asked for one.
    strange.retain(|_, _| !shop.instruments.is_empty());
    let known = || shop.instruments.keys().map(String::as_str);
    let says = |name: &str| {
        let way_out = match nearest(name, known()) {
            Some(near) => format!("did you mean `{near}`?"),
            None => format!("it has {}", listed(&known().collect::<Vec<_>>(), "and")),
        };
        format!(
            "the shop file describes no instrument `{name}`, so its readings are taken to err as usual: {way_out}"
        )
    };
    (strange.into_iter())
        .map(|(name, readings)| Warning {
            says: says(name),
            readings,
            passed_over: false,
        })
        .collect()
}

/// How many standard deviations of their difference two repeats may lie apart.
const APART: f64 = 4.0;

/// Warns of repeats of one reading that lie too far apart to be of one thing.
pub(super) fn contradictions(raws: &[Raw], job: &Job, warnings: &mut Vec<Warning>) {
    for (i, a) in raws.iter().enumerate() {
        let earlier = raws[..i].iter().rev();
        // Another sample of the oil may well read otherwise.
        let another = |b: &Raw| a.act != b.act && reduce::is_sample(&a.reading.reading);
        let same =
            |b: &&Raw| b.reading.reading == a.reading.reading && b.place == a.place && !another(b);
        let Some(b) = earlier.filter(same).find(|b| apart(a, b)) else {
            continue;
        };
        let said = |raw: &Raw| job.readings.get(raw.index).map_or("", |r| &r.said.value);
        let what = a
            .place
            .after(&format!("{}: {} and {}", a.reading.title, said(b), said(a)));
        warnings.push(Warning {
            says: format!("{what}: these contradict each other; retract the one that is wrong"),
            readings: vec![b.index, a.index],
            passed_over: false,
        });
    }
}

/// Whether two repeats lie too far apart.
fn apart(a: &Raw, b: &Raw) -> bool {
    let percent = |raw: &Raw| match raw.figure.over {
        Some(over) => Some(100.0 * (1.0 - raw.figure.value / over)),
        None => raw.figure.value_in(Unit::named(&raw.reading.unit)?),
    };
    let (Some(x), Some(y)) = (percent(a), percent(b)) else {
        return false;
    };
    let error = |value: f64| a.reading.error.hypot(a.reading.error_share * value);
    (x - y).abs() > APART * error(x).hypot(error(y))
}
