//! Used-oil analysis brought to a rate: metal shed in the oil's life, with what
//! was lost and topped up counted in.
//!
//! A balance of the metal in the sump: wear adds it steadily, oil that is burned
//! or leaks takes its share with it, top-ups bring none. Over an oil life `t`
//! with `T` topped up in a sump of `V` at a steady level,
//! `C = w t / T (1 - exp(-T / V))`, so that `w = C V / t * x / (1 - exp(-x))`,
//! `x = T / V`; without top-ups `w = C V / t`.

use super::quantity::{Length, Time, Volume, of};
use super::range::Range;
use super::units;
use crate::problem::Problem;

/// Hours that an oil can have.
pub const LIFE: Range<of::Time> = Range::new("hours on the oil", 0.1, 5000.0, units::HOURS);
/// Distances that an oil can have.
pub const DISTANCE: Range<of::Length> =
    Range::new("distance on the oil", 1.0, 200_000.0, units::KM);
/// Sumps.
pub const SUMP: Range<of::Volume> = Range::new("sump", 0.2, 500.0, units::LITRE);
/// Oil added in an oil's life.
pub const ADDED: Range<of::Volume> = Range::new("oil topped up", 0.0, 500.0, units::LITRE);
/// Concentrations that a laboratory reports.
pub const PPM: Range<of::Share> = Range::new("concentration", 0.0, 50_000.0, units::PPM);

/// How much more metal was shed than the sample shows, for what was lost and
/// topped up: `x / (1 - exp(-x))`, `x` topped up over sump.
///
/// ```
/// use sootsayer::gauge::{Volume, oil_sample, units};
/// let litre = |v| Volume::of(v, units::LITRE);
/// assert!((oil_sample::dilution(litre(0.0), litre(4.0)).unwrap() - 1.0).abs() < 1e-12);
/// // One sump topped up within the oil's life: 1 / (1 - 1/e) of what the sample shows.
/// assert!((oil_sample::dilution(litre(4.0), litre(4.0)).unwrap() - 1.582).abs() < 0.001);
/// ```
///
/// # Errors
/// A sump or a top-up that cannot be.
pub fn dilution(topped_up: Volume, sump: Volume) -> Result<f64, Problem> {
    let x = ADDED.check(topped_up)? / SUMP.check(sump)?;
    Ok(if x < 1e-6 {
        1.0 + x / 2.0
    } else {
        x / -(-x).exp_m1()
    })
}

/// The oil's life, by the hours or by the distance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Life {
    /// Hours run.
    Hours(Time),
    /// Distance run.
    Distance(Length),
}

impl Life {
    /// This life over another of the same sort.
    ///
    /// # Errors
    /// Hours against a distance; a life of nothing.
    pub fn over(self, other: Life) -> Result<f64, Problem> {
        match (self, other) {
            (Life::Hours(a), Life::Hours(b)) => Ok(LIFE.check(a)? / LIFE.check(b)?),
            (Life::Distance(a), Life::Distance(b)) => Ok(DISTANCE.check(a)? / DISTANCE.check(b)?),
            _ => Err(Problem::new(
                "one oil life is in hours, the other in distance: they cannot be compared",
            )),
        }
    }
}

/// A metal's concentration as the same wear would bring it to over another oil
/// life without top-ups: `C (t0 / t) x / (1 - exp(-x))`.
///
/// # Errors
/// A concentration, life, sump or top-up outside its range.
pub fn at_interval(
    concentration: super::Share,
    life: Life,
    interval: Life,
    topped_up: Volume,
    sump: Volume,
) -> Result<super::Share, Problem> {
    let factor = interval.over(life)? * dilution(topped_up, sump)?;
    Ok(PPM.check(concentration)? * factor)
}

/// Metal shed, in ppm of the sump for each hour (or km).
///
/// # Errors
/// As [`at_interval`].
pub fn rate(
    concentration: super::Share,
    life: Life,
    topped_up: Volume,
    sump: Volume,
) -> Result<f64, Problem> {
    let of = match life {
        Life::Hours(time) => LIFE.check(time)?.get(units::HOURS),
        Life::Distance(length) => DISTANCE.check(length)?.get(units::KM),
    };
    Ok(PPM.check(concentration)?.get(units::PPM) * dilution(topped_up, sump)? / of)
}

/// Aluminium of a sample parted into what dust brings and what wear brings:
/// dust alone brings about a third of its silicon in aluminium.
///
/// # Errors
/// A concentration outside its range.
pub fn aluminium_from_dust(
    silicon: super::Share,
    aluminium: super::Share,
) -> Result<(super::Share, super::Share), Problem> {
    let dust = (PPM.check(silicon)? / 3.0).min(PPM.check(aluminium)?);
    Ok((dust, aluminium - dust))
}

/// A rate with its standard deviation, in ppm of the sump an hour (or km).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WearRate {
    /// The rate.
    pub value: f64,
    /// Its standard deviation.
    pub deviation: f64,
}

/// Two samples of one engine: how the rate of a metal changed, and whether by
/// more than laboratory and sampling err (more than two standard deviations).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Turn {
    /// Later rate over earlier.
    pub times: f64,
    /// Standard deviation of that.
    pub deviation: f64,
    /// It is a change.
    pub real: bool,
}

/// Compares two rates. The error of a laboratory's figure is taken as 1 ppm and
/// 10 % (judgement).
///
/// # Errors
/// An earlier rate of nothing.
pub fn turn(earlier: WearRate, later: WearRate) -> Result<Turn, Problem> {
    if earlier.value <= 0.0 {
        return Err(Problem::new(
            "the earlier sample has none of this metal: there is nothing to compare with",
        ));
    }
    let times = later.value / earlier.value;
    let deviation =
        (later.deviation / earlier.value).hypot(times * earlier.deviation / earlier.value);
    let apart = (later.value - earlier.value).abs() / later.deviation.hypot(earlier.deviation);
    Ok(Turn {
        times,
        deviation,
        real: apart > 2.0,
    })
}

/// A metal's rate from one sample, with the laboratory's error.
///
/// # Errors
/// As [`rate`].
pub fn wear_rate(
    concentration: super::Share,
    life: Life,
    topped_up: Volume,
    sump: Volume,
) -> Result<WearRate, Problem> {
    let ppm = concentration.get(units::PPM);
    let one = rate(super::Share::of(1.0, units::PPM), life, topped_up, sump)?;
    Ok(WearRate {
        value: PPM.check(concentration)?.get(units::PPM) * one,
        deviation: 1.0_f64.hypot(0.1 * ppm) * one,
    })
}
