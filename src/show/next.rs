//! The next tests as a page.

use super::table::{figures, table, words};
use super::{FAINT, STRONG, styled, wrapped};
use crate::diagnose::next::{Next, TestOption};
use crate::diagnose::together::Together;
use crate::network::DRAWS;
use crate::rules::Rules;

/// The best tests, what is worth doing together, and what the shop lacks.
pub fn page(
    next: &Next,
    together: &[Together],
    rules: &Rules,
    most: usize,
    width: usize,
) -> String {
    let mut parts = Vec::new();
    if let Some(stop) = &next.stop {
        parts.push(styled(STRONG, wrapped(stop, width, 0)));
    }
    if !next.tests.is_empty() {
        parts.push(tests(next, rules, most, width));
    }
    for set in together {
        let text = format!(
            "Worth doing together: {} - {} bits in {} minutes, the set-up made once; apart they take {}.",
            set.titles.join(" + "),
            about(set.bits, set.error),
            minutes(set.minutes),
            minutes(set.apart)
        );
        parts.push(wrapped(&text, width, 2));
    }
    if !next.wanting.is_empty() {
        let wanting: Vec<String> = next
            .wanting
            .iter()
            .map(|(title, missing)| format!("{title} ({})", names(rules, missing).join(", ")))
            .collect();
        let text = format!("Left out for want of equipment: {}.", wanting.join("; "));
        parts.push(styled(FAINT, wrapped(&text, width, 2)));
    }
    parts.join("\n\n")
}

fn tests(next: &Next, rules: &Rules, most: usize, width: usize) -> String {
    let columns = [
        words("Next test"),
        figures("bits"),
        figures("min"),
        figures("bits/min"),
        words("first"),
    ];
    let rows = next
        .tests
        .iter()
        .take(most)
        .map(|t| {
            vec![
                t.title.clone(),
                about(t.bits, t.error),
                minutes(t.minutes),
                bits(t.bits_per_minute()),
                first(t, rules),
            ]
        })
        .collect();
    let mut text = table(&columns, rows, width);
    if next.tests.iter().take(most).any(|t| t.error > 0.0) {
        let note = format!(
            "± is the standard error of bits that come from {DRAWS} draws of all causes; the others are exact."
        );
        text += &format!("\n{}", styled(FAINT, wrapped(&note, width, 0)));
    }
    text
}

/// What has to be done first: set-ups, in words.
fn first(test: &TestOption, rules: &Rules) -> String {
    let titles = test.set_up.iter().map(|s| match rules.set_ups.get(s) {
        Some(set_up) => set_up.title.to_lowercase(),
        None => s.clone(),
    });
    titles.collect::<Vec<_>>().join(", ")
}

fn names(rules: &Rules, equipment: &[String]) -> Vec<String> {
    let title = |id: &String| match rules.equipment.get(id) {
        Some(e) => e.title.to_lowercase(),
        None => id.clone(),
    };
    equipment.iter().map(title).collect()
}

/// Bits with their standard error, if they have one that shows.
fn about(b: f64, error: f64) -> String {
    match error {
        e if e >= 0.095 => format!("{} ±{e:.1}", bits(b)),
        e if e >= 0.0095 => format!("{} ±{e:.2}", bits(b)),
        e if e > 0.0 => format!("{} ±{e:.3}", bits(b)),
        _ => bits(b),
    }
}

/// Bits, two significant figures at most.
pub fn bits(b: f64) -> String {
    match b {
        b if b >= 9.95 => format!("{b:.0}"),
        b if b >= 0.095 => format!("{b:.2}"),
        b if b >= 0.001 => format!("{b:.3}"),
        _ => "<0.001".into(),
    }
}

/// Minutes, whole ones above one.
pub fn minutes(m: f64) -> String {
    if m < 1.0 {
        format!("{m:.1}")
    } else {
        format!("{m:.0}")
    }
}
