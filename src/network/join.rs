//! The product of two tables: pointwise in plain dimensions, the higher of
//! two grades in max dimensions, summing out what no other table holds.
//!
//! Both operands are brought to the layout `[own, plain, inner max, closed,
//! outer max]` (the first fastest). The inner max dimensions are written out
//! as `2 s - 1` partial products so that rows are long; the outer ones are
//! taken apart by [`super::product`].

use super::draw::Way;
use super::gather::{Gather, packed, unpacked};
use super::kernel;
use super::plans::Table;
use super::product::{self, Pair, Row};
use super::run::{Marginals, Numbers, slices};

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
    pub pack_a: Option<Gather>,
    pub pack_b: Option<Gather>,
    pub closed: Vec<Closed>,
    pub row: Row,
    /// States of the max dimensions written out.
    pub inner: Vec<usize>,
    /// States of those taken apart, outermost last.
    pub outer: Vec<usize>,
    /// Lengths of the operands in the common layout, then with the inner dimensions written out.
    pub packed: (usize, usize),
    pub long: (usize, usize),
}

impl Join {
    fn lane(&self) -> usize {
        let partial: usize = self.inner.iter().map(|s| 2 * s - 1).product();
        self.row.plain / partial
    }

    /// Both operands in the common layout, the inner dimensions written out.
    fn lay_out(
        &self,
        numbers: &Numbers,
        arena: &[f64],
        (a, b): (&mut [f64], &mut [f64]),
        spare: &mut [f64],
    ) {
        let from = &arena[self.a.at..self.a.at + self.a.len];
        packed(from, &mut a[..self.packed.0], &self.pack_a);
        let lane = self.row.own_a * self.lane();
        write_out(
            a,
            self.packed.0,
            lane,
            &self.inner,
            spare,
            kernel::expand_lower,
        );
        let from = &arena[self.b.at..self.b.at + self.b.len];
        let lane = self.row.own_b * self.lane();
        packed(from, &mut b[..self.packed.1], &self.pack_b);
        self.meet(numbers, &mut b[..self.packed.1]);
        write_out(
            b,
            self.packed.1,
            lane,
            &self.inner,
            spare,
            kernel::expand_upper,
        );
    }

    /// The two tables that are joined.
    pub fn operands(&self) -> [Table; 2] {
        [self.a, self.b]
    }

    /// The dimensions that end here, in the order of [`Way::ended`].
    pub fn ended(&self, numbers: &Numbers) -> Vec<(Option<u32>, usize)> {
        let plain = |c: &Closed| (!numbers.closing(c.element).1).then_some(c.element);
        self.closed.iter().map(|c| (plain(c), c.states)).collect()
    }

    /// The ways to an entry of the result: every pair of entries that meet in it.
    pub fn ways(&self, numbers: &Numbers, arena: &[f64], entry: usize, ways: &mut Vec<Way>) {
        let mut rest = entry;
        let mut digit = |states: usize| {
            let d = rest % states;
            rest /= states;
            d
        };
        let (own_a, own_b) = (digit(self.row.own_a), digit(self.row.own_b));
        let lane = digit(self.lane());
        ways.push(Way {
            weight: 1.0,
            a: own_a + self.row.own_a * lane,
            b: own_b + self.row.own_b * lane,
            ended: 0,
        });
        let mut stride = (self.row.own_a * self.lane(), self.row.own_b * self.lane());
        let mut spread =
            |ways: &mut Vec<Way>, states: usize, pairs: &[(usize, usize, f64, usize)]| {
                *ways = (ways.iter())
                    .flat_map(|way| {
                        pairs.iter().map(move |(a, b, weight, ended)| Way {
                            weight: way.weight * weight,
                            a: way.a + a * stride.0,
                            b: way.b + b * stride.1,
                            ended: way.ended + ended,
                        })
                    })
                    .collect();
                stride = (stride.0 * states, stride.1 * states);
            };
        let highest = |k: usize| -> Vec<(usize, usize, f64, usize)> {
            let b_lower = (0..k).map(|low| (k, low, 1.0, 0));
            b_lower.chain((0..=k).map(|low| (low, k, 1.0, 0))).collect()
        };
        for states in &self.inner {
            spread(ways, *states, &highest(digit(*states)));
        }
        let mut radix = 1;
        for closed in &self.closed {
            let n = closed.states;
            let pairs: Vec<_> = match numbers.closing(closed.element) {
                (v, false) => (0..n).map(|s| (s, s, v[s], s * radix)).collect(),
                (v, true) => (0..n * n)
                    .map(|i| (i % n, i / n, v[(i % n).max(i / n)], 0))
                    .collect(),
            };
            spread(ways, n, &pairs);
            radix *= n;
        }
        for states in &self.outer {
            spread(ways, *states, &highest(digit(*states)));
        }
        let at = |pack: &Option<Gather>, i: usize| pack.as_ref().map_or(i, |pack| pack.at(i));
        for way in ways {
            (way.a, way.b) = (at(&self.pack_a, way.a), at(&self.pack_b, way.b));
            way.weight *= arena[self.a.at + way.a] * arena[self.b.at + way.b];
        }
    }

    /// Weighs the dimensions that end here; the same map transposed is itself.
    fn meet(&self, numbers: &Numbers, b: &mut [f64]) {
        let mut stride = self.row.own_b * self.lane() * self.inner.iter().product::<usize>();
        for closed in &self.closed {
            match numbers.closing(closed.element) {
                (v, true) => kernel::meet(b, stride, v),
                (v, false) => kernel::weigh(b, stride, v),
            }
            stride *= closed.states;
        }
    }

    fn long_out(&self) -> usize {
        self.row.block_out() * self.outer.iter().product::<usize>()
    }

    pub fn forward(&self, numbers: &Numbers, arena: &mut [f64], scratch: &mut [f64]) {
        let (a, rest) = scratch.split_at_mut(self.long.0);
        let (b, rest) = rest.split_at_mut(self.long.1);
        self.lay_out(numbers, arena, (a, b), rest);
        let to = &mut arena[self.to.at..self.to.at + self.to.len];
        if self.inner.is_empty() {
            to.fill(0.0);
            product::forward(&self.row, &self.outer, a, b, to, rest);
            return;
        }
        let (out, rest) = rest.split_at_mut(self.long_out());
        out.fill(0.0);
        product::forward(&self.row, &self.outer, a, b, out, rest);
        let mut stride = self.row.own_a * self.row.own_b * self.lane();
        let mut len = out.len();
        for states in &self.inner {
            let short = len / (2 * states - 1) * states;
            kernel::contract(out, len, stride, *states);
            len = short;
            stride *= states;
        }
        to.copy_from_slice(&out[..len]);
    }

    /// From what the reverse pass left in place of the join's result to the
    /// same for both operands, in their place. Reads the probabilities of each
    /// plain variable that ends here.
    pub fn back(
        &self,
        numbers: &Numbers,
        arena: &mut [f64],
        scratch: &mut [f64],
        marginals: &mut Marginals,
    ) {
        let (a, rest) = scratch.split_at_mut(self.long.0);
        let (b, rest) = rest.split_at_mut(self.long.1);
        let (back_a, rest) = rest.split_at_mut(self.long.0);
        let (back_b, rest) = rest.split_at_mut(self.long.1);
        self.lay_out(numbers, arena, (a, b), rest);
        back_a.fill(0.0);
        back_b.fill(0.0);
        let (out, rest) = rest.split_at_mut(self.long_out());
        out[..self.to.len].copy_from_slice(&arena[self.to.at..self.to.at + self.to.len]);
        let lane = self.row.own_a * self.row.own_b * self.lane();
        write_out(
            out,
            self.to.len,
            lane,
            &self.inner,
            rest,
            kernel::contract_back,
        );
        let pair_a = Pair {
            value: a,
            back: back_a,
        };
        let pair_b = Pair {
            value: b,
            back: back_b,
        };
        product::back(&self.row, &self.outer, pair_a, pair_b, out, rest);
        self.read(numbers, b, back_b, marginals);
        let lane = self.row.own_b * self.lane();
        write_back(back_b, lane, &self.inner, rest, kernel::expand_upper_back);
        self.meet(numbers, &mut back_b[..self.packed.1]);
        let to = &mut arena[self.b.at..self.b.at + self.b.len];
        unpacked(&back_b[..self.packed.1], to, &self.pack_b);
        let lane = self.row.own_a * self.lane();
        write_back(back_a, lane, &self.inner, rest, kernel::expand_lower_back);
        let to = &mut arena[self.a.at..self.a.at + self.a.len];
        unpacked(&back_a[..self.packed.0], to, &self.pack_a);
    }

    /// The probabilities of each plain variable that ends here, from the second
    /// operand as laid out and what the reverse pass left for it.
    fn read(&self, numbers: &Numbers, value: &[f64], back: &[f64], marginals: &mut Marginals) {
        let mut stride = self.row.own_b * self.row.plain;
        for closed in &self.closed {
            if !numbers.closing(closed.element).1 {
                let mut p = slices(value, back, stride, closed.states);
                marginals.read(numbers, closed.element, &mut p);
            }
            stride *= closed.states;
        }
    }
}

/// Writes dimensions out one after the other, by `expand`, with room to spare.
fn write_out(
    buf: &mut [f64],
    mut len: usize,
    mut stride: usize,
    dims: &[usize],
    spare: &mut [f64],
    expand: fn(&[f64], &mut [f64], usize, usize),
) {
    for states in dims {
        let long = len / states * (2 * states - 1);
        spare[..len].copy_from_slice(&buf[..len]);
        expand(&spare[..len], &mut buf[..long], stride, *states);
        len = long;
        stride *= 2 * states - 1;
    }
}

/// The transpose of [`write_out`]; the result is at the start.
fn write_back(
    buf: &mut [f64],
    lane: usize,
    dims: &[usize],
    spare: &mut [f64],
    shrink: fn(&mut [f64], &mut [f64], usize, usize),
) {
    let mut len = buf.len();
    let mut stride = lane * dims.iter().map(|s| 2 * s - 1).product::<usize>();
    for states in dims.iter().rev() {
        stride /= 2 * states - 1;
        let short = len / (2 * states - 1) * states;
        spare[..len].copy_from_slice(&buf[..len]);
        shrink(&mut buf[..short], &mut spare[..len], stride, *states);
        len = short;
    }
}
