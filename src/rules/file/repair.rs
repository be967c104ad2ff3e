//! Repairs with their parts and the access that they need.

use super::{Basis, RootLink, Scope};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Three figures of a range: low, likely, high.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Range3 {
    /// Hardly ever less.
    pub low: f64,
    /// Most likely.
    pub likely: f64,
    /// Hardly ever more.
    pub high: f64,
}

/// A part or consumable that a repair renews.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PartUse {
    /// An id of `rules/repairs/parts.yaml`.
    pub part: String,
    /// How many; per cylinder when `per_cylinder`.
    #[serde(default = "one")]
    pub count: f64,
    /// Counted for each cylinder worked on.
    #[serde(default)]
    pub per_cylinder: bool,
}

fn one() -> f64 {
    1.0
}

/// A part, consumable or machine-shop job by class; prices are the shop's.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Part {
    /// Id.
    pub part: String,
    /// Title.
    pub title: String,
}

/// A stage of dismantling that several repairs share, done once: head off, engine out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Access {
    /// Id.
    pub access: String,
    /// Title.
    pub title: String,
    /// Hours, opening and closing together, beyond the accesses that it needs.
    pub hours: Range3,
    /// Hours and parts are for one bank: two heads are off when both banks are worked on.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub per_bank: bool,
    /// Hours are for one cylinder: barrels come off one by one.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub per_cylinder: bool,
    /// Accesses that come first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub needs: Vec<String>,
    /// What must be renewed once opened.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub renews: Vec<PartUse>,
    /// Repairs that closing it does in any case: a head goes back on a new gasket.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub includes: Vec<String>,
    /// Only on engines with these traits.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub on: Vec<String>,
    /// Where the hours come from.
    pub basis: Basis,
}

/// A repair.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Repair {
    /// Id.
    pub repair: String,
    /// Title, at most 60 characters.
    pub title: String,
    /// What is done, in one or two sentences.
    pub says: String,
    /// `cylinder` when it is done on single cylinders, else `engine`.
    #[serde(default)]
    pub scope: Scope,
    /// Done on one bank at a time, on engines that have two: hours and parts for one.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub per_bank: bool,
    /// Hours once its accesses are open; per cylinder when the scope is `cylinder`.
    pub hours: Range3,
    /// Accesses that it needs open.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub needs: Vec<String>,
    /// What it renews.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub parts: Vec<PartUse>,
    /// Machine-shop work, by part id.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub machine_work: Vec<PartUse>,
    /// Repairs that come with it and are not billed again.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub includes: Vec<String>,
    /// What it mends: cause id -> how surely.
    pub mends: BTreeMap<String, RootLink>,
    /// What it leaves in place or cannot reach.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub leaves: Vec<String>,
    /// Cautions.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cautions: Vec<String>,
    /// Only on engines with these traits.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub on: Vec<String>,
    /// Never on engines with any of these traits.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub not_on: Vec<String>,
    /// Where the hours come from.
    pub basis: Basis,
}
