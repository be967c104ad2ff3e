//! The owner's document: one HTML file that stands alone, no scripts, nothing
//! fetched. Everything put in is escaped by the library that makes the HTML.
//!
//! The first sheet is for whoever pays: three lines, the figures, the choices,
//! why, and what is agreed. The second ([`super::report_sheet`]) is for another
//! workshop.

use super::report_style::STYLE;
use super::{likelihood, report_bench, report_choices, report_sheet};
use crate::decide::case::LineCase;
use crate::decide::desk::Desk;
use crate::decide::estimate::{Behind, Choice, Estimate};
use crate::decide::package::on_cylinders;
use crate::diagnose::rank::Ranking;
use crate::engine::Place;
use crate::job::figures::Gauge;
use crate::money::Currency;
use crate::plug::Matched;
use crate::rules::file::{CauseSort, Footing};
use crate::words::{capital, count, listed, lower};
use maud::{DOCTYPE, Markup, PreEscaped, html};
use std::collections::BTreeSet;

/// From this blame on the first cause is named alone.
const SETTLED: f64 = 0.5;

/// What the document is made from, beside estimate and desk.
#[derive(Debug, Clone, Copy)]
pub struct Paper<'a> {
    /// The shop's name.
    pub shop: &'a str,
    /// The complaint in the owner's words.
    pub complaint: &'a str,
    /// Date of the document, as it is to be printed.
    pub date: &'a str,
    /// The ranking.
    pub ranking: &'a Ranking,
    /// What to know about the readings.
    pub warnings: &'a [String],
    /// The gauges' figures.
    pub gauges: &'a [Gauge],
    /// What was measured with the engine open, where anything was.
    pub opened: Option<&'a super::bench::Opened<'a>>,
    /// The plugs that were read.
    pub plugs: &'a [(Place, Matched<'a, 'a>)],
    /// The day until which it holds; none where the date is no date.
    pub until: Option<&'a str>,
}

/// The whole document.
pub fn document(paper: Paper, e: &Estimate, desk: &Desk) -> String {
    let engine = desk.d.engine;
    let title = format!("Engine report: {}", engine.name);
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                (PreEscaped(crate::disk::MARK))
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (title) }
                style { (PreEscaped(STYLE)) @if paper.opened.is_some() { (PreEscaped(super::bench_page::OWN)) } }
            }
            body {
                header {
                    @if !paper.shop.is_empty() { p class="dim" { (paper.shop) } }
                    h1 { (engine.name) }
                    p class="dim" { (family(desk)) ", " (count(engine.cylinders(), "cylinder")) ". " (paper.date) "." }
                    @if !paper.complaint.is_empty() { p { "You told us: " q { (paper.complaint) } } }
                }
                main {
                    (in_three_lines(paper, e, desk))
                    (report_bench::gauges(paper.gauges))
                    (report_bench::plugs(paper.plugs))
                    @if let Some(opened) = paper.opened { (super::bench_page::section(opened)) }
                    (report_choices::choices(e, desk))
                    (why(e, desk))
                    (ruled_out(e))
                    (judgement(e, desk))
                    (agreed(paper, e, desk))
                }
                (report_sheet::sheet(paper, e, desk))
            }
        }
    };
    page.into_string()
}

fn family(desk: &Desk) -> String {
    let family = desk.d.rules.families.get(&desk.d.engine.family);
    family.map_or(desk.d.engine.family.clone(), |f| f.title.clone())
}

pub(super) fn where_is(place: Place) -> String {
    match place {
        Place::Engine => "Engine".into(),
        place => capital(place.after("").trim_start_matches(", ")),
    }
}

/// A probability for an owner: "77 %", the gap a no-break space.
pub(super) fn percent(p: f64) -> String {
    let text = match p * 100.0 {
        h if h <= 0.0 => "0 %".into(),
        h if h < 1.0 => "under 1 %".into(),
        h if h > 99.0 && h < 100.0 => "over 99 %".into(),
        h => format!("{h:.0} %"),
    };
    text.replace(' ', "\u{a0}")
}

/// A range set as it is printed, with a dash that does not break.
pub(super) fn range(text: &str) -> String {
    text.replace(" - ", "\u{a0}\u{2013}\u{a0}")
        .replace(' ', "\u{a0}")
}

/// What was typed, as it is printed: a space before the percent sign.
pub(super) fn typeset(text: &str) -> String {
    let mut set = String::with_capacity(text.len());
    for c in text.chars() {
        if c == '%' && set.ends_with(|before: char| before.is_ascii_digit()) {
            set.push('\u{a0}');
        }
        set.push(c);
    }
    set
}

/// An amount to whole units from twenty on: nobody is quoted tenths.
pub(super) fn rounded(amount: f64, money: &Currency) -> f64 {
    let unit = money.unit() as f64;
    match money.is_money() && amount >= 20.0 * unit {
        true => (amount / unit).round() * unit,
        false => amount,
    }
}

/// "1 460 – 2 320 EUR".
pub(super) fn from_to([low, high]: [i64; 2], money: &Currency) -> String {
    let whole = |x: i64| rounded(x as f64, money) as i64;
    range(&money.range(whole(low), whole(high)))
}

/// "1 460 EUR".
pub(super) fn about(amount: f64, money: &Currency) -> String {
    range(&money.about(rounded(amount, money)))
}

/// What is probably wrong, what is proposed, what must not be done meanwhile.
fn in_three_lines(paper: Paper, e: &Estimate, desk: &Desk) -> Markup {
    let others = paper.ranking.dangers.iter();
    let said = e.meanwhile.as_ref().map(|m| m.says.as_str());
    let others: BTreeSet<&str> = others
        .map(|d| d.text.as_str())
        .filter(|t| Some(*t) != said)
        .collect();
    html! {
        dl class="three" {
            dt { "Probably wrong" } dd { (wrong(e)) }
            dt { "We propose" } dd { (proposed(e, desk)) }
            @if let Some(danger) = &e.meanwhile {
                dt class="no" { "Until then" } dd { strong { (danger.says) } " (" (danger.title) ", " (percent(danger.probability)) ")"
                    @for other in others { br; strong { (other) } } }
            } @else {
                dt { "Until then" } dd {
                    @for other in &others { strong { (other) } " " }
                    "Stop at once when the oil pressure falls, it overheats or knocks, or oil and water mix." }
            }
        }
    }
}

fn wrong(e: &Estimate) -> String {
    let faults: Vec<&Behind> = (e.behind.iter())
        .filter(|b| b.sort != CauseSort::Root)
        .collect();
    match faults.as_slice() {
        [] if !e.observed => "Nothing has been observed yet.".into(),
        [] => "Nothing that we found points to a fault.".into(),
        [first, ..] if first.behind >= SETTLED => format!(
            "{}: {} ({}).",
            first.title,
            likelihood(first.behind),
            percent(first.behind)
        ),
        several => {
            let named: Vec<String> = (several.iter().take(3))
                .map(|b| format!("{} ({})", lower(&b.title), percent(b.behind)))
                .collect();
            format!("Not settled yet: {}.", listed(&named, "or"))
        }
    }
}

fn proposed(e: &Estimate, desk: &Desk) -> Markup {
    let Some(best) = e.best.map(|i| &e.choices[i]) else {
        return html! {
            @if e.observed { "No choice takes the danger away; we must look further." }
            @else { "No repair yet." @if let Some(test) = &e.begin_with { " First of all: " (lower(&test.title)) "." } }
        };
    };
    let money = &desk.pricer.pricing.currency;
    let [low, _, high] = best.cost.points;
    html! {
        @if let Some((test, _)) = super::estimate::test_first(e) {
            strong { "One test first: " (lower(&test.test.title)) } " (" (about(test.cost, money)) "), because it can change the choice. If nothing more is tested: "
        }
        strong { (best.title) } ". "
        @if best.package.is_empty() { "It costs nothing now." }
        @else {
            (from_to([low, high], money)) @if !money.is_money() { " of labour, parts extra" }
            @if best.then.is_some() { " for the first step" }
            "; it cures the complaint in " (in_hundred(best.cures)) "."
        }
    }
}

/// "83 of 100 such cases".
pub(super) fn in_hundred(p: f64) -> String {
    match (p * 100.0).round() {
        h if h >= 100.0 => "nearly every such case".into(),
        h if h < 1.0 => "hardly any such case".into(),
        h => format!("{h} of 100 such cases"),
    }
}

/// Why each piece of work, in sentences.
fn why(e: &Estimate, desk: &Desk) -> Markup {
    let Some(best) = e.best.map(|i| &e.choices[i]) else {
        return html! {};
    };
    html! {
        h2 { "Why" }
        @if best.package.is_empty() { (watching(e)) }
        @for case in &e.case { (reasons(case, desk)) }
        @if !e.while_open.is_empty() { (beside(e, desk)) }
    }
}

fn reasons(case: &LineCase, desk: &Desk) -> Markup {
    let repair = &desk.d.rules.repairs[&case.repair];
    let at = on_cylinders(&case.cylinders, desk.d.engine.cylinders());
    let answers: Vec<String> = (case.answers.iter())
        .map(|a| format!("{} ({})", lower(&a.title), percent(a.probability)))
        .collect();
    html! {
        p { strong { (repair.title) (at) "." } " " (repair.says)
            @if !answers.is_empty() { " It answers " (listed(&answers, "and")) "." }
            @if !case.speaks_for.is_empty() { " For it speaks: " (said(&case.speaks_for)) "." }
            @if !case.speaks_against.is_empty() { " Against it: " (said(&case.speaks_against)) "." } }
    }
}

/// The weightiest readings.
fn said(readings: &[(String, f64)]) -> String {
    const MOST: usize = 3;
    let texts: Vec<String> = (readings.iter().take(MOST))
        .map(|(said, _)| typeset(said))
        .collect();
    texts.join("; ")
}

fn beside(e: &Estimate, desk: &Desk) -> Markup {
    let money = &desk.pricer.pricing.currency;
    html! {
        h3 { "While it is open" }
        p { "Nothing in your complaint asks for this, but it is easily reached then. You decide." }
        ul { @for w in &e.while_open { li {
            (w.title) " for " (lower(&w.cause)) " (" (percent(w.present)) "): "
            (from_to(w.adds, money)) " more"
        } } }
    }
}

fn watching(e: &Estimate) -> Markup {
    html! {
        @if !e.watch.look_at.is_empty() { p { "Watch: " (e.watch.look_at.join("; ")) "." } }
        @for text in &e.watch.stop_when { p { (text) } }
    }
}

/// What was ruled out, by the reading that did it.
fn ruled_out(e: &Estimate) -> Markup {
    let mut by: Vec<(&str, Vec<String>)> = Vec::new();
    for out in &e.ruled_out {
        let said = format!("{} ({})", lower(&out.title), percent(out.now));
        match by.iter_mut().find(|(reading, _)| *reading == out.by) {
            Some((_, titles)) => titles.push(said),
            None => by.push((&out.by, vec![said])),
        }
    }
    html! {
        @if !by.is_empty() {
            h2 { "What was ruled out" }
            ul { @for (reading, titles) in by { li { (typeset(reading)) " speaks against " (listed(&titles, "and")) "." } } }
        }
    }
}

/// What rests on judgement, and what goes before this paper.
fn judgement(e: &Estimate, desk: &Desk) -> Markup {
    let pricing = desk.pricer.pricing;
    let best: Option<&Choice> = e.best.map(|i| &e.choices[i]);
    let parts = best.and_then(|c| super::estimate::unpriced(&c.cost, desk.d.rules));
    let judged = e.case.iter().flat_map(|c| &c.answers);
    let judged = judged.filter(|a| a.footing == Footing::Judgement).count();
    html! {
        h2 { "What is judgement" }
        p { "The chances come from rules that are partly published, partly common practice and partly judgement, and from the readings. Hours and prices are ranges, not a quotation. What an opened engine shows can change the work; we ask before going on."
            @if judged > 0 { " How surely the work mends what it answers is judgement in " (count(judged, "place")) " here." } }
        @if !pricing.currency.is_money() { p { "Amounts are in hours of labour: no prices were given." } }
        @if let Some(parts) = parts { p { (parts) "." } }
        p { "The maker's manual, local codes and licensed practice go before this paper; for aircraft the licensed engineer and the maker's data decide." }
    }
}

/// What is agreed, until when it holds, and who signs.
fn agreed(paper: Paper, e: &Estimate, desk: &Desk) -> Markup {
    let days = desk.pricer.pricing.valid_days as usize;
    let shop = match paper.shop {
        "" => "For the shop",
        shop => shop,
    };
    html! {
        section class="agreed" {
            h2 { "Agreed" }
            p { "Valid for " (count(days, "day")) " from its date" @if let Some(until) = paper.until { ", until " (until) } "." }
            p { "The work agreed (mark one, strike out the rest):" }
            ul class="agreed" {
                @if let Some((test, _)) = super::estimate::test_first(e) { li { "Test first: " (test.test.title) } }
                @for i in report_choices::beside(e) { li { (e.choices[i].title) } }
                @for w in &e.while_open { li { "Also: " (w.title) } }
                li { "Other: " span class="rule" {} }
            }
            p { "Not to cost more than, without asking: " span class="rule" {} }
            div class="sign" { div { (shop) ", date" } div { "The owner, date" } }
        }
    }
}
