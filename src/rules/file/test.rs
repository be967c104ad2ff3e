//! Tests with their set-ups, equipment and minutes.

use super::{Basis, PartUse, Scope};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Minutes: fixed, and for each cylinder done.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Minutes {
    /// Once.
    pub fixed: f64,
    /// For each cylinder (or pair, or plug) done.
    #[serde(default)]
    pub each: f64,
}

/// A state of the engine that a test needs: plugs out, engine warm.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SetUp {
    /// Id.
    pub set_up: String,
    /// Title.
    pub title: String,
    /// Minutes to get there.
    pub minutes: Minutes,
    /// Reached only by taking the engine apart: what it allows is not offered before it is in place.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub opened: bool,
    /// Set-ups that it ends.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub ends: Vec<String>,
}

/// A tool that a shop has or has not.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Equipment {
    /// Id.
    pub equipment: String,
    /// Title.
    pub title: String,
}

/// A procedure that yields findings.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Test {
    /// Id.
    pub test: String,
    /// Title, at most 60 characters.
    pub title: String,
    /// What it is for, in one or two sentences.
    pub says: String,
    /// `cylinder` or `plug` when it can be done on one; then it is offered on each and on all.
    #[serde(default)]
    pub scope: Scope,
    /// Minutes from its set-up.
    pub minutes: Minutes,
    /// Set-ups that it needs first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub set_up: Vec<String>,
    /// Equipment that it needs.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub equipment: Vec<String>,
    /// What it uses up.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub consumables: Vec<String>,
    /// Parts and paid work that it costs, priced as those of a repair.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub parts: Vec<PartUse>,
    /// Cautions, at least one, shown before the steps.
    pub cautions: Vec<String>,
    /// Steps in the order done.
    pub steps: Vec<String>,
    /// Findings that it yields.
    pub yields: Vec<String>,
    /// Where it misleads.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub misleads: Vec<String>,
    /// Only on engines with these traits.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub on: Vec<String>,
    /// Never on engines with any of these traits.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub not_on: Vec<String>,
    /// Where the minutes and steps come from.
    pub basis: Basis,
}
