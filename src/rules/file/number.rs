//! Numbers of the rules with what they rest on: chances, odds, base rates.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What a thing belongs to: the whole engine, one cylinder, two neighbours on
/// one bank, or one spark plug (where a cylinder has two).
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    Serialize,
    Deserialize,
    JsonSchema,
    Default,
)]
#[serde(rename_all = "kebab-case")]
pub enum Scope {
    /// One instance for the engine.
    #[default]
    Engine,
    /// One instance per cylinder.
    Cylinder,
    /// One instance per pair of neighbouring cylinders on a bank.
    Pair,
    /// One instance per spark plug: as `Cylinder`, but upper and lower where the engine has two.
    Plug,
}

/// How well founded a number is.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum Footing {
    /// The figure itself is printed in a source.
    Published,
    /// Common practice of the trade, without a source.
    Practice,
    /// The authors' judgement.
    Judgement,
}

/// Where a statement and its number come from.
///
/// In YAML: `judgement`, `practice`, a source id, or a list. A list that holds
/// `judgement` or `practice` beside sources says: the sources state the fact,
/// the *number* is judgement or practice.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(try_from = "OneOrMany", into = "OneOrMany")]
#[schemars(with = "OneOrMany")]
pub struct Basis {
    /// Ids in the bibliography.
    pub sources: Vec<String>,
    /// Footing of the number itself.
    pub footing: Footing,
}

/// A single word or a list of words, as YAML allows for short.
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
#[serde(
    untagged,
    expecting = "a source id, `practice` or `judgement`, or a list of them"
)]
pub enum OneOrMany {
    /// `basis: judgement`
    One(String),
    /// `basis: [faa-h-8083-32, judgement]`
    Many(Vec<String>),
}

impl TryFrom<OneOrMany> for Basis {
    type Error = String;
    fn try_from(words: OneOrMany) -> Result<Self, String> {
        let words = match words {
            OneOrMany::One(word) => vec![word],
            OneOrMany::Many(words) => words,
        };
        let mut footing = Footing::Published;
        let mut sources = Vec::new();
        for word in words {
            match word.as_str() {
                "judgement" => footing = Footing::Judgement,
                "practice" => footing = footing.max(Footing::Practice),
                _ => sources.push(word),
            }
        }
        if sources.is_empty() && footing == Footing::Published {
            return Err("a basis must name a source, `practice` or `judgement`".into());
        }
        Ok(Basis { sources, footing })
    }
}

impl From<Basis> for OneOrMany {
    fn from(basis: Basis) -> Self {
        let mut words = basis.sources;
        match basis.footing {
            Footing::Published => {}
            Footing::Practice => words.push("practice".into()),
            Footing::Judgement => words.push("judgement".into()),
        }
        OneOrMany::Many(words)
    }
}

/// A probability as written: a word of `rules/words.yaml`, a number from 0 to 1, or `35%`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(
    untagged,
    expecting = "a chance word such as `often`, a number from 0 to 1, or `35%`"
)]
pub enum Chance {
    /// A number from 0 to 1.
    Number(f64),
    /// A word such as `usually`, or a percentage such as `35%`.
    Word(String),
}

/// How a cause (or a sound engine) produces a finding.
///
/// `chance` is the probability that it shows at all; `as` shares that out over
/// the grades above 0 in relative weights and may be left out when the finding
/// has only one grade above 0.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Link {
    /// How often the finding shows, the cause alone being present.
    pub chance: Chance,
    /// Relative weights of the grades above 0.
    #[serde(default, rename = "as", skip_serializing_if = "BTreeMap::is_empty")]
    pub grades: BTreeMap<String, f64>,
    /// Only on engines with these traits (any within one axis, all across axes).
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub on: Vec<String>,
    /// Never on engines with any of these traits.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub not_on: Vec<String>,
    /// Where it comes from.
    pub basis: Basis,
}

/// One cause brings on another: the chance that it does, the first being present.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RootLink {
    /// How often the root brings the fault about.
    pub chance: Chance,
    /// Where it comes from.
    pub basis: Basis,
}

/// A factor on prior odds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Odds {
    /// Multiplies the prior odds; above 0.
    pub times: f64,
    /// Where it comes from.
    pub basis: Basis,
}

/// A factor on prior odds for engines with certain traits.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TraitOdds {
    /// Traits the engine must have (any within one axis, all across axes).
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub on: Vec<String>,
    /// Never on engines with any of these traits.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub not_on: Vec<String>,
    /// Multiplies the prior odds; above 0.
    pub times: f64,
    /// Where it comes from.
    pub basis: Basis,
}

/// How common a cause is among engines brought in with a complaint.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BaseRate {
    /// Instances per thousand: per thousand engines, cylinders, pairs or plugs, after the cause's scope.
    pub per_1000: f64,
    /// Where it comes from.
    pub basis: Basis,
    /// How it was derived, where it was.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}
