//! The loops over numbers. Every one is a linear map with non-negative
//! coefficients, or the transpose of one; none subtracts.

/// Joins a max dimension of distance `stride` with one contribution `p`.
pub(super) fn hit(buf: &mut [f64], stride: usize, p: &[f64]) {
    if let [p0, p1] = *p {
        let up_to = p0 + p1;
        for block in buf.chunks_exact_mut(2 * stride) {
            let (low, high) = block.split_at_mut(stride);
            for (l, h) in low.iter_mut().zip(high) {
                *h = p1 * *l + up_to * *h;
                *l *= p0;
            }
        }
        return;
    }
    for block in buf.chunks_exact_mut(p.len() * stride) {
        for lane in 0..stride {
            let (mut below, mut up_to) = (0.0, 0.0);
            for (k, pk) in p.iter().enumerate() {
                let here = block[k * stride + lane];
                up_to += pk;
                block[k * stride + lane] = up_to * here + pk * below;
                below += here;
            }
        }
    }
}

/// The transpose of [`hit`].
pub(super) fn hit_back(buf: &mut [f64], stride: usize, p: &[f64]) {
    if let [p0, p1] = *p {
        let up_to = p0 + p1;
        for block in buf.chunks_exact_mut(2 * stride) {
            let (low, high) = block.split_at_mut(stride);
            for (l, h) in low.iter_mut().zip(high) {
                *l = p0 * *l + p1 * *h;
                *h *= up_to;
            }
        }
        return;
    }
    let mut cumulated = [0.0; 64];
    let mut sum = 0.0;
    for (c, pk) in cumulated.iter_mut().zip(p) {
        sum += pk;
        *c = sum;
    }
    for block in buf.chunks_exact_mut(p.len() * stride) {
        for lane in 0..stride {
            let mut above = 0.0;
            for k in (0..p.len()).rev() {
                let here = block[k * stride + lane];
                block[k * stride + lane] = cumulated[k.min(63)] * here + above;
                above += p[k] * here;
            }
        }
    }
}

/// Appends a new outermost max dimension to the first `len` entries: `buf` holds `len * p.len()`.
pub(super) fn grow(buf: &mut [f64], len: usize, p: &[f64]) {
    let (base, rest) = buf.split_at_mut(len);
    for (block, pk) in rest.chunks_exact_mut(len).zip(&p[1..]) {
        block
            .iter_mut()
            .zip(base.iter())
            .for_each(|(o, b)| *o = pk * b);
    }
    base.iter_mut().for_each(|b| *b *= p[0]);
}

/// The transpose of [`grow`]: sums the blocks into the first `len` entries.
pub(super) fn grow_back(buf: &mut [f64], len: usize, p: &[f64]) {
    let (base, rest) = buf.split_at_mut(len);
    base.iter_mut().for_each(|b| *b *= p[0]);
    for (block, pk) in rest.chunks_exact(len).zip(&p[1..]) {
        base.iter_mut().zip(block).for_each(|(b, o)| *b += pk * o);
    }
}

/// `to = sum over k of v[k] from[.., k, ..]`.
pub(super) fn close(from: &[f64], to: &mut [f64], stride: usize, v: &[f64]) {
    for (block, out) in from
        .chunks_exact(stride * v.len())
        .zip(to.chunks_exact_mut(stride))
    {
        out.iter_mut().zip(block).for_each(|(o, x)| *o = v[0] * x);
        for (part, vk) in block.chunks_exact(stride).zip(v).skip(1) {
            out.iter_mut().zip(part).for_each(|(o, x)| *o += vk * x);
        }
    }
}

/// The transpose of [`close`].
pub(super) fn close_back(from: &mut [f64], to: &[f64], stride: usize, v: &[f64]) {
    for (block, out) in from
        .chunks_exact_mut(stride * v.len())
        .zip(to.chunks_exact(stride))
    {
        for (part, vk) in block.chunks_exact_mut(stride).zip(v) {
            part.iter_mut().zip(out).for_each(|(x, o)| *x = vk * o);
        }
    }
}

/// Multiplies along a dimension by `likelihood[max(a, b)]`, which is its own transpose.
pub(super) fn meet(buf: &mut [f64], stride: usize, likelihood: &[f64]) {
    if let [l0, l1] = *likelihood {
        for block in buf.chunks_exact_mut(2 * stride) {
            let (low, high) = block.split_at_mut(stride);
            for (l, h) in low.iter_mut().zip(high) {
                (*l, *h) = (l0 * *l + l1 * *h, l1 * (*l + *h));
            }
        }
        return;
    }
    for block in buf.chunks_exact_mut(likelihood.len() * stride) {
        for lane in 0..stride {
            let at = |k: usize| k * stride + lane;
            let mut above: f64 = (1..likelihood.len())
                .map(|k| likelihood[k] * block[at(k)])
                .sum();
            // The sum is rebuilt for every grade: subtracting from it would lose digits.
            let mut up_to = 0.0;
            for k in 0..likelihood.len() {
                up_to += block[at(k)];
                let here = likelihood[k] * up_to + above;
                above = (k + 2..likelihood.len())
                    .map(|j| likelihood[j] * block[at(j)])
                    .sum();
                block[at(k)] = here;
            }
        }
    }
}

/// Multiplies slices along a dimension by weights.
pub(super) fn weigh(buf: &mut [f64], stride: usize, w: &[f64]) {
    for block in buf.chunks_exact_mut(stride * w.len()) {
        for (part, wk) in block.chunks_exact_mut(stride).zip(w) {
            part.iter_mut().for_each(|x| *x *= wk);
        }
    }
}

/// Writes, for each grade, what the other operand of a max join meets:
/// `from[0]`, then for each k >= 1 `from[k]` and `from[0..=k]` summed.
pub(super) fn expand_upper(from: &[f64], to: &mut [f64], stride: usize, states: usize) {
    for (block, out) in from
        .chunks_exact(stride * states)
        .zip(to.chunks_exact_mut(stride * (2 * states - 1)))
    {
        out[..stride].copy_from_slice(&block[..stride]);
        for k in 1..states {
            let here = &block[k * stride..(k + 1) * stride];
            let (before, rest) = out.split_at_mut((2 * k - 1) * stride);
            let sum = &before[(2 * k - 2) * stride..];
            rest[..stride].copy_from_slice(here);
            for ((o, s), h) in rest[stride..2 * stride].iter_mut().zip(sum).zip(here) {
                *o = s + h;
            }
        }
    }
}

/// The transpose of [`expand_upper`]; `from` is spoiled.
pub(super) fn expand_upper_back(to: &mut [f64], from: &mut [f64], stride: usize, states: usize) {
    for (block, out) in to
        .chunks_exact_mut(stride * states)
        .zip(from.chunks_exact_mut(stride * (2 * states - 1)))
    {
        for k in (1..states).rev() {
            let (before, rest) = out.split_at_mut((2 * k - 1) * stride);
            let sum = &mut before[(2 * k - 2) * stride..];
            let here = &mut block[k * stride..(k + 1) * stride];
            for (i, h) in here.iter_mut().enumerate() {
                *h = rest[i] + rest[stride + i];
                sum[i] += rest[stride + i];
            }
        }
        block[..stride].copy_from_slice(&out[..stride]);
    }
}

/// The partner of [`expand_upper`]: `from[0]`, then for each k >= 1
/// `from[0..k]` summed and `from[k]`.
pub(super) fn expand_lower(from: &[f64], to: &mut [f64], stride: usize, states: usize) {
    for (block, out) in from
        .chunks_exact(stride * states)
        .zip(to.chunks_exact_mut(stride * (2 * states - 1)))
    {
        for lane in 0..stride {
            let mut below = block[lane];
            out[lane] = below;
            for k in 1..states {
                let here = block[k * stride + lane];
                out[(2 * k - 1) * stride + lane] = below;
                out[2 * k * stride + lane] = here;
                below += here;
            }
        }
    }
}

/// The transpose of [`expand_lower`].
pub(super) fn expand_lower_back(to: &mut [f64], from: &mut [f64], stride: usize, states: usize) {
    for (block, out) in to
        .chunks_exact_mut(stride * states)
        .zip(from.chunks_exact(stride * (2 * states - 1)))
    {
        for lane in 0..stride {
            let mut above = 0.0;
            for k in (0..states).rev() {
                block[k * stride + lane] = out[2 * k * stride + lane] + above;
                if k > 0 {
                    above += out[(2 * k - 1) * stride + lane];
                }
            }
        }
    }
}

/// Scalar product.
pub(super) fn dot(a: &[f64], b: &[f64]) -> f64 {
    let mut sums = [0.0; 4];
    let (a4, b4) = (a.chunks_exact(4), b.chunks_exact(4));
    let rest: f64 = a4
        .remainder()
        .iter()
        .zip(b4.remainder())
        .map(|(x, y)| x * y)
        .sum();
    for (x, y) in a4.zip(b4) {
        for i in 0..4 {
            sums[i] += x[i] * y[i];
        }
    }
    (sums[0] + sums[1]) + (sums[2] + sums[3]) + rest
}

/// `to += factor from`.
pub(super) fn add(to: &mut [f64], factor: f64, from: &[f64]) {
    to.iter_mut().zip(from).for_each(|(t, f)| *t += factor * f);
}

/// `to += a b`, number by number.
pub(super) fn multiply_add(to: &mut [f64], a: &[f64], b: &[f64]) {
    for ((t, x), y) in to.iter_mut().zip(a).zip(b) {
        *t += x * y;
    }
}

/// `to = a + b`, number by number.
pub(super) fn sum(to: &mut [f64], a: &[f64], b: &[f64]) {
    for ((t, x), y) in to.iter_mut().zip(a).zip(b) {
        *t = x + y;
    }
}

/// Adds the two partial products of every grade above the lowest, in place;
/// the result is at the start of `buf`.
pub(super) fn contract(buf: &mut [f64], len: usize, stride: usize, states: usize) {
    let long = stride * (2 * states - 1);
    let mut to = 0;
    for block in 0..len / long {
        let from = block * long;
        buf.copy_within(from..from + stride, to);
        for k in 1..states {
            for lane in 0..stride {
                let at = from + (2 * k - 1) * stride + lane;
                buf[to + k * stride + lane] = buf[at] + buf[at + stride];
            }
        }
        to += stride * states;
    }
}

/// The transpose of [`contract`]: repeats every grade above the lowest.
pub(super) fn contract_back(from: &[f64], to: &mut [f64], stride: usize, states: usize) {
    for (block, out) in from
        .chunks_exact(stride * states)
        .zip(to.chunks_exact_mut(stride * (2 * states - 1)))
    {
        out[..stride].copy_from_slice(&block[..stride]);
        for k in 1..states {
            let part = &block[k * stride..][..stride];
            out[(2 * k - 1) * stride..][..stride].copy_from_slice(part);
            out[2 * k * stride..][..stride].copy_from_slice(part);
        }
    }
}
