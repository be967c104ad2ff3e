//! Blow-by beside what the engine breathes, and crankcase pressure.
//!
//! A rule of thumb puts a sound engine's blow-by at about 1.5 % of the air that
//! it draws in, near 1 cfm for each 50 hp at rated load.

use super::quantity::{Power, Share, Turning, Volume, VolumeRate, of};
use super::range::Range;
use super::units;
use crate::problem::Problem;

/// Flows at a breather.
pub const FLOW: Range<of::VolumeRate> = Range::new("blow-by", 0.0, 5000.0, units::L_PER_MIN);
/// Displacements.
pub const DISPLACEMENT: Range<of::Volume> = Range::new("displacement", 0.02, 100.0, units::LITRE);
/// Running speeds.
pub const SPEED: Range<of::Turning> = Range::new("speed", 200.0, 20_000.0, units::RPM);
/// Intake pressure over the air around.
pub const BOOST: Range<of::Number> = Range::new("boost ratio", 0.2, 5.0, units::COUNT);

/// Usual share of the air drawn in (rule of thumb).
pub const USUAL_SHARE: f64 = 0.015;

/// Air drawn in by a four-stroke: half its displacement each revolution, times
/// the filling of the cylinders, times the boost.
///
/// # Errors
/// A displacement, speed, filling or boost outside its range.
pub fn air_drawn(
    displacement: Volume,
    speed: Turning,
    filling: f64,
    boost: f64,
) -> Result<VolumeRate, Problem> {
    DISPLACEMENT.check(displacement)?;
    SPEED.check(speed)?;
    BOOST.check(super::Number::from_si(boost))?;
    Range::new("filling", 0.05, 1.3, units::COUNT).check(super::Number::from_si(filling))?;
    Ok(VolumeRate::from_si(
        displacement.si() * speed.si() / 2.0 * filling * boost,
    ))
}

/// Blow-by as a share of the air drawn in.
///
/// ```
/// use sootsayer::gauge::{Turning, Volume, VolumeRate, blow_by, units};
/// let air = blow_by::air_drawn(
///     Volume::of(2.0, units::LITRE), Turning::of(3000.0, units::RPM), 0.85, 1.0).unwrap();
/// let share = blow_by::share(VolumeRate::of(38.25, units::L_PER_MIN), air).unwrap();
/// assert!((share.get(units::PERCENT) - 1.5).abs() < 1e-9);
/// ```
///
/// # Errors
/// A flow outside its range.
pub fn share(flow: VolumeRate, air: VolumeRate) -> Result<Share, Problem> {
    Ok(Share::from_si(FLOW.check(flow)? / air))
}

/// Usual blow-by at rated load: 1 cfm for each 50 hp (rule of thumb).
///
/// # Errors
/// A power outside its range.
pub fn usual(power: Power) -> Result<VolumeRate, Problem> {
    let horses = super::oil_use::POWER.check(power)?.get(units::HP);
    Ok(VolumeRate::of(horses / 50.0, units::CFM))
}
