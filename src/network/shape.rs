//! Planning the join of two tables: the layout of both operands and the cost.

use super::gather::Gather;
use super::join::{Closed, Join};
use super::plans::Table;
use super::product::Row;

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
