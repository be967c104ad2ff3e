//! Readings as a CSV table: one row for each cylinder and one for the engine,
//! one column for each reading, in and out.

mod read;
mod write;

pub use read::read;
pub use write::{template, written};
