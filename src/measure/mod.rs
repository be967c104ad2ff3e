//! Quantities and their units: what stands before and after a figure.
//!
//! Typed quantities inside, the trade's units at the edge, figures as they are
//! written, and the physical range of an input. Below everything that reads or
//! shows a number; knows nothing of engines.

pub mod figure;
pub mod kind;
pub mod quantity;
pub mod range;
pub mod units;

pub use figure::{Figure, out_of_range, short};
pub use kind::{Kind, UnitSet};
pub use quantity::*;
pub use range::Range;
