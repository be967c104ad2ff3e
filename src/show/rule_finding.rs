//! The page of a finding.

use super::percent;
use super::rule_cause::shared;
use super::rule_page::{Page, scope};
use super::table::{figures, words};
use crate::rules::Kind;
use crate::rules::file::Finding;
use crate::words::three_figures;

pub(super) fn write(page: &mut Page, id: &str) {
    let rules = page.rules;
    let Some(finding) = rules.findings.get(id) else {
        return;
    };
    page.head("Asked", &finding.ask);
    page.say(&finding.help);
    let belongs = format!(
        "{} (for each {}; the first is what a sound engine shows)",
        finding.grades.join(", "),
        scope(finding.scope)
    );
    page.head("Grades", belongs);
    measured(page, finding);
    page.engines(&finding.on, &finding.not_on);
    let basis = page.basis(&finding.sound.basis);
    let how = match shared(&finding.sound, Some(&finding.grades)).as_str() {
        "" => String::new(),
        shares => format!(": {shares}"),
    };
    let sound = format!("{}{how} ({basis})", page.chance(&finding.sound.chance));
    let head = match &finding.value_of {
        None => "On a sound engine",
        Some(_) => "Of any complaint, whatever is behind it",
    };
    page.head(head, sound);
    points(page, id, finding);
    let tests = rules.yielded_by(id).into_iter();
    let rows = tests
        .filter_map(|test| {
            let minutes = super::rule_work::minutes(&rules.tests.get(test)?.minutes);
            Some(vec![page.name(Kind::Test, test), minutes])
        })
        .collect();
    page.table("Found by", &[words("Test"), words("time")], rows);
    let hidden = page.names(Kind::Finding, &finding.hides);
    page.lines("While it is seen, these cannot be judged", hidden);
    let hiders: Vec<String> = (rules.findings.iter())
        .filter(|(_, other)| other.hides.iter().any(|hidden| hidden == id))
        .map(|(other, _)| page.name(Kind::Finding, other))
        .collect();
    page.lines("Cannot be judged while these are seen", hiders);
    let signs: Vec<String> = (rules.signs_of(id).into_iter())
        .map(|sign| page.name(Kind::Sign, sign))
        .collect();
    page.lines("Belongs to", signs);
    let implied: Vec<String> = (finding.implies.iter())
        .map(|(other, grade)| format!("{}: {grade}", page.name(Kind::Finding, other)))
        .collect();
    page.lines("Answers also, when it is seen", implied);
    let excluded = rules.excluded_by(id).into_iter();
    let excluded: Vec<String> = excluded.map(|it| page.name(Kind::Finding, it)).collect();
    page.lines("Cannot be so with", excluded);
    page.head("Found by typing", finding.words.join("; "));
}

fn measured(page: &mut Page, finding: &Finding) {
    let Some(measured) = &finding.measured else {
        return;
    };
    let reading = page.name(Kind::Reading, &measured.reading);
    let bounds: Vec<String> = measured.bounds.iter().map(|b| three_figures(*b)).collect();
    let basis = page.basis(&measured.basis);
    let by = serde_json::to_value(measured).ok();
    let by = by.as_ref().and_then(|m| m["by"].as_str()).unwrap_or("raw");
    let by = match by {
        "raw" => "as read".to_string(),
        by => format!("reduced: {}", by.replace('-', " ")),
    };
    let text = format!("{reading}, {by}; bounds {} ({basis})", bounds.join(", "));
    page.head("Measured", text);
    let elsewhere = measured.instead.iter().map(|other| {
        let bounds: Vec<String> = other.bounds.iter().map(|b| three_figures(*b)).collect();
        let (on, basis) = (other.on.join(", "), page.basis(&other.basis));
        format!("on {on}: {} ({basis})", bounds.join(", "))
    });
    let elsewhere: Vec<String> = elsewhere.collect();
    page.lines("Bounds elsewhere", elsewhere);
}

/// The causes that show it, those that raise the odds most first.
fn points(page: &mut Page, id: &str, finding: &Finding) {
    let rules = page.rules;
    let sound = rules.chance(&finding.sound.chance);
    let mut causes: Vec<_> = (rules.causes.iter())
        .filter_map(|(cause, it)| Some((cause, it.shows.get(id)?)))
        .flat_map(|(cause, links)| links.all().iter().map(move |link| (cause, link)))
        .map(|(cause, link)| (rules.chance(&link.chance), cause, link))
        .collect();
    causes.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(b.1)));
    let rows = (causes.into_iter())
        .map(|(chance, cause, link)| {
            // seen at all, the cause alone present, against a sound engine
            let seen = match &finding.value_of {
                None => 1.0 - (1.0 - chance) * (1.0 - sound),
                Some(_) => chance,
            };
            let times = match sound {
                s if s > 0.0 => format!("x {}", three_figures(seen / s)),
                _ => "proof".into(),
            };
            let mut grades = shared(link, Some(&finding.grades));
            let which = page.which(&link.on, &link.not_on);
            if !which.is_empty() {
                grades = format!("{grades} ({which})").trim_start().to_string();
            }
            vec![
                page.name(Kind::Cause, cause),
                page.chance(&link.chance),
                grades,
                times,
            ]
        })
        .collect();
    let columns = [
        words("Cause"),
        words("how often"),
        words("and then"),
        figures("odds"),
    ];
    let head = match &finding.value_of {
        None => format!("Points to (a sound engine shows it in {})", percent(sound)),
        Some(_) => format!("Points to (any complaint has it in {})", percent(sound)),
    };
    page.table(&head, &columns, rows);
}
