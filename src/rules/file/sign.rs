//! Signs: vague and summary words, each a named group of findings.

use super::{Basis, Chance, Footing, OneOrMany, Scope};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// A word for several findings: "blue smoke" without when, "plugs normal".
///
/// `yes` on a sign with `of` is at least one of its findings above sound, and
/// `no` none of them; on a sign with `none_of` the other way round.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Sign {
    /// Id.
    pub sign: String,
    /// Title, at most 60 characters.
    pub title: String,
    /// The question as put to the technician.
    pub ask: String,
    /// What is meant and what is not, where it needs saying.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub help: String,
    /// Engine, or cylinder or plug when every finding of it is.
    #[serde(default)]
    pub scope: Scope,
    /// Findings, and other signs with all of theirs: at least one of these.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub of: Vec<String>,
    /// Findings and signs: none of these.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub none_of: Vec<String>,
    /// What people would type to find it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub words: Vec<String>,
}

impl Sign {
    /// Whether it says that all is well.
    pub fn is_summary(&self) -> bool {
        self.of.is_empty()
    }

    /// What it is made of, as written.
    pub fn members(&self) -> &[String] {
        match self.is_summary() {
            true => &self.none_of,
            false => &self.of,
        }
    }
}

/// How often a complaint by a cause has each value of a circumstance:
/// `onset: {at-once: usually, basis: practice}`. A value that is not named is
/// as usual for any complaint.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(try_from = "BTreeMap<String, Mixed>", into = "BTreeMap<String, Mixed>")]
#[schemars(with = "BTreeMap<String, Mixed>")]
pub struct Manner {
    /// Value -> how often.
    pub values: BTreeMap<String, Chance>,
    /// Where the numbers come from.
    pub basis: Basis,
}

/// A chance, or under the key `basis` where the chances come from.
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
#[serde(
    untagged,
    expecting = "a chance, or under `basis` a source id, `practice` or `judgement`"
)]
pub enum Mixed {
    /// A chance, or a single word of basis.
    Chance(Chance),
    /// Several words of basis.
    Basis(Vec<String>),
}

impl TryFrom<BTreeMap<String, Mixed>> for Manner {
    type Error = String;

    fn try_from(mut map: BTreeMap<String, Mixed>) -> Result<Self, String> {
        let basis = match map.remove("basis") {
            Some(Mixed::Basis(words)) => OneOrMany::Many(words).try_into()?,
            Some(Mixed::Chance(Chance::Word(word))) => OneOrMany::One(word).try_into()?,
            _ => return Err("it must say `basis: practice` or `basis: judgement`".into()),
        };
        let values = (map.into_iter())
            .map(|(value, chance)| match chance {
                Mixed::Chance(chance) => Ok((value, chance)),
                Mixed::Basis(_) => Err(format!("`{value}` must be a chance such as `often`")),
            })
            .collect::<Result<_, String>>()?;
        Ok(Manner { values, basis })
    }
}

impl From<Manner> for BTreeMap<String, Mixed> {
    fn from(manner: Manner) -> Self {
        let mut words = manner.basis.sources;
        match manner.basis.footing {
            Footing::Published => {}
            Footing::Practice => words.push("practice".into()),
            Footing::Judgement => words.push("judgement".into()),
        }
        let values = manner.values.into_iter();
        (values.map(|(value, chance)| (value, Mixed::Chance(chance))))
            .chain([("basis".to_string(), Mixed::Basis(words))])
            .collect()
    }
}
