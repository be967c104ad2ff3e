//! Cooling-system pressure lost over time, and the boiling point under pressure.

use super::quantity::{Absolute, Pressure, Temperature, Time, of};
use super::range::Range;
use super::units;
use crate::problem::Problem;

/// Pressures put on a cooling system. One maker never allows more than 138 kPa (20 psi).
pub const PRESSURE: Range<of::Pressure> = Range::new("test pressure", 10.0, 200.0, units::KPA);
/// How long it is watched.
pub const TIME: Range<of::Time> = Range::new("time", 0.25, 60.0, units::MINUTES);

/// The test that limits are told for: 104 kPa (15 psi) for two minutes, failed
/// by a fall of more than 2 psi.
pub const TEST_PRESSURE: Pressure = Pressure::from_si(104_000.0);
/// Two minutes.
pub const TEST_TIME: Time = Time::from_si(120.0);
/// 2 psi.
pub const TEST_MOST: Pressure = Pressure::from_si(2.0 * 6_894.757_293_168_361);

/// A fall read from another pressure or over another time, as it would be in
/// the test that limits are told for. The leak empties the system so that the
/// pressure falls by the same share in the same time: `P (1 - (p1/p0)^(2 min / t))`.
///
/// ```
/// use sootsayer::gauge::{Pressure, Time, coolant, units};
/// let (from, to) = (Pressure::of(104.0, units::KPA), Pressure::of(90.0, units::KPA));
/// let same = coolant::as_tested(from, to, Time::of(2.0, units::MINUTES)).unwrap();
/// assert!((same.get(units::KPA) - 14.0).abs() < 1e-9);
/// ```
///
/// # Errors
/// A pressure or time outside its range, a pressure that rises.
pub fn as_tested(from: Pressure, to: Pressure, time: Time) -> Result<Pressure, Problem> {
    PRESSURE.check(from)?;
    TIME.check(time)?;
    Range::new("pressure after", 0.0, 200.0, units::KPA).check(to)?;
    if to > from {
        return Err(Problem::new(format!(
            "the pressure rises from {} to {} kPa",
            super::short(from.get(units::KPA)),
            super::short(to.get(units::KPA))
        ))
        .hint("a rise on a cold engine is heat or combustion gas: record `coolant-pressure-builds-cold`"));
    }
    let share = (to / from).max(1e-6).powf(TEST_TIME / time);
    Ok(TEST_PRESSURE * (1.0 - share))
}

/// Boiling point of water under a gauge pressure, by the Antoine equation
/// (constants for 99 to 374 C: A 8.14019, B 1810.94, C 244.485, mmHg and C).
///
/// ```
/// use sootsayer::gauge::{Pressure, air, coolant, units};
/// // Rule of thumb: a 15 psi cap lifts water from 212 to about 250 F.
/// let hot = coolant::boils_at(Pressure::of(15.0, units::PSI), air::SEA_LEVEL).unwrap();
/// assert!((hot.get(units::FAHRENHEIT) - 250.0).abs() < 1.0);
/// ```
///
/// # Errors
/// A pressure that no cap holds.
pub fn boils_at(cap: Pressure, around: Absolute) -> Result<Temperature, Problem> {
    Range::new("cap pressure", 0.0, 300.0, units::KPA).check(cap)?;
    let mercury = super::air::BAROMETER
        .check(around)?
        .plus(cap)
        .get(units::MMHGA);
    let celsius = 1810.94 / (8.14019 - mercury.log10()) - 244.485;
    Ok(Temperature::of(celsius, units::CELSIUS))
}
