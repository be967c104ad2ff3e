//! What speaks for and against a cause, as a page.

use super::table::{figures, table, words};
use super::{FAINT, FALL, RISE, percent, styled, wrapped};
use crate::diagnose::explain::{Explanation, Weight, decibans};
use crate::rules::Rules;

/// The weights in the order recorded, the sum, and how it is told from its look-alikes.
pub fn page(e: &Explanation, rules: &Rules, width: usize) -> String {
    let mut parts = vec![heading(e, rules, width), weights(e, width)];
    let total = decibans(e.base, e.posterior);
    parts.push(wrapped(
        &format!(
            "From {} to {}: {} in all. Ten decibans make the odds ten times as good; under one is nothing felt.",
            percent(e.base),
            percent(e.posterior),
            signed(total)
        ),
        width,
        0,
    ));
    if let Some(cause) = rules.causes.get(&e.cause) {
        for (other, how) in &cause.told_from {
            let title = rules
                .causes
                .get(other)
                .map_or(other.as_str(), |c| c.title.as_str());
            parts.push(wrapped(&format!("Told from \"{title}\": {how}"), width, 2));
        }
        parts.push(wrapped(&format!("Look for: {}", cause.look_for), width, 2));
    }
    parts.join("\n\n")
}

fn heading(e: &Explanation, rules: &Rules, width: usize) -> String {
    let says = rules.causes.get(&e.cause).map_or("", |c| c.says.as_str());
    let title = super::styled(super::STRONG, &e.title);
    format!(
        "{title}  {}\n{}",
        percent(e.posterior),
        wrapped(says, width, 0)
    )
}

fn weights(e: &Explanation, width: usize) -> String {
    let columns = [
        words("What is known"),
        words(""),
        figures("decibans"),
        figures("then"),
        figures("alone"),
    ];
    let mut rows = vec![vec![
        styled(FAINT, "base rate"),
        String::new(),
        String::new(),
        percent(e.base),
        String::new(),
    ]];
    rows.extend(e.history.iter().chain(&e.readings).map(row));
    let text = table(&columns, rows, width);
    let note =
        "decibans: in the order recorded, they add up; alone: what would be missing without it";
    format!("{text}\n{}", styled(FAINT, wrapped(note, width, 0)))
}

fn row(w: &Weight) -> Vec<String> {
    let arrow = match w.in_order {
        x if x >= 1.0 => styled(RISE, "▲ for"),
        x if x <= -1.0 => styled(FALL, "▼ against"),
        _ => "·".into(),
    };
    vec![
        w.said.clone(),
        arrow,
        signed(w.in_order),
        percent(w.after),
        w.left_out.map_or(String::new(), signed),
    ]
}

/// Decibans with their sign, one decimal below ten.
pub fn signed(db: f64) -> String {
    match db {
        d if d.abs() < 0.05 => "0".into(),
        d if d.abs() < 9.95 => format!("{d:+.1}"),
        d => format!("{d:+.0}"),
    }
}
