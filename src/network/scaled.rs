//! A non-negative number with an exponent of its own, so that products of
//! thousands of small probabilities neither vanish nor lose digits.

/// `mantissa * 2^exponent`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Scaled {
    mantissa: f64,
    exponent: i64,
}

impl Scaled {
    pub const ONE: Scaled = Scaled {
        mantissa: 1.0,
        exponent: 0,
    };

    pub const ZERO: Scaled = Scaled {
        mantissa: 0.0,
        exponent: 0,
    };

    /// Multiplies by a non-negative number.
    pub fn times(&mut self, factor: f64) {
        self.mantissa *= factor;
        if !(1e-100..1e100).contains(&self.mantissa) {
            let by = exponent(self.mantissa);
            self.mantissa *= power(-by);
            self.exponent += by;
        }
    }

    /// Multiplies by another.
    pub fn multiply(&mut self, other: Scaled) {
        self.times(other.mantissa);
        self.exponent += other.exponent;
    }

    /// Multiplies by `2^by`.
    pub fn shift(&mut self, by: i64) {
        self.exponent += by;
    }

    /// Adds up, as exactly as the largest allows.
    pub fn sum(all: &[Scaled]) -> Scaled {
        let some = all.iter().filter(|x| !x.is_zero());
        let Some(most) = some.max_by(|a, b| a.ln().total_cmp(&b.ln())) else {
            return Scaled {
                mantissa: 0.0,
                exponent: 0,
            };
        };
        let mut sum = *most;
        sum.times(all.iter().map(|x| x.over(*most)).sum());
        sum
    }

    /// Whether it is zero.
    pub fn is_zero(self) -> bool {
        self.mantissa == 0.0
    }

    /// Natural logarithm; minus infinity for zero.
    pub fn ln(self) -> f64 {
        self.mantissa.ln() + self.exponent as f64 * std::f64::consts::LN_2
    }

    /// `self / other` as an ordinary number.
    pub fn over(self, other: Scaled) -> f64 {
        let by = self.exponent - other.exponent;
        let ratio = self.mantissa / other.mantissa;
        if by == 0 {
            ratio
        } else {
            ratio * power(by.clamp(-1020, 1020))
        }
    }
}

/// The power of two just below a positive normal number, as its exponent; 0 for zero.
pub(super) fn exponent(x: f64) -> i64 {
    if x == 0.0 || !x.is_finite() {
        return 0;
    }
    (((x.to_bits() >> 52) & 0x7ff) as i64 - 1023).clamp(-1020, 1020)
}

/// `2^by` for exponents of normal numbers.
pub(super) fn power(by: i64) -> f64 {
    f64::from_bits(((by + 1023) as u64) << 52)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn products_far_below_the_smallest_float_keep_their_logarithm() {
        let mut x = Scaled::ONE;
        for _ in 0..1000 {
            x.times(1e-7);
        }
        assert!((x.ln() / (-7000.0 * 10f64.ln()) - 1.0).abs() < 1e-13);
        let mut y = x;
        y.times(0.25);
        assert!((y.over(x) - 0.25).abs() < 1e-15);
    }
}
