//! The rule graph unrolled for one engine: each kind of cause and finding
//! becomes an instance at every place of its scope, and the whole a network.
//!
//! `rings-stuck` on a four becomes `rings-stuck@1` to `rings-stuck@4`; a cause
//! acts on the findings whose place it touches ([`Place::touches`]).

mod joint;
mod tailor;

pub use joint::{Joint, Member};
pub use tailor::{CauseKind, FindingKind, Number, Past, Spread, Tailored, tried};

use crate::engine::{Engine, Place};
use crate::network::{Error, Network, Var};
use crate::rules::file::Scope;
use std::collections::BTreeMap;
use std::ops::Range;

/// One cause or finding at one place.
#[derive(Debug, Clone, PartialEq)]
pub struct Instance {
    /// Index of its kind in [`Tailored`].
    pub kind: usize,
    /// Where.
    pub place: Place,
    /// Its variable in the network.
    pub var: Var,
}

/// The network of one engine, and which variable is what.
#[derive(Debug, Clone)]
pub struct Unrolled {
    /// The kinds and their numbers.
    pub kinds: Tailored,
    /// The network.
    pub network: Network,
    /// Cause instances, by kind and place.
    pub causes: Vec<Instance>,
    /// Finding instances, by kind and place; then those of answers about several.
    pub findings: Vec<Instance>,
    by_name: BTreeMap<(String, Place), usize>,
    /// The kinds of answers about several findings, numbered on from those of findings.
    joint_kinds: Vec<FindingKind>,
}

/// How often a sign that a cause of the whole engine does show appears at any
/// one place (judgement).
const AT_EACH_PLACE: f64 = 0.8;

/// What the causes of the whole engine do to a finding of its cylinders.
///
/// A rich mixture soots all plugs or none: given the cause, the places are not
/// independent. So one hidden yes-or-no for each grade says whether the sign
/// shows at all (a noisy-OR of the engine's causes); if it does, each place has
/// it with [`AT_EACH_PLACE`]. The chance at one place stays the rule's.
fn common_signs(
    network: &mut Network,
    kind: &FindingKind,
    causes: Vec<(&Instance, &Spread)>,
) -> Result<Vec<(Var, Vec<f64>)>, Error> {
    let mut signs = Vec::new();
    for grade in 1..kind.grades {
        let parents: Vec<(Var, Vec<f64>)> = (causes.iter())
            .map(|(cause, spread)| {
                let here = spread.chance.p * spread.shares.get(grade - 1).copied().unwrap_or(0.0);
                let shows = (here / AT_EACH_PLACE).min(1.0);
                (cause.var, vec![1.0 - shows, shows])
            })
            .filter(|(_, shows)| shows[1] > 0.0)
            .collect();
        if parents.is_empty() {
            continue;
        }
        let name = format!("{}~{grade}", kind.id);
        let var = network.add_max(&name, vec![1.0, 0.0], parents)?;
        let mut shown = vec![0.0; kind.grades];
        shown[0] = 1.0 - AT_EACH_PLACE;
        shown[grade] = AT_EACH_PLACE;
        signs.push((var, shown));
    }
    Ok(signs)
}

/// Rare causes that act on the causes of every cylinder (worn all over,
/// overheated, dirt let in): so many that no other brought about are taken to be
/// present together at most that before any reading more than those have less
/// than this chance (judgement: an engine comes in with one trouble). The work
/// grows with the number of such sets.
const NEGLIGIBLE_TOGETHER: f64 = 0.05;

/// A cause that the engine's past makes more likely than this is not counted
/// among the rare ones: it may come together with any of them.
const RARE: f64 = 0.25;

/// Rare causes of the whole engine that bring about causes at its cylinders,
/// and how many of them that no other brought about may be present together.
fn across(causes: &[Instance], kinds: &Tailored) -> (Vec<Var>, usize) {
    let acts = |cause: &&Instance| {
        let brings = |kind: &CauseKind| {
            kind.scope != Scope::Engine && kind.roots.iter().any(|(root, _)| *root == cause.kind)
        };
        let rare = cause.place == Place::Engine && kinds.causes[cause.kind].prior.p < RARE;
        rare && kinds.causes.iter().any(brings)
    };
    let members: Vec<&Instance> = causes.iter().filter(acts).collect();
    let mut count = vec![1.0];
    for member in &members {
        let p = kinds.causes[member.kind].prior.p;
        count.push(0.0);
        for n in (0..count.len()).rev() {
            count[n] = count[n] * (1.0 - p) + if n > 0 { count[n - 1] * p } else { 0.0 };
        }
    }
    let more_than = |n: usize| count[n + 1..].iter().sum::<f64>();
    let most = (1..members.len()).find(|n| more_than(*n) < NEGLIGIBLE_TOGETHER);
    let most = most.unwrap_or(members.len());
    (members.iter().map(|c| c.var).collect(), most)
}

/// What happens at one cylinder is solved together.
fn belong(network: &mut Network, var: Var, place: Place) {
    if let Some(cylinder) = place.cylinders().last() {
        network.belongs(var, *cylinder as u32);
    }
}

impl Unrolled {
    /// Unrolls the kinds over the places of the engine.
    ///
    /// # Errors
    /// When the network refuses a number; checked rules never cause one.
    pub fn of(kinds: Tailored, engine: &Engine) -> Result<Self, Error> {
        let mut network = Network::new();
        let mut causes: Vec<Instance> = Vec::new();
        let mut of_kind: Vec<Range<usize>> = Vec::new();
        for (k, kind) in kinds.causes.iter().enumerate() {
            let first = causes.len();
            for place in engine.places(kind.scope) {
                let mut roots = Vec::new();
                for (root, strength) in &kind.roots {
                    let parents = causes[of_kind[*root].clone()].iter();
                    let parents = parents.filter(|c| c.place.touches(place));
                    roots.extend(parents.map(|c| (c.var, vec![1.0 - strength.p, strength.p])));
                }
                let name = format!("{}@{place}", kind.id);
                let own = vec![1.0 - kind.prior.p, kind.prior.p];
                let var = if roots.is_empty() {
                    network.add_table(&name, 2, &[], own)?
                } else {
                    network.add_max(&name, own, roots)?
                };
                belong(&mut network, var, place);
                causes.push(Instance {
                    kind: k,
                    place,
                    var,
                });
            }
            of_kind.push(first..causes.len());
        }
        let (mut findings, mut by_name) = (Vec::new(), BTreeMap::new());
        for (k, kind) in kinds.findings.iter().enumerate() {
            let places = engine.places(kind.scope);
            let wide =
                |cause: usize| places.len() > 1 && kinds.causes[cause].scope == Scope::Engine;
            let of_engine = kind.links.iter().filter(|(cause, _)| wide(*cause));
            let of_engine =
                of_engine.map(|(cause, spread)| (&causes[of_kind[*cause].start], spread));
            let common = common_signs(&mut network, kind, of_engine.collect())?;
            for place in places.iter().copied() {
                let mut parents = common.clone();
                for (cause, spread) in kind.links.iter().filter(|(cause, _)| !wide(*cause)) {
                    let at = causes[of_kind[*cause].clone()].iter();
                    let at = at.filter(|c| c.place.touches(place));
                    parents.extend(at.map(|c| (c.var, spread.grades())));
                }
                let seen = if kinds.causes.iter().any(|c| c.id == kind.id) {
                    "-seen"
                } else {
                    ""
                };
                let name = format!("{}{seen}@{place}", kind.id);
                let var = network.add_max(&name, kind.sound.grades(), parents)?;
                belong(&mut network, var, place);
                by_name.insert((kind.id.clone(), place), findings.len());
                findings.push(Instance {
                    kind: k,
                    place,
                    var,
                });
            }
        }
        let find = |id: &str, place: Place| {
            let i: &usize = by_name.get(&(id.to_string(), place))?;
            findings.get(*i).map(|f: &Instance| f.var)
        };
        let joints = joint::add(&mut network, &kinds.joints, &find, kinds.findings.len())?;
        let mut joint_kinds = Vec::new();
        for (instance, kind) in joints {
            by_name.insert((kind.id.clone(), instance.place), findings.len());
            findings.push(instance);
            joint_kinds.push(kind);
        }
        let (members, most) = across(&causes, &kinds);
        network.at_most(&members, most)?;
        Ok(Unrolled {
            kinds,
            network,
            causes,
            findings,
            by_name,
            joint_kinds,
        })
    }

    /// The finding at a place, if this engine can show it there.
    pub fn finding(&self, id: &str, place: Place) -> Option<&Instance> {
        self.by_name
            .get(&(id.to_string(), place))
            .map(|&i| &self.findings[i])
    }

    /// The kind of a cause instance.
    pub fn cause_kind(&self, instance: &Instance) -> &CauseKind {
        &self.kinds.causes[instance.kind]
    }

    /// The kind of a finding instance.
    pub fn finding_kind(&self, instance: &Instance) -> &FindingKind {
        let findings = &self.kinds.findings;
        match instance.kind.checked_sub(findings.len()) {
            Some(joint) => &self.joint_kinds[joint],
            None => &findings[instance.kind],
        }
    }
}
