//! The physics of each instrument: plain functions on typed quantities.
//!
//! Raw readings are what a job stores, with their unit and instrument. Here
//! they are brought to reference conditions, and what a sound engine would
//! read is worked out. In the flow this stands between the job's readings and
//! the evidence; it knows the rules' readings and no network.

pub mod air;
pub mod compression;
pub mod crank;
pub mod figure;
pub mod kind;
pub mod leakdown;
pub mod normal;
pub mod nozzle;
pub mod oil_sample;
pub mod oil_use;
pub mod quantity;
pub mod range;
pub mod reduce;
pub mod reference;
pub mod shop;
pub mod units;
pub mod vacuum;

pub use figure::{Figure, out_of_range, short};
pub use kind::{Kind, UnitSet};
pub use quantity::*;
pub use range::Range;
