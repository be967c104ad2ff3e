//! Whether oil use jumped or crept: two shapes of the line of oil used against
//! the meter, each with one free bend, weighed by how well they fit.
//!
//! A jump is a line broken at one of the checks; a creep is a curve. Both have
//! as many numbers to fit, so that their weights are `exp(-chi2 / 2)`, the
//! jump's shared out over the checks at which it may have come.

/// How the rate of use changed, as the checks tell it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Jump {
    /// Later rate over the sum of both: 0.5 no change, 0.67 twice, 0.75 three times.
    pub share: f64,
    /// Its standard deviation.
    pub deviation: f64,
    /// Meter at which the likeliest jump came.
    pub at: f64,
}

/// A point of the line: meter, oil used since its piece began, piece.
pub(super) type Point = (f64, f64, usize);

/// A shape fitted: rates before and after, their variances and covariance, and misfit.
struct Shape {
    before: f64,
    after: f64,
    spread: [f64; 3],
    left: f64,
    at: f64,
}

/// Fewest points that can tell a bend from an error.
const FEWEST: usize = 4;

/// How the rate changed; none when the checks are too few.
pub(super) fn jump(points: &[Point], error: f64) -> Option<Jump> {
    if points.len() < FEWEST {
        return None;
    }
    let (first, last) = (points.first()?.0, points.last()?.0);
    let step = (last - first) / (points.len() - 1) as f64;
    let mut knots: Vec<f64> = points.iter().map(|p| p.0).collect();
    knots.dedup();
    let inner = knots.get(1..knots.len().saturating_sub(1))?;
    // Of a jump the rates on both sides; of a creep those a mean interval apart.
    let mut shapes: Vec<Shape> = (inner.iter())
        .filter_map(|&knot| {
            let broken = bent(points, |x| (x - knot).max(0.0), (0.0, 1.0))?;
            Some(Shape { at: knot, ..broken })
        })
        .collect();
    let jumps = shapes.len();
    let middle = 0.5 * (first + last);
    let slope = |x: f64| x - middle;
    let curve = |x: f64| 0.5 * (x - middle).powi(2);
    shapes.extend(bent(
        points,
        curve,
        (slope(middle - 0.5 * step), slope(middle + 0.5 * step)),
    ));
    let least = shapes.iter().map(|s| s.left).fold(f64::INFINITY, f64::min);
    let spare = points.len().saturating_sub(3).max(1) as f64;
    // Scatter beyond the dipstick's error widens the answer; less does not narrow it.
    let variance = (error * error).max(least / spare);
    let mut total = [0.0; 3];
    let mut at = (0.0, middle);
    for (i, shape) in shapes.iter().enumerate() {
        let (share, deviation) = shape.share(variance)?;
        let among = if i < jumps { jumps as f64 } else { 1.0 };
        let weight = (-(shape.left - least) / (2.0 * variance)).exp() / among;
        if i < jumps && weight > at.0 {
            at = (weight, shape.at);
        }
        total[0] += weight;
        total[1] += weight * share;
        total[2] += weight * (share * share + deviation * deviation);
    }
    let share = total[1] / total[0];
    let deviation = (total[2] / total[0] - share * share).max(0.0).sqrt();
    (share.is_finite() && deviation > 0.0).then_some(Jump {
        share,
        deviation,
        at: at.1,
    })
}

impl Shape {
    /// Later rate over the sum of both, and its deviation; a rate below nothing is nothing.
    fn share(&self, variance: f64) -> Option<(f64, f64)> {
        let [bb, aa, ba] = self.spread.map(|s| s * variance);
        let (before, after) = (self.before.max(0.0), self.after.max(0.0));
        // Two rates that are both nothing to within their errors tell no change.
        let noise = aa.max(0.0).sqrt().hypot(bb.max(0.0).sqrt());
        let sum = before + after;
        if !(noise.is_finite() && noise > 0.0) {
            return None;
        }
        if sum < noise {
            return Some((0.5, 0.25));
        }
        let (of_after, of_before) = (before / (sum * sum), -after / (sum * sum));
        let spread =
            of_after * of_after * aa + of_before * of_before * bb + 2.0 * of_after * of_before * ba;
        // Where one rate is nothing its own error still blurs the share.
        let least = (0.1 * noise / sum).powi(2);
        Some((after / sum, spread.max(least).sqrt()))
    }
}

/// Fits `rate * x + bend * h(x)`, each piece with its own beginning; the rates
/// are `rate + bend * before` and `rate + bend * after`.
fn bent(points: &[Point], h: impl Fn(f64) -> f64, (before, after): (f64, f64)) -> Option<Shape> {
    let pieces = points.last()?.2 + 1;
    let mut centred = Vec::with_capacity(points.len());
    for piece in 0..pieces {
        let own: Vec<&Point> = points.iter().filter(|p| p.2 == piece).collect();
        if own.is_empty() {
            continue;
        }
        let count = own.len() as f64;
        let mean = |of: &dyn Fn(&Point) -> f64| own.iter().map(|p| of(p)).sum::<f64>() / count;
        let (x, b, y) = (mean(&|p| p.0), mean(&|p| h(p.0)), mean(&|p| p.1));
        centred.extend(own.iter().map(|p| (p.0 - x, h(p.0) - b, p.1 - y)));
    }
    let sum = |of: &dyn Fn(&(f64, f64, f64)) -> f64| centred.iter().map(of).sum::<f64>();
    let (xx, xh, hh) = (
        sum(&|c| c.0 * c.0),
        sum(&|c| c.0 * c.1),
        sum(&|c| c.1 * c.1),
    );
    let (xy, hy) = (sum(&|c| c.0 * c.2), sum(&|c| c.1 * c.2));
    let det = xx * hh - xh * xh;
    if det <= 1e-9 * xx * hh {
        return None;
    }
    let rate = (xy * hh - hy * xh) / det;
    let bend = (hy * xx - xy * xh) / det;
    let left = sum(&|c| (c.2 - rate * c.0 - bend * c.1).powi(2));
    let (vr, vb, vrb) = (hh / det, xx / det, -xh / det);
    let cov = |p: f64, q: f64| vr + (p + q) * vrb + p * q * vb;
    Some(Shape {
        before: rate + bend * before,
        after: rate + bend * after,
        spread: [cov(before, before), cov(after, after), cov(before, after)],
        left,
        at: 0.0,
    })
}
