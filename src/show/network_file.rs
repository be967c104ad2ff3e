//! The network of an engine as tables with the names of the trade, the names
//! beside a file of numbers, and posteriors.

use crate::diagnose::at_place;
use crate::network::exchange::{Tables, certain};
use crate::network::{Evidence, Var};
use crate::rules::Rules;
use crate::unroll::{Instance, Unrolled};
use serde_json::{Map, Value, json};
use std::collections::BTreeMap;

/// A name or title, and the names of the states.
pub type Named = (String, Vec<String>);

/// The network with what was observed as tables: causes are `no` or `yes`,
/// findings have the grades of the rules.
pub fn tables(rules: &Rules, unrolled: &Unrolled, evidence: &Evidence) -> Tables {
    let names = named(rules, unrolled);
    Tables::of(&unrolled.network, evidence, &|var| {
        names.get(&var).cloned().unwrap_or_else(|| {
            let title = "helper: whether it shows at all".to_string();
            (title, no_or_yes())
        })
    })
}

fn no_or_yes() -> Vec<String> {
    vec!["no".into(), "yes".into()]
}

/// Title and states of every cause and finding.
pub fn named(rules: &Rules, unrolled: &Unrolled) -> BTreeMap<Var, Named> {
    let cause = |c: &Instance| {
        let id = &unrolled.cause_kind(c).id;
        let title = rules
            .causes
            .get(id)
            .map_or(id.as_str(), |c| c.title.as_str());
        (c.var, (at_place(title, c.place), no_or_yes()))
    };
    let finding = |f: &Instance| {
        let id = &unrolled.finding_kind(f).id;
        let rule = rules.findings.get(id);
        let title = rule.map(|f| f.title.as_str());
        let title = title.or(rules.signs.get(id).map(|s| s.title.as_str()));
        let title = title.or(rules.facts.get(id).map(|f| f.title.as_str()));
        let title = title.unwrap_or(id.as_str());
        let states = unrolled.network.states(f.var);
        let own = rule.map(|f| f.grades.clone());
        let own = own.filter(|grades| grades.len() == states);
        let grades = own.unwrap_or_else(|| {
            let words = ["no", "yes", "more"].iter().take(states);
            words.map(ToString::to_string).collect()
        });
        (f.var, (at_place(title, f.place), grades))
    };
    let causes = unrolled.causes.iter().map(cause);
    causes
        .chain(unrolled.findings.iter().map(finding))
        .collect()
}

/// What the numbers of a file are called: `{"variables": [{"name", "title",
/// "states", "helper"}], "seen": {name: likelihood of each state}}`.
pub fn names(tables: &Tables) -> Value {
    let seen = tables.seen.iter().map(|(node, likelihood)| {
        let said = match certain(likelihood) {
            Some(state) => json!(tables.nodes[*node].states[state]),
            None => json!(likelihood),
        };
        (tables.nodes[*node].name.clone(), said)
    });
    json!({
        "variables": tables.nodes.iter().map(|node| json!({
            "name": node.name, "title": node.title, "states": node.states, "helper": node.helper,
        })).collect::<Vec<_>>(),
        "seen": seen.collect::<Map<_, _>>(),
    })
}

/// `solve`: the probability of each state of each variable, and what it took.
pub fn posteriors(
    marginals: &[(Named, Vec<f64>)],
    ln_evidence: f64,
    milliseconds: &[(&str, f64)],
) -> Value {
    let of = |((name, states), p): &(Named, Vec<f64>)| {
        let states = states.iter().zip(p).map(|(s, p)| (s.clone(), json!(p)));
        (name.clone(), Value::Object(states.collect()))
    };
    let milliseconds = milliseconds
        .iter()
        .map(|(what, ms)| (what.to_string(), json!(ms)));
    json!({
        "ln_evidence": ln_evidence,
        "milliseconds": milliseconds.collect::<Map<_, _>>(),
        "posteriors": marginals.iter().map(of).collect::<Map<_, _>>(),
    })
}
