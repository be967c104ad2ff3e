//! The package of least expected total: steepest descent from several starts,
//! by adding a repair on one cylinder or on all, adding two at once (they may
//! share an access that neither pays for alone), leaving one out, and changing
//! one for another. Among the starts is, for each stage of dismantling, all
//! that would pay once it is open. A local search: it is checked against going through all
//! packages on small cases, and not proved for large ones.

use super::cost::LineKind;
use super::desk::Desk;
use super::package::{Package, all, applies};
use crate::rules::file::Scope;
use std::collections::BTreeSet;

/// Repairs at places tried, those with most to gain first.
const MOST_MOVES: usize = 60;
/// Of these, tried two at a time.
const MOST_PAIRED: usize = 24;
/// Rounds at most.
const MOST_ROUNDS: usize = 40;

/// A repair on some cylinders that a search may add.
#[derive(Debug, Clone, PartialEq)]
pub struct Move {
    /// Repair id.
    pub repair: String,
    /// Cylinders; none for the engine.
    pub cylinders: BTreeSet<usize>,
    /// Expected cost of a comeback that it takes away.
    pub gain: f64,
}

/// The moves worth trying, that something known speaks for; those with most to gain first, ties by id.
pub fn moves(desk: &Desk, allowed: &dyn Fn(&Package) -> bool) -> Vec<Move> {
    let mut moves = Vec::new();
    let nothing = desk.left(&vec![0.0; desk.stakes.len()]);
    for (id, repair) in &desk.d.rules.repairs {
        if !applies(desk.d.rules, desk.d.engine, repair) {
            continue;
        }
        let mut sets = vec![BTreeSet::new()];
        if repair.scope != Scope::Engine {
            sets = all(desk.d.engine)
                .into_iter()
                .map(|n| BTreeSet::from([n]))
                .collect();
            if sets.len() > 1 {
                sets.push(all(desk.d.engine));
            }
        }
        for cylinders in sets {
            let package = Package::default().with(id, &cylinders);
            let gain = nothing - desk.left(&desk.mended(&package));
            if gain > 0.0 && desk.supported(id, &cylinders) && allowed(&package) {
                moves.push(Move {
                    repair: id.clone(),
                    cylinders,
                    gain,
                });
            }
        }
    }
    moves.sort_by(|a, b| {
        let ids = || (&a.repair, &a.cylinders).cmp(&(&b.repair, &b.cylinders));
        b.gain.total_cmp(&a.gain).then_with(ids)
    });
    moves.truncate(MOST_MOVES);
    moves
}

/// The best package found from the starts.
pub fn best(desk: &Desk, starts: &[Package], allowed: &dyn Fn(&Package) -> bool) -> Package {
    let moves = moves(desk, allowed);
    let opened = opened(desk, &moves);
    let found = starts
        .iter()
        .chain(&opened)
        .map(|start| descend(desk, &moves, start.clone()));
    let by_cost =
        |a: &(f64, Package), b: &(f64, Package)| a.0.total_cmp(&b.0).then_with(|| a.1.cmp(&b.1));
    found
        .min_by(by_cost)
        .map_or_else(Package::default, |(_, package)| package)
}

/// For each set of stages that a move opens: every move that it reaches and
/// that would pay for itself with them open already.
fn opened(desk: &Desk, moves: &[Move]) -> Vec<Package> {
    let each: Vec<(BTreeSet<&str>, bool, &Move)> = moves
        .iter()
        .map(|m| {
            let package = Package::default().with(&m.repair, &m.cylinders);
            let lines = desk.pricer.lines(&package);
            let open: BTreeSet<&str> = desk.pricer.accesses(&package).into_keys().collect();
            let accesses = || open.iter().filter_map(|id| desk.d.rules.accesses.get(*id));
            let renewed = |id: &str| accesses().any(|a| a.renews.iter().any(|r| r.part == id));
            let own =
                (lines.iter()).filter(|line| line.kind != LineKind::Access && !renewed(&line.id));
            let own = desk.pricer.taxed(own.map(|line| line.range().mean()).sum());
            (open, m.gain > own, m)
        })
        .collect();
    let stages: BTreeSet<&BTreeSet<&str>> = each.iter().map(|(open, ..)| open).collect();
    let start = |stage: &BTreeSet<&str>| {
        let reached = each
            .iter()
            .filter(|(open, pays, _)| *pays && open.is_subset(stage));
        reached.fold(Package::default(), |package, (_, _, m)| {
            package.with(&m.repair, &m.cylinders)
        })
    };
    stages.into_iter().map(start).collect()
}

fn descend(desk: &Desk, moves: &[Move], start: Package) -> (f64, Package) {
    let mut at = (desk.expected(&start), start);
    for _ in 0..MOST_ROUNDS {
        let mut next = singly(desk, moves, &at);
        if next.is_none() {
            next = by_two(desk, moves, &at);
        }
        match next {
            Some(better) => at = better,
            None => break,
        }
    }
    at
}

/// The best of adding, leaving out or changing one.
fn singly(desk: &Desk, moves: &[Move], at: &(f64, Package)) -> Option<(f64, Package)> {
    let mut tries: Vec<Package> = Vec::new();
    for m in moves {
        tries.push(at.1.with(&m.repair, &m.cylinders));
    }
    for (repair, cylinders) in &at.1.work {
        let mut parts: Vec<BTreeSet<usize>> =
            cylinders.iter().map(|n| BTreeSet::from([*n])).collect();
        parts.push(cylinders.clone());
        for part in parts {
            let mut less = at.1.without(repair, &part);
            if part.is_empty() {
                less.work.remove(repair);
            }
            for m in moves.iter().take(MOST_PAIRED) {
                tries.push(less.with(&m.repair, &m.cylinders));
            }
            tries.push(less);
        }
    }
    better(desk, tries, at)
}

fn by_two(desk: &Desk, moves: &[Move], at: &(f64, Package)) -> Option<(f64, Package)> {
    let some = &moves[..moves.len().min(MOST_PAIRED)];
    let mut tries = Vec::new();
    for (i, a) in some.iter().enumerate() {
        let one = at.1.with(&a.repair, &a.cylinders);
        for b in &some[i + 1..] {
            tries.push(one.with(&b.repair, &b.cylinders));
        }
    }
    better(desk, tries, at)
}

fn better(desk: &Desk, tries: Vec<Package>, at: &(f64, Package)) -> Option<(f64, Package)> {
    let mut best: Option<(f64, Package)> = None;
    for package in tries {
        let total = desk.expected(&package);
        let least = best.as_ref().map_or(at.0 - 1.0, |(least, _)| *least);
        if total < least {
            best = Some((total, package));
        }
    }
    best
}
