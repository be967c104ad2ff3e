//! Findings and the raw readings that they are measured by.

use super::{Basis, Link, Scope};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// A figure that a gauge gives and how it falls into a finding's grades.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Measured {
    /// The raw reading it comes from (an id of `rules/readings.yaml`); several findings may share one.
    pub reading: String,
    /// How the raw reading becomes the graded figure.
    #[serde(default)]
    pub by: By,
    /// The bounds between grades in the unit of the reading (or in the reduction's own unit), from grade 0 outward; rising or falling.
    pub bounds: Vec<f64>,
    /// A low figure is the bad one. To be said only where there is one bound; with more, their order shows it.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub falls: bool,
    /// Where the bounds come from.
    pub basis: Basis,
    /// Other bounds for engines of a kind.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub instead: Vec<BoundsOn>,
}

/// Bounds that hold in place of a finding's usual ones on engines of a kind.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BoundsOn {
    /// Engines with these traits (any within one axis, all across axes); of
    /// several that apply the one that names most traits.
    pub on: Vec<String>,
    /// The bounds, as many as the usual ones and in the same direction.
    pub bounds: Vec<f64>,
    /// Where they come from.
    pub basis: Basis,
}

impl Measured {
    /// Whether lower figures are the worse.
    pub fn falling(&self) -> bool {
        self.falls || matches!(self.bounds.as_slice(), [first, second, ..] if second < first)
    }
}

/// How a raw reading becomes the figure that a finding is graded by.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    Default,
    Serialize,
    Deserialize,
    JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum By {
    /// The reading in its own unit; repeats averaged.
    #[default]
    Raw,
    /// Leak-down in percent as a 0.040 in restrictor at 80 psi and sea level would show it.
    AsReferenceTester,
    /// Compression over what a sound cylinder of this engine would read today.
    ShareOfReference,
    /// The first stroke's compression over the last stroke's.
    ShareOfFinal,
    /// The same, only where the last stroke's is itself low.
    ShareOfFinalWhenLow,
    /// Wet compression over dry, less one.
    RiseOverDry,
    /// The figure over the limit for the kind of engine.
    ShareOfLimit,
    /// The figure over the middle one of the other cylinders.
    ShareOfSiblings,
    /// The figure less the middle one of the other cylinders.
    AboveSiblings,
    /// The middle one of the other cylinders less the figure.
    BelowSiblings,
    /// Manifold vacuum as it would be at sea level.
    AtSeaLevel,
    /// A metal's rate in the last oil sample over the sum of its rates in the one before and in the
    /// last; 0.5 is no change, 0.67 twice the rate, 0.75 three times.
    RateAgainstEarlier,
    /// From the checks of the oil: the later rate of use over the sum of the earlier and the later
    /// where it jumped; 0.5 is no change, 0.67 twice the rate, 0.75 three times.
    JumpOfRate,
    /// From the checks of the oil: how far above the mark it stood at the last one, percent of the sump.
    LevelAboveMark,
    /// From the checks of the oil: the greatest rise of the level with none added, percent of the sump.
    RiseOfLevel,
    /// Metal in the oil as this wear would bring it to over a usual oil life, top-ups counted in.
    AtUsualInterval,
}

/// A raw reading: a quantity with a unit, taken with an instrument.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Reading {
    /// Id.
    pub reading: String,
    /// Title.
    pub title: String,
    /// Engine, cylinder, pair or plug.
    #[serde(default)]
    pub scope: Scope,
    /// Kind of quantity: `pressure`, `vacuum`, `leakage`, `percent`, `temperature`, `speed`,
    /// `oil-rate`, `flow`, `length`, `resistance`, `ppm`, `hours`, `number` and the others of
    /// [`Kind`](crate::measure::Kind).
    pub quantity: String,
    /// Unit of the bounds and of `between`, as the trade writes it.
    pub unit: String,
    /// What a bare number means in the metric set, where it is not the usual unit of the quantity.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub metric: Option<String>,
    /// What a bare number means in the US set, where it is not the usual unit of the quantity.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub us: Option<String>,
    /// Physical range in `unit`; outside it the reading is refused.
    pub between: [f64; 2],
    /// Repeatability: one standard deviation, in `unit`.
    pub error: f64,
    /// Repeatability as a share of the reading, added to `error` in squares.
    #[serde(default)]
    pub error_share: f64,
    /// Where the repeatability comes from.
    pub basis: Basis,
}

/// Something that can be observed, in ordered grades; grade 0 is a sound engine's.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Finding {
    /// Id.
    pub finding: String,
    /// Title, at most 60 characters.
    pub title: String,
    /// The question as put to the technician.
    pub ask: String,
    /// How to tell the grades apart, where it needs saying.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub help: String,
    /// Engine, cylinder, pair or plug.
    #[serde(default)]
    pub scope: Scope,
    /// Grades, what a sound engine shows first; `[no, yes]` when left out.
    #[serde(default = "no_yes")]
    pub grades: Vec<String>,
    /// How a gauge's figure falls into the grades.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub measured: Option<Measured>,
    /// How often an engine with none of the causes shows it all the same.
    pub sound: Link,
    /// Findings that cannot be judged while this one is seen (grade above 0).
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub hides: Vec<String>,
    /// Findings that were answered with it when it is seen, and in what grade at least:
    /// an answer that says no more than that counts once.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub implies: BTreeMap<String, String>,
    /// The circumstance of the complaint that it is a value of (`onset`, `when`); its id is the
    /// circumstance and the value: `onset-at-once`. `sound` is then how often any complaint has
    /// it, and a cause that says nothing of it makes it neither likelier nor less likely.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub value_of: Option<String>,
    /// Other values that cannot be so when this one is: seen is then also not seen of those.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub excludes: Vec<String>,
    /// What people would type to find it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub words: Vec<String>,
    /// Only on engines with these traits.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub on: Vec<String>,
    /// Never on engines with any of these traits.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub not_on: Vec<String>,
}

fn no_yes() -> Vec<String> {
    vec!["no".into(), "yes".into()]
}
