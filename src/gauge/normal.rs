//! The normal error of a gauge: the chance that the true value lies in a band.

use std::f64::consts::{FRAC_1_SQRT_2, PI};

/// A grade less likely than this beside the likeliest is ruled out: 50 decibans.
/// What is that sure costs the network nothing; a slip is caught by its own cause.
const LEAST: f64 = 1e-5;

/// Chance that a standard normal value is above `z`; right in the far tail.
///
/// Series of erf below 2, continued fraction of erfc above (Abramowitz and
/// Stegun, Handbook of Mathematical Functions, 7.1.6 and 7.1.14).
///
/// ```
/// use sootsayer::gauge::normal::above;
/// // Abramowitz and Stegun, tables 26.1 and 26.2: Q(1) = 0.158655254, Q(5) = 2.866515719e-7.
/// assert!((above(1.0) - 0.158_655_254).abs() < 1e-9);
/// assert!((above(5.0) / 2.866_515_719e-7 - 1.0).abs() < 1e-9);
/// assert!((above(-1.0) + above(1.0) - 1.0).abs() < 1e-15);
/// ```
pub fn above(z: f64) -> f64 {
    if z < 0.0 {
        return 1.0 - above(-z);
    }
    let x = z * FRAC_1_SQRT_2;
    if x > 26.0 {
        return 0.0;
    }
    if x < 2.0 {
        let mut term = x;
        let mut sum = x;
        for n in 1..100 {
            term *= 2.0 * x * x / f64::from(2 * n + 1);
            sum += term;
        }
        return 0.5 - sum * (-x * x).exp() / PI.sqrt();
    }
    let mut fraction = 0.0;
    for n in (1..=120).rev() {
        fraction = f64::from(n) / 2.0 / (x + fraction);
    }
    0.5 * (-x * x).exp() / PI.sqrt() / (x + fraction)
}

/// Chance that the true value lies between `low` and `high`, the gauge having
/// read `value` with a normal error.
pub fn between(value: f64, deviation: f64, low: f64, high: f64) -> f64 {
    if deviation <= 0.0 {
        return f64::from(u8::from(value >= low && value < high));
    }
    let (a, b) = ((low - value) / deviation, (high - value) / deviation);
    let share = if a > 0.0 {
        above(a) - above(b)
    } else {
        above(-b) - above(-a)
    };
    share.max(0.0)
}

/// Likelihood of each grade, greatest 1: the chance that the true value lies in
/// the grade's band. `bounds` part the grades from grade 0 outward, rising or
/// `falling`.
///
/// ```
/// use sootsayer::gauge::normal::likelihood;
/// // 20 % read with 2 % error, bands parted at 20 and 40: as likely on one side as on the other.
/// let grades = likelihood(&[20.0, 40.0], false, 20.0, 2.0);
/// assert!((grades[0] - 1.0).abs() < 1e-9 && (grades[1] - 1.0).abs() < 1e-9);
/// assert!(grades[2] < 1e-9);
/// ```
pub fn likelihood(bounds: &[f64], falling: bool, value: f64, deviation: f64) -> Vec<f64> {
    let sign = if falling { -1.0 } else { 1.0 };
    let mut edges = vec![f64::NEG_INFINITY];
    edges.extend(bounds.iter().map(|b| b * sign));
    edges.push(f64::INFINITY);
    let mut chances: Vec<f64> = edges
        .windows(2)
        .map(|band| between(value * sign, deviation, band[0], band[1]))
        .collect();
    let most = chances.iter().copied().fold(0.0, f64::max);
    for chance in &mut chances {
        *chance = match most > 0.0 {
            true if *chance / most < LEAST => 0.0,
            true => *chance / most,
            false => 1.0,
        };
    }
    chances
}
