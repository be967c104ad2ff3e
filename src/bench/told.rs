//! What the bench tells of its findings: how well each of inside, near and out
//! agrees with the value and its doubt.

use super::worked::Judged;
use crate::engine::Place;
use crate::gauge::normal::likelihood;
use std::collections::BTreeMap;

/// What one finding is told at one place.
#[derive(Debug, Clone, PartialEq)]
pub struct Told {
    /// Finding id.
    pub finding: String,
    /// Where.
    pub place: Place,
    /// How well inside, near and out agree with it, the best 1.
    pub likelihood: Vec<f64>,
    /// The index of the value that it rests on.
    pub by: usize,
}

/// For each finding and place the value that stands worst to its limit: a bore
/// is out when any of wear, taper and out-of-round is.
pub fn told(judged: &[Judged]) -> Vec<Told> {
    let mut worst: BTreeMap<(&str, Place), (usize, f64)> = BTreeMap::new();
    for (by, it) in judged.iter().enumerate() {
        let (Some(finding), Some(left)) = (&it.value.finding, it.left()) else {
            continue;
        };
        let so_far = worst.entry((finding, it.place)).or_insert((by, left));
        if left < so_far.1 {
            *so_far = (by, left);
        }
    }
    let told = worst.into_iter().filter_map(|((finding, place), (by, _))| {
        let it = &judged[by];
        let limit = it.limit.as_ref()?;
        Some(Told {
            finding: finding.to_string(),
            place,
            likelihood: likelihood(
                &[limit.near(), limit.at],
                limit.falls,
                it.found.value,
                it.found.error,
            ),
            by,
        })
    });
    told.collect()
}
