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
use super::run::{Numbers, slices};

/// Rows of this length keep the processor busy.
const LONG: f64 = 48.0;

/// With fewer numbers of its own an operand is repeated instead.
const FEW: f64 = 8.0;

/// Dimensions of a table, fastest first.
pub(super) type Dims = Vec<u16>;

/// What the join needs to know of the elements.
pub(super) struct Elements<'a> {
    pub states: &'a [usize],
    /// Elements from here on are max dimensions.
    pub first_max: usize,
}

impl Elements<'_> {
    pub fn size(&self, dims: &[u16]) -> f64 {
        dims.iter().map(|d| self.of(*d)).product()
    }

    fn of(&self, d: u16) -> f64 {
        self.states[d as usize] as f64
    }

    fn list(&self, dims: &[u16]) -> Vec<usize> {
        dims.iter().map(|d| self.states[*d as usize]).collect()
    }
}

/// A shared dimension that ends in this join.
#[derive(Debug, Clone, Copy)]
struct Closed {
    element: u32,
    states: usize,
}

/// How to join two tables.
#[derive(Debug, Clone)]
pub(super) struct Join {
    a: Table,
    b: Table,
    pub to: Table,
    pack_a: Option<Gather>,
    pack_b: Option<Gather>,
    closed: Vec<Closed>,
    row: Row,
    /// States of the max dimensions written out.
    inner: Vec<usize>,
    /// States of those taken apart, outermost last.
    outer: Vec<usize>,
    /// Lengths of the operands in the common layout, then with the inner dimensions written out.
    packed: (usize, usize),
    long: (usize, usize),
}

/// The join's shape before any memory is given to it.
pub(super) struct Shape {
    pub dims: Dims,
    pub work: f64,
    pub scratch: f64,
    swap: bool,
    own_a: Dims,
    own_b: Dims,
    /// Own dimensions are repeated in the other operand.
    repeat: bool,
    plain: Dims,
    inner: Dims,
    closed: Dims,
    outer: Dims,
}

impl Shape {
    /// Plans the join of tables with these dimensions; those `closing` and shared end in it.
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
        let mut outer = take(&|d| !closing.contains(d) && max(d));
        let plain = take(&|d| !closing.contains(d) && !max(d));
        let (size_a, size_b) = (elements.size(&own_a), elements.size(&own_b));
        let repeat = size_a > 1.0 && size_a < FEW;
        let mut lane = elements.size(&plain);
        if size_a < FEW {
            lane *= size_a * size_b;
        }
        let mut inner = Vec::new();
        while size_a < FEW && lane < LONG && !outer.is_empty() {
            let d = outer.remove(0);
            lane *= 2.0 * elements.of(d) - 1.0;
            inner.push(d);
        }
        let mut shape = Shape {
            dims: [&own_a, &own_b, &plain, &inner, &outer]
                .into_iter()
                .flatten()
                .copied()
                .collect(),
            work: 0.0,
            scratch: 0.0,
            swap,
            own_a,
            own_b,
            repeat,
            plain,
            inner,
            closed,
            outer,
        };
        let partial =
            |dims: &[u16]| -> f64 { dims.iter().map(|d| 2.0 * elements.of(*d) - 1.0).product() };
        let (long_a, long_b) = shape.long(elements);
        let ended = elements.size(&shape.closed);
        shape.work = elements.size(&shape.plain)
            * size_a
            * size_b
            * ended
            * partial(&shape.inner)
            * partial(&shape.outer)
            + 3.0 * (long_a + long_b);
        shape.scratch = 4.0 * (long_a + long_b)
            + 2.0
                * elements.size(&shape.outer)
                * elements.size(&shape.plain)
                * size_a
                * size_b
                * partial(&shape.inner);
        shape
    }

    /// Own and plain numbers of each operand, as laid out.
    fn lanes(&self, elements: &Elements) -> (f64, f64) {
        let (a, b) = (elements.size(&self.own_a), elements.size(&self.own_b));
        let plain = elements.size(&self.plain);
        if self.repeat {
            (a * b * plain, a * b * plain)
        } else {
            (a * plain, b * plain)
        }
    }

    fn long(&self, elements: &Elements) -> (f64, f64) {
        let (a, b) = self.lanes(elements);
        let partial: f64 = self
            .inner
            .iter()
            .map(|d| 2.0 * elements.of(*d) - 1.0)
            .product();
        let rest = partial * elements.size(&self.closed) * elements.size(&self.outer);
        (a * rest, b * rest)
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
        let none = Dims::new();
        let (more_a, more_b) = match self.repeat {
            true => (&self.own_b, &self.own_a),
            false => (&none, &none),
        };
        let order = |parts: [&Dims; 6]| -> Dims { parts.into_iter().flatten().copied().collect() };
        let (plain, inner, closed, outer) = (&self.plain, &self.inner, &self.closed, &self.outer);
        let order_a = order([&self.own_a, more_a, plain, inner, closed, outer]);
        let order_b = order([more_b, &self.own_b, plain, inner, closed, outer]);
        let long = self.long(elements);
        let own = match self.repeat {
            true => (1.0, 1.0),
            false => (elements.size(&self.own_a), elements.size(&self.own_b)),
        };
        let partial: usize = elements.list(inner).iter().map(|s| 2 * s - 1).product();
        let lanes = self.lanes(elements);
        Join {
            pack_a: gather(elements, a_dims, &order_a),
            pack_b: gather(elements, b_dims, &order_b),
            a,
            b,
            to,
            closed: closed
                .iter()
                .map(|d| Closed {
                    element: u32::from(*d),
                    states: elements.states[*d as usize],
                })
                .collect(),
            row: Row {
                own_a: own.0 as usize,
                own_b: own.1 as usize,
                plain: (lanes.0 / own.0) as usize * partial,
                ended: elements.size(closed) as usize,
            },
            inner: elements.list(inner),
            outer: elements.list(outer),
            packed: (
                elements.size(&order_a) as usize,
                elements.size(&order_b) as usize,
            ),
            long: (long.0 as usize, long.1 as usize),
        }
    }
}

/// Distance between neighbouring states of a dimension; 0 if the table lacks it.
fn stride(elements: &Elements, dims: &[u16], d: u16) -> usize {
    let place = dims.iter().position(|x| *x == d);
    place.map_or(0, |p| elements.size(&dims[..p]) as usize)
}

/// How a table is brought to another order of dimensions, repeated along those
/// that it lacks; none if nothing changes.
pub(super) fn gather(elements: &Elements, from: &[u16], to: &[u16]) -> Option<Gather> {
    let offsets = |dim: &u16| -> Vec<u32> {
        let step = stride(elements, from, *dim) as u32;
        let states = elements.states[*dim as usize] as u32;
        (0..states).map(|s| s * step).collect()
    };
    (from != to).then(|| Gather::of(to.iter().map(offsets)))
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
        read: &mut impl FnMut(u32, &mut dyn Iterator<Item = f64>),
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
        self.read(numbers, b, back_b, read);
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
    fn read(
        &self,
        numbers: &Numbers,
        value: &[f64],
        back: &[f64],
        read: &mut impl FnMut(u32, &mut dyn Iterator<Item = f64>),
    ) {
        let mut stride = self.row.own_b * self.row.plain;
        for closed in &self.closed {
            if !numbers.closing(closed.element).1 {
                read(
                    closed.element,
                    &mut slices(value, back, stride, closed.states),
                );
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
