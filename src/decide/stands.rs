//! What a choice stands on: the tests that it would pay to do first, the one
//! finding that would change it most, the prices and the probability at which
//! it turns, and the order of the work where it can be done bit by bit.

use super::choices::DEEP;
use super::desk::Desk;
use super::flip::{Flip, flips};
use super::order::{Order, by_chance_over_cost};
use super::package::Package;
use super::rivals::Rivals;
use super::search::Search;
use super::worth::{self, Effort, Turn, Worth};
use crate::diagnose::next::TestOption;
use crate::network::Error;
use crate::rules::file::CauseSort;

/// How closely an estimate looks at the tests; `next --by money` looks closer.
const EFFORT: Effort = Effort {
    tests: 5,
    outcomes: 8,
};

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
    /// Looks at the best of the choices.
    ///
    /// # Errors
    /// When an exact answer is out of reach.
    pub fn of(
        search: &Search,
        choices: &[Package],
        best: usize,
        tests: &[TestOption],
    ) -> Result<Self, Error> {
        let rivals = Rivals::of(search, choices, &choices[best]);
        Ok(Stands {
            tests: worth::tests(&rivals, tests, EFFORT)?,
            turn: worth::turn(&rivals, tests)?,
            flips: flips(&rivals)?,
            one_by_one: one_by_one(rivals.desk, &choices[best])?,
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
    let open = desk.pricer.accesses(package);
    if package.work.len() < 2 || DEEP.iter().any(|deep| open.contains_key(deep)) {
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
        desk.joint(&mended, |s| s.sort == CauseSort::Fault && s.in_play())
    })?;
    let ids: Vec<&String> = package.work.keys().collect();
    let ids = order.jobs.iter().map(|&i| ids[i].clone()).collect();
    Ok(Some((ids, order)))
}
