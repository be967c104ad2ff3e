//! The built-in rules as packed when the program was built: typed in a few
//! milliseconds, without places of single values.

use super::chart::{Condition, Look};
use super::file::{
    Access, Axis, Cause, Equipment, Fact, Family, Finding, Limit, Measure, Part, Reading, Repair,
    SetUp, Sign, Source, Stage, Test,
};
use super::lookup::Item;
use super::{Entry, Rules};
use crate::problem::Spot;
use serde::Deserialize;
use std::collections::BTreeMap;

const PACKED: &[u8] = include_bytes!(concat!(env!("OUT_DIR"), "/rules.json"));

/// File, line and column of the id, system, entry.
type Packed<T> = (usize, usize, usize, String, T);

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Pack {
    files: Vec<String>,
    /// System, title, and whether the file holds causes.
    systems: Vec<(String, String, bool)>,
    words: BTreeMap<String, f64>,
    #[serde(default)]
    causes: Vec<Packed<Cause>>,
    #[serde(default)]
    findings: Vec<Packed<Finding>>,
    #[serde(default)]
    signs: Vec<Packed<Sign>>,
    #[serde(default)]
    readings: Vec<Packed<Reading>>,
    #[serde(default)]
    tests: Vec<Packed<Test>>,
    #[serde(default)]
    set_ups: Vec<Packed<SetUp>>,
    #[serde(default)]
    equipment: Vec<Packed<Equipment>>,
    #[serde(default)]
    repairs: Vec<Packed<Repair>>,
    #[serde(default)]
    accesses: Vec<Packed<Access>>,
    #[serde(default)]
    parts: Vec<Packed<Part>>,
    #[serde(default)]
    families: Vec<Packed<Family>>,
    #[serde(default)]
    facts: Vec<Packed<Fact>>,
    #[serde(default)]
    axes: Vec<Packed<Axis>>,
    #[serde(default)]
    limits: Vec<Packed<Limit>>,
    #[serde(default)]
    measures: Vec<Packed<Measure>>,
    #[serde(default)]
    stages: Vec<Packed<Stage>>,
    #[serde(default)]
    sources: Vec<Packed<Source>>,
    #[serde(default)]
    looks: Vec<Packed<Look>>,
    #[serde(default)]
    conditions: Vec<Packed<Condition>>,
}

/// The built-in rules; `None` when they had a fault and were not packed.
pub fn built_in() -> Option<Rules> {
    let pack: Pack = serde_json::from_slice(PACKED).ok()?;
    let mut rules = Rules {
        words: pack.words,
        ..Rules::default()
    };
    for (system, title, causes) in pack.systems {
        if causes || !rules.systems.contains_key(&system) {
            rules.systems.insert(system, title);
        }
    }
    let files = &pack.files;
    shelve(&mut rules, files, pack.causes);
    shelve(&mut rules, files, pack.findings);
    shelve(&mut rules, files, pack.signs);
    shelve(&mut rules, files, pack.readings);
    shelve(&mut rules, files, pack.tests);
    shelve(&mut rules, files, pack.set_ups);
    shelve(&mut rules, files, pack.equipment);
    shelve(&mut rules, files, pack.repairs);
    shelve(&mut rules, files, pack.accesses);
    shelve(&mut rules, files, pack.parts);
    shelve(&mut rules, files, pack.families);
    shelve(&mut rules, files, pack.facts);
    shelve(&mut rules, files, pack.axes);
    shelve(&mut rules, files, pack.limits);
    shelve(&mut rules, files, pack.measures);
    shelve(&mut rules, files, pack.stages);
    shelve(&mut rules, files, pack.sources);
    shelve(&mut rules, files, pack.looks);
    shelve(&mut rules, files, pack.conditions);
    rules.link_manners();
    Some(rules)
}

fn shelve<T: Item>(rules: &mut Rules, files: &[String], entries: Vec<Packed<T>>) {
    let entries = entries
        .into_iter()
        .map(|(file, line, column, system, it)| {
            let at = Spot {
                file: files.get(file).cloned().unwrap_or_default(),
                line,
                column,
            };
            let entry = Entry {
                at,
                system,
                overrides: None,
                it,
            };
            (entry.it.id().to_string(), entry)
        })
        .collect();
    *T::shelf_mut(rules) = entries;
}

#[cfg(test)]
mod tests {
    use crate::rules::load_whole;

    #[test]
    fn what_was_packed_is_what_the_yaml_says() {
        let whole = load_whole(None);
        match super::built_in() {
            Some(packed) => assert_eq!(packed, whole.rules),
            None => assert_ne!(whole.problems, [], "rules without faults are packed"),
        }
    }
}
