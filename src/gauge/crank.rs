//! Slider-crank geometry: how much of the stroke is left when the intake shuts.

use super::quantity::{Angle, of};
use super::range::Range;
use super::units;
use crate::problem::Problem;

/// Rod between centres over stroke.
pub const ROD_RATIO: Range<of::Number> = Range::new("rod to stroke", 1.05, 4.0, units::COUNT);
/// Intake valve or port closing after bottom dead centre.
pub const CLOSES: Range<of::Angle> = Range::new(
    "intake closing after bottom dead centre",
    0.0,
    110.0,
    units::DEGREE,
);
/// Geometric compression ratio.
pub const RATIO: Range<of::Number> = Range::new("compression ratio", 3.0, 30.0, units::COUNT);

/// Piston travel down from top dead centre as a share of the stroke, at a crank
/// angle after top dead centre; `rod` is rod length over stroke.
///
/// `x = r (1 - cos t) + L - sqrt(L^2 - r^2 sin^2 t)`, r half the stroke:
/// standard slider-crank kinematics, without offset.
pub fn travel(angle: Angle, rod: f64) -> f64 {
    let (sin, cos) = angle.si().to_radians().sin_cos();
    let side = (rod * rod - 0.25 * sin * sin).sqrt();
    0.5 * (1.0 - cos) + rod - side
}

/// Share of the stroke that is left when the intake valve (or, on a
/// two-stroke, the exhaust port) shuts, `closes` after bottom dead centre.
///
/// # Errors
/// An angle or a rod that cannot be.
pub fn stroke_left(closes: Angle, rod: f64) -> Result<f64, Problem> {
    CLOSES.check(closes)?;
    ROD_RATIO.check(super::Number::from_si(rod))?;
    Ok(travel(Angle::from_si(180.0 + closes.si()), rod))
}

/// Compression ratio from there: `1 + stroke_left (CR - 1)`.
///
/// ```
/// use sootsayer::gauge::{Angle, crank, units};
/// // Stroke 3.48 in, rod 5.7 in, intake shuts 60 degrees after bottom dead centre, 10:1.
/// let ratio = crank::effective_ratio(10.0, Angle::of(60.0, units::DEGREE), 5.7 / 3.48).unwrap();
/// assert!((ratio - 8.274).abs() < 0.001);
/// ```
///
/// # Errors
/// A ratio, an angle or a rod that cannot be.
pub fn effective_ratio(ratio: f64, closes: Angle, rod: f64) -> Result<f64, Problem> {
    RATIO.check(super::Number::from_si(ratio))?;
    Ok(1.0 + stroke_left(closes, rod)? * (ratio - 1.0))
}
