//! The part of a reduced network that has to be planned: variables tied to others.

use super::order::Graph;
use super::reduced::{NONE, Reduced};

/// Elements `0..plains.len()` are plain variables, those after them max dimensions.
#[derive(Debug, Clone)]
pub(super) struct Core {
    /// Element -> index in the reduced network's plain variables.
    pub plains: Vec<u32>,
    /// The other way round, or [`NONE`] for a variable tied to nothing.
    pub element: Vec<u32>,
    /// Plain variables tied to nothing.
    pub singles: Vec<u32>,
    /// States of every element.
    pub states: Vec<usize>,
}

impl Core {
    pub fn of(reduced: &Reduced) -> Self {
        let mut element = vec![NONE; reduced.plains.len()];
        for link in &reduced.links {
            element[link.plain as usize] = 0;
        }
        for plain in reduced.dense.iter().flat_map(|d| &d.scope) {
            element[*plain as usize] = 0;
        }
        for open in reduced.opens.iter().filter(|o| o.into != NONE) {
            element[open.into as usize] = 0;
        }
        let mut core = Core {
            plains: Vec::new(),
            element,
            singles: Vec::new(),
            states: Vec::new(),
        };
        for (i, plain) in reduced.plains.iter().enumerate() {
            if core.element[i] == NONE {
                core.singles.push(i as u32);
            } else {
                core.element[i] = core.plains.len() as u32;
                core.plains.push(i as u32);
                core.states.push(plain.states);
            }
        }
        core.states.extend(reduced.opens.iter().map(|o| o.states));
        core
    }

    /// The element of an open dimension.
    pub fn open(&self, open: u32) -> u32 {
        self.plains.len() as u32 + open
    }

    /// The two elements that a link ties.
    pub fn ends(&self, reduced: &Reduced, link: u32) -> (usize, usize) {
        let link = reduced.links[link as usize];
        (
            self.element[link.plain as usize] as usize,
            self.open(link.open) as usize,
        )
    }

    /// Equal for two reduced networks exactly if one plan serves both.
    pub fn signature(&self, reduced: &Reduced) -> Vec<u32> {
        let mut out = Vec::with_capacity(8 + self.states.len() + 2 * reduced.links.len());
        out.push(self.plains.len() as u32);
        out.push(reduced.opens.len() as u32);
        out.extend(self.states.iter().map(|s| *s as u32));
        for open in &reduced.opens {
            out.push(match open.into {
                NONE => NONE,
                plain => self.element[plain as usize],
            });
        }
        out.push(reduced.links.len() as u32);
        for link in &reduced.links {
            out.push(self.element[link.plain as usize]);
            out.push(link.open);
        }
        for dense in &reduced.dense {
            out.push(dense.scope.len() as u32);
            out.extend(dense.scope.iter().map(|p| self.element[*p as usize]));
        }
        out
    }

    /// Links that a max dimension takes in at once: of causes that act on nothing else.
    pub fn folded(&self, reduced: &Reduced) -> Vec<bool> {
        // Only what has two states can be folded.
        let mut ties: Vec<u32> = self.states.iter().map(|s| u32::from(*s != 2)).collect();
        for (i, _) in reduced.links.iter().enumerate() {
            ties[self.ends(reduced, i as u32).0] += 1;
        }
        for plain in reduced.dense.iter().flat_map(|d| &d.scope) {
            ties[self.element[*plain as usize] as usize] += 2;
        }
        for open in reduced.opens.iter().filter(|o| o.into != NONE) {
            ties[self.element[open.into as usize] as usize] += 2;
        }
        (0..reduced.links.len() as u32)
            .map(|link| ties[self.ends(reduced, link).0] == 1)
            .collect()
    }

    /// Which elements occur together, folded ones left out.
    pub fn graph(&self, reduced: &Reduced, folded: &[bool]) -> Graph {
        let mut graph = Graph::new(&self.states);
        for (i, plain) in self.plains.iter().enumerate() {
            graph.belongs(i, reduced.plains[*plain as usize].part);
        }
        for (i, open) in reduced.opens.iter().enumerate() {
            graph.belongs(self.plains.len() + i, open.part);
        }
        for (i, folded) in folded.iter().enumerate() {
            let (plain, open) = self.ends(reduced, i as u32);
            if *folded {
                graph.leave_out(plain);
            } else {
                graph.tie(plain, open);
            }
        }
        for dense in &reduced.dense {
            for (i, a) in dense.scope.iter().enumerate() {
                for b in &dense.scope[i + 1..] {
                    let of = |p: &u32| self.element[*p as usize] as usize;
                    graph.tie(of(a), of(b));
                }
            }
        }
        for (i, open) in reduced.opens.iter().enumerate() {
            if open.into != NONE {
                let (plain, open) = (
                    self.element[open.into as usize] as usize,
                    self.open(i as u32) as usize,
                );
                graph.tie(plain, open);
                graph.wait(plain, open);
            }
        }
        graph.ready()
    }
}
