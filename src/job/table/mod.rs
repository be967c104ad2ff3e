//! Readings as CSV tables, in and out: one row for each cylinder and one for the
//! engine with a column for each reading; and the log of the oil, one row for
//! each check.

pub mod bench;
mod cells;
mod oil;
mod read;
mod write;

pub use oil::{oil_checks, oil_log, oil_template};
pub use read::read;
pub use write::{template, written};
