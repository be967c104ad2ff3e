//! Tests worth doing together: two or three that need the same set-up, when
//! together they tell more for their minutes than the best of them alone.

use super::Diagnosis;
use super::next::{
    AtHand, LEAST_MINUTES, Look, TestOption, WORTH_BITS, options, set_up_minutes, targets,
};
use crate::engine::Place;
use crate::network::Error;
use std::collections::BTreeSet;

/// Combinations are sought among so many of the best tests that need a set-up.
const AMONG: usize = 5;

/// So many combinations are valued over their joint outcome.
const VALUED: usize = 4;

/// So many are named.
const NAMED: usize = 3;

/// Two or three tests that share a set-up, done together.
#[derive(Debug, Clone, PartialEq)]
pub struct Together {
    /// Ids of the tests.
    pub tests: Vec<String>,
    /// Their titles.
    pub titles: Vec<String>,
    /// Expected fall in uncertainty of all, bits.
    pub bits: f64,
    /// Standard error of `bits`; 0 where every outcome was gone through.
    pub error: f64,
    /// Minutes, a shared set-up counted once.
    pub minutes: f64,
    /// Minutes when each is set up on its own.
    pub apart: f64,
}

impl Together {
    /// Bits for each minute.
    pub fn bits_per_minute(&self) -> f64 {
        self.bits / self.minutes.max(LEAST_MINUTES)
    }
}

/// The combinations worth naming, most bits per minute first.
///
/// # Errors
/// When an exact answer is out of reach.
pub fn together(d: &Diagnosis, at_hand: &AtHand) -> Result<Vec<Together>, Error> {
    let (mut all, _) = options(d, at_hand);
    let (look, targets) = (Look::of(d, &all)?, targets(d));
    all.retain(|t| t.place == Place::Engine && !t.set_up.is_empty());
    all.sort_by(|a, b| {
        let rate = |t: &TestOption| look.bits(&t.yields) / t.minutes.max(LEAST_MINUTES);
        rate(b)
            .total_cmp(&rate(a))
            .then_with(|| a.id().cmp(&b.id()))
    });
    all.truncate(AMONG);
    let alone: Vec<_> = all.iter().map(|t| t.yields.clone()).collect();
    for (test, value) in all.iter_mut().zip(look.values(d, &alone, &targets)?) {
        (test.bits, test.error) = (value.bits, value.error);
    }
    let best: Vec<&TestOption> = all.iter().filter(|t| t.bits >= WORTH_BITS).collect();
    let mut sets: Vec<(f64, Vec<&TestOption>)> = combinations(&best)
        .into_iter()
        .filter(|set| fit(d, set))
        .map(|set| (look.bits(&yields(&set)) / minutes(d, &set), set))
        .collect();
    sets.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| ids(&a.1).cmp(&ids(&b.1))));
    sets.truncate(VALUED);
    let joint: Vec<_> = sets.iter().map(|(_, set)| yields(set)).collect();
    let values = look.values(d, &joint, &targets)?;
    let mut out: Vec<Together> = (sets.into_iter().zip(values))
        .map(|((_, set), value)| Together {
            tests: ids(&set),
            titles: set.iter().map(|t| t.title.clone()).collect(),
            // Together they tell at least what the best of them tells alone.
            bits: set.iter().map(|t| t.bits).fold(value.bits, f64::max),
            error: value.error,
            minutes: minutes(d, &set),
            apart: set.iter().map(|t| t.minutes).sum(),
        })
        .filter(|t| {
            let own = best.iter().filter(|o| t.tests.contains(&o.id()));
            own.map(|o| o.bits_per_minute()).fold(0.0, f64::max) < t.bits_per_minute()
        })
        .collect();
    out.sort_by(|a, b| {
        let rate = b.bits_per_minute().total_cmp(&a.bits_per_minute());
        rate.then_with(|| a.tests.cmp(&b.tests))
    });
    out.truncate(NAMED);
    Ok(out)
}

fn combinations<'t>(best: &[&'t TestOption]) -> Vec<Vec<&'t TestOption>> {
    let mut sets = Vec::new();
    for (i, a) in best.iter().enumerate() {
        for (j, b) in best.iter().enumerate().skip(i + 1) {
            sets.push(vec![*a, *b]);
            sets.extend(best.iter().skip(j + 1).map(|c| vec![*a, *b, *c]));
        }
    }
    sets
}

fn ids(set: &[&TestOption]) -> Vec<String> {
    set.iter().map(|t| t.id()).collect()
}

/// Every two share a set-up that is not made yet, and none ends another's.
fn fit(d: &Diagnosis, set: &[&TestOption]) -> bool {
    let shares = |a: &TestOption, b: &TestOption| a.set_up.iter().any(|s| b.set_up.contains(s));
    let ends = |a: &TestOption, b: &TestOption| {
        let made = a.set_up.iter().filter_map(|s| d.rules.set_ups.get(s));
        made.flat_map(|s| &s.ends).any(|e| b.set_up.contains(e))
    };
    set.iter().enumerate().all(|(i, a)| {
        let mut later = set[i + 1..].iter();
        later.all(|b| a.test != b.test && shares(a, b) && !ends(a, b) && !ends(b, a))
    })
}

fn yields(set: &[&TestOption]) -> Vec<(String, Place)> {
    let all: BTreeSet<_> = set.iter().flat_map(|t| &t.yields).cloned().collect();
    all.into_iter().collect()
}

/// Minutes of all, each set-up made once.
fn minutes(d: &Diagnosis, set: &[&TestOption]) -> f64 {
    let cylinders = d.engine.cylinders() as f64;
    let made = |of: &[String]| set_up_minutes(d, of, cylinders);
    let own: f64 = set.iter().map(|t| t.minutes - made(&t.set_up)).sum();
    let set_ups: BTreeSet<_> = set.iter().flat_map(|t| &t.set_up).cloned().collect();
    own + made(&set_ups.into_iter().collect::<Vec<_>>())
}
