//! Base rates from the shop's own jobs: the built-in rate as a prior of stated
//! strength, updated by what was found.
//!
//! The count found of a kind is taken as Poisson about `times * expected`; the
//! prior of `times` is a Gamma of mean 1 that weighs as much as `strength` jobs
//! with their expected count. The mean is then
//! `(prior + found) / (prior + expected)`, which is the Beta-binomial's
//! `(a + found) / (a + b + jobs)` for a rate of one in each job.

use super::case::Count;
use crate::rules::Rules;

/// The built-in rates weigh as so many jobs.
pub const STRENGTH: f64 = 100.0;
/// A base rate is moved by at most this factor.
const MOST: f64 = 10.0;

/// A proposal for one kind of cause.
#[derive(Debug, Clone, PartialEq)]
pub struct Proposal {
    /// Cause id.
    pub cause: String,
    /// Title.
    pub title: String,
    /// Jobs on engines that can have it.
    pub jobs: usize,
    /// How many the rules expected in them.
    pub expected: f64,
    /// How many were found.
    pub found: f64,
    /// How much more common it is here than the rules say: mean, and where it lies 90 times in 100.
    pub times: f64,
    /// 5 % and 95 %.
    pub range: [f64; 2],
    /// Base rate per thousand by the rules.
    pub before: f64,
    /// The proposed one; what roots bring about stays as it is.
    pub after: f64,
}

impl Proposal {
    /// Whether the jobs speak clearly: so many or so few would come less than once in
    /// forty if the built-in rate held (Poisson).
    pub fn is_clear(&self) -> bool {
        let at_most = |n: f64| {
            let (mut term, mut sum) = ((-self.expected).exp(), 0.0);
            for k in 0..=(n as usize) {
                sum += term;
                term *= self.expected / (k + 1) as f64;
            }
            sum
        };
        let fewer = if self.found < 1.0 {
            0.0
        } else {
            at_most(self.found - 1.0)
        };
        1.0 - fewer < 0.025 || at_most(self.found) < 0.025
    }
}

/// How much more common a kind is than expected: mean, 5 % and 95 %.
///
/// ```
/// use sootsayer::history::propose::times;
/// // Gelman and others, Bayesian Data Analysis, 2.6 (asthma mortality, from memory): prior Gamma(3, 5)
/// // in deaths per 100 000, 3 deaths in 200 000 people: posterior Gamma(6, 7), mean 0.86.
/// let (mean, _) = times(3.0, 5.0, 3.0, 2.0);
/// assert!((mean - 6.0 / 7.0).abs() < 1e-12);
/// // Beta(1, 1) and 437 of 980 (the same, 2.4): posterior mean 438/982 = 0.446; here as a
/// // rate with prior 1 found in 2.
/// let (mean, _) = times(1.0, 2.0, 437.0, 980.0);
/// assert!((mean - 0.446).abs() < 0.0005);
/// ```
pub fn times(prior_found: f64, prior_expected: f64, found: f64, expected: f64) -> (f64, [f64; 2]) {
    let (shape, rate) = (prior_found + found, prior_expected + expected);
    let point = |z: f64| {
        let c = 1.0 / (9.0 * shape.max(1e-9));
        let root = (1.0 - c + z * c.sqrt()).max(0.0);
        shape * root.powi(3) / rate
    };
    (shape / rate, [point(-1.644_854), point(1.644_854)])
}

/// Proposals for every kind of cause, the clearest first.
pub fn proposals<'c>(
    rules: &Rules,
    counts: impl IntoIterator<Item = (&'c String, &'c Count)>,
    strength: f64,
) -> Vec<Proposal> {
    let mut out = vec![];
    for (kind, count) in counts {
        let Some(cause) = rules
            .causes
            .get(kind)
            .filter(|_| count.expected > 0.0 && count.jobs > 0)
        else {
            continue;
        };
        let prior = count.expected / count.jobs as f64 * strength;
        let (mean, range) = times(prior, prior, count.found, count.expected);
        let roots = (count.expected - count.own).max(0.0);
        let own = (mean * count.expected - roots) / count.own.max(1e-12);
        let before = cause.base_rate.per_1000;
        let after = (before * own.clamp(1.0 / MOST, MOST)).min(900.0);
        out.push(Proposal {
            cause: kind.clone(),
            title: cause.title.clone(),
            jobs: count.jobs,
            expected: count.expected,
            found: count.found,
            times: mean,
            range,
            before,
            after: crate::words::three_figures(after).parse().unwrap_or(after),
        });
    }
    let weight = |p: &Proposal| (p.times.ln() / (p.range[1] / p.range[0].max(1e-6)).ln()).abs();
    out.sort_by(|a, b| {
        (b.is_clear().cmp(&a.is_clear()))
            .then(weight(b).total_cmp(&weight(a)))
            .then_with(|| a.cause.cmp(&b.cause))
    });
    out
}
