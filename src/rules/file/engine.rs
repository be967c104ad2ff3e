//! Engines: families, dimensions, traits and facts of their past.

use super::RootLink;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Most cylinders that an engine may have.
pub const MOST_CYLINDERS: usize = 12;

/// Dimensions that the gauges need; what is not known is left out.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Dimensions {
    /// Bore, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bore_mm: Option<f64>,
    /// Stroke, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stroke_mm: Option<f64>,
    /// Connecting rod between centres, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rod_mm: Option<f64>,
    /// Geometric compression ratio.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub compression_ratio: Option<f64>,
    /// Intake valve (or port) closes, degrees after bottom dead centre.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub intake_closes_deg: Option<f64>,
    /// Maker's least cranking compression, kPa gauge.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub compression_limit_kpa: Option<f64>,
    /// Maker's usual cranking compression, kPa gauge.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub compression_normal_kpa: Option<f64>,
    /// Rated power, kW.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub power_kw: Option<f64>,
    /// Oil in the sump when full, litres.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub oil_litres: Option<f64>,
}

/// A family of engines: traits, usual layout and dimensions.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Family {
    /// Id.
    pub family: String,
    /// Title.
    pub title: String,
    /// Traits, words of `rules/traits.yaml`.
    pub traits: Vec<String>,
    /// Usual number of cylinders, 1 to 12.
    pub cylinders: usize,
    /// Usual number of banks, 1 or more; cylinders are dealt to banks in turn (1 3 5 / 2 4 6).
    #[serde(default = "one_bank")]
    pub banks: usize,
    /// Usual dimensions, as a start for the gauges.
    #[serde(default)]
    pub dimensions: Dimensions,
}

fn one_bank() -> usize {
    1
}

/// Something known of the engine's past; causes say how it shifts them.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Fact {
    /// Id.
    pub fact: String,
    /// Title.
    pub title: String,
    /// The question as put to the owner.
    pub ask: String,
    /// What people would type to find it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub words: Vec<String>,
    /// The causes that it reports, present now or left by what was: how often one that is
    /// present is so reported. A fact that reports is evidence of those causes and shifts no odds.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub reports: BTreeMap<String, RootLink>,
    /// How often it is said of an engine that has none of those; needed with `reports`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub falsely: Option<RootLink>,
    /// Only one fact of a group holds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub group: Option<String>,
    /// Only on engines with these traits.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub on: Vec<String>,
}

/// One axis of traits: an engine has at most one word of it, unless `many`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Axis {
    /// Id of the axis.
    pub axis: String,
    /// Title.
    pub title: String,
    /// The words.
    pub traits: Vec<String>,
    /// An engine may have several of them.
    #[serde(default)]
    pub many: bool,
    /// Words that follow from the number of cylinders, from and to: families and jobs do not give them.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub cylinders: BTreeMap<String, [usize; 2]>,
    /// Short names for several words of this axis.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub groups: BTreeMap<String, Vec<String>>,
}
