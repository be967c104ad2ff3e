//! What it costs to come back for a cause that was left: see [`super::desk`] for
//! how it enters the expected total.

use super::desk::Desk;
use super::package::{Package, applies, reached};
use crate::rules::file::CauseSort;
use std::collections::BTreeSet;

/// Share of an exchange engine that a dangerous cause costs when it is left: one
/// engine in ten is lost to it. Judgement.
pub const DANGER_RUINS: f64 = 0.1;

impl Desk<'_> {
    /// Fills in what each stake costs when it is left.
    pub(super) fn reckon_comebacks(&mut self) {
        let pricing = self.pricer.pricing;
        let share = 1.0 + pricing.comeback_share;
        let ruin = self.exchange();
        let hours = self.fee();
        for (kind, at) in self.counted() {
            let extra = if self.is_danger(&kind) {
                DANGER_RUINS
            } else {
                0.0
            };
            let (own, shared) = self.alone(&kind, &at).unwrap_or(([0.0; 2], ruin));
            let fixed = [hours + extra * ruin[0], hours + extra * ruin[1]];
            for i in at {
                let once = self.once[i];
                let stake = &mut self.stakes[i];
                let cost = |k: usize| share * (own[k] + once * shared[k]) + once * fixed[k];
                (stake.later, stake.later_labour) = (cost(0), cost(1));
            }
        }
        self.reckon_roots(hours);
    }

    /// The hours of a comeback before any work begins, with tax.
    pub fn fee(&self) -> f64 {
        let pricing = self.pricer.pricing;
        (self.pricer).taxed(pricing.comeback_hours * pricing.labour as f64)
    }

    /// The kinds with blame, and those that a root with blame brings on.
    fn counted(&self) -> Vec<(String, Vec<usize>)> {
        let kinds = &self.d.unrolled.kinds.causes;
        let blamed = |id: &str| {
            let at = self.by_kind.get(id).into_iter().flatten();
            at.into_iter().any(|&i| self.stakes[i].blamed())
        };
        let counts = |kind: &&crate::unroll::CauseKind| {
            blamed(&kind.id) || kind.roots.iter().any(|(root, _)| blamed(&kinds[*root].id))
        };
        let counted = kinds.iter().filter(counts).map(|kind| kind.id.clone());
        let places = |id: String| {
            let at = self.by_kind.get(&id)?.clone();
            Some((id, at))
        };
        counted.filter_map(places).collect()
    }

    /// A root costs the dearest of what it brings on, times how surely it does.
    /// Kinds stand roots first, so from the back all it can bring on is known.
    fn reckon_roots(&mut self, hours: f64) {
        let kinds = &self.d.unrolled.kinds.causes;
        for (k, root) in kinds.iter().enumerate().rev() {
            if root.sort != CauseSort::Root {
                continue;
            }
            let mut worst = (hours, hours);
            for kind in kinds {
                let Some((_, strength)) = kind.roots.iter().find(|(r, _)| *r == k) else {
                    continue;
                };
                let Some(&first) = self.by_kind.get(&kind.id).and_then(|at| at.first()) else {
                    continue;
                };
                let brought = &self.stakes[first];
                if brought.later * strength.p > worst.0 {
                    worst = (
                        brought.later * strength.p,
                        brought.later_labour * strength.p,
                    );
                }
            }
            for &i in self.by_kind.get(&root.id).into_iter().flatten() {
                self.stakes[i].later = worst.0;
                self.stakes[i].later_labour = worst.1;
            }
        }
    }

    /// The cheapest way to mend a cause alone, over its chance of success: what
    /// each place takes for itself and what is spent once, mean and the labour in it.
    fn alone(&self, cause: &str, at: &[usize]) -> Option<([f64; 2], [f64; 2])> {
        let mut best: Option<(f64, [f64; 2], [f64; 2])> = None;
        for id in self.d.rules.mended_by(cause) {
            let repair = &self.d.rules.repairs[id];
            let chance = self.d.rules.chance(&repair.mends[cause].chance);
            if chance <= 0.0 || !applies(self.d.rules, self.d.engine, repair) {
                continue;
            }
            let first = reached(self.d.engine, repair, self.stakes[at[0]].place);
            let places = at.iter().map(|&i| self.stakes[i].place);
            let all = places.fold(BTreeSet::new(), |all, place| {
                &all | &reached(self.d.engine, repair, place)
            });
            let price = |cylinders: &BTreeSet<usize>| {
                let package = Package::default().with(id, cylinders);
                [self.pricer.mean(&package), self.labour(&package)].map(|x| x / chance)
            };
            let one = price(&first);
            if best.as_ref().is_some_and(|(least, ..)| *least <= one[0]) {
                continue;
            }
            let own = match all.len() > first.len() {
                true => {
                    let more = (all.len() - first.len()) as f64 / first.len() as f64;
                    let every = price(&all);
                    [0, 1].map(|k| ((every[k] - one[k]) / more).clamp(0.0, one[k]))
                }
                false => [0.0; 2],
            };
            best = Some((one[0], own, [one[0] - own[0], one[1] - own[1]]));
        }
        best.map(|(_, own, shared)| (own, shared))
    }

    /// Mean labour of a package, with tax.
    pub fn labour(&self, package: &Package) -> f64 {
        let lines = self.pricer.lines(package);
        let labour = lines.iter().filter(|line| line.is_labour());
        self.pricer
            .taxed(labour.map(|line| line.range().mean()).sum())
    }

    /// An exchange engine, or the overhaul where there is none to be had: mean and its labour.
    fn exchange(&self) -> [f64; 2] {
        let fits = |id: &&str| {
            let repair = self.d.rules.repairs.get(*id);
            repair.is_some_and(|r| applies(self.d.rules, self.d.engine, r))
        };
        let ids = ["exchange-short-engine", "overhaul-worn-engine"];
        ids.into_iter().find(fits).map_or([0.0; 2], |id| {
            let package = Package::default().with(id, &BTreeSet::new());
            [self.pricer.mean(&package), self.labour(&package)]
        })
    }
}
