//! What it would pay to know first, and what the choice turns on.

use super::table::{figures, table, words};
use super::{FAINT, STRONG, percent, styled, wrapped};
use crate::decide::desk::Desk;
use crate::decide::estimate::Estimate;
use crate::decide::flip::{Flip, Lever};
use crate::decide::package::Package;
use crate::decide::worth::{Turn, Worth};
use crate::diagnose::at_place;
use crate::words::{listed, three_figures};
use serde_json::{Value, json};

/// `next --by money`: the tests by what they save above what they cost.
pub fn page(tests: &[Worth], desk: &Desk, most: usize, width: usize) -> String {
    if tests.is_empty() {
        return styled(STRONG, wrapped(NONE, width, 0));
    }
    let mut text = String::new();
    if tests.iter().all(|worth| worth.net() <= 0.0) {
        text = styled(STRONG, wrapped(UNPAID, width, 0)) + "\n\n";
    }
    text += &tests_table(tests, desk, most, width);
    let note = "saves: what knowing it takes on average off the expected total of the best choice, over its most telling findings. costs: its minutes at the labour rate and what it uses, with tax.";
    format!("{text}\n{}", styled(FAINT, wrapped(note, width, 0)))
}

const NONE: &str = "No test that can be done would change the choice: decide on what is known.";
const UNPAID: &str = "No test pays for itself: each could change the choice, but costs more than it saves on average. Decide on what is known.";

fn tests_table(tests: &[Worth], desk: &Desk, most: usize, width: usize) -> String {
    let money = &desk.pricer.pricing.currency;
    let columns = [
        words("Test"),
        figures("min"),
        figures("costs"),
        figures("saves"),
        figures("left over"),
    ];
    let rows = tests.iter().take(most).map(|worth| {
        vec![
            worth.test.title.clone(),
            super::next::minutes(worth.test.minutes),
            money.about(worth.cost),
            match worth.error {
                0.0 => money.about(worth.saves),
                error => format!("{} ± {}", money.about(worth.saves), money.rough(error)),
            },
            money.about(worth.net()),
        ]
    });
    table(&columns, rows.collect(), width)
}

/// `next --by money --json`.
pub fn json(job: &str, best: &str, tests: &[Worth], desk: &Desk) -> Value {
    json!({
        "job": job, "currency": super::estimate_json::currency(desk), "choice": best,
        "tests": tests.iter().map(worth_json).collect::<Vec<_>>(),
        "stop": match tests {
            [] => Some(NONE),
            tests if tests.iter().all(|worth| worth.net() <= 0.0) => Some(UNPAID),
            _ => None,
        },
    })
}

/// A test with its worth; amounts in smallest units.
pub(super) fn worth_json(worth: &Worth) -> Value {
    json!({
        "id": worth.test.id(), "title": worth.test.title, "minutes": worth.test.minutes,
        "costs": worth.cost, "saves": worth.saves, "error": worth.error, "net": worth.net(),
    })
}

/// Tests that could change the best choice, and the finding that would most.
pub(super) fn before(e: &Estimate, desk: &Desk, width: usize) -> Option<String> {
    let stands = e.stands.as_ref()?;
    let mut parts = Vec::new();
    match stands.tests.as_slice() {
        [] => parts.push(wrapped(NONE, width, 0)),
        tests => {
            if stands.test_first().is_none() {
                parts.push(wrapped(UNPAID, width, 0));
            }
            parts.push(tests_table(tests, desk, 3, width));
        }
    }
    if let Some(turn) = &stands.turn {
        parts.push(wrapped(&turned(turn, e, desk), width, 0));
    }
    Some(parts.join("\n"))
}

/// The single finding that would change the choice most, in a sentence.
pub(super) fn turned(turn: &Turn, e: &Estimate, desk: &Desk) -> String {
    let into = rival(turn.into, e, desk);
    let saves = desk.pricer.pricing.currency.about(turn.saves);
    format!(
        "The one finding that would change most: {} ({} probable) would turn this into {into}, {saves} better.",
        shown(turn, desk),
        percent(turn.probability)
    )
}

/// The outcome of a finding in words: "oil use above 25", "blue smoke: often".
fn shown(turn: &Turn, desk: &Desk) -> String {
    let Some(finding) = desk.d.rules.findings.get(&turn.finding) else {
        return turn.finding.clone();
    };
    let title = at_place(&finding.title, turn.place);
    let bounds = finding.measured.as_ref().map(|m| (&m.bounds, m.falling()));
    match bounds {
        Some((bounds, falling)) if !bounds.is_empty() => {
            let at = |k: usize| three_figures(bounds[k]);
            let (beyond, short) = if falling {
                ("below", "above")
            } else {
                ("above", "below")
            };
            match turn.grade {
                0 => format!("\"{title}\" ruled out (a figure {short} {})", at(0)),
                k if k == bounds.len() => format!("\"{title}\", a figure {beyond} {}", at(k - 1)),
                k => format!("\"{title}\", a figure from {} to {}", at(k - 1), at(k)),
            }
        }
        _ => format!("\"{title}\": {}", finding.grades[turn.grade]),
    }
}

/// What the choice turns on, and the order of the work.
pub(super) fn turns(e: &Estimate, desk: &Desk, width: usize) -> Option<String> {
    let stands = e.stands.as_ref()?;
    let mut lines: Vec<String> = Vec::new();
    if let Some((ids, order)) = &stands.one_by_one {
        let titles: Vec<String> = (ids.iter().enumerate())
            .map(|(n, id)| format!("{}. {}", n + 1, desk.d.rules.repairs[id].title))
            .collect();
        let money = &desk.pricer.pricing.currency;
        lines.push(format!(
            "One at a time, by chance over cost, the engine tried after each: {}. Stopping at the one that cures it costs {} on average.",
            titles.join(", "),
            money.about(order.expected)
        ));
    }
    lines.extend(stands.flips.iter().map(|flip| flipped(flip, e, desk)));
    let lines: Vec<String> = lines.iter().map(|line| wrapped(line, width, 2)).collect();
    Some(lines.join("\n"))
}

/// One flip in a sentence.
pub(super) fn flipped(flip: &Flip, e: &Estimate, desk: &Desk) -> String {
    let (rules, money) = (desk.d.rules, &desk.pricer.pricing.currency);
    let (what, value): (String, &dyn Fn(f64) -> String) = match &flip.lever {
        Lever::Labour => ("labour an hour".into(), &|x| money.about(x)),
        Lever::Part(id) => {
            let part = rules.parts.get(id);
            let title = part.map_or(id.clone(), |p| p.title.to_lowercase());
            (format!("the price of \"{title}\""), &|x| money.about(x))
        }
        Lever::Probability(stake) => {
            let stake = &desk.stakes[*stake];
            let title = desk.d.title(&stake.kind, stake.place);
            (format!("the probability of \"{title}\""), &percent)
        }
    };
    let now = value(flip.now);
    let mut turns = Vec::new();
    for (side, at) in [("below", &flip.below), ("above", &flip.above)] {
        if let Some((x, into)) = at {
            turns.push(format!("{side} {} to {}", value(*x), rival(*into, e, desk)));
        }
    }
    match turns.is_empty() {
        true => format!(
            "The choice does not turn on {what} ({now}): not from {} to {}.",
            value(flip.within.0),
            value(flip.within.1)
        ),
        false => format!(
            "The choice turns on {what}, now {now}: {}.",
            turns.join("; ")
        ),
    }
}

/// A package by the choice that it is, or by what it has more and less than the best.
fn rival(index: usize, e: &Estimate, desk: &Desk) -> String {
    let (Some(stands), Some(best)) = (&e.stands, e.best) else {
        return String::new();
    };
    let package = &stands.rivals[index];
    if let Some(choice) = e.choices.iter().find(|c| c.package == *package) {
        return format!("\"{}\"", choice.title);
    }
    let own = &e.choices[best].package;
    let beyond = |a: &Package, b: &Package| -> Vec<String> {
        let work = a.work.iter().filter(|(id, at)| b.work.get(*id) != Some(at));
        let titles = work.filter_map(|(id, _)| desk.d.rules.repairs.get(id));
        titles.map(|r| format!("\"{}\"", r.title)).collect()
    };
    let (more, less) = (beyond(package, own), beyond(own, package));
    let mut parts = vec!["the same work".to_string()];
    if !more.is_empty() {
        parts.push(format!("with {}", listed(&more, "and")));
    }
    let less: Vec<String> = less.into_iter().filter(|t| !more.contains(t)).collect();
    if !less.is_empty() {
        parts.push(format!("without {}", listed(&less, "and")));
    }
    parts.join(" ")
}

/// The JSON of what the choice stands on.
pub(super) fn stands_json(e: &Estimate, desk: &Desk) -> Value {
    let Some(stands) = &e.stands else {
        return Value::Null;
    };
    let side = |at: &Option<(f64, usize)>| {
        at.map(|(x, into)| json!({ "at": x, "into": rival(into, e, desk) }))
    };
    json!({
        "test_first": stands.test_first().map(worth_json),
        "tests": stands.tests.iter().map(worth_json).collect::<Vec<_>>(),
        "finding": stands.turn.as_ref().map(|t| json!({
            "finding": t.finding, "where": t.place.to_string(), "grade": t.grade,
            "probability": t.probability, "into": rival(t.into, e, desk), "saves": t.saves,
        })),
        "turns_on": stands.flips.iter().map(|flip| json!({
            "what": match &flip.lever {
                Lever::Labour => "labour".to_string(),
                Lever::Part(id) => id.clone(),
                Lever::Probability(stake) => desk.stakes[*stake].kind.clone(),
            },
            "now": flip.now, "from": flip.within.0, "to": flip.within.1,
            "below": side(&flip.below), "above": side(&flip.above),
        })).collect::<Vec<_>>(),
        "one_by_one": stands.one_by_one.as_ref().map(|(ids, order)| json!({
            "repairs": ids, "reached": order.reached, "expected": order.expected,
        })),
    })
}
