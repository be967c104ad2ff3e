//! Uncertainty carried through: the law of propagation of uncertainty.
//!
//! `u^2 = sum_i sum_j c_i c_j u_i u_j r_ij` with the sensitivities `c`, the
//! standard uncertainties `u` and the correlations `r` (JCGM 100:2008, Guide to
//! the expression of uncertainty in measurement, 5.2.2, equation 16).

/// A value with its standard uncertainty, in one unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Uncertain {
    /// The value.
    pub value: f64,
    /// One standard deviation.
    pub error: f64,
}

impl Uncertain {
    /// A value known without error: a figure of the maker's.
    pub fn exact(value: f64) -> Self {
        Uncertain { value, error: 0.0 }
    }

    /// Half the width of the interval that holds it 95 times in 100: `k = 2`
    /// (JCGM 100, 6.3.3 and G.6.6).
    pub fn expanded(self) -> f64 {
        2.0 * self.error
    }
}

/// Standard uncertainty of a result with these sensitivities to inputs that err
/// so much; `correlation(i, j)` is asked for `i < j`.
///
/// ```
/// use sootsayer::bench::uncertain::combined;
/// // JCGM 100:2008, example H.2: V 4.9990 V (0.0032), I 19.6610 mA (0.0095), phase 1.04446 rad (0.00075),
/// // r(V,I) -0.36, r(V,phase) 0.86, r(I,phase) -0.65 give R = V/I cos(phase) = 127.732 ohm, u 0.071
/// // (0.0700 from the two digits printed of each input).
/// let (v, i, phase) = (4.9990, 0.019_661_0, 1.044_46f64);
/// let r = v / i * phase.cos();
/// let c = [phase.cos() / i, -v / (i * i) * phase.cos(), -v / i * phase.sin()];
/// let u = combined(&c, &[0.0032, 0.000_009_5, 0.000_75], |a, b| match (a, b) {
///     (0, 1) => -0.36, (0, 2) => 0.86, _ => -0.65,
/// });
/// assert!((r - 127.732).abs() < 0.001 && (u - 0.071).abs() < 0.0015);
/// ```
pub fn combined(
    sensitivities: &[f64],
    errors: &[f64],
    correlation: impl Fn(usize, usize) -> f64,
) -> f64 {
    let terms: Vec<f64> = sensitivities
        .iter()
        .zip(errors)
        .map(|(c, u)| c * u)
        .collect();
    let mut sum: f64 = terms.iter().map(|t| t * t).sum();
    for i in 0..terms.len() {
        for j in i + 1..terms.len() {
            sum += 2.0 * terms[i] * terms[j] * correlation(i, j);
        }
    }
    sum.max(0.0).sqrt()
}

/// The difference of two figures of one instrument: its setting is common to
/// both and falls out, each reading's own scatter stays.
///
/// ```
/// use sootsayer::bench::uncertain::difference;
/// let d = difference(80.05, 80.00, 0.004, 0.010);
/// assert!((d.value - 0.05).abs() < 1e-9 && (d.error - 0.004 * 2f64.sqrt()).abs() < 1e-12);
/// ```
pub fn difference(a: f64, b: f64, scatter: f64, setting: f64) -> Uncertain {
    let each = scatter.hypot(setting);
    let shared = if each > 0.0 {
        (setting / each).powi(2)
    } else {
        0.0
    };
    Uncertain {
        value: a - b,
        error: combined(&[1.0, -1.0], &[each, each], |_, _| shared),
    }
}

/// The difference of figures that share nothing.
pub fn apart(a: Uncertain, b: Uncertain) -> Uncertain {
    Uncertain {
        value: a.value - b.value,
        error: combined(&[1.0, -1.0], &[a.error, b.error], |_, _| 0.0),
    }
}
