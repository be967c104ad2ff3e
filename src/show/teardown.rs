//! The inspection sheet in the terminal and as a page to print, with boxes to tick.

use super::report_style::STYLE;
use super::{ALARM, FAINT, RISE, STRONG, percent, styled, wrapped};
use crate::engine::{Engine, Place};
use crate::rules::file::Form;
use crate::teardown::sheet::{Look, Part, Sheet, ToMeasure};
use crate::words::listed;
use maud::{DOCTYPE, Markup, PreEscaped, html};
use serde_json::{Value, json};

/// What stands before the stages, always.
const BEFORE: &str = "The maker's manual, local codes and licensed practice go before this sheet; on aircraft a licensed engineer decides and signs.";

/// Heads of the lists of a stage, in the order of work.
fn lists<'p>(part: &'p Part) -> [(&'static str, &'p [String]); 4] {
    let stage = part.stage;
    [
        ("Photograph", &stage.photograph),
        ("Mark", &stage.mark),
        ("Keep together", &stage.keep),
        ("Beware", &stage.beware),
    ]
}

/// What is never used again, and what opening it renews.
fn renewed(part: &Part) -> String {
    let mut never: Vec<String> = part.stage.never_reuse.clone();
    if !part.renews.is_empty() {
        never.push(format!(
            "To order: {}.",
            listed(&part.renews, "and").to_lowercase()
        ));
    }
    never.join(" ")
}

fn how(measure: &ToMeasure) -> String {
    let m = measure.measure;
    let form = match m.form {
        Form::Bore => "=80.05/80.02 80.03/80.01 80.00/80.00",
        Form::Journal => "=47.98/47.97 47.98/47.98",
        Form::Single => "=0.15",
        Form::Each => "=0.06",
    };
    let at = match measure.places.first() {
        Some(Place::Engine) | None => String::new(),
        Some(place) => format!("@{place}"),
    };
    format!("bench {}{at}{form}", m.measure)
}

fn places(places: &[Place]) -> String {
    match places {
        [Place::Engine] | [] => String::new(),
        all => {
            let all: Vec<String> = all.iter().map(|p| format!("[ ] {p}")).collect();
            all.join("  ")
        }
    }
}

/// The sheet for the terminal.
pub fn page(sheet: &Sheet, engine: &Engine, width: usize) -> String {
    let mut parts = vec![
        styled(
            STRONG,
            wrapped(&format!("Inspection sheet: {}", engine.name), width, 0),
        ),
        wrapped(BEFORE, width, 0),
    ];
    for (number, part) in (1..).zip(&sheet.parts) {
        parts.push(stage(number, part, width));
    }
    if !sheet.beyond.is_empty() {
        let text = format!(
            "Nothing suspected calls for going deeper: {}.",
            listed(&sheet.beyond, "and").to_lowercase()
        );
        parts.push(wrapped(&text, width, 0));
    }
    parts.join("\n\n")
}

fn stage(number: usize, part: &Part, width: usize) -> String {
    let mut lines = vec![styled(STRONG, format!("{number}. {}", part.stage.title))];
    for caution in &part.stage.cautions {
        lines.push(styled(ALARM, wrapped(&format!("! {caution}"), width, 2)));
    }
    for (head, list) in lists(part) {
        for line in list {
            lines.push(wrapped(&format!("[ ] {head}: {line}"), width, 4));
        }
    }
    let never = renewed(part);
    if !never.is_empty() {
        lines.push(wrapped(&format!("Never again: {never}"), width, 2));
    }
    if !part.suspects.is_empty() {
        lines.push(styled(STRONG, "Suspected here"));
        for s in &part.suspects {
            lines.push(wrapped(
                &format!("  {} ({}): {}", s.title, percent(s.probability), s.look_for),
                width,
                4,
            ));
            for (other, text) in &s.told_from {
                let text = wrapped(
                    &format!("    not {}: {text}", other.to_lowercase()),
                    width,
                    6,
                );
                lines.push(styled(FAINT, text));
            }
        }
    }
    let open: Vec<&Look> = part.looks.iter().filter(|l| !l.done).collect();
    if !open.is_empty() {
        lines.push(styled(STRONG, "Look, most telling first"));
        for look in open {
            lines.push(wrapped(
                &format!("[ ] {} ({})", look.ask, look.grades.join(", ")),
                width,
                4,
            ));
            let at = places(&look.places);
            let id = format!("    {} {at}", look.finding);
            lines.push(styled(FAINT, wrapped(id.trim_end(), width, 4)));
        }
    }
    if !part.measures.is_empty() {
        lines.push(styled(STRONG, "Measure, most telling first"));
        for m in &part.measures {
            lines.push(wrapped(
                &format!("[ ] {}: {}", m.measure.title, m.measure.says),
                width,
                4,
            ));
            let text = format!("    {}", how(m));
            lines.push(styled(FAINT, text));
        }
    }
    for stop in &part.stops {
        let text = format!("Stop if: {} {}", stop.found, stop.then);
        lines.push(styled(RISE, wrapped(&text, width, 2)));
    }
    lines.join("\n")
}

const OWN: &str = "
ul.tick{list-style:none;padding-left:0}ul.tick li{padding:.12rem 0 .12rem 1.6rem;position:relative}
ul.tick li::before{content:'';position:absolute;left:.1rem;top:.42rem;width:.8em;height:.8em;border:1.5px solid var(--ink)}
.where{white-space:nowrap;margin-right:.9rem}.where::before{content:'';display:inline-block;width:.7em;height:.7em;border:1.3px solid var(--ink);margin-right:.3em}
.stop{border:1.5px solid var(--ink);padding:.3rem .7rem;margin:.4rem 0;break-inside:avoid}
code{font-size:.85em}.line{display:inline-block;min-width:9rem;border-bottom:1px solid var(--ink)}
@media print{section.stage{break-before:auto}h3{break-after:avoid}ul.tick li{break-inside:avoid}}
";

/// The sheet as a page to print.
pub fn document(sheet: &Sheet, engine: &Engine, shop: &str, date: &str) -> String {
    let title = format!("Inspection sheet: {}", engine.name);
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (title) }
                style { (PreEscaped(STYLE)) (PreEscaped(OWN)) }
            }
            body {
                header {
                    @if !shop.is_empty() { p class="dim" { (shop) } }
                    h1 { (title) }
                    p class="dim" { (date) ". Done by " span class="line" {} }
                    p { (BEFORE) }
                }
                main {
                    @for (number, part) in (1..).zip(&sheet.parts) { (stage_html(number, part)) }
                    @if !sheet.beyond.is_empty() {
                        p { "Nothing suspected calls for going deeper: " (listed(&sheet.beyond, "and").to_lowercase()) "." }
                    }
                }
            }
        }
    };
    page.into_string()
}

fn stage_html(number: usize, part: &Part) -> Markup {
    let never = renewed(part);
    html! { section class="stage" {
        h2 { (number) ". " (part.stage.title) }
        @for caution in &part.stage.cautions { p class="warn" { strong { "Caution. " } (caution) } }
        @for (head, list) in lists(part) { @if !list.is_empty() {
            h3 { (head) }
            ul class="tick" { @for line in list { li { (line) } } }
        } }
        @if !never.is_empty() { p { strong { "Never used again. " } (never) } }
        @if !part.suspects.is_empty() {
            h3 { "Suspected here" }
            div class="wide" { table {
                thead { tr { th scope="col" { "Suspect" } th scope="col" class="n" { "Chance" } th scope="col" { "What it looks like" } } }
                tbody { @for s in &part.suspects { tr {
                    th scope="row" { (s.title) }
                    td class="n" { (percent(s.probability)) }
                    td { (s.look_for) @for (other, text) in &s.told_from { div class="dim" { "Not " (other.to_lowercase()) ": " (text) } } }
                } } }
            } }
        }
        @if part.looks.iter().any(|l| !l.done) {
            h3 { "Look, most telling first" }
            ul class="tick" { @for look in part.looks.iter().filter(|l| !l.done) { li {
                (look.ask) " " span class="dim" { "(" (look.grades.join(", ")) ")" }
                @if look.places != [Place::Engine] { div { @for place in &look.places { span class="where" { (place) } } } }
                div class="dim" { code { (look.finding) } }
            } } }
        }
        @if !part.measures.is_empty() {
            h3 { "Measure, most telling first" }
            ul class="tick" { @for m in &part.measures { li {
                strong { (m.measure.title) } ". " (m.measure.says) " " span class="dim" { (m.measure.instrument) "." }
                @if m.places != [Place::Engine] { div { @for place in &m.places { span class="where" { (place) " " span class="line" {} } } } }
                @else { div { span class="line" {} } }
                div class="dim" { code { (how(m)) } }
            } } }
        }
        @for stop in &part.stops { p class="stop" { strong { "Stop if: " } (stop.found) " " em { (stop.then) } } }
    } }
}

/// `teardown --json`.
pub fn json(job: &str, sheet: &Sheet) -> Value {
    let stages: Vec<Value> = (sheet.parts.iter())
        .map(|part| {
            json!({
                "stage": part.stage.stage,
                "title": part.stage.title,
                "cautions": part.stage.cautions,
                "photograph": part.stage.photograph,
                "mark": part.stage.mark,
                "keep": part.stage.keep,
                "beware": part.stage.beware,
                "never_reuse": part.stage.never_reuse,
                "renew": part.renews,
                "suspects": part.suspects.iter().map(|s| json!({
                    "cause": s.id, "title": s.title, "probability": s.probability, "look_for": s.look_for,
                })).collect::<Vec<_>>(),
                "look": part.looks.iter().map(|l| json!({
                    "finding": l.finding, "ask": l.ask, "grades": l.grades, "bits": l.bits, "done": l.done,
                    "where": l.places.iter().map(Place::to_string).collect::<Vec<_>>(),
                })).collect::<Vec<_>>(),
                "measure": part.measures.iter().map(|m| json!({
                    "measure": m.measure.measure, "title": m.measure.title, "bits": m.bits,
                })).collect::<Vec<_>>(),
                "stop": part.stops.iter().map(|s| json!({"found": s.found, "then": s.then})).collect::<Vec<_>>(),
            })
        })
        .collect();
    json!({"job": job, "stages": stages, "beyond": sheet.beyond})
}
