//! The estimate as a page.

use super::table::{figures, table, words};
use super::{ALARM, FAINT, STRONG, percent, styled, wrapped};
use crate::decide::case::{Answered, LineCase, Weighed};
use crate::decide::choices::DEEP;
use crate::decide::cost::{Cost, Line, LineKind};
use crate::decide::desk::Desk;
use crate::decide::estimate::{Choice, Estimate};
use crate::rules::Rules;
use crate::rules::file::{CauseSort, Footing};
use crate::words::{listed, three_figures};
use std::collections::BTreeSet;

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
        parts.push(in_full(e, &e.choices[best], desk, width));
        parts.extend(rests_on(e, width));
    }
    if let Some(own) = e.choices.iter().find(|c| c.id == "own") {
        parts.push(asked(own, desk, width));
    }
    parts.push(notes(e, desk, width));
    parts.join("\n\n")
}

fn choices(e: &Estimate, desk: &Desk, width: usize) -> String {
    let money = &desk.pricer.pricing.currency;
    let most = e
        .choices
        .iter()
        .map(|c| c.cost.points[2])
        .max()
        .unwrap_or(0);
    let cells = if width >= 100 { 16 } else { 0 };
    let mut columns = vec![
        words("Choice"),
        figures("cost, 10-90 %"),
        figures("cures"),
        figures("in the end"),
        figures("days"),
    ];
    if cells > 0 {
        columns.insert(2, words(""));
    }
    let rows = e.choices.iter().enumerate().map(|(i, c)| {
        let marked = match e.best == Some(i) {
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
    let text = table(&columns, rows.collect(), width);
    let not_run: Vec<String> = (e.choices.iter())
        .filter_map(|c| Some(format!("{} leaves {}", c.title, c.danger.as_ref()?)))
        .collect();
    let text = match not_run.is_empty() {
        true => text,
        false => {
            let warning = format!("Not to be run so: {}.", not_run.join("; "));
            format!("{text}\n{}", styled(ALARM, wrapped(&warning, width, 2)))
        }
    };
    let note = "cures: exact chance that every fault that the readings speak of is mended. In the end: mean cost with comebacks for what is left.";
    format!("{text}\n{}", styled(FAINT, wrapped(note, width, 0)))
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

/// Cylinders after a title: "cylinders 1 and 3", nothing for the engine.
pub fn on_cylinders(cylinders: &BTreeSet<usize>, all: usize) -> String {
    let numbers: Vec<String> = cylinders.iter().map(usize::to_string).collect();
    match numbers.len() {
        0 => String::new(),
        1 => format!(", cylinder {}", numbers[0]),
        n if n == all => ", every cylinder".into(),
        _ => format!(", cylinders {}", listed(&numbers, "and")),
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

fn in_full(e: &Estimate, choice: &Choice, desk: &Desk, width: usize) -> String {
    let money = &desk.pricer.pricing.currency;
    let mut text = format!("{}  {}", styled(STRONG, &choice.title), choice.says);
    if choice.package.is_empty() {
        text += &format!("\n{}", watch(e, width));
    } else {
        text += &format!("\n{}", lines(&choice.cost, desk, width));
        let [low, mid, high] = choice.cost.points.map(|x| money.about(x as f64));
        let line = format!(
            "One time in two below {mid}, nine in ten below {high}, one in ten below {low}."
        );
        text += &format!("\n{}", wrapped(&line, width, 0));
    }
    for case in &e.case {
        text += &format!("\n\n{}", case_of(case, desk, width));
    }
    if !choice.left.is_empty() {
        let left: Vec<String> = choice
            .left
            .iter()
            .map(|l| format!("{} ({})", l.title, percent(l.probability)))
            .collect();
        text += &format!(
            "\n\n{}",
            wrapped(&format!("Left in place: {}.", left.join("; ")), width, 2)
        );
    }
    if choice.left.iter().any(|l| l.sort == CauseSort::Root) {
        text += &format!(
            "\n{}",
            wrapped(
                "A root cause left in place brings the fault back.",
                width,
                2
            )
        );
    }
    text
}

fn lines(cost: &Cost, desk: &Desk, width: usize) -> String {
    let (rules, money) = (desk.d.rules, &desk.pricer.pricing.currency);
    let all = desk.d.engine.cylinders();
    let columns = [
        words("Line"),
        figures("hours"),
        figures("likely"),
        figures("low - high"),
    ];
    let mut rows: Vec<Vec<String>> = Vec::new();
    for line in &cost.lines {
        let [low, likely, high] = line.price;
        let likely = if line.priced {
            money.rough(likely as f64)
        } else {
            format!("{} ?", money.rough(likely as f64))
        };
        rows.push(vec![
            line_title(line, rules, all),
            line.hours
                .map_or(String::new(), |h| three_figures(h.likely)),
            likely,
            format!("{} - {}", money.rough(low as f64), money.rough(high as f64)),
        ]);
    }
    if cost.tax > 0 {
        let tax = money.rough(cost.tax as f64);
        rows.push(vec!["Tax".into(), String::new(), tax, String::new()]);
    }
    let total = styled(STRONG, money.about(cost.likely as f64));
    let hours = three_figures(cost.hours[1]);
    rows.push(vec![
        styled(STRONG, "Sum of the likely figures"),
        hours,
        total,
        String::new(),
    ]);
    table(&columns, rows, width)
}

fn case_of(case: &LineCase, desk: &Desk, width: usize) -> String {
    let repair = &desk.d.rules.repairs[&case.repair];
    let at = on_cylinders(&case.cylinders, desk.d.engine.cylinders());
    let mut lines = vec![format!("{}{at}", styled(STRONG, &repair.title))];
    let answers: Vec<String> = case.answers.iter().map(answer).collect();
    match answers.is_empty() {
        true => lines.push("  answers nothing that is probable here".into()),
        false => lines.push(wrapped(
            &format!("  answers {}", answers.join("; ")),
            width,
            4,
        )),
    }
    if !case.supported {
        lines.push(styled(ALARM, "  no observation speaks for it"));
    }
    if !case.speaks_for.is_empty() {
        lines.push(wrapped(
            &format!("  for: {}", weighed(&case.speaks_for)),
            width,
            4,
        ));
    }
    if !case.speaks_against.is_empty() {
        lines.push(wrapped(
            &format!("  against: {}", weighed(&case.speaks_against)),
            width,
            4,
        ));
    }
    if !repair.leaves.is_empty() {
        lines.push(wrapped(
            &format!("  leaves: {}", joined(&repair.leaves)),
            width,
            4,
        ));
    }
    let mending = case.answers.first().map_or(String::new(), |a| {
        format!(", the chance of success {}", footing(a.footing))
    });
    lines.push(styled(
        FAINT,
        format!("  the hours are {}{mending}", footing(case.hours)),
    ));
    lines.join("\n")
}

fn joined(texts: &[String]) -> String {
    let texts: Vec<&str> = texts.iter().map(|t| t.trim_end_matches('.')).collect();
    format!("{}.", texts.join("; "))
}

/// What a number rests on, in words.
pub fn footing(footing: Footing) -> &'static str {
    match footing {
        Footing::Published => "published",
        Footing::Practice => "common practice",
        Footing::Judgement => "judgement",
    }
}

fn answer(a: &Answered) -> String {
    let doubt = a.range.map_or(String::new(), |(low, high)| {
        format!(", with doubt {} to {}", percent(low), percent(high))
    });
    format!(
        "{} {}{doubt} (mended {})",
        a.title,
        percent(a.probability),
        percent(a.mended)
    )
}

fn weighed(readings: &[Weighed]) -> String {
    let texts: Vec<String> = readings
        .iter()
        .take(4)
        .map(|(said, db)| format!("{said} ({} dB)", super::explain::signed(*db)))
        .collect();
    texts.join("; ")
}

fn rests_on(e: &Estimate, width: usize) -> Vec<String> {
    let mut parts = vec![];
    if !e.ruled_out.is_empty() {
        let out: Vec<String> = e
            .ruled_out
            .iter()
            .map(|r| {
                format!(
                    "{} (was {}, now {}; {})",
                    r.title,
                    percent(r.was),
                    percent(r.now),
                    r.by
                )
            })
            .collect();
        parts.push(wrapped(
            &format!("No longer in question: {}.", out.join("; ")),
            width,
            2,
        ));
    }
    if !e.open.is_empty() {
        let open = listed(&e.open, "or");
        let text = format!("Not known yet: what {open} would show.");
        parts.push(wrapped(&text, width, 2));
    }
    parts
}

fn watch(e: &Estimate, width: usize) -> String {
    let mut parts = vec![];
    if !e.watch.look_at.is_empty() {
        parts.push(wrapped(
            &format!("Watch: {}.", e.watch.look_at.join("; ")),
            width,
            2,
        ));
    }
    parts.push(wrapped(
        "Stop at once when oil pressure falls, it overheats or knocks, or oil and water mix.",
        width,
        2,
    ));
    parts.extend(
        e.watch
            .stop_when
            .iter()
            .map(|text| wrapped(&format!("Stop: {text}"), width, 2)),
    );
    parts.join("\n")
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
        notes.push("Hours only: the shop file has no `pricing`. Parts are counted at a judged worth in hours of labour, so ranges are wide.".into());
    } else if !e.unpriced.is_empty() {
        let titles: Vec<String> = e
            .unpriced
            .iter()
            .map(|id| {
                desk.d
                    .rules
                    .parts
                    .get(id)
                    .map_or(id.clone(), |p| p.title.to_lowercase())
            })
            .collect();
        notes.push(format!("Marked ?, or wide, for want of a price in the shop file: {}. Each is reckoned from a tenth of an hour's labour to many, by judgement.", titles.join(", ")));
    }
    if e.choices
        .iter()
        .any(|c| c.package.work.keys().any(|id| needs_opening(desk, id)))
    {
        notes.push("What an opened engine shows can change the work; the figures are for what is known now.".into());
    }
    notes.push(format!(
        "A fault left in place is reckoned at its cheapest repair and {} % more for harm and lost use, with {} h for the comeback; each by itself, so that much left together is on the high side. Hours of one job move together, prices apart.",
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
