//! The owner's document: one HTML file that stands alone, no scripts, nothing
//! fetched. Everything put in is escaped by the library that makes the HTML.

use super::estimate::{days, line_title};
use super::report_style::STYLE;
use super::{likelihood, percent, report_bench, worth};
use crate::decide::desk::Desk;
use crate::decide::estimate::{Choice, Estimate};
use crate::decide::package::on_cylinders;
use crate::diagnose::rank::Ranking;
use crate::engine::Place;
use crate::job::figures::Gauge;
use crate::plug::Matched;
use maud::{DOCTYPE, Markup, PreEscaped, html};
use std::collections::{BTreeMap, BTreeSet};

/// Causes shown in the ranking.
const MOST_CAUSES: usize = 8;
/// Causes followed from reading to reading.
const MOST_FOLLOWED: usize = 4;

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
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (title) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                header {
                    @if !paper.shop.is_empty() { p class="dim" { (paper.shop) } }
                    h1 { (engine.name) }
                    p class="dim" { (family(desk)) ", " (crate::words::count(engine.cylinders(), "cylinder")) ". " (paper.date) "." }
                    @if !paper.complaint.is_empty() { p { "You told us: " q { (paper.complaint) } } }
                }
                main {
                    @for danger in &paper.ranking.dangers {
                        p class="warn" { strong { "Danger. " } (danger.title) " (" (percent(danger.probability)) "). " (danger.text) }
                    }
                    (found(paper.warnings, desk))
                    (report_bench::gauges(paper.gauges))
                    (report_bench::plugs(paper.plugs))
                    (causes(paper.ranking))
                    (followed(e, desk))
                    (choices(e, desk))
                    (advice(e, desk))
                    (small_print(e, desk))
                    (agreed(paper, e, desk))
                }
            }
        }
    };
    page.into_string()
}

fn family(desk: &Desk) -> String {
    let family = desk.d.rules.families.get(&desk.d.engine.family);
    family.map_or(desk.d.engine.family.clone(), |f| f.title.clone())
}

fn found(warnings: &[String], desk: &Desk) -> Markup {
    let mut at: BTreeMap<Place, Vec<&str>> = BTreeMap::new();
    for o in desk.d.observations {
        at.entry(o.place).or_default().push(&o.said);
    }
    html! {
        h2 { "What we found" }
        @if at.is_empty() { p { "Nothing has been observed or measured yet." } }
        @else {
            div class="wide" { table {
                thead { tr { th scope="col" { "Where" } th scope="col" { "What was seen or measured" } } }
                tbody { @for (place, said) in &at { tr {
                    th scope="row" { (where_is(*place)) }
                    td { @for line in said { div { (line) } } }
                } } }
            } }
        }
        @for warning in warnings { p class="dim" { (warning) } }
    }
}

pub(super) fn where_is(place: Place) -> String {
    match place {
        Place::Engine => "Engine".into(),
        place => place.after("").trim_start_matches(", ").to_string(),
    }
}

/// A share as a bar; the figure stands beside it in words.
fn share_bar(share: f64) -> Markup {
    let width = format!("{:.1}", share.clamp(0.0, 1.0) * 200.0);
    html! {
        svg viewBox="0 0 200 12" role="img" aria-label=(percent(share)) {
            rect class="track" x="0" y="1" width="200" height="10" rx="2" {}
            rect class="fill" x="0" y="1" width=(width) height="10" rx="2" {}
        }
    }
}

fn causes(ranking: &Ranking) -> Markup {
    let shown = ranking.kinds.iter().take(MOST_CAUSES);
    html! {
        h2 { "What is probably wrong" }
        div class="wide" { table {
            thead { tr { th scope="col" { "Cause" } th scope="col" { "Chance" } th scope="col" class="n" { "Now" } th scope="col" class="n" { "At first" } } }
            tbody { @for (i, kind) in shown.enumerate() { @if i < 3 || kind.probability >= 0.03 { tr {
                td { (kind.title) @if let Some(place) = kind.place { (place.after("")) } }
                td { (share_bar(kind.probability)) }
                td class="n" { (percent(kind.probability)) }
                td class="n" { (percent(kind.prior)) }
            } } } }
        } }
        @if let Some(first) = ranking.kinds.first() {
            p class="dim" { "In words: the first is " (likelihood(first.probability)) ". More than one thing can be wrong at once, so the chances need not add up to a hundred." }
        }
    }
}

/// How belief moved, reading by reading.
fn followed(e: &Estimate, desk: &Desk) -> Markup {
    let mut leading: Vec<usize> = (0..desk.stakes.len()).collect();
    leading.sort_by(|a, b| {
        desk.stakes[*b]
            .present
            .total_cmp(&desk.stakes[*a].present)
            .then(a.cmp(b))
    });
    leading.truncate(MOST_FOLLOWED);
    html! {
        @if e.course.len() > 1 {
            h2 { "How each reading moved it" }
            div class="wide" { table {
                thead { tr {
                    th scope="col" { "After" }
                    @for &i in &leading { th scope="col" class="n" style="white-space:normal" { (desk.d.title(&desk.stakes[i].kind, desk.stakes[i].place)) } }
                } }
                tbody { @for (n, step) in e.course.iter().enumerate() { tr {
                    th scope="row" { @if n == 0 { "its history alone" } @else { (desk.d.observations[n - 1].said) } }
                    @for &i in &leading { td class="n" { (percent(step[i])) } }
                } } }
            } }
        }
    }
}

/// The cost range to scale: a bar from 10 to 90 %, a mark at the middle.
fn range_bar(points: [i64; 3], most: i64, label: &str) -> Markup {
    let at = |x: i64| x as f64 / most.max(1) as f64 * 196.0;
    let [low, mid, high] = points.map(at);
    let (x, width) = (format!("{low:.1}"), format!("{:.1}", (high - low).max(2.0)));
    html! {
        svg viewBox="0 0 200 12" role="img" aria-label=(label) {
            rect class="track" x="0" y="5" width="200" height="2" {}
            rect class="fill" x=(x) y="2" width=(width) height="8" rx="2" {}
            rect class="mid" x=(format!("{mid:.1}")) y="0" width="2.5" height="12" {}
        }
    }
}

fn choices(e: &Estimate, desk: &Desk) -> Markup {
    let money = &desk.pricer.pricing.currency;
    let most = e.dearest();
    let range = |c: &Choice| money.range(c.cost.points[0], c.cost.points[2]);
    let first = super::estimate::test_first(e);
    html! {
        h2 { "What can be done" }
        div class="wide" { table class="choices" {
            thead { tr {
                th scope="col" { "Choice" } th scope="col" class="n" { "Cost" } th scope="col" class="bar" { "To scale" }
                th scope="col" class="n" { "Chance that it cures" } th scope="col" class="n" { "In the end" } th scope="col" class="n" { "Days" }
            } }
            tbody {
                @if let Some((test, total)) = first { tr class="best" {
                    td { "Test first: " (test.test.title) " (pays best)" div class="dim says" { "Then decide; what it shows can change the choice." } }
                    td class="n" { (money.about(test.cost)) } td class="bar" {} td class="n" {} td class="n" { (money.about(total)) } td class="n" { "0" }
                } }
                @for (i, c) in e.choices.iter().enumerate() { tr class=[(e.best == Some(i) && first.is_none()).then_some("best")] {
                td { (c.title) @if e.best == Some(i) { @if first.is_some() { " (best if nothing more is tested)" } @else { " (pays best)" } } div class="dim says" { (c.says) } @if let Some(danger) = &c.danger { div class="no" { "Not to be run so: it leaves " (danger) "." } } }
                td class="n" { (range(c)) }
                td class="bar" { (range_bar(c.cost.points, most, &range(c))) }
                td class="n" { (percent(c.cures)) }
                td class="n" { (money.about(c.expected)) }
                td class="n" { (days(c.cost.days)) }
            } } }
        } }
        p class="dim" { "Cost: eight times in ten it falls in the range, tax included; the mark is the middle. \"In the end\" adds what would on average be spent later on those of these faults that are left in place." }
    }
}

fn advice(e: &Estimate, desk: &Desk) -> Markup {
    let Some(best) = e.best.map(|i| &e.choices[i]) else {
        return html! {
            h2 { "What we advise" }
            @if e.observed { p { "No choice takes the danger away. Do not run it; we must look further." } }
            @else { p { "Nothing has been observed yet, so we recommend no repair."
                @if let Some(test) = &e.begin_with { " The first thing to do: " (test.title) "." } } }
        };
    };
    let money = &desk.pricer.pricing.currency;
    html! {
        @if let Some((test, _)) = super::estimate::test_first(e) {
            h2 { "What we advise: one more test first" }
            p { (test.test.title) ": " (money.about(test.cost)) ". What it shows saves " (money.about(test.saves)) " on average, because it can change the choice." }
            @if let Some(turn) = e.stands.as_ref().and_then(|s| s.turn.as_ref()) { p { (worth::turned(turn, e, desk)) } }
            h2 { "If nothing more is tested: " (best.title) }
        } @else {
            h2 { "What we advise: " (best.title) }
            @if e.stands.as_ref().is_some_and(|s| s.tests.is_empty()) { p { "No further test would change this choice." } }
        }
        @if best.package.is_empty() { (watching(e)) }
        @else { (best_lines(best, desk)) (case(e, desk)) }
        @if !best.left.is_empty() {
            h3 { "What this leaves" }
            ul { @for left in &best.left { li { (left.title) " (" (percent(left.probability)) ")" } } }
        }
        @if !e.ruled_out.is_empty() {
            h3 { "No longer in question" }
            ul { @for out in &e.ruled_out { li { (out.title) ": was " (percent(out.was)) ", now " (percent(out.now)) " (" (out.by) ")" } } }
        }
        @if let Some(stands) = &e.stands {
            h3 { "What the choice turns on" }
            ul { @for flip in &stands.flips { li { (worth::flipped(flip, e, desk)) } } }
        }
        @if !e.open.is_empty() { p { "Not known yet: what " (crate::words::listed(&e.open, "or")) " would show." } }
    }
}

fn watching(e: &Estimate) -> Markup {
    html! {
        @if !e.watch.look_at.is_empty() { p { "Watch: " (e.watch.look_at.join("; ")) "." } }
        p { "Stop at once when oil pressure falls, it overheats or knocks, or oil and water mix." }
        @for text in &e.watch.stop_when { p { (text) } }
    }
}

fn best_lines(best: &Choice, desk: &Desk) -> Markup {
    let money = &desk.pricer.pricing.currency;
    let all = desk.d.engine.cylinders();
    html! { div class="wide" { table {
        thead { tr { th scope="col" { "Work and parts" } th scope="col" class="n" { "Hours" } th scope="col" class="n" { "Likely" } th scope="col" class="n" { "From - to" } } }
        tbody {
            @for line in &best.cost.lines { tr {
                td { (line_title(line, desk.d.rules, all)) @if !line.priced { " (no price yet)" } }
                td class="n" { @if let Some(h) = line.hours { (crate::words::three_figures(h.likely)) } }
                td class="n" { (money.rough(line.price[1] as f64)) }
                td class="n" { (money.rough(line.price[0] as f64)) " - " (money.rough(line.price[2] as f64)) }
            } }
            @if best.cost.tax > 0 { tr { td { "Tax" } td {} td class="n" { (money.rough(best.cost.tax as f64)) } td {} } }
            tr class="best" { td { "Sum of the likely figures" } td class="n" { (crate::words::three_figures(best.cost.hours[1])) }
                td class="n" { (money.about(best.cost.likely as f64)) } td class="n" { (money.range(best.cost.points[0], best.cost.points[2])) } }
        }
    } } }
}

fn case(e: &Estimate, desk: &Desk) -> Markup {
    let mut cautions: BTreeSet<&str> = BTreeSet::new();
    for case in &e.case {
        cautions.extend(
            desk.d.rules.repairs[&case.repair]
                .cautions
                .iter()
                .map(String::as_str),
        );
    }
    html! {
        h2 { "Why each piece of work" }
        @for case in &e.case {
            @let repair = &desk.d.rules.repairs[&case.repair];
            h3 { (repair.title) (on_cylinders(&case.cylinders, desk.d.engine.cylinders())) }
            p { (repair.says) }
            @if !case.answers.is_empty() { p { "It answers: "
                @for (i, a) in case.answers.iter().enumerate() { @if i > 0 { "; " } (a.title) " (" (percent(a.probability)) @if let Some((low, high)) = a.range { ", with doubt " (percent(low)) " to " (percent(high)) } ")" } "." } }
            @if !case.speaks_for.is_empty() { p { "Speaks for it: " (said(&case.speaks_for)) "." } }
            @if !case.speaks_against.is_empty() { p { "Speaks against it: " (said(&case.speaks_against)) "." } }
        }
        h2 { "Cautions" }
        ul { @for caution in cautions { li { (caution) } } }
    }
}

fn said(readings: &[(String, f64)]) -> String {
    let texts: Vec<&str> = readings
        .iter()
        .take(4)
        .map(|(said, _)| said.as_str())
        .collect();
    texts.join("; ")
}

fn small_print(e: &Estimate, desk: &Desk) -> Markup {
    let pricing = desk.pricer.pricing;
    html! {
        h2 { "What this rests on" }
        p { "The chances come from rules that are partly published, partly common practice and partly judgement, and from the readings above. Hours and prices are ranges, not a quotation. What an opened engine shows can change the work; we will ask before going on." }
        @if !pricing.currency.is_money() { p { "Amounts are in hours of labour: no prices were given." } }
        @else if !e.unpriced.is_empty() { p { "For want of prices some parts are reckoned widely, by judgement." } }
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
        h2 { "Agreed" }
        p { "Valid for " (crate::words::count(days, "day")) " from its date" @if let Some(until) = paper.until { ", until " (until) } "." }
        p { "The work agreed (mark one, strike out the rest):" }
        ul class="agreed" {
            @if let Some((test, _)) = super::estimate::test_first(e) { li { "Test first: " (test.test.title) } }
            @for choice in &e.choices { li { (choice.title) } }
            li { "Other: " span class="rule" {} }
        }
        p { "Not to cost more than, without asking: " span class="rule" {} }
        div class="sign" { div { (shop) ", date" } div { "The owner, date" } }
    }
}
