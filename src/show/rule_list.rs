//! Lists of the rules: what there is, by kind, and what a search finds.

use super::table::{figures, table, words};
use super::{FAINT, styled};
use crate::rules::lookup::Named;
use crate::rules::{Kind, Rules};
use crate::words::{count, plural};
use serde_json::{Value, json};

/// The entries that hold every word of a search, in id, title or text; all
/// without a search. With `kind` only those of a kind.
pub fn found<'r>(rules: &'r Rules, kind: Option<Kind>, search: &[String]) -> Vec<Named<'r>> {
    let wanted: Vec<String> = search.iter().map(|word| word.to_lowercase()).collect();
    let kinds = Kind::ALL
        .into_iter()
        .filter(|k| kind.is_none_or(|only| only == *k));
    kinds
        .flat_map(|kind| rules.entries(kind))
        .filter(|entry| {
            let text = text(rules, entry);
            wanted.iter().all(|word| text.contains(word))
        })
        .collect()
}

/// What a search looks into.
fn text(rules: &Rules, entry: &Named) -> String {
    let mut text = format!("{} {} {}", entry.id, entry.title, entry.system);
    let mut add = |more: &str| {
        text.push(' ');
        text.push_str(more);
    };
    match entry.kind {
        Kind::Cause => {
            if let Some(cause) = rules.causes.get(entry.id) {
                add(&cause.says);
                add(&cause.look_for);
            }
        }
        Kind::Finding => {
            if let Some(finding) = rules.findings.get(entry.id) {
                add(&finding.ask);
                add(&finding.words.join(" "));
            }
        }
        Kind::Sign => {
            if let Some(sign) = rules.signs.get(entry.id) {
                add(&sign.ask);
                add(&sign.words.join(" "));
            }
        }
        Kind::Fact => {
            if let Some(fact) = rules.facts.get(entry.id) {
                add(&fact.ask);
                add(&fact.words.join(" "));
            }
        }
        Kind::Test => {
            if let Some(test) = rules.tests.get(entry.id) {
                add(&test.says);
            }
        }
        Kind::Repair => {
            if let Some(repair) = rules.repairs.get(entry.id) {
                add(&repair.says);
            }
        }
        Kind::Axis => {
            if let Some(axis) = rules.axes.get(entry.id) {
                add(&axis.traits.join(" "));
                axis.groups.keys().for_each(|group| add(group));
            }
        }
        _ => {}
    }
    text.to_lowercase()
}

/// Entries as a table by system or topic, each under its heading.
pub fn page(rules: &Rules, entries: &[Named], mixed: bool, width: usize) -> String {
    let mut systems: Vec<&str> = entries.iter().map(|e| e.system).collect();
    systems.sort_unstable();
    systems.dedup();
    let mut parts = Vec::new();
    for system in systems {
        let rows = (entries.iter().filter(|e| e.system == system))
            .map(|entry| {
                let kind = if mixed {
                    entry.kind.to_string()
                } else {
                    String::new()
                };
                vec![entry.title.to_string(), styled(FAINT, entry.id), kind]
            })
            .collect();
        let title = rules.systems.get(system).map_or(system, |title| title);
        let mut columns = vec![
            words("Title"),
            words("id"),
            words(if mixed { "kind" } else { "" }),
        ];
        let mut rows: Vec<Vec<String>> = rows;
        if !mixed {
            columns.pop();
            rows.iter_mut().for_each(|row| row.truncate(2));
        }
        let text = table(&columns, rows, width);
        parts.push(format!("{}\n{text}", styled(super::STRONG, title)));
    }
    parts.push(count(entries.len(), "entry"));
    parts.join("\n\n")
}

/// How many entries of each kind there are.
pub fn kinds(rules: &Rules, width: usize) -> String {
    let mut rows: Vec<Vec<String>> = (Kind::ALL.into_iter())
        .map(|kind| {
            let number = rules.entries(kind).len().to_string();
            let name = plural(&kind.to_string());
            vec![
                name,
                number,
                format!("rules list {}", kind.list().replace('_', "-")),
            ]
        })
        .collect();
    let number = rules.words.len().to_string();
    rows.push(vec![
        "chance words".into(),
        number,
        "rules list words".into(),
    ]);
    let columns = [words("Kind"), figures("entries"), words("see")];
    table(&columns, rows, width)
}

/// The chance words, the strongest first.
pub fn chance_words(rules: &Rules, width: usize) -> String {
    let mut known: Vec<_> = rules.words.iter().collect();
    known.sort_by(|a, b| b.1.total_cmp(a.1).then(a.0.cmp(b.0)));
    let rows = (known.into_iter())
        .map(|(word, p)| vec![word.clone(), super::percent(*p)])
        .collect();
    table(&[words("Word"), figures("chance")], rows, width)
}

/// Entries as JSON.
pub fn json(entries: &[Named]) -> Value {
    entries.iter().map(entry_json).collect()
}

/// One entry as JSON, as far as all kinds are alike.
pub fn entry_json(entry: &Named) -> Value {
    json!({
        "kind": entry.kind.to_string(),
        "id": entry.id,
        "title": entry.title,
        "system": entry.system,
        "at": entry.at.to_string(),
        "overrides": entry.overrides.map(ToString::to_string),
    })
}
