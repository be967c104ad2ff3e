//! Ranges that are guessed as low, likely and high: their mean, their points,
//! and the distribution of a sum.
//!
//! A range is a PERT distribution (a beta distribution with
//! `a = 1 + 4 (likely - low) / (high - low)`, `b = 6 - a`; D. Vose, Risk
//! Analysis, from memory). In a sum, ranges either move *together* (their
//! points add: hours on one engine, which is stiff all over or not) or *apart*
//! (independent: prices of different parts), and the two groups are joined by
//! numerical convolution. Pure mathematics.

/// A range.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pert {
    /// Hardly ever less.
    pub low: f64,
    /// Most likely.
    pub likely: f64,
    /// Hardly ever more.
    pub high: f64,
}

/// Steps of the integral of the density.
const STEPS: usize = 400;
/// Equal slices of the ranges that move together.
const SLICES: usize = 256;
/// Equal slices of a range that moves apart.
const PIECES: usize = 24;
/// Cells of the sum.
const CELLS: usize = 1024;

impl Pert {
    /// `(low + 4 likely + high) / 6`.
    ///
    /// ```
    /// use sootsayer::decide::spread::Pert;
    /// let range = Pert { low: 2.0, likely: 3.0, high: 10.0 };
    /// assert_eq!(range.mean(), 4.0);
    /// ```
    pub fn mean(&self) -> f64 {
        (self.low + 4.0 * self.likely + self.high) / 6.0
    }

    /// `(mean - low) (high - mean) / 7`.
    pub fn variance(&self) -> f64 {
        (self.mean() - self.low) * (self.high - self.mean()) / 7.0
    }

    /// The points below which shares of `(i + 1/2) / n` lie, rising.
    pub fn points(&self, n: usize) -> Vec<f64> {
        let width = self.high - self.low;
        if width <= 0.0 {
            return vec![self.likely; n];
        }
        let a = 4.0 * (self.likely - self.low) / width;
        let density = |x: f64| x.powf(a) * (1.0 - x).powf(4.0 - a);
        let h = 1.0 / STEPS as f64;
        let mut below = vec![0.0];
        for i in 0..STEPS {
            let x = i as f64 * h;
            // Simpson's rule
            let cell = density(x) + 4.0 * density(x + h / 2.0) + density(x + h);
            below.push(below[i] + cell * h / 6.0);
        }
        let all = below[STEPS];
        let mut cell = 0;
        (0..n)
            .map(|i| {
                let share = (i as f64 + 0.5) / n as f64 * all;
                while cell + 1 < STEPS && below[cell + 1] < share {
                    cell += 1;
                }
                let inside = (share - below[cell]) / (below[cell + 1] - below[cell]);
                self.low + width * h * (cell as f64 + inside)
            })
            .collect()
    }
}

impl Pert {
    /// Means of `n` slices of equal probability, rising: they keep the mean.
    fn slices(&self, n: usize) -> Vec<f64> {
        const IN_EACH: usize = 16;
        let points = self.points(n * IN_EACH);
        let each = points.chunks_exact(IN_EACH);
        each.map(|slice| slice.iter().sum::<f64>() / IN_EACH as f64)
            .collect()
    }
}

/// The distribution of a sum, on equal cells.
#[derive(Debug, Clone, PartialEq)]
pub struct Sum {
    low: f64,
    step: f64,
    /// Probability at each node.
    mass: Vec<f64>,
}

impl Sum {
    /// Adds ranges that move together to ranges that move apart.
    pub fn of(together: &[Pert], apart: &[Pert]) -> Self {
        let all = || together.iter().chain(apart);
        let low: f64 = all().map(|r| r.low).sum();
        let high: f64 = all().map(|r| r.high).sum();
        let step = ((high - low) / CELLS as f64).max(f64::MIN_POSITIVE);
        let mut joint = vec![0.0; SLICES];
        for range in together {
            let points = range.slices(SLICES);
            joint
                .iter_mut()
                .zip(points)
                .for_each(|(j, p)| *j += p - range.low);
        }
        let mut mass = vec![0.0; CELLS + 2];
        joint
            .iter()
            .for_each(|x| put(&mut mass, x / step, 1.0 / SLICES as f64));
        for range in apart.iter().filter(|r| r.high > r.low) {
            let points = range.slices(PIECES);
            let mut next = vec![0.0; CELLS + 2];
            for (cell, m) in mass.iter().enumerate().filter(|(_, m)| **m > 0.0) {
                for point in &points {
                    let at = cell as f64 + (point - range.low) / step;
                    put(&mut next, at, m / PIECES as f64);
                }
            }
            mass = next;
        }
        Sum { low, step, mass }
    }

    /// The point below which a share of the distribution lies.
    pub fn point(&self, share: f64) -> f64 {
        let mut below = 0.0;
        for (cell, m) in self.mass.iter().enumerate() {
            if *m > 0.0 && below + m >= share {
                // the mass of a node is spread over the cell about it
                let inside = ((share - below) / m).clamp(0.0, 1.0) - 0.5;
                return self.low + self.step * (cell as f64 + inside).clamp(0.0, CELLS as f64);
            }
            below += m;
        }
        self.low + self.step * CELLS as f64
    }

    /// The mean.
    pub fn mean(&self) -> f64 {
        let at = |(cell, m): (usize, &f64)| m * (self.low + self.step * cell as f64);
        self.mass.iter().enumerate().map(at).sum()
    }
}

/// Puts mass between two nodes so that the mean stays.
fn put(mass: &mut [f64], at: f64, m: f64) {
    let last = mass.len() - 2;
    let cell = (at.max(0.0) as usize).min(last);
    let part = (at - cell as f64).clamp(0.0, 1.0);
    mass[cell] += m * (1.0 - part);
    mass[cell + 1] += m * part;
}
