//! The choices that matter side by side, for the owner's document.

use super::estimate::days;
use super::report::{about, from_to, in_hundred, percent};
use super::worth;
use crate::decide::desk::Desk;
use crate::decide::estimate::{Choice, Estimate};
use maud::{Markup, html};

/// Choices set side by side, doing nothing among them.
const MOST: usize = 3;

/// Indices of the choices set side by side: the best, the next, and doing nothing.
pub(super) fn beside(e: &Estimate) -> Vec<usize> {
    let shown = e.shown();
    let idle = |i: &usize| e.choices[*i].package.is_empty();
    let doing = shown.iter().copied().filter(|i| !idle(i)).take(MOST - 1);
    doing.chain(shown.iter().copied().filter(idle)).collect()
}

/// Cards side by side, their costs to one scale.
pub(super) fn choices(e: &Estimate, desk: &Desk) -> Markup {
    let money = &desk.pricer.pricing.currency;
    let shown = beside(e);
    let points = shown.iter().map(|i| e.choices[*i].cost.points[2]);
    let dearest = points.max().unwrap_or(0);
    html! {
        h2 { "What can be done" }
        @if let Some((test, total)) = super::estimate::test_first(e) {
            p class="first" { strong { "First: " (test.test.title) "." } " It costs " (about(test.cost, money)) " and saves " (about(test.saves, money)) " on average, because it can change the choice; in the end " (about(total, money)) " on average."
                @if let Some(turn) = e.stands.as_ref().and_then(|s| s.turn.as_ref()) { " " (worth::turned(turn, e, desk)) } }
        }
        div class="cards" { @for i in shown { (card(e, i, dearest, desk)) } }
        p class="dim" {
            @if money.is_money() { "Cost: eight times in ten it falls in the range, tax included; the mark is the middle." }
            @else { "Hours of labour: eight times in ten they fall in the range; the mark is the middle. Parts are extra." }
            " In the end: what is paid on average, with what would have to be done later for what is left."
        }
    }
}

fn card(e: &Estimate, i: usize, dearest: i64, desk: &Desk) -> Markup {
    let c = &e.choices[i];
    let money = &desk.pricer.pricing.currency;
    let [low, _, high] = c.cost.points;
    let cost = from_to([low, high], money);
    let best = e.best == Some(i);
    html! {
        div class={ "card" @if best { " best" } } {
            @if best { p class="tag" { @if super::estimate::test_first(e).is_some() { "Best if nothing more is tested" } @else { "We propose this" } } }
            h3 { (c.title) }
            p class="says" { (c.says) }
            p class="big" { @if c.package.is_empty() { "nothing now" } @else { (cost) } }
            @if !c.package.is_empty() { (range_bar(c.cost.points, dearest, &cost)) }
            p { "Cures the complaint in " strong { (in_hundred(c.cures)) } "." }
            (share_bar(c.cures))
            p class="dim" { "In the end " (about(c.expected, money)) " on average" @if !c.package.is_empty() { "; " (days(c.cost.days).replace('-', "\u{2013}")) " days" } "." }
            @if let Some(then) = &c.then { (after(c, then, desk)) }
            @if let Some(danger) = &c.danger { p class="no" { "Not to be run so: it leaves " (crate::words::lower(danger)) "." } }
            @if !c.left.is_empty() { p class="dim" { "Leaves: " (left(c)) "." } }
        }
    }
}

fn after(c: &Choice, then: &crate::decide::estimate::Stage, desk: &Desk) -> Markup {
    let money = &desk.pricer.pricing.currency;
    let [low, _, high] = then.cost.points;
    html! {
        p { "In " (in_hundred(then.reached)) " it does not cure it; then " (crate::words::lower(&then.title)) ", " (from_to([low, high], money)) " more. Paid for the work on average: " (about(c.paid, money)) "." }
    }
}

fn left(c: &Choice) -> String {
    const MOST: usize = 3;
    let left = c.left.iter().take(MOST);
    let left: Vec<String> = left
        .map(|l| {
            format!(
                "{} ({})",
                crate::words::lower(&l.title),
                percent(l.probability)
            )
        })
        .collect();
    left.join("; ")
}

/// A share as a bar; the figure stands above it in words.
pub(super) fn share_bar(share: f64) -> Markup {
    let width = format!("{:.1}", share.clamp(0.0, 1.0) * 200.0);
    html! {
        svg viewBox="0 0 200 10" role="img" aria-label=(percent(share)) {
            rect class="track" x="0" y="0" width="200" height="10" rx="2" {}
            rect class="fill" x="0" y="0" width=(width) height="10" rx="2" {}
        }
    }
}

/// The cost range to scale: a bar from 10 to 90 %, a mark at the middle.
fn range_bar(points: [i64; 3], most: i64, label: &str) -> Markup {
    const LEAST: f64 = 6.0;
    let at = |x: i64| x as f64 / most.max(1) as f64 * 200.0;
    let [low, mid, high] = points.map(at);
    let (x, width) = (low.min(200.0 - LEAST), (high - low).max(LEAST));
    html! {
        svg viewBox="0 0 200 18" role="img" aria-label=(label) {
            rect class="track" x="0" y="0" width="200" height="18" rx="2" {}
            rect class="fill" x=(format!("{x:.1}")) y="2" width=(format!("{width:.1}")) height="14" rx="2" {}
            rect class="mid" x=(format!("{:.1}", mid.min(197.0))) y="0" width="3" height="18" {}
        }
    }
}
