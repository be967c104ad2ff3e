//! The inner loops of a join: products of two blocks of numbers over the max
//! dimensions that stay. Along each of them
//! `out[k] = a[k] b[0..=k] + a[0..k] b[k]` (sums over ranges), taken apart
//! dimension by dimension down to rows that are multiplied number by number.

use super::kernel;

/// How the innermost rows of two operands meet.
#[derive(Debug, Clone, Copy)]
pub(super) struct Row {
    /// Numbers side by side that only the first operand has.
    pub own_a: usize,
    /// Numbers that only the second has.
    pub own_b: usize,
    /// Rows multiplied number by number.
    pub plain: usize,
    /// Rows summed over.
    pub ended: usize,
}

impl Row {
    pub fn block_out(&self) -> usize {
        self.own_a * self.own_b * self.plain
    }

    fn lone(&self) -> bool {
        self.own_a == 1 && self.own_b == 1
    }

    fn forward(&self, a: &[f64], b: &[f64], out: &mut [f64]) {
        if out.len() == 1 {
            out[0] += kernel::dot(a, b);
            return;
        }
        let (na, nb) = (self.own_a, self.own_b);
        let rows = a.chunks_exact(na * self.plain);
        for (a, b) in rows.zip(b.chunks_exact(nb * self.plain)) {
            if self.lone() {
                kernel::multiply_add(out, a, b);
                continue;
            }
            for (p, a) in a.chunks_exact(na).enumerate() {
                for q in p * nb..(p + 1) * nb {
                    kernel::add(&mut out[q * na..][..na], b[q], a);
                }
            }
        }
    }

    fn back(&self, a: &[f64], b: &[f64], out: &[f64], to_a: &mut [f64], to_b: &mut [f64]) {
        let (na, nb) = (self.own_a, self.own_b);
        let (row_a, row_b) = (na * self.plain, nb * self.plain);
        for c in 0..self.ended {
            let (at_a, at_b) = (c * row_a, c * row_b);
            let (a, b) = (&a[at_a..][..row_a], &b[at_b..][..row_b]);
            let (to_a, to_b) = (&mut to_a[at_a..][..row_a], &mut to_b[at_b..][..row_b]);
            if out.len() == 1 {
                to_a[0] += b[0] * out[0];
                to_b[0] += a[0] * out[0];
            } else if self.lone() {
                kernel::multiply_add(to_a, b, out);
                kernel::multiply_add(to_b, a, out);
            } else {
                for p in 0..self.plain {
                    for q in p * nb..(p + 1) * nb {
                        let out = &out[q * na..][..na];
                        kernel::add(&mut to_a[p * na..][..na], b[q], out);
                        to_b[q] += kernel::dot(&a[p * na..][..na], out);
                    }
                }
            }
        }
    }
}

/// Adds the product of `a` and `b` to `out`. `dims`: states of the max
/// dimensions, outermost last. The scratch must hold both operands once.
pub(super) fn forward(
    row: &Row,
    dims: &[usize],
    a: &[f64],
    b: &[f64],
    out: &mut [f64],
    scratch: &mut [f64],
) {
    let Some((states, dims)) = dims.split_last() else {
        row.forward(a, b, out);
        return;
    };
    let (la, lb, lo) = (a.len() / states, b.len() / states, out.len() / states);
    forward(row, dims, &a[..la], &b[..lb], &mut out[..lo], scratch);
    let (below, rest) = scratch.split_at_mut(la);
    let (up_to, rest) = rest.split_at_mut(lb);
    if *states > 2 {
        below.copy_from_slice(&a[..la]);
    }
    for k in 1..*states {
        let (here_a, here_b) = (&a[k * la..][..la], &b[k * lb..][..lb]);
        let out = &mut out[k * lo..][..lo];
        match k {
            1 => kernel::sum(up_to, &b[..lb], here_b),
            _ => kernel::add(up_to, 1.0, here_b),
        }
        forward(row, dims, here_a, up_to, out, rest);
        let low = if *states > 2 { &*below } else { &a[..la] };
        forward(row, dims, low, here_b, out, rest);
        if k + 1 < *states {
            kernel::add(below, 1.0, here_a);
        }
    }
}

/// One operand with the numbers of the reverse pass that belong to it.
pub(super) struct Pair<'a> {
    pub value: &'a [f64],
    pub back: &'a mut [f64],
}

impl Pair<'_> {
    fn part(&mut self, k: usize, len: usize) -> Pair<'_> {
        Pair {
            value: &self.value[k * len..][..len],
            back: &mut self.back[k * len..][..len],
        }
    }
}

/// The transpose of [`forward`]: adds to both operands' `back`. The scratch
/// must hold both operands twice.
pub(super) fn back(
    row: &Row,
    dims: &[usize],
    mut a: Pair,
    mut b: Pair,
    out: &[f64],
    scratch: &mut [f64],
) {
    let Some((states, dims)) = dims.split_last() else {
        row.back(a.value, b.value, out, a.back, b.back);
        return;
    };
    let (la, lb, lo) = (
        a.value.len() / states,
        b.value.len() / states,
        out.len() / states,
    );
    back(row, dims, a.part(0, la), b.part(0, lb), &out[..lo], scratch);
    let (below, rest) = scratch.split_at_mut(la);
    let (below_back, rest) = rest.split_at_mut(la);
    let (up_to, rest) = rest.split_at_mut(lb);
    let (up_to_back, rest) = rest.split_at_mut(lb);
    for k in 1..*states {
        let out = &out[k * lo..][..lo];
        // Sums over grades below k are rebuilt: nothing is taken off again.
        up_to.copy_from_slice(&b.value[..lb]);
        for j in 1..=k {
            kernel::add(up_to, 1.0, &b.value[j * lb..][..lb]);
        }
        up_to_back.fill(0.0);
        let sum = Pair {
            value: up_to,
            back: up_to_back,
        };
        back(row, dims, a.part(k, la), sum, out, rest);
        for j in 0..=k {
            kernel::add(&mut b.back[j * lb..][..lb], 1.0, up_to_back);
        }
        if k == 1 {
            back(row, dims, a.part(0, la), b.part(1, lb), out, rest);
            continue;
        }
        below.copy_from_slice(&a.value[..la]);
        for j in 1..k {
            kernel::add(below, 1.0, &a.value[j * la..][..la]);
        }
        below_back.fill(0.0);
        let sum = Pair {
            value: below,
            back: below_back,
        };
        back(row, dims, sum, b.part(k, lb), out, rest);
        for j in 0..k {
            kernel::add(&mut a.back[j * la..][..la], 1.0, below_back);
        }
    }
}
