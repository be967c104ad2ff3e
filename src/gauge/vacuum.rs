//! Manifold vacuum and the altitude.
//!
//! At a given idle the manifold's absolute pressure hardly changes with height,
//! the air around does: so the gauge, which reads the difference, falls by what
//! the barometer falls, the trade's "1 inHg for each 1000 ft".

use super::air::SEA_LEVEL;
use super::quantity::{Absolute, Pressure, of};
use super::range::Range;
use super::units;
use crate::problem::Problem;

/// Manifold vacuums that a gauge can show.
pub const VACUUM: Range<of::Pressure> = Range::new("vacuum", 0.0, 101.0, units::KPA);

/// What the gauge would read at sea level: `vacuum + (P0 - Pa)`.
///
/// ```
/// use sootsayer::gauge::{Length, Pressure, air, units, vacuum};
/// let there = air::pressure_at(Length::of(1000.0, units::FEET)).unwrap();
/// let read = Pressure::of(18.0, units::INHG);
/// let corrected = vacuum::at_sea_level(read, there).unwrap();
/// // The rule of thumb: 1 inHg for 1000 ft.
/// assert!((corrected.get(units::INHG) - 19.0).abs() < 0.1);
/// ```
///
/// # Errors
/// A vacuum deeper than the air around allows, or outside the gauge's range.
pub fn at_sea_level(vacuum: Pressure, around: Absolute) -> Result<Pressure, Problem> {
    super::air::BAROMETER.check(around)?;
    VACUUM.check(vacuum)?;
    if vacuum.si() > around.si() {
        return Err(Problem::new(format!(
            "vacuum {} kPa is deeper than the {} kPa of the air around",
            super::short(vacuum.get(units::KPA)),
            super::short(around.get(units::KPAA))
        ))
        .hint("check the unit, the altitude and the barometer"));
    }
    Ok(vacuum + SEA_LEVEL.over(around))
}

/// Absolute pressure in the manifold.
///
/// # Errors
/// As [`at_sea_level`].
pub fn manifold(vacuum: Pressure, around: Absolute) -> Result<Absolute, Problem> {
    at_sea_level(vacuum, around)?;
    Ok(Absolute::from_si(around.si() - vacuum.si()))
}
