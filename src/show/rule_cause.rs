//! The page of a cause.

use super::percent;
use super::rule_page::{HARD, Page, scope};
use super::table::{figures, words};
use crate::rules::Kind;
use crate::rules::file::{Cause, CauseSort, Link};
use crate::words::{capital, three_figures};

pub(super) fn write(page: &mut Page, id: &str) {
    let rules = page.rules;
    let Some(cause) = rules.causes.get(id) else {
        return;
    };
    page.say(&cause.says);
    let dangers = cause.danger.iter().flat_map(|d| d.all());
    let dangers = dangers.map(|danger| {
        let which = page.which(&danger.on, &danger.not_on);
        let start = if which.is_empty() { "" } else { ": " };
        format!("{}{start}{}", capital(&which), danger.says)
    });
    let dangers: Vec<String> = dangers.collect();
    page.lines("Danger", dangers);
    page.engines(&cause.on, &cause.not_on);
    common(page, cause);
    let roots = (cause.brought_on_by.iter())
        .map(|(root, link)| {
            let chance = page.chance(&link.chance);
            vec![
                page.name(Kind::Cause, root),
                chance,
                page.basis(&link.basis),
            ]
        })
        .collect();
    let columns = [words("Root cause"), words("brings it on"), words("basis")];
    page.table("Brought on by", &columns, roots);
    let effects = (rules.causes.iter())
        .filter_map(|(other, effect)| Some((other, effect.brought_on_by.get(id)?)))
        .map(|(other, link)| {
            let chance = page.chance(&link.chance);
            vec![
                page.name(Kind::Cause, other),
                chance,
                page.basis(&link.basis),
            ]
        })
        .collect();
    let columns = [words("Cause"), words("how often"), words("basis")];
    page.table("Brings on", &columns, effects);
    shows(page, cause);
    let told = (cause.told_from.iter())
        .map(|(other, text)| format!("{}: {text}", page.name(Kind::Cause, other)))
        .collect::<Vec<_>>();
    page.lines("Told apart from", told);
    page.head("Looked for", &cause.look_for);
    mended(page, id);
}

fn common(page: &mut Page, cause: &Cause) {
    let of = match cause.scope {
        crate::rules::file::Scope::Pair => "pairs of neighbours",
        crate::rules::file::Scope::Engine => "engines",
        crate::rules::file::Scope::Cylinder => "cylinders",
        crate::rules::file::Scope::Plug => "spark plugs",
    };
    let sort = match cause.sort {
        CauseSort::Fault => "",
        CauseSort::Root => " It is a root cause: what brings faults about.",
        CauseSort::Measurement => " It is a fault of measuring, not of the engine.",
    };
    let basis = page.basis(&cause.base_rate.basis);
    let note = match cause.base_rate.note.as_str() {
        "" => String::new(),
        note => format!(" {note}"),
    };
    page.head(
        "How common",
        format!(
            "{} of 1000 {of} ({basis}), of engines brought in with a complaint.{note}{sort}",
            three_figures(cause.base_rate.per_1000)
        ),
    );
    let mut rows = Vec::new();
    for odds in &cause.more_common {
        let basis = page.basis(&odds.basis);
        let which = match odds.not_on.is_empty() {
            true => page.by_axis(&odds.on),
            false => page.which(&odds.on, &odds.not_on),
        };
        rows.push(vec![which, times(odds.times), basis]);
    }
    for (fact, odds) in &cause.history {
        let basis = page.basis(&odds.basis);
        rows.push(vec![page.name(Kind::Fact, fact), times(odds.times), basis]);
    }
    let columns = [words("When"), figures("odds"), words("basis")];
    page.table("More or less common", &columns, rows);
}

fn times(times: f64) -> String {
    format!("x {}", three_figures(times))
}

fn shows(page: &mut Page, cause: &Cause) {
    let rules = page.rules;
    let mut links: Vec<(&String, &Link)> = (cause.shows.iter())
        .flat_map(|(id, links)| links.all().iter().map(move |link| (id, link)))
        .collect();
    links.sort_by(|a, b| {
        let (p, q) = (rules.chance(&a.1.chance), rules.chance(&b.1.chance));
        q.total_cmp(&p).then(a.0.cmp(b.0))
    });
    let rows = (links.into_iter())
        .map(|(id, link)| {
            let finding = rules.findings.get(id);
            let mut grades = shared(link, finding.map(|f| &f.grades));
            let which = page.which(&link.on, &link.not_on);
            if !which.is_empty() {
                grades = format!("{grades} ({which})").trim_start().to_string();
            }
            let sound = finding.map(|f| percent(rules.chance(&f.sound.chance)));
            vec![
                page.name(Kind::Finding, id),
                page.chance(&link.chance),
                grades,
                sound.unwrap_or_default(),
                page.basis(&link.basis),
            ]
        })
        .collect();
    let columns = [
        words("Finding"),
        words("how often"),
        words("and then"),
        figures("sound"),
        words("basis"),
    ];
    let head = format!("Shows, alone, for one {}", scope(cause.scope));
    page.table(&head, &columns, rows);
}

/// The shares of the grades above 0, in their order: `fair 29 %, poor 57 %`.
pub(super) fn shared(link: &Link, grades: Option<&Vec<String>>) -> String {
    let total: f64 = link.grades.values().sum();
    let empty = Vec::new();
    let shares: Vec<String> = (grades.unwrap_or(&empty).iter())
        .filter_map(|grade| Some((grade, link.grades.get(grade)?)))
        .map(|(grade, weight)| format!("{grade} {}", percent(weight / total)).replace(' ', HARD))
        .collect();
    shares.join(", ")
}

fn mended(page: &mut Page, id: &str) {
    let rules = page.rules;
    let rows = (rules.mended_by(id).into_iter())
        .filter_map(|repair| Some((repair, rules.repairs.get(repair)?)))
        .map(|(name, repair)| {
            let chance = repair.mends.get(id).map(|link| page.chance(&link.chance));
            let hours = super::rule_work::hours(&repair.hours);
            vec![
                page.name(Kind::Repair, name),
                chance.unwrap_or_default(),
                hours,
            ]
        })
        .collect();
    let columns = [words("Repair"), words("how surely"), words("hours")];
    page.table("Mended by", &columns, rows);
}
