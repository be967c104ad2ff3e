//! The rule graph, or a part of it, as DOT for Graphviz and its kin.

use super::percent;
use crate::graph::{Graph, Link, Thing};
use crate::rules::file::Chance;
use crate::rules::{Kind, Rules};
use crate::words::three_figures;
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

/// What is told of a link.
#[derive(Debug, Clone, PartialEq)]
struct Told {
    /// How strong it is, 0 to 1, where it is a chance.
    chance: Option<f64>,
    /// The strength in words: `usually 80 %`, `x 3`, or the verb alone.
    how: String,
}

/// What a link says.
fn told(rules: &Rules, from: &Thing, link: Link, to: &Thing) -> Told {
    let chance = match link {
        // of several for kinds of engines the strongest
        Link::Shows => (rules.causes.get(&from.1))
            .and_then(|c| Some(&c.shows.get(&to.1)?.strongest(rules)?.chance)),
        Link::BringsOn => {
            (rules.causes.get(&to.1)).and_then(|c| Some(&c.brought_on_by.get(&from.1)?.chance))
        }
        Link::Mends => (rules.repairs.get(&from.1)).and_then(|r| Some(&r.mends.get(&to.1)?.chance)),
        Link::Shifts | Link::Yields | Link::Needs => None,
    };
    if let Some(chance) = chance {
        let p = rules.chance(chance);
        let how = match chance {
            Chance::Word(word) if !word.ends_with('%') => format!("{word} {}", percent(p)),
            _ => percent(p),
        };
        return Told {
            chance: Some(p),
            how,
        };
    }
    let odds = match link {
        Link::Shifts => (rules.causes.get(&to.1)).and_then(|c| c.history.get(&from.1)),
        _ => None,
    };
    Told {
        chance: None,
        how: match odds {
            Some(odds) => format!("odds x {}", three_figures(odds.times)),
            None => link.says().into(),
        },
    }
}

/// The shape of a kind in DOT.
fn shape(kind: Kind) -> &'static str {
    match kind {
        Kind::Cause => "box",
        Kind::Finding => "ellipse",
        Kind::Test => "component",
        Kind::Fact => "note",
        Kind::Repair => "cds",
        _ => "plaintext",
    }
}
