//! Measurements of the opened engine, what is worked out of them, and their limits.

use super::{Basis, Scope};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// How the figures of a measurement stand in a line.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum Form {
    /// Three depths, top to bottom, each on two axes: `80.05/80.02 80.03/80.01 80.00/80.00`.
    Bore,
    /// One or more places along it, each on two axes: `47.98/47.97 47.98/47.98`; journals apart by `;`.
    Journal,
    /// One figure.
    Single,
    /// One figure or several in a row, such as the bearings from the front: `0.05 0.06 0.05`.
    Each,
}

/// How a value is worked out of a measurement.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum Worked {
    /// The largest figure as read.
    Largest,
    /// The smallest figure as read.
    Smallest,
    /// Of a bore the largest figure less the size when new; of a shaft or piston the size when new less the smallest.
    Wear,
    /// The greatest change along one axis.
    Taper,
    /// The greatest difference of the two axes at one depth.
    OutOfRound,
    /// The bore's least figure across the pin less this figure, at the same cylinder.
    ClearanceInBore,
    /// The best of all places less this figure.
    ShortOfBest,
}

/// A size that a limit grows with.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WearLimit {
    /// At most so much, in `unit`, or that share of the size of `per`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub most: Option<f64>,
    /// At least so much.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub least: Option<f64>,
    /// What a new one has at most, so that it can be said how much wear is left.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub new: Option<f64>,
    /// Unit of the figures; left out where they are shares of the size of `per`.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub unit: String,
    /// The measurement whose size the figures are a share of: `bore`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub per: Option<String>,
    /// What it says, in one sentence.
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

/// A value worked out of a measurement and held against a limit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Value {
    /// Id: what the maker's own limit is given under, `bore-taper`.
    pub value: String,
    /// Title, at most 60 characters.
    pub title: String,
    /// How it is worked out.
    pub worked: Worked,
    /// The finding that it grades: inside, near, out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub finding: Option<String>,
    /// General limits, where the maker's are not given; of several that apply the one that names most traits.
    #[serde(default)]
    pub limits: Vec<WearLimit>,
    /// What is done when it is out.
    pub remedy: String,
}

/// What is measured on the opened engine.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Measure {
    /// Id.
    pub measure: String,
    /// Title, at most 60 characters.
    pub title: String,
    /// How it is taken, in one or two sentences.
    pub says: String,
    /// Cylinder, or engine where the figures stand in a row.
    #[serde(default)]
    pub scope: Scope,
    /// How the figures stand in a line.
    pub form: Form,
    /// What it is measured with.
    pub instrument: String,
    /// `length` or `force`.
    pub quantity: String,
    /// Unit of `between` and `error`.
    pub unit: String,
    /// Physical range; outside it the figure is refused.
    pub between: [f64; 2],
    /// Repeatability of the instrument: one standard deviation.
    pub error: f64,
    /// How far its setting may be off, common to all its figures: one standard deviation.
    #[serde(default)]
    pub setting_error: f64,
    /// What is worked out of it.
    pub gives: Vec<Value>,
    /// Larger or smaller sizes that parts are sold in, in `unit`: oversizes of bores, undersizes of journals.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub sizes: Vec<f64>,
    /// Only on engines with these traits.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub on: Vec<String>,
    /// Never on engines with any of these traits.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub not_on: Vec<String>,
    /// Where the errors come from.
    pub basis: Basis,
}
