//! The estimate as a page.

use super::estimate_full::{in_full, lines, rests_on};
use super::table::{figures, table, words};
use super::worth;
use super::{ALARM, FAINT, STRONG, percent, styled, wrapped};
use crate::decide::choices::DEEP;
use crate::decide::cost::{Cost, Line, LineKind};
use crate::decide::desk::Desk;
use crate::decide::estimate::{Choice, Estimate};
use crate::decide::package::on_cylinders;
use crate::decide::worth::Worth;
use crate::rules::Rules;
use crate::words::{listed, lower, three_figures};
use std::collections::{BTreeMap, BTreeSet};

/// Choices side by side, the best in full, what it rests on and what is not known.
pub fn page(e: &Estimate, desk: &Desk, width: usize) -> String {
    let mut parts = vec![];
    match (&e.begin_with, e.best) {
        (_, Some(_)) => {}
        (Some(test), None) => parts.push(styled(
            STRONG,
            wrapped(
                &format!(
                    "Nothing has been observed yet, so nothing is recommended: the figures below are those of any engine of this kind. The quickest test to begin with: {} ({} min).",
                    test.title,
                    three_figures(test.minutes)
                ),
                width,
                0,
            ),
        )),
        (None, None) if e.observed => parts.push(styled(
            ALARM,
            "No choice takes the danger away: do not run it, and look further.",
        )),
        (None, None) => parts.push(styled(
            STRONG,
            "Nothing has been observed yet, so nothing is recommended.",
        )),
    }
    parts.push(choices(e, desk, width));
    if let Some(best) = e.best {
        parts.extend(worth::before(e, desk, width));
        parts.push(in_full(e, &e.choices[best], desk, width));
        parts.extend(rests_on(e, width));
        parts.extend(worth::turns(e, desk, width));
    }
    if let Some(own) = e.choices.iter().find(|c| c.id == "own") {
        parts.push(asked(own, desk, width));
    }
    parts.push(notes(e, desk, width));
    parts.join("\n\n")
}

fn choices(e: &Estimate, desk: &Desk, width: usize) -> String {
    let money = &desk.pricer.pricing.currency;
    let most = e.dearest();
    let cells = if width >= 100 { 16 } else { 0 };
    let mut columns = vec![
        words("Choice"),
        figures(if money.is_money() {
            "cost, 10-90 %"
        } else {
            "labour, 10-90 %"
        }),
        figures("cures"),
        figures("in the end"),
        figures("days"),
    ];
    if cells > 0 {
        columns.insert(2, words(""));
    }
    let first = test_first(e);
    let rows = e.shown().into_iter().map(|i| {
        let c = &e.choices[i];
        let marked = match e.best == Some(i) && first.is_none() {
            true => styled(STRONG, format!("▸ {}", c.title)),
            false => format!("  {}", c.title),
        };
        let [low, _, high] = c.cost.points;
        let mut row = vec![
            marked,
            money.range(low, high),
            percent(c.cures),
            money.about(c.expected),
            days(c.cost.days),
        ];
        if cells > 0 {
            row.insert(2, scale(c.cost.points, most, cells));
        }
        row
    });
    let mut rows: Vec<Vec<String>> = rows.collect();
    if let Some((test, total)) = first {
        let mut row = vec![
            styled(STRONG, format!("▸ Test first: {}", test.test.title)),
            money.about(test.cost),
            String::new(),
            money.about(total),
            "0".into(),
        ];
        if cells > 0 {
            row.insert(2, scale([test.cost as i64; 3], most, cells));
        }
        rows.insert(0, row);
    }
    let mut text = table(&columns, rows, width);
    let mut left: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    for choice in e.shown().into_iter().map(|i| &e.choices[i]) {
        if let Some(danger) = &choice.danger {
            let title = format!("\"{}\"", choice.title);
            left.entry(danger).or_default().push(title);
        }
    }
    for (danger, titles) in left {
        let warning = format!(
            "Not to be run so: {} left by {}.",
            lower(danger),
            listed(&titles, "and")
        );
        text += &format!("\n{}", styled(ALARM, wrapped(&warning, width, 2)));
    }
    if let Some(danger) = &e.meanwhile {
        let warning = format!("Meanwhile: {}", danger.says);
        text += &format!("\n{}", styled(ALARM, wrapped(&warning, width, 2)));
    }
    let note = "cures: exact chance that nothing behind the complaint is left unmended. In the end: what is paid on average, with comebacks for what is left.";
    format!("{text}\n{}", styled(FAINT, wrapped(note, width, 0)))
}

/// The test that it pays to do first, and what is paid in the end with it.
pub fn test_first(e: &Estimate) -> Option<(&Worth, f64)> {
    let test = e.stands.as_ref()?.test_first()?;
    Some((test, e.choices[e.best?].expected - test.net()))
}

/// 10, 50 and 90 % points on a scale of `cells`.
fn scale(points: [i64; 3], most: i64, cells: usize) -> String {
    let at = |x: i64| ((x as f64 / most.max(1) as f64) * (cells - 1) as f64).round() as usize;
    let [low, mid, high] = points.map(at);
    let mark = |i: usize| match i {
        i if i == mid => '●',
        i if (low..=high).contains(&i) => '━',
        _ => '·',
    };
    (0..cells).map(mark).collect()
}

/// Days from start to finish.
pub fn days((low, high): (f64, f64)) -> String {
    if high <= 0.0 {
        return "0".into();
    }
    let (low, high) = (low.ceil().max(1.0), high.ceil().max(1.0));
    if low == high {
        format!("{low}")
    } else {
        format!("{low}-{high}")
    }
}

/// A line in words.
pub fn line_title(line: &Line, rules: &Rules, all: usize) -> String {
    let title = match line.kind {
        LineKind::Access => rules.accesses.get(&line.id).map(|a| a.title.as_str()),
        LineKind::Labour => rules.repairs.get(&line.id).map(|r| r.title.as_str()),
        LineKind::Part | LineKind::Machine => rules.parts.get(&line.id).map(|p| p.title.as_str()),
    };
    let title = title.unwrap_or(&line.id);
    let count = match line.count {
        c if line.is_labour() || c == 1.0 => String::new(),
        c => format!("{} x ", three_figures(c)),
    };
    let at = match line.kind {
        LineKind::Labour => on_cylinders(&line.cylinders, all),
        _ => String::new(),
    };
    format!("{count}{title}{at}")
}

/// Titles of the parts of a bill that have no price, for one line.
pub fn unpriced(cost: &Cost, rules: &Rules) -> Option<String> {
    let titles: Vec<String> = (cost.lines.iter().filter(|line| !line.priced))
        .map(|line| lower(&line_title(line, rules, 0)))
        .collect();
    match titles.is_empty() {
        true => None,
        false => Some(format!("Parts not priced: {}", listed(&titles, "and"))),
    }
}

fn asked(own: &Choice, desk: &Desk, width: usize) -> String {
    let mut text = format!(
        "{}\n{}",
        styled(STRONG, "As asked"),
        lines(&own.cost, desk, width)
    );
    for id in &own.unsupported {
        let title = &desk.d.rules.repairs[id].title;
        text += &format!(
            "\n{}",
            wrapped(
                &format!("No observation speaks for \"{title}\": nothing found so far needs it."),
                width,
                2
            )
        );
    }
    text
}

fn notes(e: &Estimate, desk: &Desk, width: usize) -> String {
    let pricing = desk.pricer.pricing;
    let mut notes: Vec<String> = vec![];
    if !pricing.currency.is_money() {
        notes.push("Hours of labour only: the shop file has no `pricing`. Which choice is best is decided with parts weighed too, at a judged worth.".into());
    } else if !e.unpriced.is_empty() {
        notes.push("Parts without a price in the shop file are reckoned from a tenth of an hour's labour to many, by judgement.".into());
    }
    if e.choices
        .iter()
        .any(|c| c.package.work.keys().any(|id| needs_opening(desk, id)))
    {
        notes.push("What an opened engine shows can change the work; the figures are for what is known now.".into());
    }
    notes.push(format!(
        "A fault left in place is reckoned at its cheapest repair and {} % more for harm and lost use, with {} h for the comeback. Hours of one job move together, prices apart.",
        three_figures(pricing.comeback_share * 100.0),
        three_figures(pricing.comeback_hours)
    ));
    let notes: Vec<String> = notes
        .iter()
        .map(|n| styled(FAINT, wrapped(n, width, 0)))
        .collect();
    notes.join("\n")
}

fn needs_opening(desk: &Desk, repair: &str) -> bool {
    let package = crate::decide::package::Package::default().with(repair, &BTreeSet::from([1]));
    let open = desk.pricer.accesses(&package);
    DEEP.iter().any(|deep| open.contains_key(deep))
}
