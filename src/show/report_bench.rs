//! What was measured and seen, drawn for the owner's document: each gauge's
//! figures by cylinder as bars with the limits marked, and the plugs.

use super::plug_drawn::Drawn;
use super::plug_svg::svg;
use crate::engine::Place;
use crate::job::figures::{Gauge, Row};
use crate::plug::Matched;
use maud::{Markup, PreEscaped, html};

/// Width of a bar in the drawing's own units.
const BAR: f64 = 200.0;

/// Every gauge with figures of single places.
pub fn gauges(gauges: &[Gauge]) -> Markup {
    let drawn: Vec<&Gauge> = (gauges.iter())
        .filter(|gauge| gauge.rows.iter().any(|row| row.place != Place::Engine))
        .collect();
    html! {
        @if !drawn.is_empty() { h2 { "What was measured, cylinder by cylinder" } }
        @for gauge in drawn { (figures(gauge)) }
    }
}

fn figures(gauge: &Gauge) -> Markup {
    let graded = gauge.rows.iter().filter_map(|row| row.grading.as_ref());
    let bounds = graded.clone().next().is_some();
    let marks = graded.flat_map(|it| it.bounds.iter().copied().chain([it.value]));
    let most = marks.fold(0.0, f64::max) * 1.1;
    html! {
        h3 { (gauge.title) }
        div class="wide" { table {
            thead { tr {
                th scope="col" { "Where" } th scope="col" class="n" { "Reading" }
                th scope="col" class="bar" { "To scale" } th scope="col" { "That is" }
            } }
            tbody { @for row in &gauge.rows { tr {
                th scope="row" { (super::report::where_is(row.place)) }
                td class="n" { (super::report::typeset(said(row))) }
                td class="bar" { @if let Some(it) = &row.grading { (bar(it.value, &it.bounds, most, &format!("{}, {}", said(row), it.grade))) } }
                td { @if let Some(it) = &row.grading { (it.grade) } }
            } } }
        } }
        @if bounds { p class="dim" { "The upright marks are the limits between sound and worse." } }
        @for line in &gauge.says { p { (line) } }
    }
}

fn said(row: &Row) -> &str {
    row.takes.last().map_or("", |take| take.said.as_str())
}

/// A figure as a bar with limits marked.
fn bar(value: f64, bounds: &[f64], most: f64, label: &str) -> Markup {
    let at = |x: f64| (x / most.max(f64::MIN_POSITIVE)).clamp(0.0, 1.0) * BAR;
    html! {
        svg viewBox="0 0 200 14" role="img" aria-label=(label) {
            rect class="track" x="0" y="2" width="200" height="10" rx="2" {}
            rect class="fill" x="0" y="2" width=(format!("{:.1}", at(value))) height="10" rx="2" {}
            @for bound in bounds { rect class="mid" x=(format!("{:.1}", at(*bound))) y="0" width="2" height="14" {} }
        }
    }
}

/// The plugs as they were seen.
pub fn plugs(plugs: &[(Place, Matched)]) -> Markup {
    html! {
        @if !plugs.is_empty() {
            h2 { "The spark plugs as they were seen" }
            p class="dim" { "Drawn from what was noted; what was not is drawn as on a sound plug." }
            div class="plugs" { @for (place, matched) in plugs {
                @let (each, _) = matched.probabilities();
                @let words = matched.looks.words(matched.chart);
                figure {
                    div role="img" aria-label=(place.after(&format!("Spark plug, {words}"))) { (drawing(*place, matched)) }
                    figcaption {
                        strong { (super::report::where_is(*place)) } ": " (words) "."
                        @for c in matched.called() { " " (matched.chart.conditions[c].it.title) " (" (super::percent(each[c])) ")." }
                    }
                }
            } }
        }
    }
}

/// A plug's drawing, to stand inside a page: described by what is about it.
fn drawing(place: Place, matched: &Matched) -> Markup {
    let seen = Drawn::of_looks(matched.chart, &matched.looks);
    let drawn = svg(&seen, &format!("own-{place}"));
    let drawn = drawn.replacen(" xmlns=\"http://www.w3.org/2000/svg\"", "", 1);
    PreEscaped(drawn.replacen("role=\"img\"", "aria-hidden=\"true\"", 1))
}
