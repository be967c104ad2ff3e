//! How probable each condition is, given the looks of a plug.
//!
//! Up to three conditions may hold at once. A set of conditions shows each look
//! as its members show it that say something of it and are not hidden by
//! another member, each as likely as the next to be what is seen; where none
//! says anything the plug looks as a sound one does. The sets are counted out,
//! so the answer is exact for the chart as it stands.

use super::chart::{Chart, with_odds};
use super::looks::Looks;
use crate::rules::Rules;

/// Most conditions that are taken to hold on one plug.
const MOST: usize = 3;
/// From this probability on a condition is called.
pub const CALLED: f64 = 0.5;
/// Looks alone never speak more strongly than this for or against a finding:
/// judgement, because looks that come together are counted as if each came by itself.
const MOST_ODDS: f64 = 100.0;
/// Looks that raise the odds by less than this tell nothing for a condition.
const FELT: f64 = 2.0;
/// Looks that lower the odds to this and less are as good as the answer no: judgement.
const AS_GOOD_AS_NO: f64 = 0.15;
/// A look less probable than this, given the others, does not fit them.
const UNFIT: f64 = 0.02;

/// The chart matched with the looks of one plug.
#[derive(Debug, Clone)]
pub struct Matched<'c, 'r> {
    /// The chart.
    pub chart: &'c Chart<'r>,
    /// What was seen.
    pub looks: Looks,
    /// The sets of conditions, the empty one first.
    pub(super) sets: Vec<Vec<usize>>,
    /// Joint weight of each set and the looks.
    pub(super) weights: Vec<f64>,
    /// Weight of each set before the looks.
    before: Vec<f64>,
    /// Chances of each look's values, sound first, then each condition, as the circumstances leave them.
    shows: Vec<Vec<Option<Vec<f64>>>>,
}

impl<'c, 'r> Matched<'c, 'r> {
    /// Matches looks.
    pub fn of(rules: &Rules, chart: &'c Chart<'r>, looks: Looks) -> Self {
        let (shows, priors) = circumstances(rules, chart, &looks);
        let sets = sets(chart.conditions.len());
        let before: Vec<f64> = (sets.iter())
            .map(|set| {
                let odds = set.iter().map(|&c| priors[c] / (1.0 - priors[c]));
                odds.product()
            })
            .collect();
        let mut it = Matched {
            chart,
            looks,
            weights: before.clone(),
            before,
            sets,
            shows,
        };
        for (look, values) in it.looks.seen.clone() {
            if chart.looks[look].circumstance {
                continue;
            }
            for i in 0..it.sets.len() {
                it.weights[i] *= it.chance(&it.sets[i], look, &values);
            }
        }
        it
    }

    /// Probability that a set of conditions shows one of some values of a look.
    pub(super) fn chance(&self, set: &[usize], look: usize, values: &[bool]) -> f64 {
        let of = |shown: &Vec<f64>| -> f64 {
            (shown.iter().zip(values))
                .filter(|(_, met)| **met)
                .map(|(p, _)| p)
                .sum()
        };
        let says = |c: usize| self.shows[c + 1][look].as_ref();
        let hidden = |c: usize| {
            set.iter()
                .any(|&by| says(by).is_some() && self.chart.conditions[by].hides.contains(&c))
        };
        let (mut sum, mut count) = (0.0, 0);
        for &c in set {
            if let Some(shown) = says(c)
                && !hidden(c)
            {
                sum += of(shown);
                count += 1;
            }
        }
        match (count, &self.shows[0][look]) {
            (0, Some(sound)) => of(sound),
            (0, None) => 1.0,
            (n, _) => sum / f64::from(n),
        }
    }

    /// Whether the looks can be had at all from some set of conditions.
    pub fn is_possible(&self) -> bool {
        self.weights.iter().sum::<f64>() > 0.0
    }

    /// Probability of each condition of the chart, and of none.
    pub fn probabilities(&self) -> (Vec<f64>, f64) {
        self.marginals(&self.weights)
    }

    pub(super) fn marginals(&self, weights: &[f64]) -> (Vec<f64>, f64) {
        let whole: f64 = weights.iter().sum();
        let mut each = vec![0.0; self.chart.conditions.len()];
        for (set, weight) in self.sets.iter().zip(weights) {
            for &c in set {
                each[c] += weight / whole;
            }
        }
        (each, weights.first().map_or(0.0, |w| w / whole))
    }

    /// The conditions that are called, the most probable first; none is a sound plug.
    pub fn called(&self) -> Vec<usize> {
        let (each, _) = self.probabilities();
        self.ranked()
            .into_iter()
            .filter(|&c| each[c] >= CALLED)
            .collect()
    }

    /// Every condition, the most probable first, ties in the order of the chart.
    pub fn ranked(&self) -> Vec<usize> {
        let (each, _) = self.probabilities();
        let mut order: Vec<usize> = (0..each.len()).collect();
        order.sort_by(|&a, &b| each[b].total_cmp(&each[a]).then(a.cmp(&b)));
        order
    }

    /// The conditions that cannot be told because a called one hides them.
    pub fn masked(&self) -> Vec<usize> {
        let called = self.called();
        let mut masked: Vec<usize> = (called.iter())
            .flat_map(|&by| self.chart.conditions[by].hides.clone())
            .filter(|c| !called.contains(c))
            .collect();
        masked.sort_unstable();
        masked.dedup();
        masked
    }

    /// How strongly the looks speak for each condition, as odds: above 1, at most
    /// 100, where they speak for it; 0 where they are as good as the answer no, as
    /// when it is looked for by name and not found. Masked conditions and those of
    /// which the looks tell little are left out: a network told of many near-nothings
    /// grows beyond what can be answered exactly. What the circumstances alone make more common is not counted:
    /// the network has its own causes for that.
    pub fn odds(&self) -> Vec<(usize, f64)> {
        let (after, _) = self.probabilities();
        let (before, _) = self.marginals(&self.before);
        let masked = self.masked();
        let odds = |p: f64| p / (1.0 - p);
        (0..after.len())
            .filter(|c| !masked.contains(c) && before[*c] > 0.0)
            .map(|c| {
                let times = odds(after[c].clamp(1e-12, 1.0 - 1e-12)) / odds(before[c]);
                match times <= AS_GOOD_AS_NO {
                    true => (c, 0.0),
                    false => (c, times.min(MOST_ODDS)),
                }
            })
            .filter(|(_, times)| *times == 0.0 || *times >= FELT)
            .collect()
    }

    /// Whether the looks make a condition more probable than it was.
    pub fn raised(&self, condition: usize) -> bool {
        let (after, _) = self.probabilities();
        let (before, _) = self.marginals(&self.before);
        after[condition] > before[condition] * 1.1
    }

    /// Looks that do not fit the others, by index.
    pub fn unfit(&self) -> Vec<usize> {
        let whole: f64 = self.weights.iter().sum();
        let seen = self.looks.seen.iter();
        let looks = seen.filter(|(look, _)| !self.chart.looks[**look].circumstance);
        if looks.clone().count() < 2 {
            return vec![];
        }
        looks
            .filter(|(look, values)| {
                let without: f64 = (self.sets.iter().zip(&self.weights))
                    .map(|(set, weight)| match self.chance(set, **look, values) {
                        p if p > 0.0 => weight / p,
                        _ => 0.0,
                    })
                    .sum();
                without > 0.0 && whole / without < UNFIT
            })
            .map(|(look, _)| *look)
            .collect()
    }
}

/// Every set of at most [`MOST`] of `n` conditions, smaller sets first.
fn sets(n: usize) -> Vec<Vec<usize>> {
    let mut all = vec![vec![]];
    let mut from = 0;
    for _ in 0..MOST {
        let until = all.len();
        for i in from..until {
            let set: Vec<usize> = all[i].clone();
            let next = set.last().map_or(0, |last| last + 1);
            all.extend((next..n).map(|c| [set.as_slice(), &[c]].concat()));
        }
        from = until;
    }
    all
}

/// Chances and priors as the plug's heat range, hours and the way the engine was
/// stopped leave them.
#[allow(clippy::type_complexity)]
fn circumstances(
    rules: &Rules,
    chart: &Chart,
    looks: &Looks,
) -> (Vec<Vec<Option<Vec<f64>>>>, Vec<f64>) {
    let mut sound = chart.sound.shows.clone();
    let mut tells = 1.0;
    let mut priors: Vec<f64> = chart.conditions.iter().map(|c| c.prior).collect();
    for (&look, values) in &looks.seen {
        let mut met = chart.looks[look]
            .values
            .iter()
            .zip(values)
            .filter(|(_, v)| **v);
        // Where several are possible nothing is known of the circumstance.
        let (Some((value, _)), None) = (met.next(), met.next()) else {
            continue;
        };
        tells *= value.tells;
        for (id, times) in &value.odds {
            if let Some(c) = chart.condition(id) {
                priors[c] = with_odds(priors[c], *times);
            }
        }
        for (i, it) in chart.looks.iter().enumerate() {
            let usual = sound[i].clone().unwrap_or_default();
            if let Some(shown) = Chart::spread(rules, it, &value.sound, &usual) {
                sound[i] = Some(shown);
            }
        }
    }
    let softened = |shown: &Vec<f64>, sound: &Option<Vec<f64>>| -> Vec<f64> {
        match sound {
            Some(sound) => (shown.iter().zip(sound))
                .map(|(p, s)| tells * p + (1.0 - tells) * s)
                .collect(),
            None => shown.clone(),
        }
    };
    let conditions = chart.conditions.iter().map(|c| {
        (c.shows.iter().zip(&sound))
            .map(|(shown, sound)| shown.as_ref().map(|s| softened(s, sound)))
            .collect()
    });
    let shows = std::iter::once(sound.clone()).chain(conditions).collect();
    (shows, priors)
}
