//! How a job ended: what it turned out to be, what was done, and what came after.

use super::{Moment, Said};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What was found when the job was closed, and what followed.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Closed {
    /// Causes that were there, with their place: `rings-stuck@3`; empty when no fault was found.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub found: Vec<String>,
    /// How that was confirmed.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub confirmed: String,
    /// Repairs done: `top-end@3`, or in words.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub done: Vec<String>,
    /// What it cost, in the shop's currency.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cost: Option<f64>,
    /// Hours that it took.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hours: Option<f64>,
    /// What the estimate gave for that work: 10 %, middle and 90 %, in the unit of `cost`, else in hours.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub estimate: Option<[f64; 3]>,
    /// Readings after the repair: `compression@3=1150 kPa`, `oil-use=0.1 L/h`; no evidence of this job.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub retest: Vec<Said>,
}

/// How a job stands closed.
#[derive(Debug, Clone, PartialEq)]
pub struct Closure {
    /// The act that closed it, from 1.
    pub act: usize,
    /// When.
    pub time: Moment,
    /// What was written.
    pub it: Closed,
    /// When it came back, and with what.
    pub comebacks: Vec<(Moment, String)>,
    /// Readings after the repair, with those added later.
    pub retest: Vec<Said>,
}

/// One line of the bench's figures.
#[derive(Debug, Clone, PartialEq)]
pub struct BenchLine {
    /// The act that it was recorded in, from 1.
    pub act: usize,
    /// What was typed.
    pub said: Said,
    /// When it was taken.
    pub time: Moment,
    /// The instrument used.
    pub instrument: Option<String>,
}
