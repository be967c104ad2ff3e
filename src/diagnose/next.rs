//! The next test: what each one that the shop can do would tell, in bits, over
//! the joint outcome of all that it yields, for the minutes that it takes from
//! the present set-up.
//!
//! Bits are the expected fall of the entropy, summed over every cause (roots
//! left out), of whether it is *behind* what was seen. They come from draws of
//! the posterior, with a standard error. A set-up that is in place costs nothing;
//! one that several tests share is counted once when they are done together.

use super::{Diagnosis, at_place, screen};
use crate::engine::Place;
use crate::network::{Error, Value, Var};
use crate::rules::file::{CauseSort, Scope, Test};
use std::collections::{BTreeMap, BTreeSet};

/// Below this many bits a test tells nothing worth its time.
pub const WORTH_BITS: f64 = 0.02;

/// So many tests are valued over their joint outcome.
const SHORTLIST: usize = 14;

/// What is behind the complaint is settled from this on.
pub const SETTLED: f64 = 0.9;

/// Least minutes that anything takes.
pub(super) const LEAST_MINUTES: f64 = 0.5;

/// What the shop has and how the engine stands.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct AtHand {
    /// Equipment that is known not to be at hand.
    pub lacking: BTreeSet<String>,
    /// Set-ups in place: plugs out, engine warm.
    pub in_place: BTreeSet<String>,
    /// Findings that were tried and could not be told, with their place.
    pub set_aside: BTreeSet<(String, Place)>,
}

/// A test that can be done now, and what it is worth.
#[derive(Debug, Clone, PartialEq)]
pub struct TestOption {
    /// Id of the test.
    pub test: String,
    /// The cylinder it is done on; the engine for the whole of it.
    pub place: Place,
    /// Title, with its cylinder.
    pub title: String,
    /// Expected fall in uncertainty, bits.
    pub bits: f64,
    /// Standard error of `bits`; 0 where every outcome was gone through.
    pub error: f64,
    /// Minutes from the present set-up.
    pub minutes: f64,
    /// Set-ups that must be made first.
    pub set_up: Vec<String>,
    /// Equipment that it takes.
    pub equipment: Vec<String>,
    /// Findings that it would yield, not yet known.
    pub yields: Vec<(String, Place)>,
}

impl TestOption {
    /// Bits for each minute.
    pub fn bits_per_minute(&self) -> f64 {
        self.bits / self.minutes.max(LEAST_MINUTES)
    }

    /// `leak-down-test@3`, or the test alone.
    pub fn id(&self) -> String {
        match self.place {
            Place::Engine => self.test.clone(),
            place => format!("{}@{place}", self.test),
        }
    }
}

/// What findings are roughly worth, bits or money.
pub type Rough = BTreeMap<(String, Place), f64>;

/// The tests worth doing, best first.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Next {
    /// By bits per minute; ties by id.
    pub tests: Vec<TestOption>,
    /// Tests left out for want of equipment: title, what is missing.
    pub wanting: Vec<(String, Vec<String>)>,
    /// Why to stop testing, when no test is worth its time.
    pub stop: Option<String>,
}

/// The tests that can be done, not yet valued (their bits are 0), and those left
/// out for want of equipment: title, what is missing.
pub fn options(d: &Diagnosis, at_hand: &AtHand) -> (Vec<TestOption>, Vec<(String, Vec<String>)>) {
    let (mut options, mut wanting) = (Vec::new(), Vec::new());
    for test in d.rules.tests.values() {
        if !d.rules.applies(&d.engine.traits, &test.on, &test.not_on) || closed(d, at_hand, test) {
            continue;
        }
        let fresh = options_of(d, at_hand, test);
        let missing = missing(at_hand, test);
        if missing.is_empty() {
            options.extend(fresh);
        } else if !fresh.is_empty() {
            wanting.push((test.title.clone(), missing));
        }
    }
    (options, wanting)
}

/// Whether a test needs the engine taken apart further than it is.
fn closed(d: &Diagnosis, at_hand: &AtHand, test: &Test) -> bool {
    let wants = |id: &&String| d.rules.set_ups.get(*id).is_some_and(|s| s.opened);
    (test.set_up.iter().filter(wants)).any(|id| !at_hand.in_place.contains(id))
}

/// Values the tests that can be done: all are screened at a quick look, the most
/// promising are valued over their joint outcome.
///
/// # Errors
/// When an exact answer is out of reach.
pub fn next(d: &Diagnosis, at_hand: &AtHand) -> Result<Next, Error> {
    let targets = targets(d);
    let (options, wanting) = options(d, at_hand);
    let look = Look::of(d, &options)?;
    let mut tests = look.shortlist(options);
    let yields: Vec<_> = tests.iter().map(|test| test.yields.clone()).collect();
    let values = look.values(d, &yields, &targets)?;
    for (test, value) in tests.iter_mut().zip(values) {
        (test.bits, test.error) = (value.bits, value.error);
    }
    tests.retain(|t| t.bits > 1e-9);
    tests.sort_by(best_first);
    Ok(Next {
        stop: settled(d)?.or_else(|| stop(&tests)),
        tests,
        wanting,
    })
}

/// The quick look ([`super::screen`]) at what findings could tell.
pub(super) struct Look {
    rough: Rough,
}

impl Look {
    pub fn of(d: &Diagnosis, options: &[TestOption]) -> Result<Self, Error> {
        Ok(Look {
            rough: screen::rough_bits(d, options.iter().flat_map(|o| &o.yields))?,
        })
    }

    /// What tests tell by all that they yield, in bits of the targets.
    pub fn values(
        &self,
        d: &Diagnosis,
        tests: &[Vec<(String, Place)>],
        targets: &[Var],
    ) -> Result<Vec<Value>, Error> {
        let tests: Vec<Vec<Var>> = tests.iter().map(|yields| vars(d, yields)).collect();
        d.solved.bits_of_blame(&tests, targets)
    }

    /// Rough bits of findings together.
    pub fn bits(&self, yields: &[(String, Place)]) -> f64 {
        yields.iter().filter_map(|y| self.rough.get(y)).sum()
    }

    /// The tests that promise most for their minutes; only these are valued
    /// over the joint outcome.
    fn shortlist(&self, mut options: Vec<TestOption>) -> Vec<TestOption> {
        for option in &mut options {
            option.bits = self.bits(&option.yields);
        }
        options.sort_by(best_first);
        options.truncate(SHORTLIST);
        options
    }
}

/// Entropy of a yes or no, in bits.
pub(super) fn entropy(p: f64) -> f64 {
    let term = |p: f64| if p > 0.0 { -p * p.log2() } else { 0.0 };
    term(p) + term(1.0 - p)
}

/// By bits per minute; ties by id.
fn best_first(a: &TestOption, b: &TestOption) -> std::cmp::Ordering {
    let rate = b.bits_per_minute().total_cmp(&a.bits_per_minute());
    rate.then_with(|| a.id().cmp(&b.id()))
}

/// The variables whose uncertainty counts: every cause but roots.
pub fn targets(d: &Diagnosis) -> Vec<Var> {
    let counts = |c: &&crate::unroll::Instance| d.unrolled.cause_kind(c).sort != CauseSort::Root;
    d.unrolled
        .causes
        .iter()
        .filter(counts)
        .map(|c| c.var)
        .collect()
}

pub(super) fn vars<'y>(
    d: &Diagnosis,
    yields: impl IntoIterator<Item = &'y (String, Place)>,
) -> Vec<Var> {
    yields
        .into_iter()
        .filter_map(|(finding, place)| Some(d.unrolled.finding(finding, *place)?.var))
        .collect()
}

/// A test on the engine, or on each cylinder and on all; without those that would tell nothing new.
fn options_of(d: &Diagnosis, at_hand: &AtHand, test: &Test) -> Vec<TestOption> {
    let mut places = vec![Place::Engine];
    if test.scope != Scope::Engine && d.engine.cylinders() > 1 {
        places.extend(d.engine.places(Scope::Cylinder));
    }
    let set_up: Vec<String> = test
        .set_up
        .iter()
        .filter(|s| !at_hand.in_place.contains(*s))
        .cloned()
        .collect();
    places
        .into_iter()
        .filter_map(|place| {
            let yields = yields(d, at_hand, test, place);
            (!yields.is_empty()).then(|| TestOption {
                test: test.test.clone(),
                place,
                title: at_place(&test.title, place),
                bits: 0.0,
                error: 0.0,
                minutes: minutes(d, test, place, &set_up),
                set_up: set_up.clone(),
                equipment: test.equipment.clone(),
                yields,
            })
        })
        .collect()
}

/// The findings that a test at a place yields and that are not known yet.
fn yields(d: &Diagnosis, at_hand: &AtHand, test: &Test, place: Place) -> Vec<(String, Place)> {
    let mut out = Vec::new();
    for finding in &test.yields {
        let Some(rule) = d.rules.findings.get(finding) else {
            continue;
        };
        for at in d.engine.places(rule.scope) {
            let here = place == Place::Engine || (at != Place::Engine && at.touches(place));
            let known = d
                .observations
                .iter()
                .any(|o| o.finding == *finding && o.place == at)
                || at_hand.set_aside.contains(&(finding.clone(), at));
            if here && !known && d.unrolled.finding(finding, at).is_some() {
                out.push((finding.clone(), at));
            }
        }
    }
    out
}

fn minutes(d: &Diagnosis, test: &Test, place: Place, set_up: &[String]) -> f64 {
    let all = d.engine.cylinders() as f64;
    let done = match (test.scope, place) {
        (Scope::Engine, _) => 0.0,
        (_, Place::Engine) => all,
        _ => 1.0,
    };
    let own = test.minutes.fixed + test.minutes.each * done;
    own + set_up_minutes(d, set_up, if place == Place::Engine { all } else { 1.0 })
}

pub(super) fn set_up_minutes(d: &Diagnosis, set_up: &[String], cylinders: f64) -> f64 {
    set_up
        .iter()
        .filter_map(|s| d.rules.set_ups.get(s))
        .map(|s| s.minutes.fixed + s.minutes.each * cylinders)
        .sum()
}

fn missing(at_hand: &AtHand, test: &Test) -> Vec<String> {
    test.equipment
        .iter()
        .filter(|e| at_hand.lacking.contains(*e))
        .cloned()
        .collect()
}

/// When what is behind the complaint is settled: what it is.
///
/// # Errors
/// When an answer is out of reach.
pub fn settled(d: &Diagnosis) -> Result<Option<String>, Error> {
    let behind = d.behind()?;
    let faults = d.unrolled.causes.iter().zip(behind);
    let faults = faults.filter(|(c, _)| d.unrolled.cause_kind(c).sort != CauseSort::Root);
    let first = faults.max_by(|a, b| a.1.total_cmp(b.1).then(b.0.place.cmp(&a.0.place)));
    Ok(first.filter(|(_, p)| **p >= SETTLED).map(|(cause, _)| {
        let title = d.title(&d.unrolled.cause_kind(cause).id, cause.place);
        format!(
            "Enough: {title} is behind it, as good as certain. `estimate` says what to do about it."
        )
    }))
}

fn stop(tests: &[TestOption]) -> Option<String> {
    let most = tests.iter().map(|t| t.bits).fold(0.0, f64::max);
    if tests.is_empty() {
        Some("Every test that this shop can do has been done: no test is left to tell more.".into())
    } else if most < WORTH_BITS {
        Some(format!(
            "No test left is worth its time: the best would tell {most:.3} bits. Decide on what is known."
        ))
    } else {
        None
    }
}
