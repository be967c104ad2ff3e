//! What the YAML says of the spark plug chart: the looks that a plug can have,
//! and the conditions with the looks that each shows.

use super::file::{Basis, Chance, RootLink, TraitOdds};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// How often each value of each look is shown: look id -> value -> chance.
///
/// What is not spelt out falls on the other values of the look as a sound plug
/// shows them; a look that is not named says nothing.
pub type Shows = BTreeMap<String, BTreeMap<String, Chance>>;

/// One thing to look at on a plug, with the values that exclude each other.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Look {
    /// Id.
    pub look: String,
    /// Title, at most 60 characters.
    pub title: String,
    /// The question as put to the technician.
    pub ask: String,
    /// How to tell, where it needs saying.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub help: String,
    /// What its values are said of in a list of looks, where they do not say it themselves: `gap`.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub said: String,
    /// Says how the plug came to be read and not how it looks: asked last, and only
    /// where the answer could change what the looks mean.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub circumstance: bool,
    /// What it can be.
    pub values: Vec<LookValue>,
    /// Words that mean one of several values: `wet` is oil, fuel or water.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub groups: BTreeMap<String, Vec<String>>,
}

/// One way a look can be.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LookValue {
    /// Id within the look; also a word for it.
    pub value: String,
    /// In words, at most 60 characters.
    pub title: String,
    /// How to tell it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub help: String,
    /// What people would type.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub words: Vec<String>,
    /// Its colour by daylight, `#rrggbb` in sRGB, for a look that is a colour.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub colour: Option<String>,
    /// Conditions that it makes more or less common: factor on the odds, above 0.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub odds: BTreeMap<String, f64>,
    /// What a sound plug shows then.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub sound: Shows,
    /// How much the other looks still tell then: 1 all, 0 nothing.
    #[serde(default = "all", skip_serializing_if = "is_all")]
    pub tells: f64,
    /// Where `odds`, `sound` and `tells` come from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub basis: Option<Basis>,
}

fn all() -> f64 {
    1.0
}

fn is_all(tells: &f64) -> bool {
    *tells == all()
}

/// A condition of a plug by its looks.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Condition {
    /// Id; a word for it at the bench.
    pub condition: String,
    /// The finding that it is; none for the sound plug.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub finding: Option<String>,
    /// Title, at most 60 characters.
    pub title: String,
    /// How it looks, in one or two sentences.
    pub says: String,
    /// What it points to, in one or two sentences.
    pub means: String,
    /// How many of the plugs read in a shop have it; none for the sound plug.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seen: Option<RootLink>,
    /// Engines on which it is more or less common.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub more_common: Vec<TraitOdds>,
    /// How hot the firing end has been running, where a source says so.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub runs: Option<Heat>,
    /// Colours for its picture.
    pub colours: Colours,
    /// Its looks.
    pub shows: Shows,
    /// Looks on other engines, each named look in place of the one above.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub other_engines: Vec<OtherEngines>,
    /// How to tell it from its look-alikes: condition -> one sentence.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub like: BTreeMap<String, String>,
    /// Where it comes from.
    pub basis: Basis,
}

/// Temperatures of a firing end.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Heat {
    /// From this on, °C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from: Option<f64>,
    /// Up to this, °C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub to: Option<f64>,
    /// Where it comes from.
    pub basis: Basis,
}

/// Colours of a condition's picture, `#rrggbb` in sRGB.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Colours {
    /// What lies on the plug.
    pub deposit: String,
    /// The insulator nose.
    pub nose: String,
    /// Electrodes and shell end.
    pub metal: String,
}

/// How a condition looks on other engines.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct OtherEngines {
    /// Traits of those engines.
    pub on: Vec<String>,
    /// What is different, in a sentence.
    pub says: String,
    /// Looks in place of the usual ones.
    pub shows: Shows,
    /// Where it comes from.
    pub basis: Basis,
}
