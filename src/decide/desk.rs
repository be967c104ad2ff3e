//! Belief and prices on one desk: the chance that a package mends everything,
//! and what is to be paid in the end.
//!
//! *Chance of a cure.* A repair mends a cause with its chance of success, apart
//! from the others. So the probability that all present is mended is the exact
//! joint expectation, over the network, of `1 - present * (1 - mended)` for
//! every cause at once: further evidence with likelihoods `[1, mended]`.
//!
//! *Expected total.* The package, and for each cause that the readings speak of
//! its probability of being there and left, times what it costs to come back
//! for it: the cheapest repair done alone (over its chance of success), the
//! shop's share for harm and lost use, and the hours of a comeback. A cause that
//! can wreck the engine costs a share of an exchange on top; a root costs what it
//! brings on again. Causes of one kind are mended on one visit: what is spent
//! once (opening, driving out) is multiplied by the exact probability that any
//! of them is there, only what each needs for itself by each one's own. Kinds
//! are reckoned apart; they mostly stand in for each other as explanations, so
//! that the chance of two at once is small. Causes that nothing observed speaks
//! of are left out: every engine brought in has those, whatever is chosen.

use super::cost::Pricer;
use super::package::{Package, reached};
use crate::diagnose::Diagnosis;
use crate::diagnose::rank::DANGER_FROM;
use crate::engine::Place;
use crate::job::pricing::Pricing;
use crate::network::{Error, Evidence, Solved, Var};
use crate::rules::file::CauseSort;
use crate::unroll::{Tailored, Unrolled};
use std::collections::{BTreeMap, BTreeSet};

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
    pub(super) by_kind: BTreeMap<String, Vec<usize>>,
    /// For each stake the exact probability that any of its kind is there, over
    /// the sum of theirs: its share of a cost that is paid once for all of them.
    pub(super) once: Vec<f64>,
    dangers: Vec<Danger>,
}

/// A kind of fault with which the engine must not be run.
#[derive(Debug, Clone, PartialEq)]
struct Danger {
    at: Vec<usize>,
    /// Exact probability that any is there, over that of independent ones.
    together: f64,
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
            once: Vec::new(),
            dangers: Vec::new(),
        };
        desk.join_places()?;
        desk.reckon_comebacks();
        Ok(desk)
    }

    /// The same beliefs under other prices.
    pub fn repriced<'b>(&'b self, pricing: &'b Pricing) -> Desk<'b> {
        let mut desk = Desk {
            d: self.d,
            pricer: Pricer {
                pricing,
                ..self.pricer
            },
            stakes: self.stakes.clone(),
            by_kind: self.by_kind.clone(),
            once: self.once.clone(),
            dangers: self.dangers.clone(),
        };
        desk.reckon_comebacks();
        desk
    }

    /// Looks at each kind over all its places.
    fn join_places(&mut self) -> Result<(), Error> {
        self.once = vec![1.0; self.stakes.len()];
        for (kind, at) in &self.by_kind {
            let stakes = || at.iter().map(|&i| &self.stakes[i]);
            if !stakes().any(Stake::in_play) {
                continue;
            }
            let sum: f64 = stakes().map(|s| s.present).sum();
            let apart = 1.0 - stakes().map(|s| 1.0 - s.present).product::<f64>();
            let vars: Vec<Var> = stakes().map(|s| s.var).collect();
            let any = self.d.any(&vars)?;
            if self.stakes[at[0]].sort == CauseSort::Fault && self.is_danger(kind) {
                self.dangers.push(Danger {
                    at: at.clone(),
                    together: any / apart,
                });
            }
            for &i in at {
                self.once[i] = (any / sum).min(1.0);
            }
        }
        Ok(())
    }

    pub(super) fn is_danger(&self, kind: &str) -> bool {
        let traits = &self.d.engine.traits;
        self.d.rules.danger(kind, traits).is_some()
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
                let Some(at) = self.by_kind.get(cause) else {
                    continue;
                };
                let chance = self.d.rules.chance(&link.chance);
                for &i in at {
                    let needed = reached(self.d.engine, repair, self.stakes[i].place);
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

    /// Of the kinds that a package leaves and with which the engine must not be
    /// run, the one that is most probably there: over all its places, exactly.
    /// Its title is that of the place where it mostly is.
    ///
    /// # Errors
    /// When an exact answer is out of reach.
    pub fn danger_left(&self, mended: &[f64]) -> Result<Option<String>, Error> {
        let mut most: Option<(f64, String)> = None;
        for danger in &self.dangers {
            let places = danger
                .at
                .iter()
                .map(|&i| (&self.stakes[i], 1.0 - mended[i]));
            let places: Vec<(&Stake, f64)> =
                places.map(|(s, left)| (s, s.present * left)).collect();
            if places.iter().map(|(_, p)| p).sum::<f64>() < DANGER_FROM {
                continue;
            }
            let kind = &places[0].0.kind;
            let left = 1.0 - self.joint(mended, |s| s.kind == *kind)?;
            if left >= DANGER_FROM && most.as_ref().is_none_or(|(p, _)| left > *p) {
                let mostly = places.iter().find(|(_, p)| *p > left / 2.0);
                let place = mostly.map_or(Place::Engine, |(s, _)| s.place);
                most = Some((left, self.d.title(kind, place)));
            }
        }
        Ok(most.map(|(_, title)| title))
    }

    /// How many kinds are left with which the engine must not be run, if the
    /// stakes were so probable: places as independent, put right by what makes
    /// it exact as things stand and nothing is mended.
    pub fn dangers_left(&self, mended: &[f64], present: &[f64]) -> usize {
        let left = |danger: &&Danger| {
            let places = danger.at.iter();
            let none: f64 = places
                .map(|&i| 1.0 - present[i] * (1.0 - mended[i]))
                .product();
            (1.0 - none) * danger.together >= DANGER_FROM
        };
        self.dangers.iter().filter(left).count()
    }

    /// Probability of each stake as things stand.
    pub fn present(&self) -> Vec<f64> {
        self.stakes.iter().map(|s| s.present).collect()
    }

    /// Expected cost of what is left.
    pub fn left(&self, mended: &[f64]) -> f64 {
        self.left_if(mended, &self.present())
    }

    /// The same were the stakes so probable.
    pub fn left_if(&self, mended: &[f64], present: &[f64]) -> f64 {
        let stakes = self.stakes.iter().zip(mended).zip(present);
        let counted = stakes.filter(|((s, _), _)| s.in_play());
        counted.map(|((s, m), p)| p * (1.0 - m) * s.later).sum()
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
