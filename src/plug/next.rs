//! Which look to ask for next, and when the rest cannot matter.

use super::matched::{CALLED, Matched};
use crate::rules::Rules;
use crate::rules::chart::Look;

/// A remaining look is worth asking for when the chance that its answer changes
/// what is called is at least this.
const MATTERS: f64 = 0.02;

/// A look worth asking for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Question<'r> {
    /// Its index in the chart.
    pub index: usize,
    /// The look.
    pub look: &'r Look,
    /// Expected fall of the uncertainty over the conditions, in bits.
    pub bits: f64,
    /// Chance that the answer changes which conditions are called.
    pub changes: f64,
}

/// The most telling look of those not in `asked` nor seen; none when no answer
/// to any of them is likely to change what is called.
///
/// Circumstances tell nothing by themselves: see [`circumstance`].
pub fn next<'r>(matched: &Matched<'_, 'r>, asked: &[usize]) -> Option<Question<'r>> {
    let open = (0..matched.chart.looks.len()).filter(|look| {
        !matched.chart.looks[*look].circumstance
            && !asked.contains(look)
            && !matched.looks.seen.contains_key(look)
    });
    let mut worth: Vec<Question> = open
        .map(|look| worth(matched, look))
        .filter(|q| q.changes >= MATTERS)
        .collect();
    worth.sort_by(|a, b| b.bits.total_cmp(&a.bits).then(a.index.cmp(&b.index)));
    worth.first().copied()
}

/// How far the probability of a condition must move for a circumstance to matter:
/// judgement.
const MOVES: f64 = 0.1;

/// The circumstance, by index, whose answer could change what the looks mean: what
/// is called, or by a tenth the probability of a condition. None is asked for
/// before a look is known.
pub fn circumstance(rules: &Rules, matched: &Matched, asked: &[usize]) -> Option<usize> {
    let (chart, seen) = (matched.chart, &matched.looks.seen);
    let is_circumstance = |i: usize| chart.looks[i].circumstance;
    if seen.keys().all(|i| is_circumstance(*i)) {
        return None;
    }
    let (now, _) = matched.probabilities();
    let called = |each: &[f64]| each.iter().map(|p| *p >= CALLED).collect::<Vec<_>>();
    let matters = |index: usize| {
        let values = chart.looks[index].values.len();
        (0..values).any(|value| {
            let mut looks = matched.looks.clone();
            (looks.seen).insert(index, (0..values).map(|v| v == value).collect());
            let (then, _) = Matched::of(rules, chart, looks).probabilities();
            let moved = |(a, b): (&f64, &f64)| (a - b).abs() >= MOVES;
            called(&then) != called(&now) || then.iter().zip(&now).any(moved)
        })
    };
    (0..chart.looks.len())
        .filter(|i| is_circumstance(*i) && !asked.contains(i) && !seen.contains_key(i))
        .find(|i| matters(*i))
}

fn worth<'r>(matched: &Matched<'_, 'r>, index: usize) -> Question<'r> {
    let look = matched.chart.looks[index];
    let (now, _) = matched.probabilities();
    let whole: f64 = matched.weights.iter().sum();
    let called = |each: &[f64]| each.iter().map(|p| *p >= CALLED).collect::<Vec<_>>();
    let (mut bits, mut changes) = (uncertainty(&now), 0.0);
    for value in 0..look.values.len() {
        let values: Vec<bool> = (0..look.values.len()).map(|v| v == value).collect();
        let weights: Vec<f64> = (matched.sets.iter().zip(&matched.weights))
            .map(|(set, weight)| weight * matched.chance(set, index, &values))
            .collect();
        let share = weights.iter().sum::<f64>() / whole;
        if share > 0.0 {
            let (after, _) = matched.marginals(&weights);
            bits -= share * uncertainty(&after);
            if called(&after) != called(&now) {
                changes += share;
            }
        }
    }
    Question {
        index,
        look,
        bits,
        changes,
    }
}

/// Uncertainty over the conditions, each by itself, in bits.
fn uncertainty(each: &[f64]) -> f64 {
    let part = |p: f64| if p > 0.0 { -p * p.log2() } else { 0.0 };
    each.iter().map(|p| part(*p) + part(1.0 - p)).sum()
}
