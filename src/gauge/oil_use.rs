//! Oil use as a rate: by the hour, by the distance, for work done, as a share
//! of the fuel; and against the published limits for the kind of engine.

use super::quantity::{Dimension, MassPerWork, Power, VolumePerLength, VolumeRate, of};
use super::range::Range;
use super::{Figure, units};
use crate::problem::Problem;

/// Density of engine oil: 7.4 lb to the US gallon, the figure of the aircraft
/// oil-use formula; 0.887 kg/L.
pub const DENSITY: f64 = 7.4 * 0.453_592_37 / (231.0 * 0.0254 * 0.0254 * 0.0254);

/// Rated powers.
pub const POWER: Range<of::Power> = Range::new("rated power", 0.3, 20_000.0, units::KW);
/// Load as a share of rated power.
pub const LOAD: Range<of::Number> = Range::new("load", 0.02, 1.1, units::COUNT);
/// Speeds of travel in km/h.
pub const TRAVEL: Range<of::Number> = Range::new("average speed in km/h", 2.0, 200.0, units::COUNT);

/// A rate of oil use in one of its three forms.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum OilUse {
    /// By the hour.
    Hour(VolumeRate),
    /// By the distance.
    Distance(VolumePerLength),
    /// For work done.
    Work(MassPerWork),
}

/// How the engine runs, for going from one form to another. What is assumed
/// carries its standard deviation, as a share.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Running {
    /// Rated power, where known.
    pub power: Option<Power>,
    /// Average load, as a share of rated power.
    pub load: f64,
    /// Standard deviation of the load, as a share of it.
    pub load_error: f64,
    /// Average speed of travel, m/s.
    pub speed: f64,
    /// Standard deviation of the speed, as a share of it.
    pub speed_error: f64,
}

impl Default for Running {
    /// Half load within a third, 50 km/h within 35 % (judgement).
    fn default() -> Self {
        Running {
            power: None,
            load: 0.5,
            load_error: 0.3,
            speed: 50.0 / 3.6,
            speed_error: 0.35,
        }
    }
}

impl OilUse {
    /// From a figure in any unit of oil use.
    ///
    /// # Errors
    /// A figure that is no rate of oil use, or is below 0.
    pub fn of(figure: Figure) -> Result<Self, Problem> {
        let si = figure.unit.to_si(figure.value);
        if !si.is_finite() {
            return Err(Problem::new(format!("oil use {figure} cannot be"))
                .hint("an engine that uses none is 0 by the hour or the distance"));
        }
        if si < 0.0 {
            return Err(Problem::new(format!("oil use {figure} is below 0"))
                .hint("a level that rises is fuel or water in the oil, not a rate of use"));
        }
        match figure.unit.dimension() {
            Dimension::VolumeRate => Ok(OilUse::Hour(VolumeRate::from_si(si))),
            Dimension::VolumePerLength => Ok(OilUse::Distance(VolumePerLength::from_si(si))),
            Dimension::MassPerWork => Ok(OilUse::Work(MassPerWork::from_si(si))),
            other => Err(Problem::new(format!(
                "oil use {figure} is {}, not a rate",
                other.words()
            ))),
        }
    }

    /// The SI figure, whatever the form.
    pub fn si(self) -> f64 {
        match self {
            OilUse::Hour(it) => it.si(),
            OilUse::Distance(it) => it.si(),
            OilUse::Work(it) => it.si(),
        }
    }

    /// In the form that a dimension names, with the standard deviation (a share)
    /// that the way there adds.
    ///
    /// ```
    /// use sootsayer::gauge::{Dimension, Figure, Power, oil_use::{OilUse, Running}, units};
    /// // 0.006 lb/hp-h at a rated 160 hp is 0.52 US quarts an hour.
    /// let limit = OilUse::of(Figure::new(0.006, units::LB_PER_HPH)).unwrap();
    /// let rated = Running { power: Some(Power::of(160.0, units::HP)), load: 1.0, ..Running::default() };
    /// let (hourly, _) = limit.to(Dimension::VolumeRate, &rated).unwrap();
    /// assert!((units_of(hourly) - 0.519).abs() < 0.001);
    /// fn units_of(rate: OilUse) -> f64 {
    ///     match rate { OilUse::Hour(it) => it.get(units::QT_PER_H), _ => unreachable!() }
    /// }
    /// ```
    ///
    /// # Errors
    /// The rated power is needed and not known; a load or speed that cannot be.
    pub fn to(self, form: Dimension, running: &Running) -> Result<(OilUse, f64), Problem> {
        let hourly = |running: &Running| -> Result<(f64, f64), Problem> {
            Ok(match self {
                OilUse::Hour(it) => (it.si(), 0.0),
                OilUse::Distance(it) => (it.si() * checked_speed(running)?, running.speed_error),
                OilUse::Work(it) => (it.si() * work(running)? / DENSITY, running.load_error),
            })
        };
        match (self, form) {
            (OilUse::Hour(_), Dimension::VolumeRate)
            | (OilUse::Distance(_), Dimension::VolumePerLength)
            | (OilUse::Work(_), Dimension::MassPerWork) => Ok((self, 0.0)),
            (_, Dimension::VolumeRate) => {
                let (rate, error) = hourly(running)?;
                Ok((OilUse::Hour(VolumeRate::from_si(rate)), error))
            }
            (_, Dimension::VolumePerLength) => {
                let (rate, error) = hourly(running)?;
                let each = rate / checked_speed(running)?;
                let error = error.hypot(running.speed_error);
                Ok((OilUse::Distance(VolumePerLength::from_si(each)), error))
            }
            (_, Dimension::MassPerWork) => {
                let (rate, error) = hourly(running)?;
                let each = rate * DENSITY / work(running)?;
                let error = error.hypot(running.load_error);
                Ok((OilUse::Work(MassPerWork::from_si(each)), error))
            }
            _ => Err(Problem::new(format!(
                "oil use cannot be told as {}",
                form.words()
            ))),
        }
    }
}

/// Average power, W.
fn work(running: &Running) -> Result<f64, Problem> {
    let power = running.power.ok_or_else(|| {
        Problem::new("the rated power is needed to bring this oil use to the limit's form")
            .hint("give the engine's rated power, as in `power_kw: 75`")
    })?;
    LOAD.check(super::Number::from_si(running.load))?;
    Ok(POWER.check(power)?.si() * running.load)
}

fn checked_speed(running: &Running) -> Result<f64, Problem> {
    TRAVEL.check(super::Number::from_si(running.speed * 3.6))?;
    Ok(running.speed)
}

/// Oil used as a share of the fuel burned, both in volume.
///
/// # Errors
/// A rate below 0, no fuel.
pub fn share_of_fuel(oil: super::Volume, fuel: super::Volume) -> Result<super::Share, Problem> {
    Range::new("fuel", 0.001, 1e7, units::LITRE).check(fuel)?;
    Range::new("oil", 0.0, 1e5, units::LITRE).check(oil)?;
    Ok(super::Share::from_si(oil / fuel))
}
