//! The rule graph, or a part of it, as DOT for Graphviz and its kin.

use super::rule_draw::{shape, told};
use crate::graph::Graph;
use crate::rules::Rules;
use petgraph::dot::{Config, Dot, RankDir};
use petgraph::visit::{EdgeRef, NodeRef};

/// The graph as DOT text, left to right.
pub fn dot(rules: &Rules, graph: &Graph) -> String {
    let config = [
        Config::NodeNoLabel,
        Config::EdgeNoLabel,
        Config::RankDir(RankDir::LR),
    ];
    let node = |_, node: (petgraph::graph::NodeIndex, &crate::graph::Thing)| {
        let (kind, id) = node.weight();
        let title = rules
            .entry(*kind, id)
            .map_or(id.as_str(), |entry| entry.title);
        format!(
            "label=\"{}\" tooltip=\"{}\" shape={}",
            quoted(title),
            quoted(&format!("{kind} {id}")),
            shape(*kind)
        )
    };
    let edge = |graph: &petgraph::graph::DiGraph<_, _>, edge: petgraph::graph::EdgeReference<_>| {
        let said = told(
            rules,
            &graph[edge.source()],
            *edge.weight(),
            &graph[edge.target()],
        );
        match said.chance {
            Some(_) => format!("label=\"{}\"", quoted(&said.how)),
            None => format!("style=dashed tooltip=\"{}\"", quoted(&said.how)),
        }
    };
    format!(
        "{:?}",
        Dot::with_attr_getters(&graph.it, &config, &edge, &node)
    )
}

fn quoted(text: &str) -> String {
    text.replace('\\', "\\\\").replace('"', "\\\"")
}
