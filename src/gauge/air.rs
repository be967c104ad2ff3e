//! The air around the engine: standard atmosphere, altitude and barometer.
//!
//! Compression, leak-down and vacuum are read above or below it, so each is
//! brought back to sea level through it.

use super::quantity::{Absolute, Length, of};
use super::range::Range;
use super::units;
use crate::problem::Problem;

/// Standard pressure at sea level: 101 325 Pa (U.S. Standard Atmosphere, 1976).
pub const SEA_LEVEL: Absolute = Absolute::from_si(101_325.0);

/// Altitudes that engines and shops are found at.
pub const ALTITUDE: Range<of::Length> = Range::new("altitude", -450.0, 6000.0, units::METRE);

/// Pressures that a barometer on the ground can show.
pub const BAROMETER: Range<of::Absolute> = Range::new("barometer", 45.0, 110.0, units::KPAA);

/// Standard pressure at an altitude (geopotential), -450 to 6000 m.
///
/// `P = 101325 (1 - 0.0065 h / 288.15)^5.25588` pascal, h in metres: the first
/// layer of the U.S. Standard Atmosphere, 1976.
///
/// ```
/// use sootsayer::gauge::{air, Length, units};
/// // The same source's table: 12.23 psia at 5000 ft.
/// let there = air::pressure_at(Length::of(5000.0, units::FEET)).unwrap();
/// assert!((there.get(units::PSIA) - 12.23).abs() < 0.005);
/// ```
///
/// # Errors
/// An altitude outside the range.
pub fn pressure_at(altitude: Length) -> Result<Absolute, Problem> {
    let metres = ALTITUDE.check(altitude)?.si();
    Ok(SEA_LEVEL * (1.0 - 0.0065 * metres / 288.15).powf(5.25588))
}

/// The altitude at which the standard atmosphere has this pressure; the inverse
/// of [`pressure_at`].
///
/// # Errors
/// A pressure that no barometer on the ground shows.
pub fn altitude_of(pressure: Absolute) -> Result<Length, Problem> {
    let share = BAROMETER.check(pressure)? / SEA_LEVEL;
    Ok(Length::from_si(
        (1.0 - share.powf(1.0 / 5.25588)) * 288.15 / 0.0065,
    ))
}

/// The pressure around the engine: the barometer where one is read, else the
/// standard one at the altitude, else sea level.
///
/// # Errors
/// A barometer or an altitude outside its range.
pub fn surroundings(
    barometer: Option<Absolute>,
    altitude: Option<Length>,
) -> Result<Absolute, Problem> {
    match (barometer, altitude) {
        (Some(read), _) => BAROMETER.check(read),
        (None, Some(altitude)) => pressure_at(altitude),
        (None, None) => Ok(SEA_LEVEL),
    }
}
