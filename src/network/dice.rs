//! Pseudo-random numbers, the same on every machine, and what is made of them.

/// Seed of the draws.
pub const SEED: u64 = 0x50_07;

/// Pseudo-random numbers (splitmix64), the same on every machine.
pub(super) struct Dice(u64);

impl Dice {
    pub fn new(seed: u64) -> Self {
        Dice(seed)
    }

    /// A number below `n`.
    pub fn below(&mut self, n: usize) -> usize {
        ((self.unit() * n as f64) as usize).min(n.saturating_sub(1))
    }

    /// The next number in `0..1`.
    pub fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    /// A state from a distribution.
    pub fn state(&mut self, p: &[f64]) -> usize {
        let mut left = self.unit() * p.iter().sum::<f64>();
        for (state, p) in p.iter().enumerate() {
            left -= p;
            if left < 0.0 {
                return state;
            }
        }
        p.iter().rposition(|p| *p > 0.0).unwrap_or(0)
    }
}

/// Mean and its standard error.
pub(super) fn mean(values: &[f64]) -> (f64, f64) {
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    let spread: f64 = values.iter().map(|x| (x - mean).powi(2)).sum();
    (mean, (spread / (n - 1.0) / n).sqrt())
}
