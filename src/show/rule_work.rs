//! The pages of work: a test as a work sheet, a repair, an access.

use super::rule_page::{HARD, Page, scope};
use super::table::{figures, words};
use crate::rules::Kind;
use crate::rules::file::{Minutes, PartUse, Range3, Scope};
use crate::words::three_figures;

/// The work sheet of a test.
pub(super) fn test(page: &mut Page, id: &str) {
    let rules = page.rules;
    let Some(test) = rules.tests.get(id) else {
        return;
    };
    page.say(&test.says);
    page.engines(&test.on, &test.not_on);
    let mut needs = vec![format!("time: {}", minutes(&test.minutes))];
    for set_up in &test.set_up {
        let more = rules.set_ups.get(set_up).map(|s| minutes(&s.minutes));
        let more = more.map_or(String::new(), |m| format!(", {m} to get there"));
        needs.push(format!("first: {}{more}", page.name(Kind::SetUp, set_up)));
    }
    for tool in page.names(Kind::Equipment, &test.equipment) {
        needs.push(format!("tool: {tool}"));
    }
    needs.extend(test.consumables.iter().map(|c| format!("uses up: {c}")));
    page.lines("Needs", needs);
    page.lines("Cautions", test.cautions.iter().map(|c| format!("! {c}")));
    page.lines("Steps", numbered(&test.steps));
    let rows = (test.yields.iter())
        .filter_map(|finding| {
            let it = rules.findings.get(finding)?;
            let per = match it.scope {
                Scope::Engine => String::new(),
                other => format!("each {}", scope(other)),
            };
            Some(vec![
                page.name(Kind::Finding, finding),
                it.ask.clone(),
                it.grades.join(", "),
                per,
            ])
        })
        .collect();
    let columns = [
        words("Finding"),
        words("ask"),
        words("grades"),
        words("for"),
    ];
    page.table("Write down", &columns, rows);
    page.lines("Where it misleads", test.misleads.iter().cloned());
    let basis = page.basis(&test.basis);
    page.head("Minutes and steps from", basis);
}

/// The page of a repair.
pub(super) fn repair(page: &mut Page, id: &str) {
    let rules = page.rules;
    let Some(repair) = rules.repairs.get(id) else {
        return;
    };
    page.say(&repair.says);
    page.engines(&repair.on, &repair.not_on);
    let per = match repair.scope {
        Scope::Engine => String::new(),
        other => format!(" for each {}", scope(other)),
    };
    let basis = page.basis(&repair.basis);
    let text = format!("{}{per}, once opened ({basis})", hours(&repair.hours));
    page.head("Hours (low, likely, high)", text);
    opened(page, &repair.needs);
    page.lines("Cautions", repair.cautions.iter().map(|c| format!("! {c}")));
    let parts = used(page, &repair.parts);
    page.lines("Parts", parts);
    let work = used(page, &repair.machine_work);
    page.lines("Machine work", work);
    let mut mends: Vec<_> = repair.mends.iter().collect();
    mends.sort_by(|a, b| {
        let (p, q) = (rules.chance(&a.1.chance), rules.chance(&b.1.chance));
        q.total_cmp(&p).then(a.0.cmp(b.0))
    });
    let rows = (mends.into_iter())
        .map(|(cause, link)| {
            let chance = page.chance(&link.chance);
            vec![
                page.name(Kind::Cause, cause),
                chance,
                page.basis(&link.basis),
            ]
        })
        .collect();
    let columns = [words("Cause"), words("how surely"), words("basis")];
    page.table("Mends", &columns, rows);
    page.lines("Comes with it", page.names(Kind::Repair, &repair.includes));
    page.lines("Leaves", repair.leaves.iter().cloned());
}

/// The page of an access.
pub(super) fn access(page: &mut Page, id: &str) {
    let rules = page.rules;
    let Some(access) = rules.accesses.get(id) else {
        return;
    };
    page.engines(&access.on, &[]);
    let basis = page.basis(&access.basis);
    let text = format!("{}, opening and closing ({basis})", hours(&access.hours));
    page.head("Hours (low, likely, high)", text);
    opened(page, &access.needs);
    let renewed = used(page, &access.renews);
    page.lines("Renewed once opened", renewed);
    page.lines(
        "Done on closing",
        page.names(Kind::Repair, &access.includes),
    );
    let repairs: Vec<String> = (rules.repairs.iter())
        .filter(|(_, repair)| repair.needs.iter().any(|need| need == id))
        .map(|(repair, _)| page.name(Kind::Repair, repair))
        .collect();
    page.lines("Needed by", repairs);
}

fn opened(page: &mut Page, needs: &[String]) {
    let rules = page.rules;
    let rows = (needs.iter())
        .filter_map(|need| {
            let time = hours(&rules.accesses.get(need)?.hours);
            Some(vec![page.name(Kind::Access, need), time])
        })
        .collect();
    let columns = [words("Access"), figures("hours")];
    page.table("Opened first", &columns, rows);
}

fn used(page: &Page, uses: &[PartUse]) -> Vec<String> {
    let line = |part: &PartUse| {
        let each = if part.per_cylinder {
            " for each cylinder"
        } else {
            ""
        };
        let name = page.name(Kind::Part, &part.part);
        format!("{} x {name}{each}", three_figures(part.count))
    };
    uses.iter().map(line).collect()
}

fn numbered(lines: &[String]) -> Vec<String> {
    let number = |(i, line): (usize, &String)| format!("{}. {line}", i + 1);
    lines.iter().enumerate().map(number).collect()
}

/// `5 min`, or `5 min and 3 each`.
pub(super) fn minutes(minutes: &Minutes) -> String {
    let fixed = three_figures(minutes.fixed);
    match minutes.each {
        0.0 => format!("{fixed}{HARD}min"),
        each => format!("{fixed}{HARD}min and {}{HARD}each", three_figures(each)),
    }
}

/// `1, 2, 4`.
pub(super) fn hours(hours: &Range3) -> String {
    let figures = [hours.low, hours.likely, hours.high].map(three_figures);
    figures.join(&format!(",{HARD}"))
}
