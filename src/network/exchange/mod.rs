//! Networks as files that other programs read and write.
//!
//! Both formats know tables only, so a network first becomes [`Tables`]: gates
//! are written out, in full where they are small, else as an exact chain of
//! helper variables. [`bif`] is for reading by people, [`uai`] for other
//! solvers; both are read back, malformed ones with the place of the fault.

pub mod bif;
mod fault;
mod gates;
mod tables;
pub mod uai;

pub use fault::{Fault, MOST_NUMBERS, MOST_VARIABLES};
pub use gates::{FULL_TABLE, LINK_TABLE};
pub use tables::{Node, Solvable, Tables, certain};
