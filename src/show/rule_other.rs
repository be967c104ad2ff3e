//! The pages of the lesser kinds: facts, readings, set-ups, equipment, parts,
//! families, axes, sources.

use super::rule_page::{Page, scope, source_line};
use super::rule_work::minutes;
use super::table::{figures, words};
use crate::rules::Kind;
use crate::words::three_figures;

pub(super) fn write(page: &mut Page, kind: Kind, id: &str) {
    match kind {
        Kind::Fact => fact(page, id),
        Kind::Sign => sign(page, id),
        Kind::Reading => reading(page, id),
        Kind::Limit => limit(page, id),
        Kind::SetUp => set_up(page, id),
        Kind::Equipment => {
            let needs = |test: &crate::rules::file::Test| test.equipment.iter().any(|e| e == id);
            tests(page, "Used in", needs);
        }
        Kind::Part => part(page, id),
        Kind::Family => family(page, id),
        Kind::Axis => axis(page, id),
        Kind::Source => source(page, id),
        _ => {}
    }
}

fn fact(page: &mut Page, id: &str) {
    let rules = page.rules;
    let Some(fact) = rules.facts.get(id) else {
        return;
    };
    page.head("Asked", &fact.ask);
    page.engines(&fact.on, &[]);
    if let Some(group) = &fact.group {
        let others: Vec<String> = (rules.facts.iter())
            .filter(|(other, it)| *other != id && it.group.as_ref() == Some(group))
            .map(|(other, _)| page.name(Kind::Fact, other))
            .collect();
        page.lines("Excludes", others);
    }
    let mut causes: Vec<_> = (rules.causes.iter())
        .filter_map(|(cause, it)| Some((cause, it.history.get(id)?)))
        .collect();
    causes.sort_by(|a, b| b.1.times.total_cmp(&a.1.times).then(a.0.cmp(b.0)));
    let rows = (causes.into_iter())
        .map(|(cause, odds)| {
            let times = format!("x {}", three_figures(odds.times));
            vec![
                page.name(Kind::Cause, cause),
                times,
                page.basis(&odds.basis),
            ]
        })
        .collect();
    let columns = [words("Cause"), figures("odds"), words("basis")];
    page.table("Shifts", &columns, rows);
    let reported = (fact.reports.iter())
        .map(|(cause, link)| {
            let basis = page.basis(&link.basis);
            vec![
                page.name(Kind::Cause, cause),
                page.chance(&link.chance),
                basis,
            ]
        })
        .collect();
    let columns = [words("Cause"), words("how often"), words("basis")];
    page.table("Reports", &columns, reported);
    if let Some(falsely) = &fact.falsely {
        let basis = page.basis(&falsely.basis);
        let said = format!("{} ({basis})", page.chance(&falsely.chance));
        page.head("Said without any of them", said);
    }
    page.head("Found by typing", fact.words.join("; "));
}

fn sign(page: &mut Page, id: &str) {
    let Some(sign) = page.rules.signs.get(id) else {
        return;
    };
    page.head("Asked", &sign.ask);
    page.say(&sign.help);
    let findings = page.rules.findings_of(id).into_iter();
    let findings: Vec<String> = findings.map(|it| page.name(Kind::Finding, it)).collect();
    let head = match sign.is_summary() {
        true => "None of these",
        false => "At least one of these",
    };
    page.lines(head, findings);
    page.head("Found by typing", sign.words.join("; "));
}

fn reading(page: &mut Page, id: &str) {
    let rules = page.rules;
    let Some(reading) = rules.readings.get(id) else {
        return;
    };
    let [least, most] = reading.between.map(three_figures);
    let unit = &reading.unit;
    let text = format!(
        "{} in {unit}, {least} to {most}, for each {}",
        reading.quantity,
        scope(reading.scope)
    );
    page.head("What is read", text);
    let share = match reading.error_share {
        0.0 => String::new(),
        share => format!(" and {} of the reading", super::percent(share)),
    };
    let basis = page.basis(&reading.basis);
    let error = three_figures(reading.error);
    let text = format!("one standard deviation: {error} {unit}{share} ({basis})");
    page.head("Repeats within", text);
    let findings: Vec<String> = (rules.findings.iter())
        .filter(|(_, f)| f.measured.as_ref().is_some_and(|m| m.reading == id))
        .map(|(finding, _)| page.name(Kind::Finding, finding))
        .collect();
    page.lines("Gives", findings);
}

fn limit(page: &mut Page, id: &str) {
    let Some(limit) = page.rules.limits.get(id) else {
        return;
    };
    page.say(&limit.says);
    page.engines(&limit.on, &limit.not_on);
    let per = if limit.per_kw {
        " for each kilowatt"
    } else {
        ""
    };
    let reading = page.name(Kind::Reading, &limit.of);
    let basis = page.basis(&limit.basis);
    let most = three_figures(limit.most);
    let text = format!("{reading}: at most {most} {}{per} ({basis})", limit.unit);
    page.head("Limit", text);
}

fn set_up(page: &mut Page, id: &str) {
    let Some(set_up) = page.rules.set_ups.get(id) else {
        return;
    };
    page.head("Time to get there", minutes(&set_up.minutes));
    let ends = page.names(Kind::SetUp, &set_up.ends);
    page.lines("Ends", ends);
    tests(page, "Needed by", |test| {
        test.set_up.iter().any(|s| s == id)
    });
}

fn tests(page: &mut Page, head: &str, met: impl Fn(&crate::rules::file::Test) -> bool) {
    let tests: Vec<String> = (page.rules.tests.iter())
        .filter(|(_, test)| met(test))
        .map(|(test, _)| page.name(Kind::Test, test))
        .collect();
    page.lines(head, tests);
}

fn part(page: &mut Page, id: &str) {
    let rules = page.rules;
    let repairs = (rules.repairs.iter()).filter(|(_, repair)| {
        let uses = repair.parts.iter().chain(&repair.machine_work);
        uses.into_iter().any(|part| part.part == id)
    });
    let repairs = repairs.map(|(repair, _)| page.name(Kind::Repair, repair));
    let accesses = (rules.accesses.iter())
        .filter(|(_, access)| access.renews.iter().any(|part| part.part == id))
        .map(|(access, _)| page.name(Kind::Access, access));
    let all: Vec<String> = repairs.chain(accesses).collect();
    page.lines("Used in", all);
}

fn family(page: &mut Page, id: &str) {
    let rules = page.rules;
    let Some(family) = rules.families.get(id) else {
        return;
    };
    page.head("Traits", family.traits.join(", "));
    let banks = match family.banks {
        1 => "in one bank".to_string(),
        banks => format!("in {banks} banks"),
    };
    let layout = crate::words::count(family.cylinders, "cylinder");
    page.head("Usually", format!("{layout} {banks}"));
    let dimensions = serde_json::to_value(&family.dimensions).unwrap_or_default();
    let lines = dimensions.as_object().into_iter().flatten();
    let lines = lines.filter_map(|(key, figure)| {
        let figure = three_figures(figure.as_f64()?);
        Some(format!("{}: {figure}", key.replace('_', " ")))
    });
    page.lines("Dimensions, where the job gives none", lines);
    let traits = rules.family_traits(family);
    let met = |on: &[String], not_on: &[String]| rules.applies(&traits, on, not_on);
    let causes = rules.causes.values().filter(|c| met(&c.on, &c.not_on));
    let findings = rules.findings.values().filter(|f| met(&f.on, &f.not_on));
    let tests = rules.tests.values().filter(|t| met(&t.on, &t.not_on));
    let text = format!(
        "{}, {}, {}",
        crate::words::count(causes.count(), "cause"),
        crate::words::count(findings.count(), "finding"),
        crate::words::count(tests.count(), "test")
    );
    page.head("Known of it", text);
}

fn axis(page: &mut Page, id: &str) {
    let Some(axis) = page.rules.axes.get(id) else {
        return;
    };
    let many = if axis.many { "any of" } else { "one of" };
    page.head("Words", format!("{many}: {}", axis.traits.join(", ")));
    let groups = (axis.groups.iter()).map(|(group, of)| format!("{group}: {}", of.join(" or ")));
    page.lines("Short for several", groups);
    let counted = axis
        .cylinders
        .iter()
        .map(|(word, [from, to])| match from == to {
            true => format!("{word}: {}", crate::words::count(*from, "cylinder")),
            false => format!("{word}: {from} to {to} cylinders"),
        });
    page.lines("Follow from the layout, never given", counted);
}

fn source(page: &mut Page, id: &str) {
    let rules = page.rules;
    let Some(source) = rules.sources.get(id) else {
        return;
    };
    page.say(source_line(source));
    page.head("Says", &source.says);
    page.head("Address", &source.address);
    let cited = rules.bases().filter(|b| b.sources.iter().any(|s| s == id));
    page.head("Cited", crate::words::count(cited.count(), "time"));
}
