//! The second sheet of the owner's document: what another workshop needs to
//! follow it or to quarrel with it.

use super::estimate::{days, line_title, unpriced};
use super::report::{Paper, about, from_to, percent, range, rounded, typeset, where_is};
use super::report_choices::share_bar;
use super::worth;
use crate::decide::cost::Cost;
use crate::decide::desk::Desk;
use crate::decide::estimate::Estimate;
use crate::engine::Place;
use crate::words::{listed, three_figures};
use maud::{Markup, html};
use std::collections::{BTreeMap, BTreeSet};

/// The whole sheet.
pub(super) fn sheet(paper: Paper, e: &Estimate, desk: &Desk) -> Markup {
    html! {
        section class="sheet" {
            h1 { "For another workshop" }
            p class="dim" { (desk.d.engine.name) ". " (paper.date) "." }
            (found(paper.warnings, desk))
            (causes(e))
            @if let Some(best) = e.best.map(|i| &e.choices[i]) {
                @if !best.package.is_empty() {
                    h2 { "The work proposed, line by line" }
                    (bill(&best.cost, desk))
                    @if let Some(then) = &best.then { h3 { "If that does not cure it" } (bill(&then.cost, desk)) }
                    (cautions(e, desk))
                }
            }
            (all_choices(e, desk))
            @if let Some(stands) = &e.stands {
                h2 { "What the choice turns on" }
                ul { @for flip in &stands.flips { li { (worth::flipped(flip, e, desk)) } } }
                @if stands.tests.is_empty() { p { "No further test would change this choice." } }
            }
            @if !e.open.is_empty() { p { "Not known yet: what " (listed(&e.open, "or")) " would show." } }
        }
    }
}

fn found(warnings: &[String], desk: &Desk) -> Markup {
    let mut at: BTreeMap<Place, BTreeSet<&str>> = BTreeMap::new();
    for o in desk.d.observations {
        at.entry(o.place).or_default().insert(&o.said);
    }
    html! {
        h2 { "What was seen and measured" }
        @if at.is_empty() { p { "Nothing has been observed or measured yet." } }
        @else {
            div class="wide" { table {
                thead { tr { th scope="col" { "Where" } th scope="col" { "What" } } }
                tbody { @for (place, said) in &at { tr {
                    th scope="row" { (where_is(*place)) }
                    td { @for line in said { div { (bare(line, *place)) } } }
                } } }
            } }
        }
        @for warning in warnings { p class="dim" { (warning) } }
    }
}

/// What was said without its place, which stands beside it.
fn bare(said: &str, place: Place) -> String {
    typeset(&said.replace(&place.after(""), ""))
}

fn causes(e: &Estimate) -> Markup {
    html! {
        @if !e.behind.is_empty() {
            h2 { "What is behind the complaint" }
            div class="wide" { table {
                thead { tr { th scope="col" { "Cause" } th scope="col" class="bar" { "Chance" } th scope="col" class="n" { "Behind it" } th scope="col" class="n" { "Present" } } }
                tbody { @for b in &e.behind { tr {
                    td { (b.title) }
                    td class="bar" { (share_bar(b.behind)) }
                    td class="n" { (percent(b.behind)) }
                    td class="n" { (percent(b.present)) }
                } } }
            } }
            p class="dim" { "More than one thing can be wrong at once, so the chances need not add up to a hundred." }
        }
    }
}

/// A bill, parts without a price on one line.
fn bill(cost: &Cost, desk: &Desk) -> Markup {
    let money = &desk.pricer.pricing.currency;
    let all = desk.d.engine.cylinders();
    let rules = desk.d.rules;
    let priced = cost.lines.iter().filter(|line| match money.is_money() {
        true => line.priced,
        false => line.is_labour(),
    });
    let figure = |x: i64| money.rough(rounded(x as f64, money));
    let between = |low: i64, high: i64| range(&format!("{} - {}", figure(low), figure(high)));
    let sum = |k: usize| {
        cost.lines
            .iter()
            .filter(|l| !l.priced)
            .map(|l| l.price[k])
            .sum::<i64>()
    };
    html! { div class="wide" { table {
        thead { tr { th scope="col" { "Work and parts" } th scope="col" class="n" { "Hours" }
            @if money.is_money() { th scope="col" class="n" { "Likely, " (money.code) } } th scope="col" class="n" { "From – to" } } }
        tbody {
            @for line in priced { tr {
                td { (line_title(line, rules, all)) }
                td class="n" { @if let Some(h) = line.hours { (three_figures(h.likely)) } }
                @if money.is_money() { td class="n" { (figure(line.price[1])) } }
                td class="n" { (between(line.price[0], line.price[2])) }
            } }
            @if let Some(parts) = unpriced(cost, rules) { tr {
                td { (parts) @if money.is_money() { " (by judgement)" } } td class="n" {}
                @if money.is_money() { td class="n" { (figure(sum(1))) } td class="n" { (between(sum(0), sum(2))) } }
                @else { td class="n" {} }
            } }
            @if cost.tax > 0 { tr { td { "Tax" } td {} td class="n" { (figure(cost.tax)) } td {} } }
            tr class="best" { td { "Sum of the likely figures" } td class="n" { (three_figures(cost.hours[1])) }
                @if money.is_money() { td class="n" { (figure(cost.likely)) } }
                td class="n" { (between(cost.points[0], cost.points[2])) } }
        }
    } } }
}

fn cautions(e: &Estimate, desk: &Desk) -> Markup {
    let repairs = e
        .case
        .iter()
        .filter_map(|case| desk.d.rules.repairs.get(&case.repair));
    let cautions: BTreeSet<&str> = repairs
        .flat_map(|r| r.cautions.iter().map(String::as_str))
        .collect();
    html! { @if !cautions.is_empty() {
        h2 { "Cautions" }
        ul { @for caution in cautions { li { (caution) } } }
    } }
}

fn all_choices(e: &Estimate, desk: &Desk) -> Markup {
    let money = &desk.pricer.pricing.currency;
    html! {
        h2 { "Every choice that was compared" }
        div class="wide" { table {
            thead { tr { th scope="col" { "Choice" } th scope="col" class="n" { "Cost" } th scope="col" class="n" { "Cures" } th scope="col" class="n" { "In the end" } th scope="col" class="n" { "Days" } } }
            tbody { @for i in e.shown() { @let c = &e.choices[i]; tr class=[(e.best == Some(i)).then_some("best")] {
                td { (c.title) @if let Some(danger) = &c.danger { div class="no" { "Leaves " (crate::words::lower(danger)) "; not to be run so." } } }
                td class="n" { (from_to([c.cost.points[0], c.cost.points[2]], money)) }
                td class="n" { (percent(c.cures)) }
                td class="n" { (about(c.expected, money)) }
                td class="n" { (days(c.cost.days).replace('-', "\u{2013}")) }
            } } }
        } }
    }
}
