//! Where the nodes of a drawing stand: in columns from what brings about to
//! what finds out, each column in an order that keeps the links short.

use crate::graph::{Graph, Link};
use crate::rules::{Kind, Rules};
use petgraph::graph::NodeIndex;
use petgraph::visit::EdgeRef;
use std::collections::BTreeMap;

/// Width of a box.
pub const WIDTH: f64 = 224.0;
/// Room between two columns.
const GAP: f64 = 130.0;
/// Height of a line of text.
pub const LINE: f64 = 15.0;
/// Room about the text of a box, above and below together.
const PAD: f64 = 10.0;
/// Room between two boxes.
const BETWEEN: f64 = 8.0;
/// Room above the first box, for the headings.
const TOP: f64 = 44.0;
/// Characters in a line of a box.
const CHARACTERS: usize = 30;

/// A box of the drawing.
#[derive(Debug, Clone, PartialEq)]
pub struct Seat {
    /// Left edge.
    pub x: f64,
    /// Upper edge.
    pub y: f64,
    /// Height.
    pub height: f64,
    /// The title in lines.
    pub lines: Vec<String>,
}

impl Seat {
    /// Half way down.
    pub fn middle(&self) -> f64 {
        self.y + self.height / 2.0
    }
}

/// The whole layout.
#[derive(Debug, Clone, PartialEq)]
pub struct Layout {
    /// A box for each node.
    pub seats: BTreeMap<NodeIndex, Seat>,
    /// Left edge and heading of each column.
    pub columns: Vec<(f64, String)>,
    /// Width of the drawing.
    pub width: f64,
    /// Height of the drawing.
    pub height: f64,
}

/// Lays a graph out.
pub fn layout(rules: &Rules, graph: &Graph) -> Layout {
    let ranks = ranks(graph);
    let mut columns: BTreeMap<usize, Vec<NodeIndex>> = BTreeMap::new();
    for (node, rank) in &ranks {
        columns.entry(*rank).or_default().push(*node);
    }
    // ranks without a node leave no gap
    let mut columns: Vec<Vec<NodeIndex>> = columns.into_values().collect();
    for column in &mut columns {
        column.sort_by_key(|&node| {
            let (kind, id) = &graph.it[node];
            let system = rules.entry(*kind, id).map(|entry| entry.system);
            (*kind, system, id.clone())
        });
    }
    untangle(graph, &mut columns);
    seat(rules, graph, &columns)
}

/// The column of each node: what shifts and mends first, then causes after
/// their roots, findings, tests.
fn ranks(graph: &Graph) -> BTreeMap<NodeIndex, usize> {
    let mut depth: BTreeMap<NodeIndex, usize> = BTreeMap::new();
    for id in graph.causes_in_order() {
        let Some(node) = graph.find(Kind::Cause, id) else {
            continue;
        };
        let roots = graph.it.edges_directed(node, petgraph::Direction::Incoming);
        let roots = roots.filter(|edge| *edge.weight() == Link::BringsOn);
        let deepest = roots.filter_map(|edge| depth.get(&edge.source())).max();
        depth.insert(node, deepest.map_or(0, |d| d + 1));
    }
    let causes = depth.values().max().map_or(0, |d| d + 1);
    // a root that nothing here leads to stands with the facts
    let first = |node: NodeIndex| {
        let led_to = graph
            .it
            .edges_directed(node, petgraph::Direction::Incoming)
            .next();
        let mut onward = graph.it.edges(node).map(|edge| *edge.weight());
        led_to.is_none() && onward.clone().next().is_some() && onward.all(|l| l == Link::BringsOn)
    };
    let rank = |node: NodeIndex| match graph.it[node].0 {
        Kind::Cause if first(node) => 1,
        Kind::Access => 0,
        Kind::Repair | Kind::Fact => 1,
        Kind::Cause => 2 + depth.get(&node).copied().unwrap_or(0),
        Kind::Finding => 2 + causes,
        _ => 3 + causes,
    };
    graph
        .it
        .node_indices()
        .map(|node| (node, rank(node)))
        .collect()
}

/// Orders each column by the mean place of its neighbours, a few times over
/// (the barycentre rule of Sugiyama, Tagawa and Toda 1981).
fn untangle(graph: &Graph, columns: &mut [Vec<NodeIndex>]) {
    for _ in 0..6 {
        let mut place: BTreeMap<NodeIndex, f64> = BTreeMap::new();
        for column in columns.iter() {
            let last = column.len().max(2) as f64 - 1.0;
            for (i, &node) in column.iter().enumerate() {
                place.insert(node, i as f64 / last);
            }
        }
        for column in columns.iter_mut() {
            let mean = |node: NodeIndex| {
                let near = graph.it.neighbors_undirected(node);
                let places: Vec<f64> = near.filter_map(|n| place.get(&n).copied()).collect();
                match places.len() {
                    0 => place.get(&node).copied().unwrap_or(0.0),
                    n => places.iter().sum::<f64>() / n as f64,
                }
            };
            let mut order: Vec<(Kind, f64, NodeIndex)> = column
                .iter()
                .map(|&node| (graph.it[node].0, mean(node), node))
                .collect();
            order.sort_by(|a, b| {
                (a.0.cmp(&b.0))
                    .then(a.1.total_cmp(&b.1))
                    .then(a.2.cmp(&b.2))
            });
            *column = order.into_iter().map(|(_, _, node)| node).collect();
        }
    }
}

fn seat(rules: &Rules, graph: &Graph, columns: &[Vec<NodeIndex>]) -> Layout {
    let columns = columns.iter().map(|column| {
        let boxes = column.iter().map(|&node| {
            let (kind, id) = &graph.it[node];
            let title = rules
                .entry(*kind, id)
                .map_or(id.as_str(), |entry| entry.title);
            (node, title.to_string())
        });
        (heading(graph, column), boxes.collect())
    });
    stand(columns.collect(), GAP)
}

/// The systems of causes beside the topics of findings; the nodes are numbered
/// through, systems first.
pub fn overall(rules: &Rules) -> (Layout, Vec<&str>, Vec<&str>) {
    let mut causes: BTreeMap<&str, usize> = BTreeMap::new();
    rules
        .causes
        .values()
        .for_each(|c| *causes.entry(&c.system).or_default() += 1);
    let mut findings: BTreeMap<&str, usize> = BTreeMap::new();
    rules
        .findings
        .values()
        .for_each(|f| *findings.entry(&f.system).or_default() += 1);
    let column = |of: &BTreeMap<&str, usize>, word: &str, first: usize| {
        let boxes = of.iter().enumerate().map(|(i, (id, number))| {
            let title = rules.systems.get(*id).map_or(*id, |title| title);
            let text = format!("{title}: {}", crate::words::count(*number, word));
            (NodeIndex::new(first + i), text)
        });
        boxes.collect()
    };
    let layout = stand(
        vec![
            ("Causes".into(), column(&causes, "cause", 0)),
            (
                "Findings".into(),
                column(&findings, "finding", causes.len()),
            ),
        ],
        3.0 * GAP,
    );
    (
        layout,
        causes.into_keys().collect(),
        findings.into_keys().collect(),
    )
}

/// Stands boxes in columns, each column half way up the tallest.
fn stand(columns: Vec<(String, Vec<(NodeIndex, String)>)>, gap: f64) -> Layout {
    let high = |text: &str| crate::words::wrap(text, CHARACTERS).len() as f64 * LINE + PAD;
    let tall = |column: &[(NodeIndex, String)]| {
        let boxes = column.iter().map(|(_, text)| high(text) + BETWEEN);
        boxes.sum::<f64>() - BETWEEN
    };
    let tallest = columns
        .iter()
        .map(|(_, column)| tall(column))
        .fold(0.0, f64::max);
    let mut layout = Layout {
        seats: BTreeMap::new(),
        columns: Vec::new(),
        width: 20.0 + columns.len() as f64 * (WIDTH + gap) - gap,
        height: TOP + tallest + 10.0,
    };
    for (i, (head, column)) in columns.into_iter().enumerate() {
        let x = 10.0 + i as f64 * (WIDTH + gap);
        if layout.columns.last().is_none_or(|(_, last)| *last != head) {
            layout.columns.push((x, head));
        }
        let mut y = TOP + (tallest - tall(&column)) / 2.0;
        for (node, text) in column {
            let height = high(&text);
            let lines = crate::words::wrap(&text, CHARACTERS);
            layout.seats.insert(
                node,
                Seat {
                    x,
                    y,
                    height,
                    lines,
                },
            );
            y += height + BETWEEN;
        }
    }
    layout
}

/// The kinds of a column in words.
fn heading(graph: &Graph, column: &[NodeIndex]) -> String {
    let mut kinds: Vec<Kind> = column.iter().map(|&node| graph.it[node].0).collect();
    kinds.dedup();
    let names = kinds.iter().map(|kind| {
        let name = crate::words::plural(&kind.to_string());
        let mut letters = name.chars();
        let first = letters.next().map(|c| c.to_uppercase().to_string());
        first.unwrap_or_default() + letters.as_str()
    });
    names.collect::<Vec<_>>().join(", ")
}
