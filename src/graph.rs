//! The rule graph: what shifts, brings on, shows, yields and mends what.
//!
//! A directed graph of *kinds* of cause, finding, test and so on, made from the
//! rules; one engine's network is unrolled from it. Links that would go round in
//! a circle are found here.

use crate::problem::{Problem, Problems};
use crate::rules::{Kind, Loaded, Rules};
use petgraph::Direction;
use petgraph::algo::tarjan_scc;
use petgraph::graph::{DiGraph, EdgeIndex, NodeIndex};
use petgraph::visit::EdgeRef;
use std::collections::{BTreeMap, BTreeSet, VecDeque};

/// What a link says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Link {
    /// A history fact shifts how likely a cause is.
    Shifts,
    /// A cause brings on another.
    BringsOn,
    /// A cause shows a finding.
    Shows,
    /// A test yields a finding.
    Yields,
    /// A repair mends a cause.
    Mends,
    /// A repair or an access needs an access open.
    Needs,
}

impl Link {
    /// The link as a verb.
    pub fn says(self) -> &'static str {
        match self {
            Link::Shifts => "shifts",
            Link::BringsOn => "brings on",
            Link::Shows => "shows",
            Link::Yields => "yields",
            Link::Mends => "mends",
            Link::Needs => "needs",
        }
    }
}

/// One node: an entry of the rules.
pub type Thing = (Kind, String);

/// The rule graph. Nodes and links are in the order of the rules, so that the
/// same rules give the same graph.
#[derive(Debug, Clone, Default)]
pub struct Graph {
    /// Nodes and links.
    pub it: DiGraph<Thing, Link>,
    index: BTreeMap<Thing, NodeIndex>,
}

impl Graph {
    /// Makes the graph of the rules; the problems are the circles in it, each
    /// with its whole way round. Links to what does not exist are left out.
    ///
    /// ```
    /// use sootsayer::{graph::Graph, rules};
    /// let (rules, _) = rules::load(None);
    /// let (graph, _circles) = Graph::of(&rules);
    /// assert!(graph.it.node_count() > 100);
    /// ```
    pub fn of(rules: &Rules) -> (Graph, Problems) {
        let mut graph = Graph::default();
        for kind in [
            Kind::Fact,
            Kind::Cause,
            Kind::Finding,
            Kind::Test,
            Kind::Access,
            Kind::Repair,
        ] {
            for entry in rules.entries(kind) {
                graph.node((kind, entry.id.to_string()));
            }
        }
        for (id, cause) in &rules.causes {
            let cause_node = (Kind::Cause, id.as_str());
            for fact in cause.history.keys() {
                graph.link((Kind::Fact, fact), Link::Shifts, cause_node);
            }
            for root in cause.brought_on_by.keys() {
                graph.link((Kind::Cause, root), Link::BringsOn, cause_node);
            }
            for finding in cause.shows.keys() {
                graph.link(cause_node, Link::Shows, (Kind::Finding, finding));
            }
        }
        for (id, test) in &rules.tests {
            for finding in &test.yields {
                graph.link((Kind::Test, id), Link::Yields, (Kind::Finding, finding));
            }
        }
        for (id, repair) in &rules.repairs {
            for cause in repair.mends.keys() {
                graph.link((Kind::Repair, id), Link::Mends, (Kind::Cause, cause));
            }
            for access in &repair.needs {
                graph.link((Kind::Repair, id), Link::Needs, (Kind::Access, access));
            }
        }
        for (id, access) in &rules.accesses {
            for first in &access.needs {
                graph.link((Kind::Access, id), Link::Needs, (Kind::Access, first));
            }
        }
        let circles = graph.circles(rules);
        (graph, circles)
    }

    fn node(&mut self, thing: Thing) -> NodeIndex {
        match self.index.get(&thing) {
            Some(&node) => node,
            None => {
                let node = self.it.add_node(thing.clone());
                self.index.insert(thing, node);
                node
            }
        }
    }

    fn link(&mut self, from: (Kind, &str), link: Link, to: (Kind, &str)) {
        if let (Some(from), Some(to)) = (self.find(from.0, from.1), self.find(to.0, to.1)) {
            self.it.add_edge(from, to, link);
        }
    }

    /// The node of an entry.
    pub fn find(&self, kind: Kind, id: &str) -> Option<NodeIndex> {
        self.index.get(&(kind, id.to_string())).copied()
    }

    /// The things that a thing links to or (with `Incoming`) that link to it, by id.
    pub fn beside(&self, kind: Kind, id: &str, link: Link, way: Direction) -> Vec<&str> {
        let Some(node) = self.find(kind, id) else {
            return Vec::new();
        };
        let edges = self.it.edges_directed(node, way);
        let mut found: Vec<&str> = edges
            .filter(|edge| *edge.weight() == link)
            .map(|edge| match way {
                Direction::Outgoing => edge.target(),
                Direction::Incoming => edge.source(),
            })
            .map(|node| self.it[node].1.as_str())
            .collect();
        found.sort_unstable();
        found
    }

    /// Every cause, what brings others on before what it brings on, otherwise by
    /// id; causes in a circle, and what they bring on, come last.
    pub fn causes_in_order(&self) -> Vec<&str> {
        let causes = (self.index.iter()).filter(|((kind, _), _)| *kind == Kind::Cause);
        let mut waits: BTreeMap<&str, usize> = BTreeMap::new();
        for ((kind, id), _) in causes {
            let roots = self.beside(*kind, id, Link::BringsOn, Direction::Incoming);
            waits.insert(id, roots.len());
        }
        let free = waits.iter().filter(|(_, roots)| **roots == 0);
        let mut ready: BTreeSet<&str> = free.map(|(id, _)| *id).collect();
        let mut order = Vec::new();
        while let Some(id) = ready.pop_first() {
            order.push(id);
            waits.remove(id);
            for effect in self.beside(Kind::Cause, id, Link::BringsOn, Direction::Outgoing) {
                if let Some(roots) = waits.get_mut(effect) {
                    *roots -= 1;
                    if *roots == 0 {
                        ready.insert(effect);
                    }
                }
            }
        }
        order.extend(waits.into_keys());
        order
    }

    /// The part of the graph around a thing: what is within `steps` links of it,
    /// going always away from it, up or down; from 2 steps on also the tests that
    /// yield its findings, or for a test the causes that show them. Only the links gone along are kept.
    pub fn around(&self, kind: Kind, id: &str, steps: usize) -> Graph {
        let centre: BTreeSet<NodeIndex> = self.find(kind, id).into_iter().collect();
        let mut near = centre.clone();
        let mut gone: BTreeSet<EdgeIndex> = BTreeSet::new();
        for way in [Direction::Incoming, Direction::Outgoing] {
            let mut edge = centre.clone();
            for _ in 0..steps {
                edge = self.next(&edge, way, &mut gone, |_| true);
                near.extend(&edge);
            }
        }
        if steps > 1 {
            // a test is an arrow's start, so it lies on no way down; from a test the way
            // goes on to the causes
            let finding = |node: &&NodeIndex| self.it[**node].0 == Kind::Finding;
            let findings = near.iter().filter(finding).copied().collect();
            let wanted = match kind {
                Kind::Test => Link::Shows,
                _ => Link::Yields,
            };
            near.extend(self.next(&findings, Direction::Incoming, &mut gone, |l| l == wanted));
        }
        let mut part = Graph::default();
        for node in near {
            part.node(self.it[node].clone());
        }
        for edge in gone {
            if let (Some((from, to)), Some(link)) =
                (self.it.edge_endpoints(edge), self.it.edge_weight(edge))
            {
                let (from, to) = (&self.it[from], &self.it[to]);
                part.link((from.0, &from.1), *link, (to.0, &to.1));
            }
        }
        part
    }

    /// The nodes one link on from some, and the links gone along.
    fn next(
        &self,
        from: &BTreeSet<NodeIndex>,
        way: Direction,
        gone: &mut BTreeSet<EdgeIndex>,
        along: impl Fn(Link) -> bool,
    ) -> BTreeSet<NodeIndex> {
        let edges = from
            .iter()
            .flat_map(|&node| self.it.edges_directed(node, way));
        edges
            .filter(|edge| along(*edge.weight()))
            .map(|edge| {
                gone.insert(edge.id());
                match way {
                    Direction::Outgoing => edge.target(),
                    Direction::Incoming => edge.source(),
                }
            })
            .collect()
    }

    /// Each circle of links, named all the way round.
    fn circles(&self, rules: &Rules) -> Problems {
        let mut problems: Problems = tarjan_scc(&self.it)
            .into_iter()
            .filter_map(|knot| self.way_round(&knot))
            .map(|way| {
                let kind = self.it[way[0]].0;
                let names: Vec<String> = (way.iter().chain(&way[..1]))
                    .map(|&node| format!("`{}`", self.it[node].1))
                    .collect();
                let what = match kind {
                    Kind::Cause => "causes bring each other on in a circle",
                    _ => "accesses need each other in a circle",
                };
                let problem = Problem::new(format!("{what}: {}", names.join(" -> ")))
                    .hint("take out the link that is least true");
                match rules.entry(kind, &self.it[way[0]].1) {
                    Some(entry) => Problem {
                        width: entry.id.len() as u32,
                        ..problem.at(entry.at.clone())
                    },
                    None => problem,
                }
            })
            .collect();
        problems.sort_by(|a, b| (&a.at, &a.what).cmp(&(&b.at, &b.what)));
        problems
    }

    /// A shortest way round within a knot of nodes, from the first by id;
    /// `None` when a single node has no link to itself.
    fn way_round(&self, knot: &[NodeIndex]) -> Option<Vec<NodeIndex>> {
        let start = *knot.iter().min_by_key(|&&node| &self.it[node])?;
        let mut before: BTreeMap<NodeIndex, NodeIndex> = BTreeMap::new();
        let mut queue = VecDeque::from([start]);
        while let Some(node) = queue.pop_front() {
            let mut next: Vec<NodeIndex> = self.it.neighbors(node).collect();
            next.retain(|n| knot.contains(n));
            next.sort_by_key(|&n| &self.it[n]);
            for n in next {
                if n == start {
                    let mut way = vec![node];
                    while let Some(&last) = way.last().and_then(|n| before.get(n)) {
                        way.push(last);
                    }
                    way.reverse();
                    return Some(way);
                }
                if n != start && !before.contains_key(&n) {
                    before.insert(n, node);
                    queue.push_back(n);
                }
            }
        }
        None
    }
}

/// Every problem of loaded rules, the circles among them, by place.
pub fn all_problems(loaded: &Loaded) -> Problems {
    let (_, circles) = Graph::of(&loaded.rules);
    let mut problems = loaded.all_problems();
    problems.extend(circles.into_iter().map(|circle| loaded.quote(circle)));
    problems.sort_by(|a, b| (&a.at, &a.what).cmp(&(&b.at, &b.what)));
    problems
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::load_files;

    fn graph(brings: &[(&str, &[&str])]) -> (Graph, Problems) {
        let mut text = String::from("system: s\ntitle: S\ncauses:\n");
        for (id, roots) in brings {
            text += &format!(
                "- {{cause: {id}, title: A, says: a, look_for: a, base_rate: {{per_1000: 1, basis: judgement}}, brought_on_by: {{{}}}}}\n",
                roots
                    .iter()
                    .map(|r| format!("{r}: {{chance: 0.5, basis: judgement}}"))
                    .collect::<Vec<_>>()
                    .join(", ")
            );
        }
        let loaded = load_files([("s.yaml".to_string(), text.into_bytes())], []);
        assert_eq!(loaded.problems, []);
        Graph::of(&loaded.rules)
    }

    #[test]
    fn roots_come_before_what_they_bring_on() {
        let (graph, circles) = graph(&[("a", &["c"]), ("b", &["a"]), ("c", &[])]);
        assert_eq!(circles, []);
        assert_eq!(graph.causes_in_order(), ["c", "a", "b"]);
    }

    #[test]
    fn around_a_thing_lies_what_leads_to_it_and_from_it() {
        let (graph, _) = graph(&[
            ("root", &[]),
            ("cause", &["root"]),
            ("sibling", &["root"]),
            ("effect", &["cause", "sibling"]),
        ]);
        let ids = |graph: &Graph| -> Vec<String> {
            let mut ids: Vec<_> = graph.it.node_weights().map(|(_, id)| id.clone()).collect();
            ids.sort();
            ids
        };
        let near = graph.around(Kind::Cause, "cause", 1);
        assert_eq!(ids(&near), ["cause", "effect", "root"]);
        assert_eq!(near.it.edge_count(), 2, "the sibling's links are left out");
        assert_eq!(
            ids(&graph.around(Kind::Cause, "root", 1)),
            ["cause", "root", "sibling"]
        );
        assert_eq!(ids(&graph.around(Kind::Cause, "root", 2)).len(), 4);
        assert_eq!(graph.around(Kind::Cause, "unknown", 3).it.node_count(), 0);
    }

    #[test]
    fn a_circle_is_named_all_the_way_round() {
        let (graph, circles) = graph(&[
            ("a", &["c"]),
            ("b", &["a"]),
            ("c", &["b", "d"]),
            ("d", &[]),
            ("e", &["e"]),
        ]);
        let whats: Vec<&str> = circles.iter().map(|p| p.what.as_str()).collect();
        assert_eq!(
            whats,
            [
                "causes bring each other on in a circle: `a` -> `b` -> `c` -> `a`",
                "causes bring each other on in a circle: `e` -> `e`",
            ]
        );
        assert_eq!(circles[0].at.as_ref().map(|at| at.line), Some(4));
        assert_eq!(graph.causes_in_order().len(), 5);
    }
}
