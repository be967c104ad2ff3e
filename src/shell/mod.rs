//! The interactive bench: a job is open, words are given, and what they move is
//! shown.

pub mod complete;
pub mod recorded;
pub mod search;
pub mod split;
pub mod vocabulary;
