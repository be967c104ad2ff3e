//! The checks of the oil in a job: the rate that they come to, whether it
//! jumped, and what the level itself tells.

use super::{Bench, Reduced, said};
use crate::engine::Place;
use crate::gauge::oil_log::OilCheck;
use crate::gauge::oil_trend::{Check, Rate, Sump, Trend, levels, trend};
use crate::gauge::oil_use::OilUse;
use crate::gauge::{Figure, UnitSet, Volume, VolumePerLength, VolumeRate, short, units};
use crate::measure::units::Unit;
use crate::problem::Problem;
use crate::rules::file::{By, Reading};

/// A sump where neither job nor family gives one (judgement).
const USUAL_SUMP: f64 = 4.0;

/// A check of the oil that stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Logged<'a> {
    /// Its index in the job's list of readings.
    pub index: usize,
    /// The reading, as the rules describe it: what a dipstick errs.
    pub reading: &'a Reading,
    /// As typed.
    pub check: OilCheck,
}

/// The log in order, and the trend in it.
#[derive(Debug, Clone, PartialEq)]
pub struct Log {
    /// Checks in the order of the meter.
    pub checks: Vec<Check>,
    /// The readings that they are, as indices into the job's.
    pub from: Vec<usize>,
    /// Meters are kilometres, not hours.
    pub by_distance: bool,
    /// Units that the checks are written in.
    pub set: UnitSet,
    /// The sump and its dipstick.
    pub sump: Sump,
    /// The trend.
    pub trend: Trend,
}

impl Log {
    /// The log of a job; none when it has fewer than two checks.
    ///
    /// # Errors
    /// What cannot be brought into one line: see [`trend`].
    pub fn of(bench: &Bench, problems: &mut Vec<Problem>) -> Option<Log> {
        let (own, by_distance) = one_meter(bench, problems);
        let mut own = own;
        own.sort_by(|a, b| a.1.at.total_cmp(&b.1.at).then(a.0.index.cmp(&b.0.index)));
        let mut kept: Vec<(&Logged, Check)> = Vec::new();
        for it in own {
            match kept.last_mut() {
                Some(last) if last.1.at == it.1.at => {
                    let meter = it.0.check.meter;
                    problems.push(
                        Problem::new(format!("two checks of the oil at {meter}"))
                            .hint("the later one is used; retract the one that is wrong"),
                    );
                    *last = it;
                }
                _ => kept.push(it),
            }
        }
        let reading = kept.first()?.0.reading;
        let full = bench.engine.dimensions.oil_litres.unwrap_or(USUAL_SUMP);
        let full = Volume::of(full, units::LITRE);
        let usual = (full * reading.error_share).max(Volume::of(reading.error, units::LITRE));
        let own = bench.shop.instrument(None, &reading.reading);
        let own = own.and_then(|it| it.repeatability).and_then(|figure| {
            let unit = figure.unit.typed()?;
            Some(Volume::of(figure.value, unit))
        });
        let sump = Sump {
            full,
            error: own.unwrap_or(usual),
        };
        let set = kept.iter().rev().find_map(|it| it.0.check.set());
        let from = kept.iter().map(|it| it.0.index).collect();
        let checks: Vec<Check> = kept.into_iter().map(|it| it.1).collect();
        if checks.len() < 2 {
            problems.push(
                Problem::new("one check of the oil gives no rate")
                    .hint("record the next one as well, with its meter"),
            );
            return None;
        }
        match trend(&checks, sump) {
            Ok(trend) => Some(Log {
                checks,
                from,
                by_distance,
                set: set.unwrap_or_default(),
                sump,
                trend,
            }),
            Err(problem) => {
                problems.push(Problem {
                    what: format!("checks of the oil: {}", problem.what),
                    ..problem
                });
                None
            }
        }
    }

    /// A meter reading in words.
    pub fn meter(&self, at: f64) -> String {
        match self.by_distance {
            true => {
                let unit = match self.set {
                    UnitSet::Metric => units::KM,
                    UnitSet::Us => units::MILES,
                };
                let value = Figure::new(at, units::KM).value_in(unit).unwrap_or(at);
                format!("{} {}", (value * 10.0).round() / 10.0, Unit::from(unit))
            }
            false => Figure::new(at, units::HOURS).to_string(),
        }
    }

    /// A rate as a quantity; below nothing is nothing.
    pub fn rate(&self, rate: &Rate) -> OilUse {
        let each = rate.each.si().max(0.0);
        match self.by_distance {
            true => OilUse::Distance(VolumePerLength::from_si(each / 1000.0)),
            false => OilUse::Hour(VolumeRate::from_si(each / 3600.0)),
        }
    }

    /// A rate in words, with the range that holds nine times in ten.
    pub fn says(&self, rate: &Rate) -> String {
        let (each, unit) = match (self.by_distance, self.set) {
            (false, UnitSet::Metric) => (1.0 / units_of(units::LITRE), Unit::from(units::L_PER_H)),
            (false, UnitSet::Us) => (1.0 / units_of(units::US_QT), units::QT_PER_H.into()),
            (true, UnitSet::Metric) => {
                (1000.0 / units_of(units::LITRE), units::L_PER_1000KM.into())
            }
            (true, UnitSet::Us) => (
                1609.344 / units_of(units::US_QT),
                units::QT_PER_1000MI.into(),
            ),
        };
        let (value, within) = (rate.each.si() * each, rate.deviation.si() * each * 1.645);
        format!("{} {unit} within {}", short(value), short(within))
    }

    /// The rate as it is now: after a change, if there was one.
    pub fn now(&self) -> Option<Rate> {
        let after = self.trend.change.map(|change| change.after);
        after.or(self.trend.rate)
    }
}

/// Cubic metres in a unit of volume.
fn units_of(unit: crate::measure::UnitOf<crate::measure::of::Volume>) -> f64 {
    Volume::of(1.0, unit).si()
}

/// The checks of one kind of meter: hours or distance, whichever more have.
fn one_meter<'b, 'a>(
    bench: &'b Bench<'a>,
    problems: &mut Vec<Problem>,
) -> (Vec<(&'b Logged<'a>, Check)>, bool) {
    let far = bench.log.iter().filter(|it| it.check.by_distance()).count();
    let by_distance = 2 * far > bench.log.len();
    let kept: Vec<_> = (bench.log.iter())
        .filter(|it| it.check.by_distance() == by_distance)
        .map(|it| (it, it.check.check()))
        .collect();
    let lost = bench.log.len() - kept.len();
    if lost > 0 {
        let (used, left) = match by_distance {
            true => ("distance", "hours"),
            false => ("hours", "distance"),
        };
        problems.push(
            Problem::new(format!("some checks of the oil are in hours, some in distance: those in {left} are not used"))
                .hint(format!("record them again by the meter in {used}")),
        );
    }
    (kept, by_distance)
}

/// What the log tells of a finding measured by the checks themselves.
pub(super) fn reduced(by: By, bench: &Bench, problems: &mut Vec<Problem>) -> Vec<Reduced> {
    let Some(log) = Log::of(bench, problems) else {
        return vec![];
    };
    let found = match by {
        By::JumpOfRate => jump(&log),
        By::LevelAboveMark => level(&log),
        By::RiseOfLevel => rise(&log),
        _ => None,
    };
    found.into_iter().collect()
}

/// The rate over the limit's unit, for `share-of-limit`, and what was left out of it.
pub(super) fn rate(bench: &Bench, problems: &mut Vec<Problem>) -> Option<(Log, Rate)> {
    let log = Log::of(bench, problems)?;
    for interval in &log.trend.intervals {
        if let Some(caught) = interval.caught {
            problems.push(Problem::new(format!(
                "checks of the oil, {} to {}: {}",
                log.meter(interval.from),
                log.meter(interval.to),
                caught.says(log.set)
            )));
        }
    }
    let Some(now) = log.now() else {
        problems.push(
            Problem::new("the checks of the oil give no rate: no interval counts")
                .hint("record the next checks, with the level found at each"),
        );
        return None;
    };
    Some((log, now))
}

fn of_log(log: &Log, value: f64, deviation: f64, how: String) -> Reduced {
    Reduced {
        place: Place::Engine,
        value,
        deviation,
        from: log.from.clone(),
        how,
    }
}

/// Later rate over the sum of both, at the likeliest jump.
fn jump(log: &Log) -> Option<Reduced> {
    let jump = log.trend.jump?;
    let how = match &log.trend.change {
        Some(change) => format!(
            "{} before {}, {} after",
            log.says(&change.before),
            log.meter(change.at),
            log.says(&change.after)
        ),
        None => "no change of the rate beyond the dipstick's error".into(),
    };
    Some(of_log(log, jump.share, jump.deviation, how))
}

/// How the oil stood at the last check, before or after adding, whichever is
/// farther from the mark; percent of the sump above it. Nothing where the
/// dipstick was not read.
fn level(log: &Log) -> Option<Reduced> {
    let last = log.checks.last()?;
    let (found, left) = levels(last);
    last.level.or((left > 0.0).then_some(last.added))?;
    let above = if left > log.sump.error.si() {
        left
    } else {
        found
    };
    let share = 100.0 * above / log.sump.full.si();
    let error = 100.0 * log.sump.error.si() / log.sump.full.si();
    let side = if share < 0.0 { "below" } else { "above" };
    let how = format!("{} % of the sump {side} the mark", said(share.abs()));
    Some(of_log(log, share, error, how))
}

/// The greatest rise of the level with none added, percent of the sump.
fn rise(log: &Log) -> Option<Reduced> {
    let open = |interval: &&crate::gauge::oil_trend::Interval| interval.read;
    let least = (log.trend.intervals.iter())
        .filter(open)
        .map(|interval| interval.used.si())
        .fold(f64::INFINITY, f64::min);
    if !least.is_finite() {
        return None;
    }
    let share = -100.0 * least / log.sump.full.si();
    let error = 100.0 * std::f64::consts::SQRT_2 * log.sump.error.si() / log.sump.full.si();
    let how = match share > 0.0 {
        true => format!(
            "the level rose by {} % of the sump with none added",
            said(share)
        ),
        false => "the level never rose by itself".into(),
    };
    Some(of_log(log, share, error, how))
}
