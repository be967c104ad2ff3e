//! Published limits and sources.

use super::Basis;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A published limit for engines of a kind, against which a reading is told.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Limit {
    /// Id.
    pub limit: String,
    /// Title, at most 60 characters.
    pub title: String,
    /// The raw reading that it limits.
    pub of: String,
    /// The limit, in `unit`.
    pub most: f64,
    /// Its unit, of any dimension that the reading can be brought to: `L/1000km`, `lb/hph`;
    /// for blow-by `L/min`.
    pub unit: String,
    /// The limit is for each kilowatt of rated power.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub per_kw: bool,
    /// A finding is graded by it; of several that apply the one that names most traits.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub grades: bool,
    /// What it says, in one or two sentences.
    pub says: String,
    /// Only on engines with these traits.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub on: Vec<String>,
    /// Never on engines with any of these traits.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub not_on: Vec<String>,
    /// Where it comes from.
    pub basis: Basis,
}

/// A published source.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Source {
    /// Id.
    pub source: String,
    /// Title.
    pub title: String,
    /// Publisher or author.
    pub publisher: String,
    /// Number, edition, section, year: whatever finds it again.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub ident: String,
    /// Address, where it was read.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub address: String,
    /// `read`, `excerpt` or `memory`: how it was seen by the authors.
    pub seen: String,
    /// What it is cited for, in one sentence.
    pub says: String,
}
