//! A quick look at what each finding could tell, to choose the tests that are
//! worth an exact valuation.
//!
//! For one finding and one of its causes, the others are taken as independent,
//! each as likely as it is to be behind what was seen; the information between the two is then a
//! formula. Summed over the causes it orders findings well enough to shortlist
//! tests; no figure of it is ever shown.

use super::Diagnosis;
use super::next::entropy;
use crate::engine::Place;
use crate::network::Error;
use crate::rules::file::CauseSort;
use crate::unroll::Instance;
use std::collections::BTreeMap;

/// Rough bits of each finding asked about.
///
/// # Errors
/// When an exact answer is out of reach.
pub fn rough_bits<'y>(
    d: &Diagnosis,
    asked: impl IntoIterator<Item = &'y (String, Place)>,
) -> Result<BTreeMap<(String, Place), f64>, Error> {
    let of_kind = by_kind(d, d.behind()?);
    let mut bits = BTreeMap::new();
    for (finding, place) in asked {
        if let Some(instance) = d.unrolled.finding(finding, *place) {
            bits.insert((finding.clone(), *place), told(d, instance, &of_kind));
        }
    }
    Ok(bits)
}

type Present<'d> = Vec<Vec<(&'d Instance, f64)>>;

fn by_kind<'d>(d: &'d Diagnosis, present: &[f64]) -> Present<'d> {
    let mut of_kind: Present = vec![Vec::new(); d.unrolled.kinds.causes.len()];
    for (cause, p) in d.unrolled.causes.iter().zip(present) {
        of_kind[cause.kind].push((cause, *p));
    }
    of_kind
}

/// The information between the finding, seen or not, and each of its causes.
fn told(d: &Diagnosis, finding: &Instance, of_kind: &Present) -> f64 {
    let kind = d.unrolled.finding_kind(finding);
    let mut links = Vec::new();
    for (cause, spread) in &kind.links {
        let counts = d.unrolled.kinds.causes[*cause].sort != CauseSort::Root;
        let here = of_kind[*cause]
            .iter()
            .filter(|(c, _)| c.place.touches(finding.place));
        links.extend(here.map(|(_, p)| (*p, spread.chance.p, counts)));
    }
    let quiet = |(p, s, _): &(f64, f64, bool)| 1.0 - p * s;
    let none: f64 = (1.0 - kind.sound.chance.p) * links.iter().map(quiet).product::<f64>();
    let about = |link: &(f64, f64, bool)| {
        let (p, s, _) = *link;
        let others = none / quiet(link).max(1e-12);
        let with = others * (1.0 - s);
        entropy(p * with + (1.0 - p) * others) - p * entropy(with) - (1.0 - p) * entropy(others)
    };
    links
        .iter()
        .filter(|(_, _, counts)| *counts)
        .map(about)
        .sum::<f64>()
        .max(0.0)
}
