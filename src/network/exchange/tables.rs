//! A network of nothing but tables, with names for the states: what the files hold.

use super::gates::Written;
use crate::network::{Error, Evidence, Gate, Network, Var};
use std::collections::BTreeMap;

/// One variable with its table.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Node {
    /// Its name; no other has the same.
    pub name: String,
    /// What it is, in words; may be empty.
    pub title: String,
    /// Names of its states.
    pub states: Vec<String>,
    /// Parents by index, in the order of the table.
    pub parents: Vec<usize>,
    /// Parent states (last parent fastest), then its own.
    pub table: Vec<f64>,
    /// Whether it only helps to write another down.
    pub helper: bool,
}

/// A network with what was observed, ready to be written, or as read.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Tables {
    /// Variables; parents may come after their children.
    pub nodes: Vec<Node>,
    /// Likelihood of each state of the variables observed.
    pub seen: BTreeMap<usize, Vec<f64>>,
    /// Natural logarithm of a factor left out: the weight of all states
    /// together is this much more than the probability of what was observed.
    pub ln_scale: f64,
}

/// [`Tables`] as a network that can be solved.
#[derive(Debug, Clone)]
pub struct Solvable {
    /// The network.
    pub network: Network,
    /// Variable of each node.
    pub vars: Vec<Var>,
    /// What was observed.
    pub evidence: Evidence,
}

/// The state that a likelihood makes certain without weighing it: one 1 among zeros.
pub fn certain(likelihood: &[f64]) -> Option<usize> {
    let state = likelihood.iter().position(|l| *l == 1.0)?;
    let others = likelihood
        .iter()
        .enumerate()
        .all(|(s, l)| s == state || *l == 0.0);
    others.then_some(state)
}

impl Tables {
    /// Writes a network out; `named` gives the title of a variable and the
    /// names of its states.
    pub fn of(
        net: &Network,
        evidence: &Evidence,
        named: &dyn Fn(Var) -> (String, Vec<String>),
    ) -> Self {
        let mut tables = Tables::default();
        let mut node_of: Vec<usize> = Vec::with_capacity(net.len());
        for var in net.vars() {
            let (title, states) = named(var);
            let nodes = &mut tables.nodes;
            match net.gate(var) {
                Gate::Table { parents, table } => nodes.push(Node {
                    name: net.name(var).to_string(),
                    states,
                    parents: parents.iter().map(|p| node_of[p.index()]).collect(),
                    table: table.clone(),
                    ..Node::default()
                }),
                Gate::Max {
                    leak,
                    parents,
                    grades,
                } => {
                    let rows = grades.chunks_exact(leak.len());
                    let mut causes: Vec<_> = parents.iter().zip(rows).collect();
                    // Links of the chain that tie one part of the whole stand together.
                    causes.sort_by_key(|(p, _)| net.part(**p));
                    let of = |(p, row): (&Var, _)| (node_of[p.index()], row);
                    let written = Written {
                        name: net.name(var),
                        states,
                        leak,
                        causes: causes.into_iter().map(of).collect(),
                    };
                    nodes.extend(written.nodes(nodes.len()));
                }
            }
            if let Some(node) = nodes.last_mut() {
                node.title = title;
            }
            node_of.push(tables.nodes.len() - 1);
        }
        tables.seen = evidence
            .iter()
            .map(|(var, likelihood)| (node_of[var.index()], likelihood.to_vec()))
            .collect();
        if let Some((members, most)) = net.counted() {
            let roots = |var: &Var| -> Vec<usize> {
                let of = net.gate(*var).parents().iter();
                of.filter(|p| members.contains(p))
                    .map(|p| node_of[p.index()])
                    .collect()
            };
            let members = members.iter().map(|var| (node_of[var.index()], roots(var)));
            tables.count(members, most);
        }
        tables
    }

    /// Writes [`Network::at_most`] out: a chain of counters, the last of which
    /// is seen not to have counted more. A member counts when none of its `roots`
    /// among the members is present.
    fn count(&mut self, members: impl Iterator<Item = (usize, Vec<usize>)>, most: usize) {
        let states = most + 2;
        let mut before = None;
        for (i, (member, roots)) in members.enumerate() {
            let mut names: Vec<String> = (0..=most).map(|n| format!("n{n}")).collect();
            names.push("more".to_string());
            let mut table = Vec::new();
            for counted in 0..before.map_or(1, |_| states) {
                for present in 0..2 << roots.len() {
                    // The member is the first parent after the counter, its roots follow.
                    let unprovoked = present == 1 << roots.len();
                    let now = (counted + usize::from(unprovoked)).min(most + 1);
                    table.extend((0..states).map(|n| f64::from(n == now)));
                }
            }
            self.nodes.push(Node {
                name: format!("counted-{}", i + 1),
                title: "How many causes that act across cylinders no other brought about".into(),
                states: names,
                parents: before.into_iter().chain([member]).chain(roots).collect(),
                table,
                helper: true,
            });
            before = Some(self.nodes.len() - 1);
        }
        if let Some(last) = before {
            let kept = (0..states).map(|n| f64::from(n <= most)).collect();
            self.seen.insert(last, kept);
        }
    }

    /// The variable of a name.
    pub fn find(&self, name: &str) -> Option<usize> {
        self.nodes.iter().position(|node| node.name == name)
    }

    /// Observes a variable once more: likelihoods multiply.
    pub fn see(&mut self, node: usize, likelihood: &[f64]) {
        let ones = || vec![1.0; likelihood.len()];
        let have = self.seen.entry(node).or_insert_with(ones);
        have.iter_mut().zip(likelihood).for_each(|(a, b)| *a *= b);
    }

    /// Observes a variable to be in a state.
    pub fn see_state(&mut self, node: usize, state: usize) {
        let states = self.nodes[node].states.len();
        let likelihood: Vec<f64> = (0..states).map(|s| f64::from(s == state)).collect();
        self.see(node, &likelihood);
    }

    /// The variables, parents before children.
    ///
    /// # Errors
    /// The variables of a circle, each a parent of the next.
    pub fn order(&self) -> Result<Vec<usize>, Vec<usize>> {
        let mut wants: Vec<usize> = self.nodes.iter().map(|n| n.parents.len()).collect();
        let mut children = vec![Vec::new(); self.nodes.len()];
        for (i, node) in self.nodes.iter().enumerate() {
            node.parents.iter().for_each(|p| children[*p].push(i));
        }
        let mut order: Vec<usize> = (0..wants.len()).filter(|i| wants[*i] == 0).collect();
        let mut next = 0;
        while let Some(&node) = order.get(next) {
            next += 1;
            for child in &children[node] {
                wants[*child] -= 1;
                if wants[*child] == 0 {
                    order.push(*child);
                }
            }
        }
        if order.len() == self.nodes.len() {
            return Ok(order);
        }
        // Every variable left has a parent that is left: going up must come round.
        let left = |i: &usize| wants[*i] > 0;
        let mut way: Vec<usize> = (0..wants.len()).find(left).into_iter().collect();
        while let Some(up) = way
            .last()
            .and_then(|i| self.nodes[*i].parents.iter().copied().find(left))
        {
            if let Some(start) = way.iter().position(|i| *i == up) {
                way.drain(..start);
                break;
            }
            way.push(up);
        }
        way.reverse();
        Err(way)
    }

    /// The network that they describe.
    ///
    /// # Errors
    /// [`Error::Shape`] for a circle, a parent that is not there, or a table
    /// that does not fit; files that were read have none.
    pub fn solvable(&self) -> Result<Solvable, Error> {
        let names = |circle: Vec<usize>| {
            let names: Vec<&str> = circle
                .iter()
                .map(|i| self.nodes[*i].name.as_str())
                .collect();
            Error::Shape(format!(
                "these depend on each other in a circle: {}",
                names.join(", ")
            ))
        };
        let unknown = |node: &&Node| node.parents.iter().any(|p| *p >= self.nodes.len());
        if let Some(node) = self.nodes.iter().find(unknown) {
            return Err(Error::Shape(format!(
                "a parent of `{}` is unknown",
                node.name
            )));
        }
        let mut network = Network::new();
        let mut vars = vec![Var(0); self.nodes.len()];
        for i in self.order().map_err(names)? {
            let node = &self.nodes[i];
            let parents: Vec<Var> = node.parents.iter().map(|p| vars[*p]).collect();
            vars[i] =
                network.add_table(&node.name, node.states.len(), &parents, node.table.clone())?;
        }
        let mut evidence = Evidence::new();
        for (node, likelihood) in &self.seen {
            let var = vars.get(*node).copied();
            let var = var.ok_or_else(|| {
                Error::Shape(format!("evidence on variable {node}, which is not there"))
            })?;
            evidence.set(var, likelihood);
        }
        Ok(Solvable {
            network,
            vars,
            evidence,
        })
    }
}
