//! The stages in which an engine comes apart, for the inspection sheet.

use super::Basis;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Something that stops the work: what is found, and how the plan changes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StopPoint {
    /// What is found.
    pub found: String,
    /// What is done then.
    pub then: String,
    /// Only on engines with these traits.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub on: Vec<String>,
}

/// One stage of taking an engine apart.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Stage {
    /// Id.
    pub stage: String,
    /// Title, at most 60 characters.
    pub title: String,
    /// Place in the order, from 1.
    pub order: u32,
    /// Accesses that are open once it is done.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub opens: Vec<String>,
    /// Cautions, said first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cautions: Vec<String>,
    /// What to photograph before it is moved.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub photograph: Vec<String>,
    /// What to mark.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub mark: Vec<String>,
    /// What to keep together, and how.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub keep: Vec<String>,
    /// What may surprise: left-hand threads, hidden bolts.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub beware: Vec<String>,
    /// What is never used again.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub never_reuse: Vec<String>,
    /// Measurements that can be taken now.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub measure: Vec<String>,
    /// Findings that can be seen now.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub look: Vec<String>,
    /// If this is found, the plan changes.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub stop: Vec<StopPoint>,
    /// Only on engines with these traits.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub on: Vec<String>,
    /// Never on engines with any of these traits.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub not_on: Vec<String>,
    /// Where it comes from.
    pub basis: Basis,
}
