//! What is worked out of the figures: wear, taper, out-of-round, clearance, and
//! how each stands to its limit.

use super::limit::{Limit, limit};
use super::uncertain::{Uncertain, apart, difference};
use super::{Bench, Line, Measured, Sizes};
use crate::engine::Place;
use crate::rules::file::{Form, Measure, Value, Worked};
use std::collections::BTreeMap;

/// From this share of its limit on a value is near it.
pub const NEAR: f64 = 0.8;

/// How a value stands to its limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Standing {
    /// Inside, clear of it by more than the doubt of the measurement.
    Inside,
    /// Near it, or the doubt reaches over it.
    Near,
    /// Over it.
    Out,
}

/// A worked-out value held against its limit, in SI.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged<'r> {
    /// The measurement.
    pub measure: &'r Measure,
    /// What is worked out.
    pub value: &'r Value,
    /// Where.
    pub place: Place,
    /// Which of the things in a row, from 1, where there are several.
    pub which: Option<usize>,
    /// The value.
    pub found: Uncertain,
    /// Its limit, where one is known.
    pub limit: Option<Limit<'r>>,
    /// How it stands, where there is a limit.
    pub standing: Option<Standing>,
    /// What the value rests on, where it needs saying.
    pub rests_on: Option<&'static str>,
}

impl Judged<'_> {
    /// How far to the limit, as the share of the wear that is allowed: 1 as new, 0 at the limit.
    pub fn left(&self) -> Option<f64> {
        let limit = self.limit.as_ref()?;
        let new = limit
            .new
            .unwrap_or(if limit.falls { f64::NAN } else { 0.0 });
        let left = (limit.at - self.found.value) / (limit.at - new);
        left.is_finite().then_some(left)
    }
}

/// The value of the worst thing, which it is, and what it rests on.
type Found = (Uncertain, Option<usize>, Option<&'static str>);

/// Everything that can be worked out, by measurement and place.
pub fn judged<'r>(bench: &Bench<'r>, measured: &Measured) -> Vec<Judged<'r>> {
    let best = bests(measured);
    let mut out = vec![];
    for ((id, place), line) in &measured.lines {
        let Some(measure) = bench.rules.measures.get(id).map(|m| &m.it) else {
            continue;
        };
        for value in &measure.gives {
            let Some((found, which, rests_on)) =
                worked(bench, measured, measure, value, *place, line, &best)
            else {
                continue;
            };
            let limit = limit(bench, measured, value, *place);
            let standing = limit.as_ref().map(|limit| standing(&found, limit));
            out.push(Judged {
                measure,
                value,
                place: *place,
                which,
                found,
                limit,
                standing,
                rests_on,
            });
        }
    }
    out
}

fn standing(found: &Uncertain, limit: &Limit) -> Standing {
    let (value, doubt) = (found.value, found.expanded());
    let (over, near) = match limit.falls {
        true => (
            value < limit.at,
            value - doubt < limit.at || value < limit.near(),
        ),
        false => (
            value > limit.at,
            value + doubt > limit.at || value > limit.near(),
        ),
    };
    match (over, near) {
        (true, _) => Standing::Out,
        (false, true) => Standing::Near,
        _ => Standing::Inside,
    }
}

/// The best figure of each measurement over all places.
fn bests(measured: &Measured) -> BTreeMap<&str, f64> {
    let mut best: BTreeMap<&str, f64> = BTreeMap::new();
    for ((id, _), line) in &measured.lines {
        let most = line.all().fold(f64::NEG_INFINITY, f64::max);
        let so_far = best.entry(id).or_insert(most);
        *so_far = so_far.max(most);
    }
    best
}

fn worked(
    bench: &Bench,
    measured: &Measured,
    measure: &Measure,
    value: &Value,
    place: Place,
    line: &Line,
    best: &BTreeMap<&str, f64>,
) -> Option<Found> {
    let one = |v: f64| Uncertain {
        value: v,
        error: line.scatter.hypot(line.setting),
    };
    let several = measure.form == Form::Each && line.all().count() > 1;
    let largest = || extreme(line.all(), |a, b| a > b);
    let smallest = || extreme(line.all(), |a, b| a < b);
    let which = |at: usize| several.then_some(at + 1);
    match value.worked {
        Worked::Largest => largest().map(|(at, v)| (one(v), which(at), None)),
        Worked::Smallest => smallest().map(|(at, v)| (one(v), which(at), None)),
        Worked::ShortOfBest => {
            let (at, least) = smallest()?;
            let most = *best.get(measure.measure.as_str())?;
            (measured
                .lines
                .keys()
                .filter(|(id, _)| *id == measure.measure)
                .count()
                > 1
                || several)
                .then(|| {
                    (
                        difference(most, least, line.scatter, line.setting),
                        which(at),
                        None,
                    )
                })
        }
        Worked::ClearanceInBore => {
            let bore = measured.lines.get(&("bore".to_string(), place))?;
            let across: Vec<f64> = (bore.things.iter().flatten())
                .filter_map(|depth| depth.first().copied().flatten())
                .collect();
            let least = across.into_iter().reduce(f64::min)?;
            let bore = Uncertain {
                value: least,
                error: bore.scatter.hypot(bore.setting),
            };
            let (_, skirt) = largest()?;
            Some((apart(bore, one(skirt)), None, None))
        }
        Worked::Wear => wear(bench, measured, measure, place, line),
        Worked::Taper | Worked::OutOfRound => {
            let pairs = |sizes: &Sizes| match value.worked {
                Worked::Taper => taper(sizes),
                _ => out_of_round(sizes),
            };
            let found = line.things.iter().enumerate().filter_map(|(at, sizes)| {
                let (a, b) = pairs(sizes)?;
                Some((at, difference(a, b, line.scatter, line.setting)))
            });
            let (at, worst) = found.reduce(|a, b| if b.1.value > a.1.value { b } else { a })?;
            Some((worst, (line.things.len() > 1).then_some(at + 1), None))
        }
    }
}

fn extreme(
    values: impl Iterator<Item = f64>,
    better: fn(f64, f64) -> bool,
) -> Option<(usize, f64)> {
    (values.enumerate()).reduce(|a, b| if better(b.1, a.1) { b } else { a })
}

/// Wear against the size when new; of a bore without one, against its least
/// figure, where the rings hardly reach.
fn wear(
    bench: &Bench,
    measured: &Measured,
    measure: &Measure,
    place: Place,
    line: &Line,
) -> Option<Found> {
    let of_bore = measure.measure == "bore";
    let new = measured.own.new_size(&measure.measure).or(match of_bore {
        true => bench.bore_new,
        false => None,
    });
    let reading = |v: f64| Uncertain {
        value: v,
        error: line.scatter.hypot(line.setting),
    };
    let _ = place;
    match (new, of_bore) {
        (Some(new), true) => {
            let (_, most) = extreme(line.all(), |a, b| a > b)?;
            Some((apart(reading(most), Uncertain::exact(new)), None, None))
        }
        (Some(new), false) => {
            let (_, least) = extreme(line.all(), |a, b| a < b)?;
            Some((apart(Uncertain::exact(new), reading(least)), None, None))
        }
        (None, true) => {
            let (_, most) = extreme(line.all(), |a, b| a > b)?;
            let (_, least) = extreme(line.all(), |a, b| a < b)?;
            Some((
                difference(most, least, line.scatter, line.setting),
                None,
                Some(
                    "against its own least figure, where rings hardly reach; give `--limit bore-new=SIZE` for the maker's",
                ),
            ))
        }
        (None, false) => None,
    }
}

/// The two figures of the greatest change along one axis, the larger first.
///
/// ```
/// use sootsayer::bench::worked::taper;
/// let sizes = vec![vec![Some(80.05), Some(80.02)], vec![Some(80.03), None], vec![Some(80.00), Some(80.01)]];
/// assert_eq!(taper(&sizes), Some((80.05, 80.00)));
/// ```
pub fn taper(sizes: &Sizes) -> Option<(f64, f64)> {
    let axis = |axis: usize| {
        let along: Vec<f64> = sizes
            .iter()
            .filter_map(|d| d.get(axis).copied().flatten())
            .collect();
        (along.len() > 1).then(|| spread(&along))
    };
    widest([axis(0), axis(1)])
}

/// The two axes of the depth where they differ most, the larger first.
///
/// ```
/// use sootsayer::bench::worked::out_of_round;
/// let sizes = vec![vec![Some(80.05), Some(80.02)], vec![Some(80.01)], vec![None, Some(80.01)]];
/// assert_eq!(out_of_round(&sizes), Some((80.05, 80.02)));
/// ```
pub fn out_of_round(sizes: &Sizes) -> Option<(f64, f64)> {
    let depths = sizes.iter().map(|depth| match depth[..] {
        [Some(a), Some(b)] => Some(spread(&[a, b])),
        _ => None,
    });
    widest(depths)
}

fn spread(values: &[f64]) -> (f64, f64) {
    values
        .iter()
        .fold((f64::NEG_INFINITY, f64::INFINITY), |(most, least), v| {
            (most.max(*v), least.min(*v))
        })
}

fn widest(pairs: impl IntoIterator<Item = Option<(f64, f64)>>) -> Option<(f64, f64)> {
    pairs
        .into_iter()
        .flatten()
        .reduce(|a, b| if b.0 - b.1 > a.0 - a.1 { b } else { a })
}
