//! What the shop's closed jobs teach: how often the ranking was right, whether
//! its probabilities can be believed, which tests earned their time, how the
//! estimates fell out, and what the base rates should be here.
//!
//! Each closed job is ranked again from what was known before the engine was
//! opened, and held against what it turned out to be. Jobs are independent of
//! one another, so they are gone through on every core; nothing depends on
//! their order.

pub mod case;
pub mod propose;
pub mod read;
pub mod score;
pub mod taught;

pub use case::Case;
pub use read::{Document, documents};
pub use taught::{Taught, taught};
