//! Belief and prices on one desk: the chance that a package cures the
//! complaint, and what is to be paid in the end.
//!
//! *Blame.* Every cause at its place has the chance that it is present and the
//! chance that it is behind the complaint ([`super::blame`]). Money is reckoned
//! with blame: what has no part in the complaint is nobody's reason to open an
//! engine.
//!
//! *Expected total.* The package, and for each cause its blame where it is left,
//! times what it costs to come back for it: the cheapest repair done alone (over
//! its chance of success), the shop's share for harm and lost use, and the hours
//! of a comeback. A cause that can wreck the engine costs a share of an exchange
//! on top; a root costs what it brings on again. Causes of one kind are mended on
//! one visit: what is spent once (opening, driving out) is multiplied by the
//! exact probability that any of them is there, only what each needs for itself
//! by each one's own. Kinds are reckoned apart; they mostly stand in for each
//! other as explanations, so that the chance of two at once is small.

use super::blame;
use super::cost::Pricer;
use super::package::{Package, reached};
use crate::diagnose::Diagnosis;
use crate::diagnose::rank::DANGER_FROM;
use crate::engine::Place;
use crate::job::pricing::Pricing;
use crate::network::{Error, Evidence, Solved, Var};
use crate::rules::file::CauseSort;
use crate::unroll::{Tailored, Unrolled};
use std::collections::BTreeMap;
use std::collections::BTreeSet;

/// A cause is worth a repair from this blame on.
pub const BLAMED: f64 = 0.02;
/// Places of a kind with less blame together than this are taken as apart.
const RARE: f64 = 0.1;

/// A cause at a place that is worth mending.
#[derive(Debug, Clone, PartialEq)]
pub struct Stake {
    /// Kind of cause.
    pub kind: String,
    /// Where.
    pub place: Place,
    /// Fault, root or measurement.
    pub sort: CauseSort,
    /// Its variable.
    pub var: Var,
    /// Probability that it is present.
    pub present: f64,
    /// Probability that it is present and behind the complaint.
    pub behind: f64,
    /// Of its being present with no part in the complaint, the odds to its being absent.
    pub idle: f64,
    /// Probability before history and readings.
    pub prior: f64,
    /// What it costs if it is behind the complaint and left, smallest units with tax.
    pub later: f64,
    /// The part of `later` that is labour.
    pub later_labour: f64,
}

impl Stake {
    /// Blame enough to be worth a repair.
    pub fn blamed(&self) -> bool {
        self.behind >= BLAMED
    }

    /// What is known made it more probable, and not negligible.
    pub fn raised(&self) -> bool {
        self.present >= BLAMED && self.present > 1.2 * self.prior
    }

    /// Probable enough to count among the dangers: behind the complaint, or more
    /// probably there than not. What is neither is to be looked at, not renewed.
    fn endangers(&self) -> bool {
        const BEHIND: f64 = 0.1;
        self.raised() && (self.behind >= BEHIND || self.present >= 0.5)
    }

    /// Of its presence, the share that is behind the complaint.
    fn share(&self) -> f64 {
        match self.blamed() {
            true => (self.behind / self.present).min(1.0),
            false => 0.0,
        }
    }
}

/// A diagnosis with a shop's prices.
pub struct Desk<'a> {
    /// The diagnosis.
    pub d: &'a Diagnosis<'a>,
    /// The prices.
    pub pricer: Pricer<'a>,
    /// Every cause at its place, in the order of the network.
    pub stakes: Vec<Stake>,
    pub(super) by_kind: BTreeMap<String, Vec<usize>>,
    /// For each stake the exact probability that any of its kind is there, over
    /// the sum of theirs: its share of a cost that is paid once for all of them.
    pub(super) once: Vec<f64>,
    dangers: Vec<Danger>,
}

/// A reason not to run the engine, and the faults that share it.
#[derive(Debug, Clone, PartialEq)]
struct Danger {
    says: String,
    at: Vec<usize>,
    /// Exact probability that any is there, over that of independent ones.
    together: f64,
}

/// A reason not to run the engine that stays.
#[derive(Debug, Clone, PartialEq)]
pub struct DangerLeft {
    /// The fault that it mostly comes from, with its place.
    pub title: String,
    /// What it does, and what not to do.
    pub says: String,
    /// Probability that any fault that has it stays.
    pub probability: f64,
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
        let instances = &d.unrolled.causes;
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
                behind: 0.0,
                idle: 0.0,
                prior: before[i],
                later: 0.0,
                later_labour: 0.0,
            });
        }
        blame::lay(d, &mut stakes);
        let mut desk = Desk {
            d,
            pricer,
            once: vec![1.0; stakes.len()],
            stakes,
            by_kind,
            dangers: Vec::new(),
        };
        desk.join_places()?;
        desk.find_dangers()?;
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
        for at in self.by_kind.values().filter(|at| at.len() > 1) {
            let stakes = || at.iter().map(|&i| &self.stakes[i]);
            let sum: f64 = stakes().map(|s| s.present).sum();
            if stakes().map(|s| s.behind).sum::<f64>() < RARE {
                continue;
            }
            let vars: Vec<Var> = stakes().map(|s| s.var).collect();
            let any = self.d.any(&vars)?;
            at.iter().for_each(|&i| self.once[i] = (any / sum).min(1.0));
        }
        Ok(())
    }

    /// Gathers the faults that share a danger and may have it together.
    fn find_dangers(&mut self) -> Result<(), Error> {
        let mut shared: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
        for (i, stake) in self.stakes.iter().enumerate() {
            let says = self.d.rules.danger(&stake.kind, &self.d.engine.traits);
            let counts = stake.sort == CauseSort::Fault && stake.endangers();
            if let (Some(says), true) = (says, counts) {
                shared.entry(says).or_default().push(i);
            }
        }
        let mut dangers = Vec::new();
        for (says, at) in shared {
            let stakes = || at.iter().map(|&i| &self.stakes[i]);
            if stakes().map(|s| s.present).sum::<f64>() < DANGER_FROM {
                continue;
            }
            let apart = 1.0 - stakes().map(|s| 1.0 - s.present).product::<f64>();
            let vars: Vec<Var> = stakes().map(|s| s.var).collect();
            dangers.push(Danger {
                says: says.into(),
                together: self.d.any(&vars)? / apart,
                at,
            });
        }
        self.dangers = dangers;
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
        for (id, cylinders) in &self.pricer.done(package).work {
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

    /// Whether what is known speaks for a repair: it mends something with blame.
    pub fn supported(&self, repair: &str, cylinders: &BTreeSet<usize>) -> bool {
        let mended = self.mended(&Package::default().with(repair, cylinders));
        let mut stakes = self.stakes.iter().zip(mended);
        stakes.any(|(s, m)| m > 0.0 && s.blamed())
    }

    /// Of the dangers that a package leaves the most probable: exactly, over all
    /// faults and places that share it.
    ///
    /// # Errors
    /// When an exact answer is out of reach.
    pub fn danger_left(&self, mended: &[f64]) -> Result<Option<DangerLeft>, Error> {
        let mut most: Option<DangerLeft> = None;
        for danger in &self.dangers {
            let left = |&i: &usize| (self.stakes[i].present * (1.0 - mended[i]), i);
            let places: Vec<(f64, usize)> = danger.at.iter().map(left).collect();
            if places.iter().map(|(p, _)| p).sum::<f64>() < DANGER_FROM {
                continue;
            }
            let further: Vec<(Var, Vec<f64>)> = (danger.at.iter())
                .map(|&i| (self.stakes[i].var, vec![1.0, mended[i]]))
                .collect();
            let probability = 1.0 - self.d.solved.probability_of(&further)?;
            let known = most.as_ref().map_or(DANGER_FROM, |m| m.probability);
            if probability < known {
                continue;
            }
            let leading = places
                .iter()
                .copied()
                .reduce(|a, b| if b.0 > a.0 { b } else { a });
            let Some((p, leading)) = leading else {
                continue;
            };
            let stake = &self.stakes[leading];
            let place = match p > probability / 2.0 {
                true => stake.place,
                false => Place::Engine,
            };
            most = Some(DangerLeft {
                title: self.d.title(&stake.kind, place),
                says: danger.says.clone(),
                probability,
            });
        }
        Ok(most)
    }

    /// How many dangers are left if the stakes were so probable: places as
    /// independent, put right by what makes it exact as things stand and nothing
    /// is mended.
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

    /// The same were the stakes so probable: blame goes with presence.
    pub fn left_if(&self, mended: &[f64], present: &[f64]) -> f64 {
        let stakes = self.stakes.iter().zip(mended).zip(present);
        stakes
            .map(|((s, m), p)| p * s.share() * (1.0 - m) * s.later)
            .sum()
    }

    /// The labour in what is left.
    pub fn left_labour(&self, mended: &[f64]) -> f64 {
        let stakes = self.stakes.iter().zip(mended);
        let left = stakes.filter(|(s, _)| s.blamed());
        left.map(|(s, m)| s.behind * (1.0 - m) * s.later_labour)
            .sum()
    }

    /// Exact probability that nothing behind the complaint is left unmended;
    /// with `roots`, nor what brought it about.
    ///
    /// # Errors
    /// When an exact answer is out of reach.
    pub fn cures(&self, mended: &[f64], roots: bool) -> Result<f64, Error> {
        blame::cured(self, mended, roots)
    }
}
