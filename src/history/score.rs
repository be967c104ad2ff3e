//! Scores of probabilities against what came: Brier's with Murphy's parts, the
//! logarithmic score, and the table of reliability.

use super::case::Forecast;

/// Edges of the bins: finer where most probabilities lie.
pub const EDGES: [f64; 10] = [0.0, 0.01, 0.03, 0.1, 0.2, 0.35, 0.5, 0.7, 0.9, 1.0];

/// Brier's score and its parts.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Brier {
    /// Mean square difference of probability and outcome; 0 is perfect.
    pub score: f64,
    /// How far the bins' shares lie from their probabilities; 0 is perfect.
    pub reliability: f64,
    /// How far the bins' shares lie from the share overall; more is better.
    pub resolution: f64,
    /// The share overall times its complement.
    pub uncertainty: f64,
    /// What is left, since probabilities differ inside a bin.
    pub within: f64,
}

/// One row of the table of reliability.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bin {
    /// From.
    pub low: f64,
    /// To.
    pub high: f64,
    /// How many probabilities fell in it.
    pub count: usize,
    /// Their mean.
    pub said: f64,
    /// The share that came true.
    pub came: f64,
    /// Standard error of that share if the probabilities are right.
    pub error: f64,
}

impl Bin {
    /// Difference of what came and what was said, in standard errors.
    pub fn apart(&self) -> f64 {
        match self.error > 0.0 {
            true => (self.came - self.said) / self.error,
            false => 0.0,
        }
    }
}

/// The table of reliability; empty bins are left out.
pub fn bins(forecasts: &[Forecast], edges: &[f64]) -> Vec<Bin> {
    let mut bins = vec![];
    for pair in edges.windows(2) {
        let last = pair[1] >= 1.0;
        let inside: Vec<&Forecast> = (forecasts.iter())
            .filter(|f| f.p >= pair[0] && (f.p < pair[1] || last))
            .collect();
        if inside.is_empty() {
            continue;
        }
        let n = inside.len() as f64;
        let said = inside.iter().map(|f| f.p).sum::<f64>() / n;
        let came = inside.iter().filter(|f| f.was).count() as f64 / n;
        let variance: f64 = inside.iter().map(|f| f.p * (1.0 - f.p)).sum();
        bins.push(Bin {
            low: pair[0],
            high: pair[1],
            count: inside.len(),
            said,
            came,
            error: variance.sqrt() / n,
        });
    }
    bins
}

/// Brier's score with Murphy's parts over bins:
/// `score = reliability - resolution + uncertainty + within`.
///
/// G. W. Brier, Verification of forecasts expressed in terms of probability,
/// Monthly Weather Review 78 (1950); A. H. Murphy, A new vector partition of the
/// probability score, Journal of Applied Meteorology 12 (1973).
///
/// ```
/// use sootsayer::history::{case::Forecast, score::brier};
/// // Rain said with 0.7 and it rained 6 times of 10, with 0.2 and it rained twice of 10:
/// // reliability (0.1^2 + 0)/2, resolution (0.2^2 + 0.2^2)/2, uncertainty 0.4 x 0.6.
/// let said = |p, was, n| std::iter::repeat_n(Forecast { p, was }, n);
/// let all: Vec<Forecast> = said(0.7, true, 6).chain(said(0.7, false, 4))
///     .chain(said(0.2, true, 2)).chain(said(0.2, false, 8)).collect();
/// let b = brier(&all, &[0.0, 0.5, 1.0]);
/// assert!((b.reliability - 0.005).abs() < 1e-12 && (b.resolution - 0.04).abs() < 1e-12);
/// assert!((b.uncertainty - 0.24).abs() < 1e-12 && b.within.abs() < 1e-12);
/// assert!((b.score - (0.005 - 0.04 + 0.24)).abs() < 1e-12);
/// ```
pub fn brier(forecasts: &[Forecast], edges: &[f64]) -> Brier {
    let n = forecasts.len() as f64;
    if forecasts.is_empty() {
        return Brier::default();
    }
    let outcome = |f: &Forecast| f64::from(u8::from(f.was));
    let score = forecasts
        .iter()
        .map(|f| (f.p - outcome(f)).powi(2))
        .sum::<f64>()
        / n;
    let overall = forecasts.iter().map(outcome).sum::<f64>() / n;
    let bins = bins(forecasts, edges);
    let part = |value: &dyn Fn(&Bin) -> f64| {
        bins.iter().map(|b| b.count as f64 * value(b)).sum::<f64>() / n
    };
    let reliability = part(&|b| (b.said - b.came).powi(2));
    let resolution = part(&|b| (b.came - overall).powi(2));
    let uncertainty = overall * (1.0 - overall);
    Brier {
        score,
        reliability,
        resolution,
        uncertainty,
        within: score - (reliability - resolution + uncertainty),
    }
}

/// Mean of `-log2` of the probability given to what came, in bits; 0 is perfect.
///
/// I. J. Good, Rational decisions, Journal of the Royal Statistical Society B 14 (1952).
///
/// ```
/// use sootsayer::history::{case::Forecast, score::log_score};
/// let all = [Forecast { p: 0.5, was: true }, Forecast { p: 0.25, was: false }];
/// assert!((log_score(&all) - (1.0 + (4f64 / 3.0).log2()) / 2.0).abs() < 1e-12);
/// ```
pub fn log_score(forecasts: &[Forecast]) -> f64 {
    let given = |f: &Forecast| if f.was { f.p } else { 1.0 - f.p };
    let sum: f64 = forecasts.iter().map(|f| -given(f).max(1e-12).log2()).sum();
    sum / f64::max(forecasts.len() as f64, 1.0)
}

/// The statistic of all bins, and what it should be at most 95 times in 100 if
/// the probabilities are right: chi-squared with a degree for each bin
/// (Wilson and Hilferty's approximation).
pub fn misfit(bins: &[Bin]) -> (f64, f64) {
    let usable: Vec<&Bin> = bins.iter().filter(|b| b.error > 0.0).collect();
    let statistic = usable.iter().map(|b| b.apart().powi(2)).sum();
    let k = usable.len() as f64;
    let c = 2.0 / (9.0 * k.max(1.0));
    (statistic, k * (1.0 - c + 1.644_854 * c.sqrt()).powi(3))
}
