//! The interactive bench: a job is open, words are given, and what they move is
//! shown.

pub mod search;
