//! Belief and prices on one desk: the chance that a package mends everything,
//! and what is to be paid in the end.
//!
//! *Chance of a cure.* A repair mends a cause with its chance of success, apart
//! from the others. So the probability that all present is mended is the exact
//! joint expectation, over the network, of `1 - present * (1 - mended)` for
//! every cause at once: further evidence with likelihoods `[1, mended]`.
//!
//! *Expected total.* The package, and for each cause its probability of being
//! there and left, times what it costs to come back for it: the cheapest repair
//! done alone (over its chance of success), the shop's share for harm and lost
//! use, and the hours of a comeback. A cause that can wreck the engine costs a
//! share of an exchange on top; a root costs what it brings on again. Each
//! cause is reckoned by itself, so where many are left the sum is on the high side.

use super::cost::Pricer;
use super::package::{Package, all, applies};
use crate::diagnose::Diagnosis;
use crate::diagnose::rank::DANGER_FROM;
use crate::engine::Place;
use crate::job::pricing::Pricing;
use crate::network::{Error, Evidence, Solved, Var};
use crate::rules::file::{CauseSort, Scope};
use crate::unroll::{Tailored, Unrolled};
use std::collections::{BTreeMap, BTreeSet};

/// Share of an exchange engine that a dangerous cause costs when it is left; judgement.
pub const DANGER_RUINS: f64 = 0.25;

/// A cause is in question when what is known made it this probable.
pub const IN_PLAY: f64 = 0.02;

/// A cause at a place that is worth mending.
#[derive(Debug, Clone, PartialEq)]
pub struct Stake {
    /// Kind of cause.
    pub kind: String,
    /// Where.
    pub place: Place,
    /// Fault or root.
    pub sort: CauseSort,
    /// Its variable.
    pub var: Var,
    /// Probability that it is present.
    pub present: f64,
    /// Probability before history and readings.
    pub prior: f64,
    /// What it costs if it is present and left, smallest units with tax.
    pub later: f64,
    /// The part of `later` that is labour.
    pub later_labour: f64,
}

impl Stake {
    /// What is known made it more probable, and not negligible.
    pub fn in_play(&self) -> bool {
        self.present >= IN_PLAY && self.present > 1.2 * self.prior
    }
}

/// A diagnosis with a shop's prices.
pub struct Desk<'a> {
    /// The diagnosis.
    pub d: &'a Diagnosis<'a>,
    /// The prices.
    pub pricer: Pricer<'a>,
    /// Every fault and root, in the order of the network.
    pub stakes: Vec<Stake>,
    by_kind: BTreeMap<String, Vec<usize>>,
}

impl<'a> Desk<'a> {
    /// Lays the prices beside the diagnosis.
    ///
    /// # Errors
    /// When the network refuses.
    pub fn of(d: &'a Diagnosis<'a>, pricing: &'a Pricing) -> Result<Self, Error> {
        let (rules, engine) = (d.rules, d.engine);
        let pricer = Pricer {
            rules,
            engine,
            pricing,
        };
        let bare = Tailored::of(rules, engine, &BTreeSet::new());
        let bare = Unrolled::of(bare, engine)?;
        let prior = Solved::new(&bare.network, &Evidence::new())?;
        let instances: Vec<_> = (d.unrolled.causes.iter())
            .filter(|c| d.unrolled.cause_kind(c).sort != CauseSort::Measurement)
            .collect();
        let vars: Vec<Var> = instances.iter().map(|c| c.var).collect();
        let (now, before) = (d.solved.present(&vars)?, prior.present(&vars)?);
        let mut stakes = Vec::new();
        let mut by_kind: BTreeMap<String, Vec<usize>> = BTreeMap::new();
        for (i, instance) in instances.iter().enumerate() {
            let kind = d.unrolled.cause_kind(instance);
            by_kind.entry(kind.id.clone()).or_default().push(i);
            stakes.push(Stake {
                kind: kind.id.clone(),
                place: instance.place,
                sort: kind.sort,
                var: instance.var,
                present: now[i],
                prior: before[i],
                later: 0.0,
                later_labour: 0.0,
            });
        }
        let mut desk = Desk {
            d,
            pricer,
            stakes,
            by_kind,
        };
        desk.reckon_comebacks();
        Ok(desk)
    }

    /// Fills in what each stake costs when it is left.
    fn reckon_comebacks(&mut self) {
        let pricing = self.pricer.pricing;
        let ruin = self.exchange();
        let hours = self
            .pricer
            .taxed(pricing.comeback_hours * pricing.labour as f64);
        let mut known: BTreeMap<(String, usize), (f64, f64)> = BTreeMap::new();
        for i in 0..self.stakes.len() {
            let (kind, place) = (self.stakes[i].kind.clone(), self.stakes[i].place);
            let key = (kind.clone(), place.cylinders().len());
            let (repair, labour) = match known.get(&key) {
                Some(known) => *known,
                None => self.alone(&kind, place).unwrap_or(ruin),
            };
            known.insert(key, (repair, labour));
            let danger = self
                .d
                .rules
                .causes
                .get(&kind)
                .is_some_and(|c| c.danger.is_some());
            let share = 1.0 + pricing.comeback_share;
            let extra = if danger { DANGER_RUINS } else { 0.0 };
            self.stakes[i].later = repair * share + hours + extra * ruin.0;
            self.stakes[i].later_labour = labour * share + hours + extra * ruin.1;
        }
        self.reckon_roots(hours);
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

    /// The cheapest way to mend one cause alone, over its chance: mean, and the labour in it.
    fn alone(&self, cause: &str, place: Place) -> Option<(f64, f64)> {
        let mut best: Option<(f64, f64)> = None;
        for id in self.d.rules.mended_by(cause) {
            let repair = &self.d.rules.repairs[id];
            let chance = self.d.rules.chance(&repair.mends[cause].chance);
            if chance <= 0.0 || !applies(self.d.rules, self.d.engine, repair) {
                continue;
            }
            let package = Package::default().with(id, &self.cylinders(repair.scope, place));
            let mean = self.pricer.mean(&package) / chance;
            if best.is_none_or(|(b, _)| mean < b) {
                best = Some((mean, self.labour(&package) / chance));
            }
        }
        best
    }

    /// Mean labour of a package, with tax.
    pub fn labour(&self, package: &Package) -> f64 {
        let lines = self.pricer.lines(package);
        let labour = lines.iter().filter(|line| line.is_labour());
        self.pricer
            .taxed(labour.map(|line| line.range().mean()).sum())
    }

    /// The cylinders on which a repair must be done to reach a place.
    pub fn cylinders(&self, scope: Scope, place: Place) -> BTreeSet<usize> {
        match (scope, place) {
            (Scope::Engine, _) => BTreeSet::new(),
            (_, Place::Engine) => all(self.d.engine),
            _ => place.cylinders().into_iter().collect(),
        }
    }

    /// An exchange engine, or the overhaul where there is none to be had.
    fn exchange(&self) -> (f64, f64) {
        let fits = |id: &&str| {
            let repair = self.d.rules.repairs.get(*id);
            repair.is_some_and(|r| applies(self.d.rules, self.d.engine, r))
        };
        let ids = ["exchange-short-engine", "overhaul-worn-engine"];
        ids.into_iter().find(fits).map_or((0.0, 0.0), |id| {
            let package = Package::default().with(id, &BTreeSet::new());
            (self.pricer.mean(&package), self.labour(&package))
        })
    }

    /// For each stake the chance that a package mends it: that of its surest
    /// repair, for the same job done twice is not surer.
    pub fn mended(&self, package: &Package) -> Vec<f64> {
        let mut mended = vec![0.0f64; self.stakes.len()];
        for (id, cylinders) in &package.work {
            let Some(repair) = self.d.rules.repairs.get(id) else {
                continue;
            };
            for (cause, link) in &repair.mends {
                let chance = self.d.rules.chance(&link.chance);
                for &i in self.by_kind.get(cause).into_iter().flatten() {
                    let needed = self.cylinders(repair.scope, self.stakes[i].place);
                    if cylinders.is_superset(&needed) {
                        mended[i] = mended[i].max(chance);
                    }
                }
            }
        }
        mended
    }

    /// Whether what is known speaks for a repair: it mends something in question.
    pub fn supported(&self, repair: &str, cylinders: &BTreeSet<usize>) -> bool {
        let mended = self.mended(&Package::default().with(repair, cylinders));
        let stakes = self.stakes.iter().zip(mended);
        stakes.into_iter().any(|(s, m)| m > 0.0 && s.in_play())
    }

    /// What is to be paid in the end, on average: the package and what it leaves.
    pub fn expected(&self, package: &Package) -> f64 {
        self.pricer.mean(package) + self.left(&self.mended(package))
    }

    /// The most probable fault that a package leaves and with which the engine
    /// must not be run, if it is probable enough to be warned of.
    pub fn danger_left(&self, mended: &[f64]) -> Option<&Stake> {
        let dangerous = |s: &Stake| {
            let cause = self.d.rules.causes.get(&s.kind);
            s.sort == CauseSort::Fault && cause.is_some_and(|c| c.danger.is_some())
        };
        let left = self.stakes.iter().zip(mended);
        left.filter(|(s, m)| s.present * (1.0 - **m) >= DANGER_FROM && dangerous(s))
            .map(|(s, _)| s)
            .reduce(|a, b| if b.present > a.present { b } else { a })
    }

    /// Expected cost of what is left.
    pub fn left(&self, mended: &[f64]) -> f64 {
        let stakes = self.stakes.iter().zip(mended);
        stakes.map(|(s, m)| s.present * (1.0 - m) * s.later).sum()
    }

    /// Exact probability that every fault present is mended; with `roots`, every root too.
    ///
    /// # Errors
    /// When an exact answer is out of reach.
    pub fn cures(&self, mended: &[f64], roots: bool) -> Result<f64, Error> {
        self.joint(mended, |s| roots || s.sort == CauseSort::Fault)
    }

    /// The same over the stakes that `counts` picks.
    ///
    /// # Errors
    /// When an exact answer is out of reach.
    pub fn joint(&self, mended: &[f64], counts: impl Fn(&Stake) -> bool) -> Result<f64, Error> {
        let picked = self
            .stakes
            .iter()
            .zip(mended)
            .filter(|(s, m)| counts(s) && **m < 1.0);
        let likelihoods: Vec<(Var, Vec<f64>)> =
            picked.map(|(s, m)| (s.var, vec![1.0, *m])).collect();
        self.d.solved.probability_of(&likelihoods)
    }
}
