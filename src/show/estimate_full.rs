//! One choice in full: its lines, the case for each repair, what it leaves, and
//! what is no longer in question.

use super::estimate::{line_title, unpriced};
use super::table::{figures, table, words};
use super::{ALARM, FAINT, STRONG, percent, styled, wrapped};
use crate::decide::case::{Answered, LineCase, Weighed};
use crate::decide::cost::{Cost, Line};
use crate::decide::desk::Desk;
use crate::decide::estimate::{Choice, Estimate};
use crate::decide::package::on_cylinders;
use crate::rules::file::{CauseSort, Footing};
use crate::words::{listed, three_figures};

pub(super) fn in_full(e: &Estimate, choice: &Choice, desk: &Desk, width: usize) -> String {
    let money = &desk.pricer.pricing.currency;
    let mut text = wrapped(
        &format!("{}  {}", styled(STRONG, &choice.title), choice.says),
        width,
        0,
    );
    let behind: Vec<String> = (e.behind.iter().take(MOST_BEHIND))
        .map(|b| format!("{} ({})", b.title, percent(b.behind)))
        .collect();
    if !behind.is_empty() {
        let line = format!("Behind the complaint: {}.", behind.join("; "));
        text += &format!("\n{}", wrapped(&line, width, 2));
    }
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
    if let Some(then) = &choice.then {
        let [low, _, high] = then.cost.points;
        let line = format!(
            "If that does not cure it ({}): {}, {} more. On average {} is paid for the work.",
            percent(then.reached),
            then.title,
            money.range(low, high),
            money.about(choice.paid)
        );
        text += &format!(
            "\n\n{}\n{}",
            wrapped(&line, width, 0),
            lines(&then.cost, desk, width)
        );
    }
    for case in &e.case {
        text += &format!("\n\n{}", case_of(case, desk, width));
    }
    if !e.while_open.is_empty() {
        let beside: Vec<String> = (e.while_open.iter())
            .map(|w| {
                let [low, high] = w.adds;
                format!(
                    "{} for {} ({}): {} more",
                    w.title,
                    w.cause,
                    percent(w.present),
                    money.range(low, high)
                )
            })
            .collect();
        let line = format!(
            "While it is open, though nothing in the complaint asks for it: {}.",
            beside.join("; ")
        );
        text += &format!("\n\n{}", wrapped(&line, width, 2));
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

/// Causes named as behind the complaint.
const MOST_BEHIND: usize = 4;

pub(super) fn lines(cost: &Cost, desk: &Desk, width: usize) -> String {
    let (rules, money) = (desk.d.rules, &desk.pricer.pricing.currency);
    let all = desk.d.engine.cylinders();
    let priced = |line: &&Line| match money.is_money() {
        true => line.priced,
        false => line.is_labour(),
    };
    let row = |what: String, hours: String, [low, likely, high]: [i64; 3]| {
        let range = format!("{} - {}", money.rough(low as f64), money.rough(high as f64));
        vec![what, hours, money.rough(likely as f64), range]
    };
    let mut rows: Vec<Vec<String>> = (cost.lines.iter().filter(priced))
        .map(|line| {
            let hours = line
                .hours
                .map_or(String::new(), |h| three_figures(h.likely));
            row(line_title(line, rules, all), hours, line.price)
        })
        .collect();
    let unpriced = unpriced(cost, rules).filter(|_| money.is_money());
    if let Some(parts) = unpriced {
        let lines = || cost.lines.iter().filter(|line| !line.priced);
        let sum = [0, 1, 2].map(|k| lines().map(|line| line.price[k]).sum());
        rows.push(row(parts + ", by judgement", String::new(), sum));
    }
    if cost.tax > 0 {
        let tax = money.rough(cost.tax as f64);
        rows.push(vec!["Tax".into(), String::new(), tax, String::new()]);
    }
    rows.push(vec![
        styled(STRONG, "Sum of the likely figures"),
        three_figures(cost.hours[1]),
        styled(STRONG, money.about(cost.likely as f64)),
        String::new(),
    ]);
    if money.is_money() {
        let columns = [
            words("Line"),
            figures("hours"),
            figures("likely"),
            figures("low - high"),
        ];
        return table(&columns, rows, width);
    }
    rows.iter_mut().for_each(|row| {
        row.remove(2);
    });
    let columns = [words("Line"), figures("hours"), figures("low - high")];
    let text = table(&columns, rows, width);
    match self::unpriced(cost, rules) {
        Some(parts) => format!("{text}\n{}", wrapped(&format!("{parts}."), width, 2)),
        None => text,
    }
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

pub(super) fn rests_on(e: &Estimate, width: usize) -> Vec<String> {
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
