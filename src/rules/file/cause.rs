//! Causes: what can be wrong, how common it is and what it shows.

use super::{BaseRate, ByEngine, Link, Manner, Odds, RootLink, Scope, TraitOdds};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What sort of cause it is, for the order and wording of a page.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema, Default,
)]
#[serde(rename_all = "kebab-case")]
pub enum CauseSort {
    /// Something broken, worn or blocked.
    #[default]
    Fault,
    /// What brings faults about: overheating, dirt, neglect.
    Root,
    /// How it was measured or read.
    Measurement,
}

/// A fault that may be present.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Cause {
    /// Id: words joined by hyphens.
    pub cause: String,
    /// Title, at most 60 characters, starting with a capital letter.
    pub title: String,
    /// What it is, in one or two plain sentences.
    pub says: String,
    /// Fault, root or measurement.
    #[serde(default)]
    pub sort: CauseSort,
    /// Engine, cylinder, pair or plug.
    #[serde(default)]
    pub scope: Scope,
    /// Only on engines with these traits (any within one axis, all across axes).
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub on: Vec<String>,
    /// Never on engines with any of these traits.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub not_on: Vec<String>,
    /// How common.
    pub base_rate: BaseRate,
    /// Engines on which it is more or less common.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub more_common: Vec<TraitOdds>,
    /// History facts that shift its prior odds.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub history: BTreeMap<String, Odds>,
    /// Causes that bring it about.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub brought_on_by: BTreeMap<String, RootLink>,
    /// What it shows; a list under a finding holds one link for each kind of engine.
    #[serde(default)]
    pub shows: BTreeMap<String, ByEngine<Link>>,
    /// How its complaint comes on: value of `onset` -> how often.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub onset: Option<Manner>,
    /// When its complaint shows: value of `when` -> how often.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when: Option<Manner>,
    /// How to tell it from its look-alikes: cause id -> one sentence.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub told_from: BTreeMap<String, String>,
    /// What it looks like on teardown.
    pub look_for: String,
    /// Why it must not be run, what can happen and what to do; said above the
    /// ranking when likely. One text, or a list for kinds of engines.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub danger: Option<ByEngine<Danger>>,
}

impl Cause {
    /// The circumstances that it speaks of, by name.
    pub fn manners(&self) -> impl Iterator<Item = (&'static str, &Manner)> {
        let named = [("onset", &self.onset), ("when", &self.when)];
        named
            .into_iter()
            .filter_map(|(name, manner)| Some((name, manner.as_ref()?)))
    }
}

/// A danger on engines of a kind.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Danger {
    /// What can happen and what to do.
    pub says: String,
    /// Only on engines with these traits (any within one axis, all across axes).
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub on: Vec<String>,
    /// Never on engines with any of these traits.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub not_on: Vec<String>,
}
