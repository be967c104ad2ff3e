//! The product of two tables: pointwise in plain dimensions, the higher of
//! two grades in max dimensions, summing out what no other table holds.
//!
//! Both operands are brought to the layout `[own, plain, closed, max]` (the
//! first fastest). A max dimension of `s` bands that stays is written out as
//! `2 s - 1` partial products, each a plain multiplication.

use super::kernel;
use super::plans::Table;
use super::run::{Numbers, slices};

/// A shared dimension that ends in this join.
#[derive(Debug, Clone, Copy)]
pub(super) struct Closed {
    pub element: u32,
    pub states: usize,
}

/// How to join two tables.
#[derive(Debug, Clone)]
pub(super) struct Join {
    pub a: Table,
    pub b: Table,
    pub to: Table,
    pack_a: Option<Vec<u32>>,
    pack_b: Option<Vec<u32>>,
    pub closed: Vec<Closed>,
    /// States of the max dimensions that stay, fastest first.
    kept: Vec<usize>,
    own_a: usize,
    own_b: usize,
    plain: usize,
    ended: usize,
    /// Length of `a` with max dimensions of more than two bands written out.
    long_a: usize,
    /// Length of `b` with every max dimension that stays written out.
    long_b: usize,
    /// For each partial product: the index of `a`'s part and of the result's part.
    parts: Vec<(u32, u32)>,
}

/// Dimensions of a table with their states, fastest first.
pub(super) type Dims = Vec<u16>;

/// What the join needs to know of the elements.
pub(super) struct Elements<'a> {
    pub states: &'a [usize],
    /// Elements from here on are max dimensions.
    pub first_max: usize,
}

impl Elements<'_> {
    pub fn size(&self, dims: &[u16]) -> f64 {
        dims.iter()
            .map(|d| self.states[*d as usize] as f64)
            .product()
    }
}

/// The join's shape before any memory is given to it.
pub(super) struct Shape {
    pub dims: Dims,
    pub work: f64,
    pub scratch: f64,
    order_a: Dims,
    order_b: Dims,
    swap: bool,
    kept: Dims,
    closed: Dims,
    own_a: f64,
    own_b: f64,
    plain: f64,
    long_a: f64,
    long_b: f64,
}

impl Shape {
    /// Plans the join of tables with these dimensions; `closing` must be shared by both.
    pub fn of(elements: &Elements, a: &[u16], b: &[u16], closing: &[u16]) -> Self {
        let own = |x: &[u16], y: &[u16]| -> Dims {
            x.iter().filter(|d| !y.contains(d)).copied().collect()
        };
        let swap = elements.size(&own(a, b)) < elements.size(&own(b, a));
        let (a, b) = if swap { (b, a) } else { (a, b) };
        let (own_a, own_b) = (own(a, b), own(b, a));
        let shared: Dims = a.iter().filter(|d| b.contains(d)).copied().collect();
        let max = |d: &u16| *d as usize >= elements.first_max;
        let take = |f: &dyn Fn(&u16) -> bool| -> Dims {
            shared.iter().filter(|d| f(d)).copied().collect()
        };
        let closed = take(&|d| closing.contains(d));
        let kept = take(&|d| !closing.contains(d) && max(d));
        let plain = take(&|d| !closing.contains(d) && !max(d));
        let chain = |parts: [&Dims; 4]| -> Dims { parts.into_iter().flatten().copied().collect() };
        let of = |d: &u16| elements.states[*d as usize] as f64;
        let parts: f64 = kept.iter().map(|d| 2.0 * of(d) - 1.0).product();
        let parts_a: f64 = kept
            .iter()
            .map(|d| if of(d) == 2.0 { 2.0 } else { 2.0 * of(d) - 1.0 })
            .product();
        let inner = elements.size(&plain) * elements.size(&closed);
        let (size_a, size_b) = (elements.size(&own_a), elements.size(&own_b));
        Shape {
            dims: chain([&own_a, &own_b, &plain, &kept]),
            work: parts * inner * size_a * size_b + 2.0 * parts * inner * size_b + elements.size(a),
            scratch: 3.0 * (parts_a * inner * size_a + parts * inner * size_b),
            order_a: chain([&own_a, &plain, &closed, &kept]),
            order_b: chain([&own_b, &plain, &closed, &kept]),
            swap,
            own_a: size_a,
            own_b: size_b,
            plain: elements.size(&plain),
            long_a: parts_a * inner * size_a,
            long_b: parts * inner * size_b,
            kept,
            closed,
        }
    }

    /// The join itself, once the tables have their places.
    pub fn build(
        self,
        elements: &Elements,
        (a, a_dims): (Table, &[u16]),
        (b, b_dims): (Table, &[u16]),
        to: Table,
    ) -> Join {
        let ((a, a_dims), (b, b_dims)) = if self.swap {
            ((b, b_dims), (a, a_dims))
        } else {
            ((a, a_dims), (b, b_dims))
        };
        let kept: Vec<usize> = self
            .kept
            .iter()
            .map(|d| elements.states[*d as usize])
            .collect();
        let mut parts = vec![(0u32, 0u32)];
        let (mut step_a, mut step_o) = (1u32, 1u32);
        for states in &kept {
            let have = parts.clone();
            parts.clear();
            for e in 0..(2 * states - 1) as u32 {
                let k = e.div_ceil(2);
                let in_a = if *states == 2 { e / 2 } else { e };
                parts.extend(
                    have.iter()
                        .map(|(x, o)| (x + in_a * step_a, o + k * step_o)),
                );
            }
            step_a *= if *states == 2 {
                2
            } else {
                (2 * states - 1) as u32
            };
            step_o *= *states as u32;
        }
        Join {
            pack_a: gather(elements, a_dims, &self.order_a),
            pack_b: gather(elements, b_dims, &self.order_b),
            a,
            b,
            to,
            ended: elements.size(&self.closed) as usize,
            closed: self
                .closed
                .iter()
                .map(|d| Closed {
                    element: u32::from(*d),
                    states: elements.states[*d as usize],
                })
                .collect(),
            kept,
            own_a: self.own_a as usize,
            own_b: self.own_b as usize,
            plain: self.plain as usize,
            long_a: self.long_a as usize,
            long_b: self.long_b as usize,
            parts,
        }
    }
}

/// Indices that bring a table from one order of dimensions to another; none if it is the same.
pub(super) fn gather(elements: &Elements, from: &[u16], to: &[u16]) -> Option<Vec<u32>> {
    if from == to {
        return None;
    }
    let mut index = vec![0u32];
    for dim in to {
        let states = elements.states[*dim as usize];
        let place = from.iter().position(|d| d == dim).unwrap_or(0);
        let stride = elements.size(&from[..place]) as u32;
        let have = index.len();
        for s in 1..states as u32 {
            for i in 0..have {
                index.push(index[i] + s * stride);
            }
        }
    }
    Some(index)
}

impl Join {
    /// Packs and writes out both operands into the scratch; returns them and what is left of it.
    fn spread<'s>(
        &self,
        numbers: &Numbers,
        arena: &[f64],
        scratch: &'s mut [f64],
    ) -> (&'s mut [f64], &'s mut [f64], &'s mut [f64]) {
        let (long_a, rest) = scratch.split_at_mut(self.long_a);
        let (long_b, rest) = rest.split_at_mut(self.long_b);
        let from = &arena[self.a.at..self.a.at + self.a.len];
        packed(from, &mut long_a[..self.a.len], &self.pack_a);
        let mut stride = self.own_a * self.plain * self.ended;
        let mut len = self.a.len;
        for states in &self.kept {
            if *states > 2 {
                let grown = len / states * (2 * states - 1);
                rest[..len].copy_from_slice(&long_a[..len]);
                kernel::expand_lower(&rest[..len], &mut long_a[..grown], stride, *states);
                len = grown;
                stride *= 2 * states - 1;
            } else {
                stride *= 2;
            }
        }
        let from = &arena[self.b.at..self.b.at + self.b.len];
        packed(from, &mut long_b[..self.b.len], &self.pack_b);
        self.meet(numbers, &mut long_b[..self.b.len]);
        let mut stride = self.own_b * self.plain * self.ended;
        let mut len = self.b.len;
        for states in &self.kept {
            let grown = len / states * (2 * states - 1);
            rest[..len].copy_from_slice(&long_b[..len]);
            kernel::expand_upper(&rest[..len], &mut long_b[..grown], stride, *states);
            len = grown;
            stride *= 2 * states - 1;
        }
        (long_a, long_b, rest)
    }

    /// Weighs the dimensions that end here; the same map transposed is itself.
    fn meet(&self, numbers: &Numbers, b: &mut [f64]) {
        let mut stride = self.own_b * self.plain;
        for closed in &self.closed {
            match numbers.closing(closed.element) {
                (v, true) => kernel::meet(b, stride, v),
                (v, false) => kernel::weigh(b, stride, v),
            }
            stride *= closed.states;
        }
    }

    pub fn forward(&self, numbers: &Numbers, arena: &mut [f64], scratch: &mut [f64]) {
        let (a, b, _) = self.spread(numbers, arena, scratch);
        let to = &mut arena[self.to.at..self.to.at + self.to.len];
        to.fill(0.0);
        let (na, nb) = (self.own_a, self.own_b);
        let (row_a, row_b) = (na * self.plain, nb * self.plain);
        let row_o = na * nb * self.plain;
        for (e, (x, o)) in self.parts.iter().enumerate() {
            let out = &mut to[*o as usize * row_o..][..row_o];
            let a = &a[*x as usize * row_a * self.ended..][..row_a * self.ended];
            let b = &b[e * row_b * self.ended..][..row_b * self.ended];
            if row_o == 1 {
                out[0] += kernel::dot(a, b);
                continue;
            }
            for (a, b) in a.chunks_exact(row_a).zip(b.chunks_exact(row_b)) {
                if na == 1 && nb == 1 {
                    for ((o, x), y) in out.iter_mut().zip(a).zip(b) {
                        *o += x * y;
                    }
                    continue;
                }
                for (p, a) in a.chunks_exact(na).enumerate() {
                    for (q, b) in b[p * nb..(p + 1) * nb].iter().enumerate() {
                        kernel::add(&mut out[(p * nb + q) * na..][..na], *b, a);
                    }
                }
            }
        }
    }

    pub fn back(&self, numbers: &Numbers, arena: &[f64], adjoint: &mut [f64], scratch: &mut [f64]) {
        let (a, b, rest) = self.spread(numbers, arena, scratch);
        let (back_a, rest) = rest.split_at_mut(self.long_a);
        let (back_b, rest) = rest.split_at_mut(self.long_b);
        back_a.fill(0.0);
        back_b.fill(0.0);
        let to = &adjoint[self.to.at..self.to.at + self.to.len];
        self.products_back(to, (a, b), (back_a, back_b));
        let mut stride = self.own_b * self.plain * self.ended;
        stride *= self.kept.iter().map(|s| 2 * s - 1).product::<usize>();
        let mut len = self.long_b;
        for states in self.kept.iter().rev() {
            stride /= 2 * states - 1;
            let short = len / (2 * states - 1) * states;
            rest[..len].copy_from_slice(&back_b[..len]);
            kernel::expand_upper_back(&mut back_b[..short], &mut rest[..len], stride, *states);
            len = short;
        }
        self.meet(numbers, &mut back_b[..len]);
        let out = &mut adjoint[self.b.at..self.b.at + self.b.len];
        unpacked(&back_b[..len], out, &self.pack_b);
        let mut len = self.long_a;
        let long = |s: usize| if s == 2 { 2 } else { 2 * s - 1 };
        let mut stride = self.own_a * self.plain * self.ended;
        stride *= self.kept.iter().map(|s| long(*s)).product::<usize>();
        for states in self.kept.iter().rev() {
            stride /= long(*states);
            if *states > 2 {
                let short = len / (2 * states - 1) * states;
                rest[..len].copy_from_slice(&back_a[..len]);
                kernel::expand_lower_back(&mut back_a[..short], &rest[..len], stride, *states);
                len = short;
            }
        }
        let out = &mut adjoint[self.a.at..self.a.at + self.a.len];
        unpacked(&back_a[..len], out, &self.pack_a);
    }

    fn products_back(&self, to: &[f64], (a, b): (&[f64], &[f64]), back: (&mut [f64], &mut [f64])) {
        let (back_a, back_b) = back;
        let (na, nb) = (self.own_a, self.own_b);
        let (row_a, row_b) = (na * self.plain, nb * self.plain);
        let row_o = na * nb * self.plain;
        for (e, (x, o)) in self.parts.iter().enumerate() {
            let out = &to[*o as usize * row_o..][..row_o];
            let at_a = *x as usize * row_a * self.ended;
            let at_b = e * row_b * self.ended;
            for c in 0..self.ended {
                let (from_a, from_b) = (at_a + c * row_a, at_b + c * row_b);
                let (a, b) = (&a[from_a..][..row_a], &b[from_b..][..row_b]);
                let to_a = &mut back_a[from_a..][..row_a];
                let to_b = &mut back_b[from_b..][..row_b];
                if na == 1 && nb == 1 {
                    for i in 0..row_a {
                        to_a[i] += b[i] * out[i];
                        to_b[i] = a[i] * out[i];
                    }
                    continue;
                }
                for p in 0..self.plain {
                    for q in p * nb..(p + 1) * nb {
                        let out = &out[q * na..][..na];
                        kernel::add(&mut to_a[p * na..][..na], b[q], out);
                        to_b[q] = kernel::dot(&a[p * na..][..na], out);
                    }
                }
            }
        }
    }

    /// After [`Join::back`]: the probabilities of each plain variable that ended here.
    pub fn read(
        &self,
        numbers: &Numbers,
        arena: &[f64],
        adjoint: &[f64],
        scratch: &mut [f64],
        read: &mut impl FnMut(u32, &mut dyn Iterator<Item = f64>),
    ) {
        if !self.closed.iter().any(|c| !numbers.closing(c.element).1) {
            return;
        }
        let len = self.b.len;
        let (values, rest) = scratch.split_at_mut(len);
        let backs = &mut rest[..len];
        packed(&arena[self.b.at..self.b.at + len], values, &self.pack_b);
        packed(&adjoint[self.b.at..self.b.at + len], backs, &self.pack_b);
        let mut stride = self.own_b * self.plain;
        for closed in &self.closed {
            if !numbers.closing(closed.element).1 {
                let mut p = slices(values, backs, stride, closed.states);
                read(closed.element, &mut p);
            }
            stride *= closed.states;
        }
    }
}

fn packed(from: &[f64], to: &mut [f64], order: &Option<Vec<u32>>) {
    match order {
        Some(order) => kernel::pick(from, to, order),
        None => to.copy_from_slice(from),
    }
}

fn unpacked(from: &[f64], to: &mut [f64], order: &Option<Vec<u32>>) {
    match order {
        Some(order) => kernel::unpick(from, to, order),
        None => to.copy_from_slice(from),
    }
}
