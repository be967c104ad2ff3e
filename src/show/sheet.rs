//! A test as a sheet for the bench: cautions first, then what to make ready,
//! the steps, and where it misleads.

use super::{ALARM, FAINT, STRONG, styled, wrapped};
use crate::rules::Rules;
use crate::rules::file::Test;
use std::collections::BTreeSet;

/// The sheet of a test; set-ups in place are said to be so.
pub fn page(test: &Test, rules: &Rules, in_place: &BTreeSet<String>, width: usize) -> String {
    let mut lines = vec![
        styled(STRONG, wrapped(&test.title, width, 0)),
        wrapped(&test.says, width, 0),
    ];
    for caution in &test.cautions {
        lines.push(styled(ALARM, wrapped(&format!("! {caution}"), width, 2)));
    }
    let titles = |ids: &[String], title: &dyn Fn(&str) -> Option<String>| {
        let titles: Vec<String> = ids
            .iter()
            .map(|id| title(id).unwrap_or(id.clone()))
            .collect();
        titles.join("; ")
    };
    let set_up = |id: &str| {
        let title = &rules.set_ups.get(id)?.title;
        Some(match in_place.contains(id) {
            true => format!("{title} (done)"),
            false => title.clone(),
        })
    };
    let tool = |id: &str| Some(rules.equipment.get(id)?.title.clone());
    let mut needs = |head: &str, text: String| {
        if !text.is_empty() {
            lines.push(wrapped(&format!("{head}: {text}"), width, head.len() + 2));
        }
    };
    needs("First", titles(&test.set_up, &set_up));
    needs("Tools", titles(&test.equipment, &tool));
    needs("Uses up", test.consumables.join("; "));
    for (number, step) in (1..).zip(&test.steps) {
        lines.push(wrapped(&format!("{number:2}. {step}"), width, 4));
    }
    for misleads in &test.misleads {
        let text = wrapped(&format!("Misleads: {misleads}"), width, 10);
        lines.push(styled(FAINT, text));
    }
    lines.join("\n")
}
