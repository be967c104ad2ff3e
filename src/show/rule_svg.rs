//! A part of the rule graph, or the whole system by system, as one
//! self-contained SVG.
//!
//! Boxes in columns, links as curves: the thicker the surer. Kind is told by
//! column heading and by outline, never by colour alone; pointing at a link says
//! it in words.

use super::rule_draw::{Told, told};
use super::rule_layout::{LINE, Layout, Seat, WIDTH, layout, overall};
use crate::graph::{Graph, Link};
use crate::rules::{Kind, Rules};
use maud::{Markup, html};
use petgraph::graph::NodeIndex;
use petgraph::visit::EdgeRef;
use std::collections::BTreeMap;

const STYLE: &str = "
svg { background: #fff; font: 12px system-ui, sans-serif; }
text { fill: #1c1c1c; } .head { font-weight: 600; font-size: 13px; }
rect { fill: #f7f7f5; stroke: #55534d; } .finding { rx: 12px; } .test { stroke-dasharray: 5 3; } .fact { stroke-dasharray: 1 3; }
.centre { stroke-width: 3; fill: #fff3d6; } path { fill: none; stroke: #35618f; stroke-opacity: .55; }
.mends { stroke: #2d7a46; } .brings { stroke: #a2452b; } .thin { stroke: #77746c; stroke-dasharray: 4 4; }
path:hover { stroke: #000; stroke-opacity: 1; }
@media (prefers-color-scheme: dark) { svg { background: #191a1c; } text { fill: #ececea; } rect { fill: #26282b; stroke: #a5a29a; }
 .centre { fill: #4a3b14; } path { stroke: #7fb0e6; } .mends { stroke: #7bcf98; } .brings { stroke: #eb9a80; } .thin { stroke: #9a978f; } path:hover { stroke: #fff; } }
";

/// A box as painted.
struct Boxed<'s> {
    seat: &'s Seat,
    class: String,
    said: String,
}

/// A link as painted.
struct Line {
    path: String,
    class: &'static str,
    width: f64,
    said: String,
}

/// The part of the graph around a thing, which is marked.
pub fn around(rules: &Rules, graph: &Graph, centre: (Kind, &str)) -> String {
    let layout = layout(rules, graph);
    let title = |node: NodeIndex| {
        let (kind, id) = &graph.it[node];
        rules
            .entry(*kind, id)
            .map_or(id.as_str(), |entry| entry.title)
    };
    let marked = graph.find(centre.0, centre.1);
    let boxes = (layout.seats.iter()).map(|(node, seat)| {
        let (kind, id) = &graph.it[*node];
        let mark = if marked == Some(*node) { " centre" } else { "" };
        Boxed {
            seat,
            class: format!("{kind}{mark}"),
            said: format!("{kind}: {} ({id})", title(*node)),
        }
    });
    let lines = graph.it.edge_references().filter_map(|edge| {
        let (from, link, to) = (edge.source(), *edge.weight(), edge.target());
        let Told { chance, how } = told(rules, &graph.it[from], link, &graph.it[to]);
        let strength = if how == link.says() {
            String::new()
        } else {
            format!(": {how}")
        };
        Some(Line {
            path: curve(layout.seats.get(&from)?, layout.seats.get(&to)?),
            class: match (link, chance) {
                (Link::Mends, _) => "mends",
                (Link::BringsOn, _) => "brings",
                (_, None) => "thin",
                _ => "shows",
            },
            width: chance.map_or(1.0, |p| 0.5 + 3.5 * p),
            said: format!("{} {} {}{strength}", title(from), link.says(), title(to)),
        })
    });
    let about = match rules.entry(centre.0, centre.1) {
        Some(entry) => format!("What has to do with: {}", entry.title),
        None => "A part of the rule graph".to_string(),
    };
    paint(&about, &layout, boxes.collect(), lines.collect())
}

/// The whole graph drawn together: the systems of causes, the topics of
/// findings, and how many links run between them.
pub fn overview(rules: &Rules) -> String {
    let (layout, systems, topics) = overall(rules);
    let title = |id: &str| rules.systems.get(id).map_or(id.to_string(), String::clone);
    let boxes = layout.seats.iter().map(|(node, seat)| {
        let (class, id) = match systems.get(node.index()) {
            Some(system) => ("cause", *system),
            None => ("finding", topics[node.index() - systems.len()]),
        };
        Boxed {
            seat,
            class: class.into(),
            said: title(id),
        }
    });
    let mut links: BTreeMap<(&str, &str), usize> = BTreeMap::new();
    for cause in rules.causes.values() {
        let findings = cause.shows.keys().filter_map(|id| rules.findings.get(id));
        for finding in findings {
            *links.entry((&cause.system, &finding.system)).or_default() += 1;
        }
    }
    let seat = |ids: &[&str], first: usize, id: &str| {
        let place = ids.iter().position(|other| *other == id)?;
        layout.seats.get(&NodeIndex::new(first + place))
    };
    let lines = links.iter().filter_map(|((system, topic), number)| {
        Some(Line {
            path: curve(
                seat(&systems, 0, system)?,
                seat(&topics, systems.len(), topic)?,
            ),
            class: "shows",
            width: (*number as f64).sqrt() / 1.5,
            said: format!(
                "{}, {}: {}",
                title(system),
                title(topic),
                crate::words::count(*number, "link")
            ),
        })
    });
    paint(
        "The rule graph, system by system",
        &layout,
        boxes.collect(),
        lines.collect(),
    )
}

fn paint(about: &str, layout: &Layout, boxes: Vec<Boxed>, lines: Vec<Line>) -> String {
    let (width, height) = (layout.width.ceil(), layout.height.ceil());
    let drawing = html! {
        svg xmlns="http://www.w3.org/2000/svg" role="img" aria-label=(about)
            width=(width) height=(height) viewBox={ "0 0 " (width) " " (height) } {
            title { (about) }
            style { (maud::PreEscaped(STYLE)) }
            @for (x, head) in &layout.columns {
                text.head x=(figure(*x)) y="28" { (head) }
            }
            @for line in &lines {
                path.(line.class) d=(line.path) stroke-width=(figure(line.width)) {
                    title { (line.said) }
                }
            }
            @for it in &boxes { (boxed(it)) }
        }
    };
    drawing.into_string() + "\n"
}

fn boxed(it: &Boxed) -> Markup {
    let Seat {
        x,
        y,
        height,
        lines,
    } = it.seat;
    html! {
        g {
            title { (it.said) }
            rect.(it.class) x=(figure(*x)) y=(figure(*y)) width=(WIDTH) height=(figure(*height)) rx="3" {}
            @for (i, line) in lines.iter().enumerate() {
                text x=(figure(x + 8.0)) y=(figure(y + LINE * (i as f64 + 1.0))) { (line) }
            }
        }
    }
}

/// A length to a tenth.
fn figure(value: f64) -> String {
    format!("{value:.1}")
}

/// A curve between two boxes: side to side, or round the right of one column.
fn curve(a: &Seat, b: &Seat) -> String {
    let (from, to) = match a.x.total_cmp(&b.x) {
        std::cmp::Ordering::Less => (a.x + WIDTH, b.x),
        std::cmp::Ordering::Greater => (a.x, b.x + WIDTH),
        std::cmp::Ordering::Equal => (a.x + WIDTH, b.x + WIDTH),
    };
    let bend = match from == to {
        true => 40.0,
        false => (to - from) / 2.0,
    };
    let second = if from == to { to + bend } else { to - bend };
    format!(
        "M{} {}C{} {} {} {} {} {}",
        figure(from),
        figure(a.middle()),
        figure(from + bend),
        figure(a.middle()),
        figure(second),
        figure(b.middle()),
        figure(to),
        figure(b.middle())
    )
}
