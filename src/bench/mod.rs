//! The opened engine measured: figures as typed, what is worked out of them,
//! how sure that is, whether it is inside its limit, and what follows.
//!
//! Plain physics and arithmetic on typed quantities. What is measured, with
//! which limits, is data (`rules/limits/bench.yaml`); the maker's own limits,
//! given in the job, go first.

pub mod check;
pub mod limit;
pub mod line;
pub mod remedy;
pub mod told;
pub mod uncertain;
pub mod worked;

use crate::engine::{Engine, Place};
use crate::measure::UnitSet;
use crate::rules::Rules;
pub use limit::Own;
pub use line::{Line, Sizes};
use std::collections::BTreeMap;
pub use worked::{Judged, Standing};

/// What was measured on one engine, the last of each kind and place.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Measured {
    /// The lines, by measurement and place.
    pub lines: BTreeMap<(String, Place), Line>,
    /// The maker's own limits and sizes.
    pub own: Own,
}

/// The bench of one engine: what the arithmetic needs.
#[derive(Debug, Clone, Copy)]
pub struct Bench<'a> {
    /// The knowledge.
    pub rules: &'a Rules,
    /// The engine.
    pub engine: &'a Engine,
    /// Units of bare numbers and of what is shown.
    pub units: UnitSet,
    /// Bore when new as the job says it; the family's usual one is no such figure.
    pub bore_new: Option<f64>,
}
