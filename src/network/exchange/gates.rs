//! A noisy-MAX gate as tables: in full where that is small, else as a chain.
//!
//! The highest of many grades is the highest of the highest so far and the
//! rest. So the causes are dealt out in small groups; each link of the chain
//! is a helper variable that holds the highest grade so far, and the last link
//! is the gate itself. Nothing is approximated.

use super::tables::Node;
use crate::network::reduced::raise;

/// Largest table (numbers) into which a gate is written out in full.
pub const FULL_TABLE: usize = 1024;

/// Largest table (numbers) of a link of the chain, if one cause fits.
pub const LINK_TABLE: usize = 64;

/// A gate to be written out.
pub(super) struct Written<'a> {
    pub name: &'a str,
    pub states: Vec<String>,
    pub leak: &'a [f64],
    /// Nodes that act on it, with the grades that each alone produces.
    pub causes: Vec<(usize, &'a [f64])>,
}

impl Written<'_> {
    /// The nodes that it becomes, itself last; `next` is the index of the first.
    pub fn nodes(self, next: usize) -> Vec<Node> {
        let grades = self.leak.len();
        if fits(grades, self.causes.len(), FULL_TABLE) {
            return vec![self.link(None, &self.causes)];
        }
        let mut nodes = Vec::new();
        let mut rest = self.causes.as_slice();
        while !rest.is_empty() {
            let before = (!nodes.is_empty()).then(|| next + nodes.len() - 1);
            let rows = if before.is_some() { grades } else { 1 };
            let most = (1..=rest.len())
                .take_while(|n| *n == 1 || fits(rows * grades, *n, LINK_TABLE))
                .last();
            let (group, others) = rest.split_at(most.unwrap_or(1));
            rest = others;
            let mut node = self.link(before, group);
            if !rest.is_empty() {
                node.name = format!("{}~upto{}", self.name, nodes.len() + 1);
                node.helper = true;
            }
            nodes.push(node);
        }
        nodes
    }

    /// The highest of what came before (the leak at first) and of a group of causes.
    fn link(&self, before: Option<usize>, group: &[(usize, &[f64])]) -> Node {
        let grades = self.leak.len();
        let starts: Vec<Vec<f64>> = match before {
            None => vec![self.leak.to_vec()],
            Some(_) => (0..grades)
                .map(|grade| (0..grades).map(|g| f64::from(g == grade)).collect())
                .collect(),
        };
        let mut table = Vec::with_capacity((starts.len() * grades) << group.len());
        for start in starts {
            for present in 0..1usize << group.len() {
                let mut row = start.clone();
                for (i, (_, by)) in group.iter().enumerate() {
                    if present >> (group.len() - 1 - i) & 1 == 1 {
                        raise(&mut row, by);
                    }
                }
                table.extend(row);
            }
        }
        let parents = before
            .into_iter()
            .chain(group.iter().map(|(cause, _)| *cause));
        Node {
            name: self.name.to_string(),
            states: self.states.clone(),
            parents: parents.collect(),
            table,
            ..Node::default()
        }
    }
}

/// Whether `rows` numbers for each of `causes` binary causes stay within a limit.
fn fits(rows: usize, causes: usize, most: usize) -> bool {
    let factor = u32::try_from(causes)
        .ok()
        .and_then(|n| 1usize.checked_shl(n));
    causes < usize::BITS as usize
        && factor
            .and_then(|f| f.checked_mul(rows))
            .is_some_and(|n| n <= most)
}
