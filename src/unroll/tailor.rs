//! The rules cut to one engine: only the kinds that apply to its traits, every
//! chance a number, every prior shifted by what is known of its past.
//!
//! Sits between the rules and the network. The numbers are kept per *kind*, so
//! that a redraw (see `diagnose::doubt`) moves a rule once and not once per
//! cylinder.

use crate::engine::Engine;
use crate::rules::Rules;
use crate::rules::file::{Basis, CauseSort, Footing, Link, Scope};
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
    /// Findings by id.
    pub findings: Vec<FindingKind>,
}

impl Tailored {
    /// Cuts the rules to an engine of which the `facts` are known.
    pub fn of(rules: &Rules, engine: &Engine, facts: &BTreeSet<String>) -> Self {
        let order = order(rules, engine);
        let index: BTreeMap<&str, usize> =
            order.iter().enumerate().map(|(i, id)| (*id, i)).collect();
        let causes = order
            .iter()
            .map(|id| cause_kind(rules, engine, facts, id, &index))
            .collect();
        let findings = rules
            .findings
            .values()
            .filter(|f| rules.applies(&engine.traits, &f.on, &f.not_on))
            .map(|f| FindingKind {
                id: f.finding.clone(),
                scope: f.scope,
                grades: f.grades.len(),
                sound: Spread::of(rules, &f.sound, &f.grades),
                links: links_to(rules, engine, &f.finding, &f.grades, &order),
            })
            .collect();
        Tailored { causes, findings }
    }
}

fn cause_kind(
    rules: &Rules,
    engine: &Engine,
    facts: &BTreeSet<String>,
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
        .filter(|(f, _)| facts.contains(*f))
        .map(|(_, o)| o.times);
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
    finding: &str,
    grades: &[String],
    order: &[&str],
) -> Vec<(usize, Spread)> {
    order
        .iter()
        .enumerate()
        .filter_map(|(i, id)| {
            let links = rules.causes[*id].shows.get(finding)?;
            let link = links.held(rules, &engine.traits)?;
            Some((i, Spread::of(rules, link, grades)))
        })
        .collect()
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
