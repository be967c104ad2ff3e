//! The physical range of an input: outside it, an error that names the value,
//! the range and the unit.

use super::figure::{Figure, short};
use super::quantity::{Of, Quantity, UnitOf};
use super::units::Unit;
use crate::problem::Problem;

/// What an input is called, and the range that it can physically have.
///
/// ```
/// use sootsayer::measure::{Length, Range, units};
/// let bore = Range::new("bore", 10.0, 1000.0, units::MM);
/// let error = bore.check(Length::of(0.1, units::INCHES)).unwrap_err();
/// assert_eq!(error.what, "bore 2.54 mm is outside 10 to 1000 mm");
/// ```
#[derive(Clone, Copy)]
pub struct Range<D> {
    /// What the input is called.
    pub what: &'static str,
    /// Least, in `unit`.
    pub low: f64,
    /// Most, in `unit`.
    pub high: f64,
    /// The unit of the bounds.
    pub unit: UnitOf<D>,
}

impl<D: Of> Range<D> {
    /// A range in a unit.
    pub const fn new(what: &'static str, low: f64, high: f64, unit: UnitOf<D>) -> Self {
        Range {
            what,
            low,
            high,
            unit,
        }
    }

    /// The quantity again, if it is inside.
    ///
    /// # Errors
    /// Names the value, the range and the unit.
    pub fn check(&self, quantity: Quantity<D>) -> Result<Quantity<D>, Problem> {
        self.check_in(quantity, self.unit.into())
    }

    /// As [`check`](Self::check), saying the figures in the unit that the user wrote.
    ///
    /// # Errors
    /// Names the value, the range and the unit.
    pub fn check_in(&self, quantity: Quantity<D>, unit: Unit) -> Result<Quantity<D>, Problem> {
        let value = quantity.get(self.unit);
        let spare = 1e-9 * self.low.abs().max(self.high.abs());
        if value >= self.low - spare && value <= self.high + spare {
            return Ok(quantity);
        }
        let own = Unit::from(self.unit);
        let shown = |v: f64| match unit.dimension() == own.dimension() {
            true => unit.of_si(own.to_si(v)),
            false => v,
        };
        let unit = if unit.dimension() == own.dimension() {
            unit
        } else {
            own
        };
        let (a, b) = (shown(self.low), shown(self.high));
        let problem = Problem::new(format!(
            "{} {} is outside {} to {}",
            self.what,
            Figure::new(rounded(shown(value)), unit),
            short(a.min(b)),
            Figure::new(short(a.max(b)).parse().unwrap_or(a.max(b)), unit)
        ));
        Err(match value < 0.0 && self.low >= 0.0 {
            true => problem.hint("it is written as a positive figure"),
            false => problem.hint("check the figure and its unit"),
        })
    }
}

/// To six significant figures, so that a converted figure shows no noise.
pub(crate) fn rounded(value: f64) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return value;
    }
    let scale = 10f64.powi(5 - value.abs().log10().floor() as i32);
    (value * scale).round() / scale
}
