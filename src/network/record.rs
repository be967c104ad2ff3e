//! Recording steps: every operation on tables is planned here, with its
//! memory and its cost, and written down if the plan is to be run.

use super::core::Core;
use super::gather::Gather;
use super::plans::{Hit, Plan, Step, Table};
use super::reduced::Reduced;
use super::shape::{Dims, Elements, Shape, gather};

/// A table with its dimensions.
pub(super) type Made = (Table, Dims);

/// The program as far as it is written.
pub(super) struct Recorder<'a> {
    pub reduced: &'a Reduced,
    pub core: &'a Core,
    pub plan: Plan,
    /// Most entries that all tables together may have.
    pub limit: f64,
    /// Only memory and cost are wanted.
    pub dry: bool,
    /// Entries wanted beyond the limit, 0 if it was kept.
    pub over: f64,
}

impl<'a> Recorder<'a> {
    pub fn elements(&self) -> Elements<'a> {
        Elements {
            states: &self.core.states,
            first_max: self.core.plains.len(),
        }
    }

    pub fn table(&mut self, len: f64) -> Table {
        let whole = self.plan.arena as f64 + len;
        if whole > self.limit {
            self.over = self.over.max(whole);
            return Table { at: 0, len: 0 };
        }
        let table = Table {
            at: self.plan.arena,
            len: len as usize,
        };
        self.plan.arena += table.len;
        table
    }

    fn scratch(&mut self, len: f64) {
        if len > self.limit {
            self.over = self.over.max(len);
        } else {
            self.plan.scratch = self.plan.scratch.max(len as usize);
        }
    }

    pub fn push(&mut self, step: Step) {
        if self.over == 0.0 {
            self.plan.steps.push(step);
        }
    }

    pub fn load(&mut self, dense: u32, dims: Dims) -> Made {
        let to = self.table(self.elements().size(&dims));
        self.push(Step::Load { dense, to });
        (to, dims)
    }

    pub fn unit(&mut self) -> Made {
        let to = self.table(1.0);
        self.push(Step::Unit { to });
        (to, Vec::new())
    }

    /// Splits links into those on dimensions that the table has and new ones.
    pub fn hits(&self, dims: &[u16], links: &[u32]) -> (Vec<Hit>, usize, Dims) {
        let elements = self.elements();
        let mut old = Vec::new();
        let mut new = Vec::new();
        let mut grown = Vec::new();
        for link in links {
            let open = self.core.ends(self.reduced, *link).1;
            let place = dims.iter().position(|d| *d as usize == open);
            let hit = Hit {
                link: *link,
                states: self.core.states[open],
                stride: place.map_or(0, |p| elements.size(&dims[..p]) as usize),
            };
            if place.is_some() {
                old.push(hit);
            } else {
                new.push(hit);
                grown.push(open as u16);
            }
        }
        let count = old.len();
        old.extend(new);
        (old, count, grown)
    }

    pub fn absorb(&mut self, from: Made, plain: usize, dense: &[u32], links: &[u32]) -> Made {
        if let [one] = dense {
            return self.absorb_by(from, plain, *one, links);
        }
        if !dense.is_empty() {
            let mut made = self.gate(from, plain, links);
            for (i, d) in dense.iter().enumerate() {
                let scope: Dims = self.reduced.dense[*d as usize]
                    .scope
                    .iter()
                    .map(|p| self.core.element[*p as usize] as u16)
                    .collect();
                let table = self.load(*d, scope);
                let closing: &[u16] = if i + 1 == dense.len() {
                    &[plain as u16]
                } else {
                    &[]
                };
                made = self.join(made, table, closing);
            }
            return made;
        }
        let (table, mut dims) = from;
        let (hits, old, grown) = self.hits(&dims, links);
        dims.extend(grown);
        let to = self.table(self.elements().size(&dims));
        self.scratch(to.len as f64);
        self.plan.work += (table.len * (old + 2) + 2 * to.len) as f64;
        self.push(Step::Absorb {
            plain: plain as u32,
            hits,
            old,
            from: table,
            to,
        });
        (to, dims)
    }

    /// Sums out a variable whose chance depends on others, which stay outermost.
    fn absorb_by(&mut self, (table, dims): Made, plain: usize, dense: u32, links: &[u32]) -> Made {
        let elements = self.elements();
        let scope = self.reduced.dense[dense as usize].scope.iter();
        let others: Dims = scope
            .map(|p| self.core.element[*p as usize] as u16)
            .filter(|e| *e as usize != plain)
            .collect();
        let (have, inner): (Dims, Dims) = dims.iter().partition(|d| others.contains(d));
        let order: Dims = inner.iter().chain(&have).copied().collect();
        let part = elements.size(&inner);
        let combinations = elements.size(&others) as usize;
        let (hits, old, grown) = self.hits(&inner, links);
        let after: Dims = [&inner[..], &grown, &others].concat();
        let to = self.table(elements.size(&after));
        self.scratch((2 * table.len + to.len) as f64);
        self.plan.work += part * (combinations * (old + 2)) as f64 + 2.0 * to.len as f64;
        if !self.dry && self.over == 0.0 {
            let from = |mut combination: usize| {
                let mut at = 0;
                for d in &others {
                    let states = elements.states[*d as usize];
                    let place = have.iter().position(|h| h == d);
                    let stride = place.map_or(0, |p| elements.size(&have[..p]) as usize);
                    at += combination % states * stride;
                    combination /= states;
                }
                at as u32
            };
            self.push(Step::AbsorbBy {
                plain: plain as u32,
                dense,
                at: (0..combinations).map(from).collect(),
                pack: gather(&elements, &dims, &order),
                hits,
                old,
                from: table,
                to,
            });
        }
        (to, after)
    }

    /// Multiplies links of a variable in and keeps it, outermost.
    pub fn gate(&mut self, (table, dims): Made, plain: usize, links: &[u32]) -> Made {
        let own = dims.contains(&(plain as u16));
        let mut order: Dims = dims
            .iter()
            .filter(|d| **d as usize != plain)
            .copied()
            .collect();
        let inner = order.clone();
        if own {
            order.push(plain as u16);
        }
        let elements = self.elements();
        let pack = if self.dry || self.over > 0.0 {
            None
        } else {
            gather(&elements, &dims, &order)
        };
        let (hits, old, grown) = self.hits(&inner, links);
        let mut after = inner;
        after.extend(grown);
        after.push(plain as u16);
        let to = self.table(elements.size(&after));
        self.scratch((2 * table.len + to.len) as f64);
        self.plan.work += (table.len * (old + 2) + 2 * to.len) as f64;
        self.push(Step::Gate {
            plain: plain as u32,
            own,
            pack,
            hits,
            old,
            from: table,
            to,
        });
        (to, after)
    }

    pub fn close(&mut self, (table, dims): Made, d: u16) -> Made {
        let place = dims.iter().position(|x| *x == d).unwrap_or(0);
        let elements = self.elements();
        let stride = elements.size(&dims[..place]) as usize;
        let after: Dims = dims.iter().filter(|x| **x != d).copied().collect();
        let to = self.table(elements.size(&after));
        self.plan.work += table.len as f64;
        self.push(Step::Close {
            element: u32::from(d),
            states: self.core.states[d as usize],
            stride,
            from: table,
            to,
        });
        (to, after)
    }

    pub fn join(&mut self, a: Made, b: Made, closing: &[u16]) -> Made {
        let elements = self.elements();
        let shape = Shape::of(&elements, &a.1, &b.1, closing);
        let dims = shape.dims.clone();
        self.plan.work += shape.work;
        self.scratch(shape.scratch);
        let to = self.table(elements.size(&dims));
        if !self.dry && self.over == 0.0 {
            let join = shape.build(&elements, (a.0, &a.1), (b.0, &b.1), to);
            self.push(Step::Join(Box::new(join)));
        }
        (to, dims)
    }

    /// A max dimension's leak, joined with the causes that act on it alone.
    pub fn fold(&mut self, open: u32, links: Vec<u32>) -> Made {
        let states = self.reduced.opens[open as usize].states;
        let all = self.table(((links.len() + 1) * states) as f64);
        self.plan.work += all.len as f64 * 3.0;
        let step = Step::Fold {
            open,
            links,
            at: all.at,
            states,
        };
        let to = step.to();
        self.push(step);
        (to, vec![self.core.open(open) as u16])
    }

    /// Max dimension `v` turns into plain variable `plain`; where the table has
    /// both, the entries where they agree are kept.
    pub fn settle(&mut self, (table, dims): Made, v: u16, plain: u16) -> Made {
        let after: Dims = if dims.contains(&plain) {
            dims.iter().filter(|d| **d != v).copied().collect()
        } else {
            let swap = |d: &u16| if *d == v { plain } else { *d };
            dims.iter().map(swap).collect()
        };
        let elements = self.elements();
        let to = self.table(elements.size(&after));
        let mut pick = Gather::of([]);
        if !self.dry && self.over == 0.0 {
            let stride = |d: u16| {
                let place = dims.iter().position(|x| *x == d);
                place.map_or(0, |p| elements.size(&dims[..p]) as u32)
            };
            let offset = |d: u16, s: u32| match d == plain {
                true => s * stride(plain) + s * stride(v),
                false => s * stride(d),
            };
            pick = Gather::of(after.iter().map(|d| {
                let states = self.core.states[*d as usize] as u32;
                (0..states).map(|s| offset(*d, s)).collect()
            }));
        }
        self.plan.work += to.len as f64;
        self.push(Step::Settle {
            pick,
            from: table,
            to,
        });
        (to, after)
    }
}
