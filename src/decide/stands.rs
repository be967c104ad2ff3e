//! What a choice stands on: the tests that it would pay to do first, the one
//! finding that would change it most, the prices and the probability at which
//! it turns, and the order of the work where it can be done bit by bit.

use super::choices::is_deep;
use super::desk::Desk;
use super::estimate::Choice;
use super::flip::{Flip, flips};
use super::order::{Order, by_chance_over_cost};
use super::package::Package;
use super::rivals::Rivals;
use super::search::Search;
use super::worth::{self, Effort, Turn, Worth};
use crate::diagnose::next::TestOption;
use crate::network::Error;

/// How closely an estimate looks at the tests; `next --by money` looks closer.
const EFFORT: Effort = Effort {
    tests: 3,
    outcomes: 4,
};
/// Multiplications for the worth of tests.
const AFFORDED: f64 = 3e8;
/// Runs for one outcome: forward, and in reverse about twice that.
const EACH: f64 = 3.0;
/// Most repairs put in order.
const MOST_ORDERED: usize = 4;

/// What a choice stands on: what it would pay to know first, and what it turns on.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Stands {
    /// Tests that could change it, by what they save above what they cost.
    pub tests: Vec<Worth>,
    /// The outcome of a single finding that would change it most.
    pub turn: Option<Turn>,
    /// Labour rate, part price and probability at which it changes.
    pub flips: Vec<Flip>,
    /// The packages that it was compared with, as the others name them by index.
    pub rivals: Vec<Package>,
    /// The repairs one at a time, the engine tried after each: in order, and
    /// what that costs; none where the engine is opened or there is one repair.
    pub one_by_one: Option<(Vec<String>, Order)>,
}

impl Stands {
    /// Looks at the best of the choices: against the others that are done at
    /// once. Only tests that would change which of them is best are worth anything.
    ///
    /// # Errors
    /// When an exact answer is out of reach.
    pub fn of(
        search: &Search,
        choices: &[Choice],
        best: usize,
        tests: &[TestOption],
    ) -> Result<Self, Error> {
        let at_once: Vec<Package> = (choices.iter())
            .filter(|c| c.then.is_none() && c.id != "own")
            .map(|c| c.package.clone())
            .collect();
        let whole = &choices[best].package;
        let rivals = Rivals::of(search, &at_once, whole);
        let each = EACH * search.desk.d.solved.work() * EFFORT.outcomes as f64;
        let afforded = Effort {
            tests: ((AFFORDED / each) as usize).clamp(1, EFFORT.tests),
            ..EFFORT
        };
        let mut tests = worth::tests(&rivals, tests, afforded)?;
        // what is saved by doing the lesser job first is not saved again by a test
        let (_, now) = rivals.best(&rivals.desk.present());
        let least = now.min(rivals.total(rivals.chosen, &rivals.desk.present()));
        let staged = (least - choices[best].weighed).max(0.0);
        tests.iter_mut().for_each(|worth| worth.saves -= staged);
        tests.retain(|worth| worth.saves > 0.0);
        Ok(Stands {
            turn: match tests.first() {
                Some(first) if first.net() > 0.0 => worth::turn(&rivals, &first.telling)?,
                _ => None,
            },
            tests,
            flips: flips(&rivals)?,
            one_by_one: one_by_one(rivals.desk, whole)?,
            rivals: rivals.all.into_iter().map(|r| r.package).collect(),
        })
    }

    /// The test that pays for itself, if one does.
    pub fn test_first(&self) -> Option<&Worth> {
        self.tests.first().filter(|worth| worth.net() > 0.0)
    }
}

/// The repairs of a package that leaves the engine shut, one at a time.
fn one_by_one(desk: &Desk, package: &Package) -> Result<Option<(Vec<String>, Order)>, Error> {
    if !(2..=MOST_ORDERED).contains(&package.work.len()) || is_deep(desk, package) {
        return Ok(None);
    }
    let jobs: Vec<Package> = (package.work.iter())
        .map(|(id, at)| Package::default().with(id, at))
        .collect();
    let costs: Vec<f64> = jobs.iter().map(|job| desk.pricer.mean(job)).collect();
    let order = by_chance_over_cost(&costs, |done| {
        let together = done.iter().map(|&i| &jobs[i].work);
        let work = together.flatten().map(|(id, at)| (id.clone(), at.clone()));
        let mended = desk.mended(&Package {
            work: work.collect(),
        });
        desk.cures(&mended, false)
    })?;
    let ids: Vec<&String> = package.work.keys().collect();
    let ids = order.jobs.iter().map(|&i| ids[i].clone()).collect();
    Ok(Some((ids, order)))
}
