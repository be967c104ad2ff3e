//! Oil pressure against speed: the running rule of thumb, and what two readings
//! say together.

use super::quantity::{Pressure, Turning, of};
use super::range::Range;
use super::units;
use crate::problem::Problem;

/// Oil pressures that a gauge can show.
pub const PRESSURE: Range<of::Pressure> = Range::new("oil pressure", 0.0, 1500.0, units::KPA);

/// The rule of thumb, 10 psi for each 1000 rpm (common practice): a guide at
/// running speeds, not an idle limit; many sound engines idle far below it.
///
/// # Errors
/// A speed that no engine runs at.
pub fn guide(speed: Turning) -> Result<Pressure, Problem> {
    let thousands = super::blow_by::SPEED.check(speed)?.get(units::RPM) / 1000.0;
    Ok(Pressure::of(10.0 * thousands, units::PSI))
}

/// What the pressure does from idle to speed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// Climbs with speed and holds.
    Climbs,
    /// Low at idle, climbs well: clearances are wide.
    LowAtIdle,
    /// Stays flat or falls as the speed rises: the pump is starved or the relief valve is open.
    Falls,
    /// Low throughout.
    LowThroughout,
}

impl Shape {
    /// In words.
    pub fn says(self) -> &'static str {
        match self {
            Shape::Climbs => "climbs with speed and holds, as it should",
            Shape::LowAtIdle => {
                "low at idle and climbs with speed: wide bearing clearances, thin or diluted oil"
            }
            Shape::Falls => {
                "does not climb with speed: starved pick-up, foaming, or a relief valve held open"
            }
            Shape::LowThroughout => {
                "low throughout: worn pump or bearings, thin oil, a false gauge"
            }
        }
    }
}

/// Idle and running pressure, hot, looked at together.
///
/// Low at idle is below 70 kPa, low at speed below the rule of thumb's 10 psi
/// for each 1000 rpm, capped at 300 kPa where relief valves open (judgement).
///
/// # Errors
/// A pressure or a speed outside its range.
pub fn shape(idle: Pressure, fast: Pressure, speed: Turning) -> Result<Shape, Problem> {
    PRESSURE.check(idle)?;
    PRESSURE.check(fast)?;
    let wanted = guide(speed)?.min(Pressure::of(300.0, units::KPA));
    let low_idle = idle.get(units::KPA) < 70.0;
    Ok(match (low_idle, fast < wanted) {
        (false, false) => Shape::Climbs,
        (true, false) => Shape::LowAtIdle,
        (true, true) => Shape::LowThroughout,
        (false, true) => Shape::Falls,
    })
}
