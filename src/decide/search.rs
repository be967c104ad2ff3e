//! The package of least expected total: steepest descent from several starts,
//! by adding a repair on one piece of the engine or on all, adding two at once
//! (they may share an access that neither pays for alone), leaving one out, and
//! changing one for another. Among the starts is, for each stage of
//! dismantling, all that would pay once it is open. Only repairs that answer a
//! cause with blame are looked at; one whose own hours cost more than all that
//! it could save is never part of the best and is left out beforehand. A package
//! that leaves the engine in danger comes after every one that does not. A local
//! search: it is checked against going through all packages on small cases, and
//! not proved for large ones. It asks the network nothing.

use super::cost::LineKind;
use super::desk::Desk;
use super::package::{Package, applies, pieces};
use std::cell::RefCell;
use std::collections::{BTreeSet, HashMap};
use std::rc::Rc;

/// Repairs at places tried, those with most to gain first.
const MOST_MOVES: usize = 30;
/// Of these, tried two at a time.
const MOST_PAIRED: usize = 10;
/// Rounds at most.
const MOST_ROUNDS: usize = 40;
/// Put on a package for each danger that it leaves, smallest units.
const DANGER: f64 = 1e15;

/// A repair on some cylinders that a search may add.
struct Candidate<'d> {
    package: Package,
    repair: String,
    cylinders: BTreeSet<usize>,
    mended: Vec<f64>,
    /// Mean of its own hours, which it costs whatever else is done.
    hours: f64,
    /// Mean of all that it costs beyond what its stages of dismantling do.
    own: f64,
    open: BTreeSet<&'d str>,
}

/// A package with its mean cost and what it mends.
#[derive(Debug, Clone, PartialEq)]
pub struct Priced {
    /// Mean cost with tax, smallest units.
    pub mean: f64,
    /// For each stake the chance that it is mended.
    pub mended: Vec<f64>,
}

/// Searches on one desk, under any beliefs; prices are looked up once.
pub struct Search<'d> {
    pub(super) desk: &'d Desk<'d>,
    candidates: Vec<Candidate<'d>>,
    known: RefCell<HashMap<Package, Rc<Priced>>>,
}

impl<'d> Search<'d> {
    /// Looks up the repairs that answer a cause with blame.
    pub fn on(desk: &'d Desk<'d>) -> Self {
        let blamed: BTreeSet<&str> = (desk.stakes.iter())
            .filter(|s| s.blamed())
            .map(|s| s.kind.as_str())
            .collect();
        let mut candidates = Vec::new();
        for (id, repair) in &desk.d.rules.repairs {
            let answers = repair
                .mends
                .keys()
                .any(|cause| blamed.contains(cause.as_str()));
            if !answers || !applies(desk.d.rules, desk.d.engine, repair) {
                continue;
            }
            for cylinders in pieces(desk.d.engine, repair) {
                if desk.supported(id, &cylinders) {
                    candidates.push(candidate(desk, id, cylinders));
                }
            }
        }
        Search {
            desk,
            candidates,
            known: RefCell::default(),
        }
    }

    /// A package with its mean cost and what it mends.
    pub fn priced(&self, package: &Package) -> Rc<Priced> {
        if let Some(known) = self.known.borrow().get(package) {
            return known.clone();
        }
        let priced = Rc::new(Priced {
            mean: self.desk.pricer.mean(package),
            mended: self.desk.mended(package),
        });
        let mut known = self.known.borrow_mut();
        known.insert(package.clone(), priced.clone());
        priced
    }

    /// What a package costs in the end were the stakes so probable, the dangers
    /// that it leaves put on top.
    pub fn total(&self, package: &Package, present: &[f64]) -> f64 {
        let priced = self.priced(package);
        let dangers = self.desk.dangers_left(&priced.mended, present);
        priced.mean + self.desk.left_if(&priced.mended, present) + DANGER * dangers as f64
    }

    /// The best package found from the starts, of the repairs that are allowed.
    pub fn best(
        &self,
        present: &[f64],
        starts: &[Package],
        allowed: &dyn Fn(&Package) -> bool,
    ) -> Package {
        let moves = self.moves(present, allowed);
        let opened = opened(&moves);
        let mut starts: Vec<&Package> = starts.iter().chain(&opened).collect();
        starts.sort();
        starts.dedup();
        let found =
            (starts.into_iter()).map(|start| self.descend(present, &moves, start.clone(), false));
        let by_cost = |a: &(f64, Package), b: &(f64, Package)| {
            a.0.total_cmp(&b.0).then_with(|| a.1.cmp(&b.1))
        };
        let (_, least) = found.min_by(by_cost).unwrap_or_default();
        self.descend(present, &moves, least, true).1
    }

    /// A package with the allowed repairs added that pay beside it.
    pub fn beside(
        &self,
        present: &[f64],
        package: &Package,
        allowed: &dyn Fn(&Package) -> bool,
    ) -> Package {
        let moves = self.moves(present, allowed);
        let mut at = (self.total(package, present), package.clone());
        for _ in 0..MOST_ROUNDS {
            let more = moves
                .iter()
                .map(|(_, c)| at.1.with(&c.repair, &c.cylinders));
            match self.better(present, more.collect(), at.0) {
                Some(better) => at = better,
                None => break,
            }
        }
        at.1
    }

    /// The candidates that can pay, those with most to gain first, ties by id;
    /// each with its gain where nothing else is done.
    fn moves(
        &self,
        present: &[f64],
        allowed: &dyn Fn(&Package) -> bool,
    ) -> Vec<(f64, &Candidate<'d>)> {
        let nothing = vec![0.0; present.len()];
        let all = self.desk.left_if(&nothing, present);
        let dangers = self.desk.dangers_left(&nothing, present);
        let mut moves: Vec<(f64, &Candidate)> = (self.candidates.iter())
            .map(|c| (all - self.desk.left_if(&c.mended, present), c))
            .filter(|(gain, c)| {
                *gain > c.hours || self.desk.dangers_left(&c.mended, present) < dangers
            })
            .filter(|(_, c)| allowed(&c.package))
            .collect();
        moves.sort_by(|(a_gain, a), (b_gain, b)| {
            let ids = || (&a.repair, &a.cylinders).cmp(&(&b.repair, &b.cylinders));
            b_gain.total_cmp(a_gain).then_with(ids)
        });
        moves.truncate(MOST_MOVES);
        moves
    }

    fn descend(
        &self,
        present: &[f64],
        moves: &[(f64, &Candidate)],
        start: Package,
        pairs: bool,
    ) -> (f64, Package) {
        let mut at = (self.total(&start, present), start);
        for _ in 0..MOST_ROUNDS {
            let next = self.better(present, singly(moves, &at.1), at.0);
            let paired = || match pairs {
                true => self.better(present, by_two(moves, &at.1), at.0),
                false => None,
            };
            match next.or_else(paired) {
                Some(better) => at = better,
                None => break,
            }
        }
        at
    }

    /// The best of several packages, if it is better by more than the smallest unit.
    fn better(&self, present: &[f64], tries: Vec<Package>, than: f64) -> Option<(f64, Package)> {
        let mut best: Option<(f64, Package)> = None;
        for package in tries {
            let total = self.total(&package, present);
            let least = best.as_ref().map_or(than - 1.0, |(least, _)| *least);
            if total < least {
                best = Some((total, package));
            }
        }
        best
    }
}

fn candidate<'d>(desk: &Desk<'d>, id: &str, cylinders: BTreeSet<usize>) -> Candidate<'d> {
    let package = Package::default().with(id, &cylinders);
    let lines = desk.pricer.lines(&package);
    let open: BTreeSet<&str> = desk.pricer.accesses(&package).into_keys().collect();
    let accesses = || open.iter().filter_map(|id| desk.d.rules.accesses.get(*id));
    let renewed = |id: &str| accesses().any(|a| a.renews.iter().any(|r| r.part == id));
    let mean = |counts: &dyn Fn(&&super::cost::Line) -> bool| {
        let counted = lines.iter().filter(counts);
        desk.pricer
            .taxed(counted.map(|line| line.range().mean()).sum())
    };
    Candidate {
        mended: desk.mended(&package),
        hours: mean(&|line| line.kind == LineKind::Labour),
        own: mean(&|line| line.kind != LineKind::Access && !renewed(&line.id)),
        repair: id.into(),
        package,
        cylinders,
        open,
    }
}

/// For each set of stages that a leading move opens: every move that it reaches and
/// that would pay for itself with them open already.
fn opened(moves: &[(f64, &Candidate)]) -> Vec<Package> {
    let leading = moves.iter().take(MOST_PAIRED);
    let stages: BTreeSet<&BTreeSet<&str>> = leading.map(|(_, c)| &c.open).collect();
    let start = |stage: &BTreeSet<&str>| {
        let reached = moves
            .iter()
            .filter(|(gain, c)| *gain > c.own && c.open.is_subset(stage));
        reached.fold(Package::default(), |package, (_, c)| {
            package.with(&c.repair, &c.cylinders)
        })
    };
    stages.into_iter().map(start).collect()
}

/// One added, left out or changed.
fn singly(moves: &[(f64, &Candidate)], at: &Package) -> Vec<Package> {
    let mut tries: Vec<Package> = Vec::new();
    for (_, c) in moves {
        tries.push(at.with(&c.repair, &c.cylinders));
    }
    for (repair, cylinders) in &at.work {
        let mut parts: Vec<BTreeSet<usize>> =
            cylinders.iter().map(|n| BTreeSet::from([*n])).collect();
        parts.push(cylinders.clone());
        for part in parts {
            let mut less = at.without(repair, &part);
            if part.is_empty() {
                less.work.remove(repair);
            }
            for (_, c) in moves.iter().take(MOST_PAIRED) {
                tries.push(less.with(&c.repair, &c.cylinders));
            }
            tries.push(less);
        }
    }
    tries
}

/// Two added.
fn by_two(moves: &[(f64, &Candidate)], at: &Package) -> Vec<Package> {
    let some = &moves[..moves.len().min(MOST_PAIRED)];
    let mut tries = Vec::new();
    for (i, (_, a)) in some.iter().enumerate() {
        let one = at.with(&a.repair, &a.cylinders);
        for (_, b) in &some[i + 1..] {
            tries.push(one.with(&b.repair, &b.cylinders));
        }
    }
    tries
}
