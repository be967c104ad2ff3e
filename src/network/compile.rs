//! From an order to a program: variables are summed out one after the other,
//! each step recorded with the places of its tables.

mod combine;

use super::core::Core;
use super::plans::{Plan, Table};
use super::record::{Made, Recorder};
use super::reduced::{NONE, Reduced};
use super::shape::Dims;

/// Declared limit: entries of all tables of one solution together, 8 bytes
/// each. Evidence that needs more is answered with a proved interval.
pub const MOST_ENTRIES: f64 = (1 << 23) as f64;

/// Why an order was not worked out to the end.
#[derive(Debug, Clone, Copy)]
pub(super) enum Stop {
    /// Entries that it would need beyond the limit.
    TooLarge(f64),
    /// It is dearer than another.
    Dearer,
}

#[derive(Debug, Clone)]
enum Kind {
    /// A table that an earlier step made.
    Made(Table, Dims),
    /// A table of the reduced network.
    Dense(u32),
    /// A binary variable summed out in thought, absorbed when a table needs it.
    Implicit {
        plain: usize,
        dense: Vec<u32>,
        links: Vec<u32>,
    },
}

#[derive(Debug, Clone)]
struct Factor {
    scope: Dims,
    kind: Kind,
}

pub(super) struct Compiler<'a> {
    reduced: &'a Reduced,
    core: &'a Core,
    factors: Vec<Option<Factor>>,
    /// Factors by element; may name factors already used.
    of: Vec<Vec<usize>>,
    /// Links not yet multiplied in, by element (both ends).
    pending: Vec<Vec<u32>>,
    done: Vec<bool>,
    /// Gates that have yet to turn into the element.
    unsettled: Vec<u32>,
    out: Recorder<'a>,
}

impl<'a> Compiler<'a> {
    pub fn new(reduced: &'a Reduced, core: &'a Core, folded: &[bool], dry: bool) -> Self {
        let n = core.states.len();
        let mut compiler = Compiler {
            reduced,
            core,
            factors: Vec::new(),
            of: vec![Vec::new(); n],
            pending: vec![Vec::new(); n],
            done: vec![false; n],
            unsettled: vec![0; n],
            out: Recorder {
                reduced,
                core,
                plan: Plan::default(),
                limit: MOST_ENTRIES,
                dry,
                over: 0.0,
            },
        };
        let mut folds: Vec<Vec<u32>> = vec![Vec::new(); reduced.opens.len()];
        for (link, folded) in folded.iter().enumerate() {
            let (plain, open) = core.ends(reduced, link as u32);
            if *folded {
                folds[reduced.links[link].open as usize].push(link as u32);
                compiler.done[plain] = true;
            } else {
                compiler.pending[plain].push(link as u32);
                compiler.pending[open].push(link as u32);
            }
        }
        for (open, links) in folds.into_iter().enumerate() {
            compiler.fold(open as u32, links);
        }
        for (i, dense) in reduced.dense.iter().enumerate() {
            let scope: Dims = dense
                .scope
                .iter()
                .map(|p| core.element[*p as usize] as u16)
                .collect();
            compiler.add(scope, Kind::Dense(i as u32));
        }
        compiler
    }

    fn fold(&mut self, open: u32, links: Vec<u32>) {
        let into = self.reduced.opens[open as usize].into;
        if into != NONE {
            self.unsettled[self.core.element[into as usize] as usize] += 1;
        }
        let (table, dims) = self.out.fold(open, links);
        self.add(dims.clone(), Kind::Made(table, dims));
    }

    pub fn run(mut self, order: &[usize], most_work: f64) -> Result<Plan, Stop> {
        for v in order {
            if !self.done[*v] {
                self.eliminate(*v);
            }
            if self.out.over > 0.0 {
                return Err(Stop::TooLarge(self.out.over));
            }
            if self.out.plan.work > most_work {
                return Err(Stop::Dearer);
            }
        }
        Ok(self.out.plan)
    }

    fn is_max(&self, v: usize) -> bool {
        v >= self.core.plains.len()
    }

    fn add(&mut self, scope: Dims, kind: Kind) {
        let id = self.factors.len();
        for v in &scope {
            self.of[*v as usize].push(id);
        }
        self.factors.push(Some(Factor { scope, kind }));
    }

    /// Ids of the factors of an element that are still there.
    fn live(&self, v: usize) -> Vec<usize> {
        let mut ids: Vec<usize> = self.of[v]
            .iter()
            .copied()
            .filter(|id| self.factors[*id].is_some())
            .collect();
        ids.dedup();
        ids
    }

    /// The other end of a pending link.
    fn partner(&self, link: u32, v: usize) -> usize {
        let (plain, open) = self.core.ends(self.reduced, link);
        if plain == v { open } else { plain }
    }

    fn eliminate(&mut self, v: usize) {
        let ids = self.live(v);
        if !self.is_max(v) && self.core.states[v] == 2 && !self.pending[v].is_empty() {
            let all_dense = ids.iter().all(|id| {
                matches!(
                    self.factors[*id],
                    Some(Factor {
                        kind: Kind::Dense(_),
                        ..
                    })
                )
            });
            if all_dense {
                self.imply(v, &ids);
                return;
            }
        }
        if self.is_max(v) && self.reduced.opens[v - self.core.plains.len()].into != NONE {
            self.settle(v, ids);
        } else {
            self.cluster(v, ids);
        }
    }

    /// Sums a variable out in thought: it has links and small tables only.
    fn imply(&mut self, v: usize, ids: &[usize]) {
        let mut scope: Dims = Vec::new();
        let mut dense = Vec::new();
        for id in ids {
            if let Some(Factor {
                scope: theirs,
                kind: Kind::Dense(i),
            }) = self.factors[*id].take()
            {
                scope.extend(theirs.iter().filter(|d| **d as usize != v));
                dense.push(i);
            }
        }
        let links = std::mem::take(&mut self.pending[v]);
        for link in &links {
            let open = self.partner(*link, v);
            scope.push(open as u16);
            self.pending[open].retain(|l| l != link);
        }
        scope.sort();
        scope.dedup();
        self.done[v] = true;
        self.add(
            scope,
            Kind::Implicit {
                plain: v,
                dense,
                links,
            },
        );
    }

    /// Multiplies together what holds `v` and sums it out, with every other
    /// variable that then occurs nowhere else.
    fn cluster(&mut self, v: usize, mut ids: Vec<usize>) {
        let mut scope = self.scope(&ids, v);
        let mut closers = vec![v as u16];
        for w in scope.clone() {
            let w = w as usize;
            if w == v || !self.ends_within(w, &scope) {
                continue;
            }
            closers.push(w as u16);
            ids.extend(self.live(w));
        }
        ids.sort();
        ids.dedup();
        scope.clear();
        let mut late = Vec::new();
        for w in &closers {
            let w = *w as usize;
            if self.is_max(w) {
                self.gate_leak(w, &mut ids);
            }
        }
        for w in &closers {
            if !self.pending[*w as usize].is_empty() {
                late.push(*w);
            }
        }
        let mut made = self.combine(ids, &closers, &late);
        for w in late {
            let links = std::mem::take(&mut self.pending[w as usize]);
            for link in &links {
                let open = self.partner(*link, w as usize);
                self.pending[open].retain(|l| l != link);
            }
            made = self.out.gate(made, w as usize, &links);
            made = self.out.close(made, w);
        }
        for w in closers {
            self.done[w as usize] = true;
        }
        self.result(made);
    }

    fn result(&mut self, (table, dims): Made) {
        if dims.is_empty() {
            self.out.plan.roots.push(table);
        } else {
            self.add(dims.clone(), Kind::Made(table, dims));
        }
    }

    fn scope(&self, ids: &[usize], v: usize) -> Dims {
        let mut scope: Dims = vec![v as u16];
        for id in ids {
            if let Some(factor) = &self.factors[*id] {
                scope.extend(&factor.scope);
            }
        }
        scope.extend(self.pending[v].iter().map(|l| self.partner(*l, v) as u16));
        scope.sort();
        scope.dedup();
        scope
    }

    /// Whether everything that holds `w` lies inside the scope.
    fn ends_within(&self, w: usize, scope: &[u16]) -> bool {
        let inside = |d: &u16| scope.binary_search(d).is_ok();
        let hidden = self.is_max(w) && self.reduced.opens[w - self.core.plains.len()].into != NONE;
        !self.done[w]
            && self.unsettled[w] == 0
            && !hidden
            && self.pending[w]
                .iter()
                .all(|l| inside(&(self.partner(*l, w) as u16)))
            && self
                .live(w)
                .iter()
                .all(|id| matches!(&self.factors[*id], Some(f) if f.scope.iter().all(inside)))
    }

    /// A max dimension's leak takes in the causes that stay as dimensions.
    fn gate_leak(&mut self, open: usize, ids: &mut [usize]) {
        let links = std::mem::take(&mut self.pending[open]);
        for link in links {
            let plain = self.partner(link, open);
            self.pending[plain].retain(|l| *l != link);
            let leak = ids.iter_mut().find(|id| {
                matches!(&self.factors[**id], Some(Factor { kind: Kind::Made(..), scope })
                    if scope.contains(&(open as u16)) && !scope.contains(&(plain as u16)))
            });
            let Some(id) = leak else { continue };
            if let Some(Factor {
                kind: Kind::Made(table, dims),
                ..
            }) = self.factors[*id].take()
            {
                let (table, dims) = self.out.gate((table, dims), plain, &[link]);
                self.factors[*id] = Some(Factor {
                    scope: dims.clone(),
                    kind: Kind::Made(table, dims),
                });
            }
        }
    }

    /// A gate in the middle of the network: its max dimension becomes the plain variable.
    fn settle(&mut self, v: usize, mut ids: Vec<usize>) {
        self.gate_leak(v, &mut ids);
        let made = self.combine(ids, &[], &[]);
        let into = self.reduced.opens[v - self.core.plains.len()].into;
        let plain = self.core.element[into as usize] as u16;
        let made = self.out.settle(made, v as u16, plain);
        self.done[v] = true;
        self.unsettled[plain as usize] -= 1;
        self.result(made);
    }
}
