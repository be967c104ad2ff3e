//! The knowledge: what the YAML in `rules/` says, loaded and checked.

pub mod file;
