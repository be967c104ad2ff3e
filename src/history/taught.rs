//! All closed jobs together.

use super::case::{Case, Count, Forecast};
use super::propose::{Proposal, proposals};
use super::score::{Bin, Brier, EDGES, bins, brier, log_score, misfit};
use crate::rules::Rules;
use std::collections::BTreeMap;

/// What one test was worth over all jobs.
#[derive(Debug, Clone, PartialEq)]
pub struct Earned {
    /// Test id.
    pub test: String,
    /// Title.
    pub title: String,
    /// Jobs in which it was done.
    pub jobs: usize,
    /// Mean bits towards what it turned out to be; below 0 it led away.
    pub bits: f64,
    /// Standard error of the mean.
    pub error: f64,
    /// Mean minutes by the rules.
    pub minutes: f64,
}

impl Earned {
    /// Bits for a minute.
    pub fn rate(&self) -> f64 {
        self.bits / self.minutes.max(0.5)
    }
}

/// How estimates fell out.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Estimates {
    /// Jobs with both.
    pub jobs: usize,
    /// Below the range.
    pub below: usize,
    /// Inside the range, where 8 in 10 should fall.
    pub inside: usize,
    /// Above it.
    pub above: usize,
    /// Mean of what it came to over the middle of the estimate.
    pub ratio: f64,
}

/// What the closed jobs teach.
#[derive(Debug, Clone, PartialEq)]
pub struct Taught {
    /// Closed jobs counted.
    pub jobs: usize,
    /// Jobs in which no fault was found.
    pub no_fault: usize,
    /// Of those with a fault: a true one was first.
    pub first: usize,
    /// A true one was among the first three.
    pub first_three: usize,
    /// Jobs that came back.
    pub came_back: usize,
    /// Brier's score with its parts.
    pub brier: Brier,
    /// Logarithmic score, bits for each probability.
    pub log_score: f64,
    /// The table of reliability.
    pub bins: Vec<Bin>,
    /// The statistic of its misfit, and what it may be at most.
    pub misfit: (f64, f64),
    /// Tests, by bits for a minute.
    pub tests: Vec<Earned>,
    /// Estimates against outcome.
    pub estimates: Estimates,
    /// Base rates proposed, the clearest first.
    pub proposals: Vec<Proposal>,
}

/// Adds the jobs up; `strength` is how many jobs the built-in rates weigh as.
pub fn taught(rules: &Rules, cases: &[Case], strength: f64) -> Taught {
    let forecasts: Vec<Forecast> = cases
        .iter()
        .flat_map(|c| c.forecasts.values().copied())
        .collect();
    let bins = bins(&forecasts, &EDGES);
    let within = |n: usize| {
        cases
            .iter()
            .filter(|c| c.placed.is_some_and(|p| p <= n))
            .count()
    };
    let mut counts: BTreeMap<String, Count> = BTreeMap::new();
    for (kind, count) in cases.iter().flat_map(|c| &c.counts) {
        let all = counts.entry(kind.clone()).or_default();
        all.expected += count.expected;
        all.own += count.own;
        all.found += count.found;
        all.jobs += count.jobs;
    }
    Taught {
        jobs: cases.len(),
        no_fault: cases.iter().filter(|c| c.found.is_empty()).count(),
        first: within(1),
        first_three: within(3),
        came_back: cases.iter().filter(|c| c.comebacks > 0).count(),
        brier: brier(&forecasts, &EDGES),
        log_score: log_score(&forecasts),
        misfit: misfit(&bins),
        bins,
        tests: tests(rules, cases),
        estimates: estimates(cases),
        proposals: proposals(rules, &counts, strength),
    }
}

fn tests(rules: &Rules, cases: &[Case]) -> Vec<Earned> {
    let mut of: BTreeMap<&str, Vec<(f64, f64)>> = BTreeMap::new();
    for told in cases.iter().flat_map(|c| &c.tests) {
        of.entry(&told.test)
            .or_default()
            .push((told.bits, told.minutes));
    }
    let mut earned: Vec<Earned> = (of.into_iter())
        .map(|(test, all)| {
            let n = all.len() as f64;
            let bits = all.iter().map(|(b, _)| b).sum::<f64>() / n;
            let spread = all.iter().map(|(b, _)| (b - bits).powi(2)).sum::<f64>();
            Earned {
                title: rules
                    .tests
                    .get(test)
                    .map_or(test.into(), |t| t.title.clone()),
                test: test.into(),
                jobs: all.len(),
                bits,
                error: (spread / f64::max(n - 1.0, 1.0) / n).sqrt(),
                minutes: all.iter().map(|(_, m)| m).sum::<f64>() / n,
            }
        })
        .collect();
    earned.sort_by(|a, b| {
        b.rate()
            .total_cmp(&a.rate())
            .then_with(|| a.test.cmp(&b.test))
    });
    earned
}

fn estimates(cases: &[Case]) -> Estimates {
    let priced: Vec<([f64; 3], f64)> = cases.iter().filter_map(|c| c.cost).collect();
    let count = |met: fn(&([f64; 3], f64)) -> bool| priced.iter().filter(|p| met(p)).count();
    let ratios = priced
        .iter()
        .filter(|(e, _)| e[1] > 0.0)
        .map(|(e, cost)| cost / e[1]);
    let (sum, n) = ratios.fold((0.0, 0.0), |(s, n), r| (s + r, n + 1.0));
    Estimates {
        jobs: priced.len(),
        below: count(|(e, cost)| *cost < e[0]),
        inside: count(|(e, cost)| (e[0]..=e[2]).contains(cost)),
        above: count(|(e, cost)| *cost > e[2]),
        ratio: if n > 0.0 { sum / n } else { 0.0 },
    }
}
