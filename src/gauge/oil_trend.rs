//! Oil use as a trend, from irregular top-ups and dipstick readings.
//!
//! What was used up to each check, plotted over the meter, is a line whose slope
//! is the rate; each reading of the dipstick errs on its own. The line is fitted
//! by least squares, piece by piece: an overfilled sump, a level that rises of
//! itself, and an oil change are caught and end a piece; they are not averaged in.

use super::oil_jump::{Jump, Point, jump};
use super::quantity::{Share, Volume};
use super::{Kind, UnitSet, short, units};
use crate::problem::Problem;

/// One check of the oil.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Check {
    /// The meter: hours, or kilometres, from any beginning.
    pub at: f64,
    /// Level found, above (+) or below (-) the full mark; left out of a top-up,
    /// it is taken that the sump was filled to the mark; left out of a change,
    /// what was used until then is not known.
    pub level: Option<Volume>,
    /// Added after the level was found; at a change how far above (or, negative,
    /// below) the mark the sump was then filled.
    pub added: Volume,
    /// The oil was changed here.
    pub changed: bool,
    /// Fuel in the oil, where a sample tells.
    pub fuel: Option<Share>,
}

/// What the fit needs beside the checks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sump {
    /// Oil in it at the full mark.
    pub full: Volume,
    /// Error of one dipstick reading or filling to the mark: one standard deviation.
    pub error: Volume,
}

impl Sump {
    /// A sump of this size; the dipstick is good to 2 % of it and no better than 0.05 L (judgement).
    pub fn of(full: Volume) -> Self {
        let error = (full * 0.02).max(Volume::of(0.05, units::LITRE));
        Sump { full, error }
    }
}

/// From one check to the next.
#[derive(Debug, Clone, PartialEq)]
pub struct Interval {
    /// Meter at its start.
    pub from: f64,
    /// Meter at its end.
    pub to: f64,
    /// Oil used in it; nothing where it was not read.
    pub used: Volume,
    /// The level was known at both ends.
    pub read: bool,
    /// Why it is not counted, where it is not.
    pub caught: Option<Caught>,
}

/// What makes an interval tell nothing of steady use.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Caught {
    /// The sump was above the mark at its start: the excess goes out by the breather.
    Overfilled(Volume),
    /// The level rose though nothing was added: fuel or water in the oil.
    Rose(Volume),
    /// The oil was changed at its end and the level not read before.
    Unread,
}

impl Caught {
    /// In words, volumes in the units of a set.
    pub fn says(self, set: UnitSet) -> String {
        let told = |volume: Volume| {
            let unit = Kind::Volume.usual(set);
            format!("{} {unit}", short(unit.of_si(volume.si())))
        };
        match self {
            Caught::Overfilled(by) => format!(
                "the sump stood {} above the mark: what is above goes out by the breather, so this is no measure of use",
                told(by)
            ),
            Caught::Rose(by) => format!(
                "the level rose by {} with none added: fuel or water is in the oil and hides what is used",
                told(by)
            ),
            Caught::Unread => {
                "the oil was changed and its level not read before: what was used until then is not known"
                    .into()
            }
        }
    }
}

/// A rate for a unit of the meter (an hour, a kilometre).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rate {
    /// Oil for each unit of the meter.
    pub each: Volume,
    /// One standard deviation.
    pub deviation: Volume,
}

/// The rate was not the same throughout.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Change {
    /// Meter at which it changed.
    pub at: f64,
    /// Rate before.
    pub before: Rate,
    /// Rate after.
    pub after: Rate,
}

/// What the checks say.
#[derive(Debug, Clone, PartialEq)]
pub struct Trend {
    /// Every interval, counted or caught.
    pub intervals: Vec<Interval>,
    /// The rate over all that counts; none when nothing does.
    pub rate: Option<Rate>,
    /// A change of rate of more than three standard deviations.
    pub change: Option<Change>,
    /// How likely the rate jumped rather than crept, where the checks are enough to tell.
    pub jump: Option<Jump>,
    /// Top-ups came at very unlike intervals, so that litres a top-up compare nothing: shortest and longest.
    pub unlike: Option<(f64, f64)>,
}

/// Fits the trend.
///
/// ```
/// use sootsayer::gauge::{Volume, oil_trend::{Check, Sump, trend}, units};
/// let litre = |v| Volume::of(v, units::LITRE);
/// let check = |at, added| Check { at, level: None, added: litre(added), changed: false, fuel: None };
/// let found = trend(&[check(0.0, 0.0), check(10.0, 1.0), check(30.0, 2.0)], Sump::of(litre(8.0))).unwrap();
/// assert!((found.rate.unwrap().each.get(units::LITRE) - 0.1).abs() < 1e-9);
/// ```
///
/// # Errors
/// Fewer than two checks, a meter that stands still or runs back, an amount
/// below nothing or beyond the sump.
pub fn trend(checks: &[Check], sump: Sump) -> Result<Trend, Problem> {
    refuse(checks, sump)?;
    let mut intervals = Vec::new();
    let mut points: Vec<Point> = vec![(checks[0].at, 0.0, 0)];
    let (mut piece, mut used_so_far) = (0, 0.0);
    for two in checks.windows(2) {
        let read = !two[1].changed || two[1].level.is_some();
        let used = match read {
            true => used(&two[0], &two[1], sump),
            false => Volume::from_si(0.0),
        };
        let caught = match read {
            true => caught(&two[0], used, sump),
            false => Some(Caught::Unread),
        };
        intervals.push(Interval {
            from: two[0].at,
            to: two[1].at,
            used,
            read,
            caught,
        });
        if !read {
            piece += 1;
            used_so_far = 0.0;
            points.push((two[1].at, 0.0, piece));
            continue;
        }
        if caught.is_some() {
            piece += 1;
            used_so_far = 0.0;
        } else {
            used_so_far += used.si();
        }
        points.push((two[1].at, used_so_far, piece));
        if two[1].changed {
            piece += 1;
            used_so_far = 0.0;
            points.push((two[1].at, 0.0, piece));
        }
    }
    let rate = fit(&points, sump.error.si());
    Ok(Trend {
        change: change(&points, sump.error.si()),
        jump: jump(&points, sump.error.si()),
        unlike: unlike(&intervals),
        intervals,
        rate,
    })
}

fn refuse(checks: &[Check], sump: Sump) -> Result<(), Problem> {
    super::oil_sample::SUMP.check(sump.full)?;
    if checks.len() < 2 {
        return Err(Problem::new("one check of the oil gives no rate")
            .hint("give at least two, with the meter at each"));
    }
    for two in checks.windows(2) {
        let (a, b) = (two[0].at, two[1].at);
        if b == a {
            return Err(Problem::new(format!(
                "the interval from {} to {} is 0",
                short(a),
                short(b)
            ))
            .hint("each check needs its own meter reading"));
        }
        if b < a {
            return Err(Problem::new(format!(
                "the meter runs back from {} to {}",
                short(a),
                short(b)
            ))
            .hint("give the checks in the order taken; after a new meter start anew"));
        }
    }
    for check in checks {
        if !check.at.is_finite() {
            return Err(Problem::new("a meter reading is no number"));
        }
        let told = |v: Volume| {
            let (litres, quarts) = (v.get(units::LITRE).abs(), v.get(units::US_QT).abs());
            format!("{} L ({} qt)", short(litres), short(quarts))
        };
        let deep = |level: Volume| level < -sump.full || level > sump.full;
        let odd = if check.changed {
            Some(check.added)
        } else {
            None
        };
        if let Some(level) = check.level.into_iter().chain(odd).find(|l| deep(*l)) {
            let side = if level.si() < 0.0 { "below" } else { "above" };
            return Err(Problem::new(format!(
                "a level {} {side} the mark at {}, in a sump of {}",
                told(level),
                short(check.at),
                told(sump.full)
            ))
            .hint("check the unit of the level and the size of the sump"));
        }
        if check.changed {
            continue;
        }
        super::oil_sample::ADDED.check(check.added)?;
        let most = sump.full * 3.0;
        if check.added > most {
            return Err(Problem::new(format!(
                "{} added at {} is more than three sumps of {}",
                told(check.added),
                short(check.at),
                told(sump.full)
            ))
            .hint("check the unit of what was added and the size of the sump"));
        }
    }
    Ok(())
}

/// Level before adding, and after, in cubic metres above the mark.
pub(super) fn levels(check: &Check) -> (f64, f64) {
    let added = check.added.si();
    match (check.changed, check.level) {
        (true, level) => (level.map_or(0.0, Volume::si), added),
        (false, Some(level)) => (level.si(), level.si() + added),
        (false, None) => (-added, 0.0),
    }
}

/// Fall of the level, with what fuel came in added to it.
fn used(a: &Check, b: &Check, sump: Sump) -> Volume {
    let fuel = |check: &Check| {
        if check.changed {
            0.0
        } else {
            check.fuel.map_or(0.0, Share::si)
        }
    };
    let came_in = match (a.fuel, b.fuel) {
        (None, None) => 0.0,
        _ => (b.fuel.map_or(0.0, Share::si) - fuel(a)).max(0.0) * sump.full.si(),
    };
    Volume::from_si(levels(a).1 - levels(b).0 + came_in)
}

fn caught(from: &Check, used: Volume, sump: Sump) -> Option<Caught> {
    let over = levels(from).1;
    let slack = 2.0 * sump.error.si();
    if over > slack.max(0.04 * sump.full.si()) {
        return Some(Caught::Overfilled(Volume::from_si(over)));
    }
    // Two readings err: their difference by root two.
    (used.si() < -slack * std::f64::consts::SQRT_2).then(|| Caught::Rose(-used))
}

/// Slope of the line, each piece with its own beginning.
fn fit(points: &[Point], error: f64) -> Option<Rate> {
    let pieces = points.last()?.2 + 1;
    let (mut across, mut along, mut lines, mut count) = (0.0, 0.0, 0, 0);
    let mut centred = Vec::new();
    for piece in 0..pieces {
        let own: Vec<&Point> = points.iter().filter(|p| p.2 == piece).collect();
        if own.len() < 2 {
            continue;
        }
        let mean =
            |of: fn(&Point) -> f64| own.iter().map(|p| of(p)).sum::<f64>() / own.len() as f64;
        let (x, y) = (mean(|p| p.0), mean(|p| p.1));
        lines += 1;
        count += own.len();
        for p in own {
            across += (p.0 - x) * (p.1 - y);
            along += (p.0 - x).powi(2);
            centred.push((p.0 - x, p.1 - y));
        }
    }
    if along <= 0.0 {
        return None;
    }
    let slope = across / along;
    let left: f64 = centred.iter().map(|(x, y)| (y - slope * x).powi(2)).sum();
    let spare = count as f64 - f64::from(lines) - 1.0;
    // Scatter beyond the dipstick's error widens the answer; less does not narrow it.
    let scatter = if spare > 0.0 { left / spare } else { 0.0 };
    let deviation = (scatter.max(error * error) / along).sqrt();
    Some(Rate {
        each: Volume::from_si(slope),
        deviation: Volume::from_si(deviation),
    })
}

/// The split that parts two rates most surely, if more than three deviations part them.
fn change(points: &[Point], error: f64) -> Option<Change> {
    let mut best: Option<(f64, Change)> = None;
    for cut in 2..points.len().saturating_sub(2) {
        let (early, late) = (&points[..=cut], &points[cut..]);
        let (Some(before), Some(after)) = (fit(early, error), fit(late, error)) else {
            continue;
        };
        let apart = (after.each.si() - before.each.si()).abs()
            / before.deviation.si().hypot(after.deviation.si());
        if apart > 3.0 && best.is_none_or(|(most, _)| apart > most) {
            let at = points[cut].0;
            best = Some((apart, Change { at, before, after }));
        }
    }
    best.map(|(_, change)| change)
}

fn unlike(intervals: &[Interval]) -> Option<(f64, f64)> {
    let long = |i: &Interval| i.to - i.from;
    let least = intervals.iter().map(long).fold(f64::INFINITY, f64::min);
    let most = intervals.iter().map(long).fold(0.0, f64::max);
    (intervals.len() > 1 && most > 2.5 * least).then_some((least, most))
}
