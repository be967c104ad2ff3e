//! One answer about several findings at once: a vague word ("blue smoke"), or
//! a finding seen at one of several places.
//!
//! Every finding is a leaky noisy-MAX, so "none of them above a grade" is a
//! product over the causes, and what the highest of them shows is one more
//! leaky noisy-MAX, over all their causes. Findings that were answered
//! themselves are taken out before; those of several answers at once are put
//! apart, so that each finding is drawn once.

use super::{FindingKind, Instance, Number, Spread, belong};
use crate::engine::Place;
use crate::network::{Error, Gate, Network, Var};
use crate::rules::file::{Footing, Scope};
use std::collections::{BTreeMap, BTreeSet};

/// One finding that an answer about several speaks of.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Member {
    /// Finding id.
    pub finding: String,
    /// Where.
    pub place: Place,
    /// The least grade meant, 1 or more.
    pub from: usize,
    /// The greatest grade meant.
    pub to: usize,
}

/// An answer about several findings: does any of them show a grade that is meant?
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Joint {
    /// Id of the sign or finding that was answered.
    pub id: String,
    /// Where; the engine for a finding at one of several places.
    pub place: Place,
    /// The findings meant that were not answered themselves.
    pub members: Vec<Member>,
    /// Whether grades above `to` are apart from those meant: the states are then
    /// below, meant and above; else not meant and meant.
    pub graded: bool,
}

/// A gate by its causes: for each the chance to stay below and not to go above, and those of no cause.
#[derive(Debug, Clone, Default)]
struct Cums {
    leak: [f64; 2],
    parents: BTreeMap<Var, [f64; 2]>,
}

impl Cums {
    /// The highest of several findings.
    fn of<'m>(
        network: &Network,
        members: impl IntoIterator<Item = &'m Member>,
        find: &dyn Fn(&str, Place) -> Option<Var>,
    ) -> Self {
        let mut cums = Cums {
            leak: [1.0; 2],
            parents: BTreeMap::new(),
        };
        for member in members {
            let Some(var) = find(&member.finding, member.place) else {
                continue;
            };
            let Gate::Max {
                leak,
                parents,
                grades,
            } = network.gate(var)
            else {
                continue;
            };
            let states = leak.len();
            let below = |row: &[f64]| -> [f64; 2] {
                let up_to = |k: usize| row[..k.min(states)].iter().sum::<f64>().min(1.0);
                [up_to(member.from), up_to(member.to + 1)]
            };
            times(&mut cums.leak, below(leak));
            for (parent, row) in parents.iter().zip(grades.chunks_exact(states)) {
                times(cums.parents.entry(*parent).or_insert([1.0; 2]), below(row));
            }
        }
        cums
    }

    /// The gate, of two states or of three.
    fn add(self, network: &mut Network, name: &str, graded: bool) -> Result<Var, Error> {
        let row = |[below, up_to]: [f64; 2]| match graded {
            true => vec![below, (up_to - below).max(0.0), 1.0 - up_to],
            false => vec![below, 1.0 - below],
        };
        let moves = |c: &[f64; 2]| c[0] < 1.0;
        let parents = self.parents.into_iter().filter(|(_, c)| moves(c));
        let parents = parents.map(|(var, c)| (var, row(c))).collect();
        network.add_max(name, row(self.leak), parents)
    }
}

fn times(into: &mut [f64; 2], by: [f64; 2]) {
    into[0] *= by[0];
    into[1] *= by[1];
}

/// Adds a gate for each answer; gives their instances and kinds, in order, the
/// kinds counted on from `kinds`.
pub(super) fn add(
    network: &mut Network,
    joints: &[Joint],
    find: &dyn Fn(&str, Place) -> Option<Var>,
    kinds: usize,
) -> Result<Vec<(Instance, FindingKind)>, Error> {
    let mut added = Vec::new();
    let mut cells: BTreeMap<Vec<usize>, Var> = BTreeMap::new();
    for (j, joint) in joints.iter().enumerate() {
        let name = match joint.place {
            Place::Engine => format!("{}~any", joint.id),
            place => format!("{}~any@{place}", joint.id),
        };
        let parts = parts(joints, j);
        let gate = if joint.graded || parts.len() < 2 && parts.keys().all(|who| who.len() == 1) {
            let cums = Cums::of(network, &joint.members, find);
            cums.add(network, &name, joint.graded)?
        } else {
            let mut parents = Vec::new();
            for (who, members) in parts {
                let cell = match cells.get(&who) {
                    Some(&cell) => cell,
                    None => {
                        let own = format!("{name}~{}", cells.len());
                        let cums = Cums::of(network, members, find);
                        let cell = cums.add(network, &own, false)?;
                        belong(network, cell, joint.place);
                        cells.insert(who, cell);
                        cell
                    }
                };
                parents.push((cell, vec![0.0, 1.0]));
            }
            network.add_max(&name, vec![1.0, 0.0], parents)?
        };
        belong(network, gate, joint.place);
        let sound = match network.gate(gate) {
            Gate::Max { leak, .. } => leak.clone(),
            Gate::Table { .. } => vec![1.0, 0.0],
        };
        let instance = Instance {
            kind: kinds + j,
            place: joint.place,
            var: gate,
        };
        added.push((instance, kind(joint, &sound)));
    }
    Ok(added)
}

/// The members of an answer, parted by the other two-state answers that they belong to.
fn parts(joints: &[Joint], of: usize) -> BTreeMap<Vec<usize>, Vec<&Member>> {
    let mut parts: BTreeMap<Vec<usize>, Vec<&Member>> = BTreeMap::new();
    let sets: Vec<BTreeSet<&Member>> = (joints.iter())
        .map(|joint| joint.members.iter().filter(|_| !joint.graded).collect())
        .collect();
    for member in &joints[of].members {
        let who = (0..joints.len()).filter(|&j| sets[j].contains(member));
        parts.entry(who.collect()).or_default().push(member);
    }
    parts
}

fn kind(joint: &Joint, sound: &[f64]) -> FindingKind {
    let p = sound.iter().skip(1).sum::<f64>().clamp(0.0, 1.0);
    let share = |s: &f64| if p > 0.0 { s / p } else { 1.0 };
    FindingKind {
        id: joint.id.clone(),
        scope: match joint.place {
            Place::Engine => Scope::Engine,
            _ => Scope::Cylinder,
        },
        grades: sound.len(),
        sound: Spread {
            chance: Number {
                p,
                footing: Footing::Judgement,
            },
            shares: sound.iter().skip(1).map(share).collect(),
        },
        links: vec![],
    }
}
