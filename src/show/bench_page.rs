//! The bench as an HTML page, and the part of it that the owner's document shows.

use super::bench::{
    Drawn, In, Opened, bores, depth, found, in_order, left, limit, stands, whereabouts, whose,
};
use super::report_style::STYLE;
use super::{percent, report::where_is};
use crate::bench::Standing;
use crate::measure::UnitSet;
use crate::teardown::after::{After, Moved};
use maud::{DOCTYPE, Markup, PreEscaped, html};

/// The bench as a page of its own.
pub fn document(engine: &str, opened: &Opened, after: Option<&After>) -> String {
    let title = format!("On the bench: {engine}");
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
                header { h1 { (title) } }
                main { (section(opened)) @if let Some(after) = after { (settled(after)) } }
            }
        }
    };
    page.into_string()
}

/// What the bench adds to the style of the owner's document.
pub const OWN: &str = "
.bores{display:grid;grid-template-columns:repeat(auto-fill,minmax(12rem,1fr));gap:1rem}
.bores svg{max-height:14rem;background:none}.bores text{font:11px system-ui,sans-serif;fill:var(--ink)}
.bores .wall{fill:none;stroke:var(--dim);stroke-width:1.2}.bores .worn{fill:var(--warn);fill-opacity:.75}.bores .lim{stroke:var(--ink);stroke-dasharray:3 3;stroke-width:1}
td.out{color:var(--warn);font-weight:600}
";

/// Values, bores drawn, and what is to be done.
pub fn section(opened: &Opened) -> Markup {
    html! {
        h2 { "Measured with the engine open" }
        @if opened.judged.is_empty() { p { "Nothing has been measured yet." } }
        @else {
            div class="wide" { table {
                thead { tr {
                    th scope="col" { "Measured, " (In::of("length", opened.units).unit) } th scope="col" { "Where" } th scope="col" class="n" { "Found" }
                    th scope="col" class="n" { "Limit" } th scope="col" { "Whose" } th scope="col" { "Is" } th scope="col" class="n" { "Wear left" }
                } }
                tbody { @for it in in_order(opened) { tr {
                    th scope="row" { (it.value.title) }
                    td { (whereabouts(it)) }
                    td class="n" { (found(it, opened.units)) }
                    td class="n" { (limit(it, opened.units)) }
                    td { (whose(it)) }
                    td class=[(it.standing == Some(Standing::Out)).then_some("out")] { (stands(it.standing)) }
                    td class="n" { (left(it)) }
                } } }
            } }
            p class="dim" { "± holds the true value 95 times in 100. Near: from eight tenths of the limit on, or within the doubt of it. A limit marked general stands in for the maker's." }
        }
        @let drawn = bores(opened);
        @if !drawn.is_empty() {
            h3 { "The bores, wear drawn large" }
            div class="bores" { @for bore in &drawn { (figure(bore, opened.units)) } }
            p class="dim" { "Cut open from the side: left across the pin, right along it. The line is a straight wall, the dark what is worn away, the dashes the limit of wear." }
        }
        @for remedy in &opened.remedies { p { strong { "To do: " } (remedy.says) } }
        @for note in opened.notes { p class="dim" { (note) } }
    }
}

/// A bore cut open: the worn wall on both axes, much enlarged.
fn figure(bore: &Drawn, units: UnitSet) -> Markup {
    let unit = In::of("length", units);
    let n = bore.over.len().max(2);
    let y = |i: usize| 22.0 + 120.0 * i as f64 / (n - 1) as f64;
    let wide = |v: f64| (v / bore.full).clamp(0.0, 1.0) * 34.0;
    let side = |axis: usize| {
        let (wall, sign) = if axis == 0 {
            (55.0, -1.0)
        } else {
            (145.0, 1.0)
        };
        let known: Vec<(f64, f64)> = (bore.over.iter().enumerate())
            .filter_map(|(i, row)| Some((y(i), wall + sign * wide(row[axis]?))))
            .collect();
        let mut points: Vec<String> = known
            .iter()
            .map(|(y, x)| format!("{x:.1},{y:.1}"))
            .collect();
        points.extend(known.iter().rev().map(|(y, _)| format!("{wall:.1},{y:.1}")));
        (
            points.join(" "),
            wall,
            wall + sign * bore.limit.map_or(0.0, wide),
        )
    };
    let label = format!(
        "{}: {}",
        bore.place.after("Bore"),
        bore.over
            .iter()
            .enumerate()
            .map(|(i, row)| {
                let said = |v: Option<f64>| {
                    v.map_or("not reached".to_string(), |v| {
                        format!("{} {}", unit.figure(v), unit.unit)
                    })
                };
                format!(
                    "{} {} across, {} along",
                    depth(i, bore.over.len()),
                    said(row[0]),
                    said(row[1])
                )
            })
            .collect::<Vec<_>>()
            .join("; ")
    );
    html! { figure {
        svg viewBox="0 0 200 160" role="img" aria-label=(label) {
            @for axis in 0..2 {
                @let (points, wall, lim) = side(axis);
                polygon class="worn" points=(points) {}
                line class="wall" x1=(wall) x2=(wall) y1="16" y2="148" {}
                @if bore.limit.is_some() { line class="lim" x1=(format!("{lim:.1}")) x2=(format!("{lim:.1}")) y1="16" y2="148" {} }
                @for (i, row) in bore.over.iter().enumerate() { @if let Some(v) = row[axis] {
                    text x=(if axis == 0 { "59" } else { "141" }) y=(format!("{:.1}", y(i) + 4.0)) text-anchor=(if axis == 0 { "start" } else { "end" }) { (format!("{:+}", unit.number(v))) }
                } }
            }
        }
        figcaption { strong { (where_is(bore.place)) } ", " (unit.unit) " over " (format!("{:.3}", bore.base * 1e3)) " mm" }
    } }
}

/// What opening the engine has settled.
pub fn settled(after: &After) -> Markup {
    let rows = |word: &str, list: &[Moved]| {
        html! {
            @for m in list { tr { th scope="row" { (m.title) } td { (word) } td class="n" { (percent(m.was)) } td class="n" { (percent(m.now)) } } }
        }
    };
    html! {
        h2 { "What opening it has settled" }
        div class="wide" { table {
            thead { tr { th scope="col" { "Cause" } th scope="col" { "" } th scope="col" class="n" { "Closed" } th scope="col" class="n" { "Opened" } } }
            tbody { (rows("confirmed", &after.confirmed)) (rows("refuted", &after.refuted)) (rows("open", &after.open)) }
        } }
        @if !after.unexplained.is_empty() { p { "Still unexplained: " (after.unexplained.join("; ")) "." } }
    }
}
