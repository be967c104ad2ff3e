//! What the YAML says, one struct per kind of entry.
//!
//! These are the words a mechanic reads in `rules/`; serde reads them, nothing
//! is computed here. Unknown keys are refused, so that a slip of the pen is
//! named and not ignored.

mod bench;
mod by_engine;
mod cause;
mod engine;
mod finding;
mod number;
mod repair;
mod sign;
mod source;
mod stage;
mod test;

pub use super::chart::{Condition, Look};
pub use bench::*;
pub use by_engine::*;
pub use cause::*;
pub use engine::*;
pub use finding::*;
pub use number::*;
pub use repair::*;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
pub use sign::*;
pub use source::*;
pub use stage::*;
use std::collections::BTreeMap;
pub use test::*;

/// One file of `rules/`: any of the lists below, under one title.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct RuleFile {
    /// System (causes) or topic (findings) that every entry of the file belongs to: an id.
    pub system: String,
    /// The system or topic in words.
    pub title: String,
    /// Causes.
    pub causes: Vec<Cause>,
    /// Findings.
    pub findings: Vec<Finding>,
    /// Vague and summary words.
    pub signs: Vec<Sign>,
    /// Raw readings.
    pub readings: Vec<Reading>,
    /// Tests.
    pub tests: Vec<Test>,
    /// Set-ups.
    pub set_ups: Vec<SetUp>,
    /// Equipment.
    pub equipment: Vec<Equipment>,
    /// Repairs.
    pub repairs: Vec<Repair>,
    /// Accesses.
    pub accesses: Vec<Access>,
    /// Parts.
    pub parts: Vec<Part>,
    /// Families.
    pub families: Vec<Family>,
    /// History facts.
    pub facts: Vec<Fact>,
    /// Axes of traits.
    pub axes: Vec<Axis>,
    /// Published limits.
    pub limits: Vec<Limit>,
    /// Measurements of the opened engine with their limits.
    pub measures: Vec<Measure>,
    /// Stages of taking it apart.
    pub stages: Vec<Stage>,
    /// Sources.
    pub sources: Vec<Source>,
    /// What to look at on a spark plug.
    pub looks: Vec<Look>,
    /// Conditions of a spark plug.
    pub conditions: Vec<Condition>,
    /// Chance words: word -> probability.
    pub words: BTreeMap<String, f64>,
}
