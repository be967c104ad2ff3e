//! The rules cut to one engine: only the kinds that apply to its traits, every
//! chance a number, every prior shifted by what is known of its past.
//!
//! Sits between the rules and the network. The numbers are kept per *kind*, so
//! that a redraw (see `diagnose::doubt`) moves a rule once and not once per
//! cylinder.

use super::Joint;
use crate::engine::{Engine, Place};
use crate::rules::Rules;
use crate::rules::file::{Basis, CauseSort, Chance, Finding, Footing, Link, RootLink, Scope};
use std::collections::{BTreeMap, BTreeSet};

/// A probability of the rules with the footing it stands on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Number {
    /// The probability, 0 to 1.
    pub p: f64,
    /// Published, practice or judgement.
    pub footing: Footing,
}

impl Number {
    fn new(p: f64, basis: &Basis) -> Self {
        Number {
            p,
            footing: basis.footing,
        }
    }
}

/// A number spread over the grades above 0.
#[derive(Debug, Clone, PartialEq)]
pub struct Spread {
    /// The chance that the finding shows at all.
    pub chance: Number,
    /// Shares of the grades 1..m of that chance; they sum to one.
    pub shares: Vec<f64>,
}

impl Spread {
    fn of(rules: &Rules, link: &Link, grades: &[String]) -> Self {
        let weight = |g: &String| link.grades.get(g).copied().unwrap_or(0.0).max(0.0);
        let mut shares: Vec<f64> = grades.iter().skip(1).map(weight).collect();
        let total: f64 = shares.iter().sum();
        if total > 0.0 {
            shares.iter_mut().for_each(|s| *s /= total);
        } else if let Some(first) = shares.first_mut() {
            *first = 1.0;
        }
        Spread {
            chance: Number::new(rules.chance(&link.chance), &link.basis),
            shares,
        }
    }

    /// Probabilities of the grades 0..m, summing to one.
    pub fn grades(&self) -> Vec<f64> {
        let p = self.chance.p;
        std::iter::once(1.0 - p)
            .chain(self.shares.iter().map(|s| s * p))
            .collect()
    }
}

/// A kind of cause that this engine can have.
#[derive(Debug, Clone, PartialEq)]
pub struct CauseKind {
    /// Id in the rules.
    pub id: String,
    /// What it belongs to.
    pub scope: Scope,
    /// Fault, root or measurement.
    pub sort: CauseSort,
    /// Prior per instance, history and traits included, root causes not.
    pub prior: Number,
    /// Root causes by index into [`Tailored::causes`], always smaller than its own, with their strength;
    /// a link that would close a circle (which the check refuses) is left out.
    pub roots: Vec<(usize, Number)>,
}

/// A kind of finding that this engine can show.
#[derive(Debug, Clone, PartialEq)]
pub struct FindingKind {
    /// Id in the rules.
    pub id: String,
    /// What it belongs to.
    pub scope: Scope,
    /// Number of grades, 2 or more.
    pub grades: usize,
    /// What a sound engine shows.
    pub sound: Spread,
    /// The causes that show it, by index, with what each alone shows.
    pub links: Vec<(usize, Spread)>,
}

/// Every kind that applies to an engine, causes before what they bring about.
#[derive(Debug, Clone, PartialEq)]
pub struct Tailored {
    /// Causes, roots first.
    pub causes: Vec<CauseKind>,
    /// Findings by id; then facts that report a cause, and repairs that were tried.
    pub findings: Vec<FindingKind>,
    /// Answers about several findings at once.
    pub joints: Vec<Joint>,
}

/// What is known of an engine's past that shifts the odds of causes.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Past {
    /// Facts that hold.
    pub so: BTreeSet<String>,
    /// Facts that perhaps hold: half the weight of evidence (the root of the odds).
    pub perhaps: BTreeSet<String>,
}

/// The chance word for how often an engine seems better after work that mended nothing.
const BETTER_ANYWAY: &str = "better-anyway";

/// The id of the finding "the repair helped".
pub fn tried(repair: &str) -> String {
    format!("tried:{repair}")
}

impl Tailored {
    /// Cuts the rules to an engine of which the `facts` are known.
    pub fn of(rules: &Rules, engine: &Engine, facts: &BTreeSet<String>) -> Self {
        let past = Past {
            so: facts.clone(),
            perhaps: BTreeSet::new(),
        };
        Tailored::after(rules, engine, &past)
    }

    /// Cuts the rules to an engine with a past.
    pub fn after(rules: &Rules, engine: &Engine, past: &Past) -> Self {
        let order = order(rules, engine);
        let index: BTreeMap<&str, usize> =
            order.iter().enumerate().map(|(i, id)| (*id, i)).collect();
        let causes = order
            .iter()
            .map(|id| cause_kind(rules, engine, past, id, &index))
            .collect();
        let reports = rules
            .facts
            .values()
            .filter(|f| rules.applies(&engine.traits, &f.on, &[]))
            .filter_map(|f| {
                let falsely = f.falsely.as_ref()?;
                let links = strengths(rules, &f.reports, &index);
                (!links.is_empty())
                    .then(|| yes_or_no(rules, &f.fact, Scope::Engine, falsely, links))
            });
        let findings = rules
            .findings
            .values()
            .filter(|f| rules.applies(&engine.traits, &f.on, &f.not_on))
            .map(|f| FindingKind {
                id: f.finding.clone(),
                scope: f.scope,
                grades: f.grades.len(),
                sound: Spread::of(rules, &f.sound, &f.grades),
                links: links_to(rules, engine, f, &order),
            })
            .chain(reports)
            .collect();
        Tailored {
            causes,
            findings,
            joints: vec![],
        }
    }

    /// With answers about several findings at once, and with repairs that were
    /// tried at places: whether each helped is a finding of the causes that it mends.
    pub fn with(
        mut self,
        rules: &Rules,
        joints: Vec<Joint>,
        repairs: &BTreeSet<(String, Place)>,
    ) -> Self {
        let index: BTreeMap<&str, usize> = (self.causes.iter().enumerate())
            .map(|(i, kind)| (kind.id.as_str(), i))
            .collect();
        let scoped: BTreeSet<(&str, bool)> = (repairs.iter())
            .map(|(repair, place)| (repair.as_str(), *place == Place::Engine))
            .collect();
        let anyway = Link {
            chance: Chance::Word(BETTER_ANYWAY.into()),
            grades: BTreeMap::new(),
            on: vec![],
            not_on: vec![],
            basis: Basis {
                sources: vec![],
                footing: Footing::Judgement,
            },
        };
        let helped: Vec<FindingKind> = (scoped.into_iter())
            .filter_map(|(id, whole)| {
                let scope = if whole {
                    Scope::Engine
                } else {
                    Scope::Cylinder
                };
                let links = strengths(rules, &rules.repairs.get(id)?.mends, &index);
                Some(FindingKind {
                    id: tried(id),
                    scope,
                    grades: 2,
                    sound: Spread::of(rules, &anyway, &[String::new(), String::new()]),
                    links,
                })
            })
            .collect();
        self.findings.extend(helped);
        self.joints = joints;
        self
    }
}

/// What some causes do to a yes or no, by the causes that this engine can have.
fn strengths(
    rules: &Rules,
    of: &BTreeMap<String, RootLink>,
    index: &BTreeMap<&str, usize>,
) -> Vec<(usize, Spread)> {
    let mut links: Vec<(usize, Spread)> = (of.iter())
        .filter_map(|(cause, link)| Some((*index.get(cause.as_str())?, sure(rules, link))))
        .collect();
    links.sort_by_key(|(cause, _)| *cause);
    links
}

/// The chance of a yes.
fn sure(rules: &Rules, link: &RootLink) -> Spread {
    Spread {
        chance: Number::new(rules.chance(&link.chance), &link.basis),
        shares: vec![1.0],
    }
}

fn yes_or_no(
    rules: &Rules,
    id: &str,
    scope: Scope,
    sound: &RootLink,
    links: Vec<(usize, Spread)>,
) -> FindingKind {
    FindingKind {
        id: id.into(),
        scope,
        grades: 2,
        sound: sure(rules, sound),
        links,
    }
}

fn cause_kind(
    rules: &Rules,
    engine: &Engine,
    past: &Past,
    id: &str,
    index: &BTreeMap<&str, usize>,
) -> CauseKind {
    let cause = &rules.causes[id];
    let p = (cause.base_rate.per_1000 / 1000.0).clamp(0.0, 0.999);
    let of_traits = cause
        .more_common
        .iter()
        .filter(|m| rules.applies(&engine.traits, &m.on, &m.not_on))
        .map(|m| m.times);
    let of_history = cause
        .history
        .iter()
        .filter_map(|(f, o)| match past.so.contains(f) {
            true => Some(o.times),
            false => past.perhaps.contains(f).then(|| o.times.sqrt()),
        });
    let odds = p / (1.0 - p) * of_traits.chain(of_history).product::<f64>();
    CauseKind {
        id: id.to_string(),
        scope: cause.scope,
        sort: cause.sort,
        prior: Number::new(odds / (1.0 + odds), &cause.base_rate.basis),
        roots: cause
            .brought_on_by
            .iter()
            .filter_map(|(root, link)| {
                let number = Number::new(rules.chance(&link.chance), &link.basis);
                let earlier = index.get(root.as_str()).filter(|&&i| i < index[id]);
                earlier.map(|&i| (i, number))
            })
            .collect(),
    }
}

fn links_to(
    rules: &Rules,
    engine: &Engine,
    finding: &Finding,
    order: &[&str],
) -> Vec<(usize, Spread)> {
    let usual = rules.chance(&finding.sound.chance);
    order
        .iter()
        .enumerate()
        .filter_map(|(i, id)| {
            let links = rules.causes[*id].shows.get(&finding.finding)?;
            let link = links.held(rules, &engine.traits)?;
            let mut spread = Spread::of(rules, link, &finding.grades);
            if finding.value_of.is_some() {
                spread.chance.p = beyond(usual, spread.chance.p);
            }
            Some((i, spread))
        })
        .collect()
}

/// The strength that brings a chance that any complaint has (the leak) up to
/// that of a cause alone: `1 - (1 - usual) (1 - strength) = chance`. A cause that
/// says nothing has none, so what is usual speaks neither for nor against it.
fn beyond(usual: f64, chance: f64) -> f64 {
    match usual < 1.0 {
        true => ((chance - usual) / (1.0 - usual)).max(0.0),
        false => 0.0,
    }
}

/// The causes that apply, roots before what they bring about, else by id.
/// Cycles are refused when the rules are checked; here each cause is visited once.
fn order<'r>(rules: &'r Rules, engine: &Engine) -> Vec<&'r str> {
    fn visit<'r>(
        rules: &'r Rules,
        id: &'r str,
        applies: &BTreeSet<&'r str>,
        seen: &mut BTreeSet<&'r str>,
        out: &mut Vec<&'r str>,
    ) {
        if !applies.contains(id) || !seen.insert(id) {
            return;
        }
        for root in rules.causes[id].brought_on_by.keys() {
            visit(rules, root, applies, seen, out);
        }
        out.push(id);
    }
    let applies: BTreeSet<&str> = rules
        .causes
        .values()
        .filter(|c| rules.applies(&engine.traits, &c.on, &c.not_on))
        .map(|c| c.cause.as_str())
        .collect();
    let (mut seen, mut out) = (BTreeSet::new(), Vec::new());
    for id in &applies {
        visit(rules, id, &applies, &mut seen, &mut out);
    }
    out
}
