//! The knowledge: what the YAML in `rules/` says, loaded and checked.
//!
//! [`load`] reads the rules in the binary and a user's folder over them;
//! [`check`] proves that they hang together. Everything later works on
//! [`Rules`].

pub mod chart;
pub mod check;
pub mod coverage;
pub mod file;
pub mod folder;
pub mod kind;
mod load;
pub mod lookup;
pub mod node;
pub mod overlay;
mod packed;
mod plain;
mod quote;
mod reading;
pub mod signs;
pub mod text;
pub(crate) mod typing;
pub(crate) mod yaml;

pub use kind::Kind;
pub use load::{Loaded, load, load_files, load_whole};

use crate::problem::Spot;
use chart::{Condition, Look};
use file::{
    Access, Axis, Cause, Chance, Equipment, Fact, Family, Finding, Limit, Measure, Part, Reading,
    Repair, SetUp, Sign, Source, Stage, Test,
};
use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Deref;

/// An entry of the rules and where it stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry<T> {
    /// The entry.
    pub it: T,
    /// Where it is written; for an overlaid entry, in the user's folder.
    pub at: Spot,
    /// The file's system or topic, an id of [`Rules::systems`].
    pub system: String,
    /// The entry under it, where a user's folder changes one.
    pub overrides: Option<Spot>,
}

impl<T> Deref for Entry<T> {
    type Target = T;
    fn deref(&self) -> &T {
        &self.it
    }
}

/// All rules, by id.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Rules {
    /// Causes.
    pub causes: BTreeMap<String, Entry<Cause>>,
    /// Findings.
    pub findings: BTreeMap<String, Entry<Finding>>,
    /// Vague and summary words.
    pub signs: BTreeMap<String, Entry<Sign>>,
    /// Raw readings.
    pub readings: BTreeMap<String, Entry<Reading>>,
    /// Tests.
    pub tests: BTreeMap<String, Entry<Test>>,
    /// Set-ups.
    pub set_ups: BTreeMap<String, Entry<SetUp>>,
    /// Equipment.
    pub equipment: BTreeMap<String, Entry<Equipment>>,
    /// Repairs.
    pub repairs: BTreeMap<String, Entry<Repair>>,
    /// Accesses.
    pub accesses: BTreeMap<String, Entry<Access>>,
    /// Parts.
    pub parts: BTreeMap<String, Entry<Part>>,
    /// Families of engines.
    pub families: BTreeMap<String, Entry<Family>>,
    /// History facts.
    pub facts: BTreeMap<String, Entry<Fact>>,
    /// Axes of traits.
    pub axes: BTreeMap<String, Entry<Axis>>,
    /// Published limits.
    pub limits: BTreeMap<String, Entry<Limit>>,
    /// Measurements of the opened engine.
    pub measures: BTreeMap<String, Entry<Measure>>,
    /// Stages of taking it apart.
    pub stages: BTreeMap<String, Entry<Stage>>,
    /// The bibliography.
    pub sources: BTreeMap<String, Entry<Source>>,
    /// What to look at on a spark plug.
    pub looks: BTreeMap<String, Entry<Look>>,
    /// Conditions of a spark plug.
    pub conditions: BTreeMap<String, Entry<Condition>>,
    /// Chance words.
    pub words: BTreeMap<String, f64>,
    /// Systems and topics: id -> title.
    pub systems: BTreeMap<String, String>,
    /// What a user's folder takes away, in the order of its files.
    pub removed: Vec<overlay::Removed>,
}

impl Rules {
    /// A chance as a probability; `None` when the word is unknown or the number is not 0 to 1.
    pub fn known_chance(&self, chance: &Chance) -> Option<f64> {
        let p = match chance {
            Chance::Number(p) => *p,
            Chance::Word(word) => match word.trim().strip_suffix('%') {
                Some(number) => number.trim().parse::<f64>().ok()? / 100.0,
                None => *self.words.get(word.trim())?,
            },
        };
        (0.0..=1.0).contains(&p).then_some(p)
    }

    /// A chance as a probability; 0 for a word that is unknown (the check refuses such rules).
    pub fn chance(&self, chance: &Chance) -> f64 {
        self.known_chance(chance).unwrap_or(0.0)
    }

    /// Whether something with these `on` and `not_on` lists concerns an engine:
    /// of `on` any word within one axis and all across axes, of `not_on` none.
    pub fn applies(&self, traits: &BTreeSet<String>, on: &[String], not_on: &[String]) -> bool {
        if on.is_empty() && not_on.is_empty() {
            return true;
        }
        let mut axes: BTreeMap<&str, bool> = BTreeMap::new();
        for word in on {
            let axis = self.axis_of(word).map_or(word.as_str(), |axis| &axis.axis);
            *axes.entry(axis).or_default() |= self.has(traits, word);
        }
        axes.values().all(|met| *met) && !not_on.iter().any(|word| self.has(traits, word))
    }

    /// Why an engine with these traits must not be run with a cause, if so.
    pub fn danger(&self, cause: &str, traits: &BTreeSet<String>) -> Option<&str> {
        let dangers = self.causes.get(cause)?.danger.as_ref()?;
        Some(dangers.held(self, traits)?.says.as_str())
    }

    /// Published limits for engines with these traits, by id.
    pub fn limits_for(&self, traits: &BTreeSet<String>) -> Vec<&Limit> {
        (self.limits.values())
            .map(|entry| &entry.it)
            .filter(|limit| self.applies(traits, &limit.on, &limit.not_on))
            .collect()
    }

    /// The findings of engines with these traits, by id; a measured one with the
    /// bounds for its kind of engine.
    pub fn findings_for(&self, traits: &BTreeSet<String>) -> Vec<Cow<'_, Finding>> {
        (self.findings.values())
            .filter(|finding| self.applies(traits, &finding.on, &finding.not_on))
            .map(|finding| self.bounded(&finding.it, traits))
            .collect()
    }

    /// A measured finding with the bounds for engines with these traits.
    pub fn bounded<'r>(&self, finding: &'r Finding, traits: &BTreeSet<String>) -> Cow<'r, Finding> {
        let others = finding.measured.iter().flat_map(|m| &m.instead);
        let met = others.filter(|other| self.applies(traits, &other.on, &[]));
        // the first of those that name most traits
        let Some(other) = met.min_by_key(|other| std::cmp::Reverse(other.on.len())) else {
            return Cow::Borrowed(finding);
        };
        let mut own = finding.clone();
        if let Some(measured) = &mut own.measured {
            measured.bounds.clone_from(&other.bounds);
            measured.basis = other.basis.clone();
        }
        Cow::Owned(own)
    }

    /// Whether an engine has a trait or one of a group.
    fn has(&self, traits: &BTreeSet<String>, word: &str) -> bool {
        traits.contains(word)
            || self
                .axis_of(word)
                .and_then(|axis| axis.groups.get(word))
                .is_some_and(|group| group.iter().any(|member| traits.contains(member)))
    }

    /// The axis that a trait or a group belongs to.
    pub fn axis_of(&self, word: &str) -> Option<&Axis> {
        self.axes
            .values()
            .map(|axis| &axis.it)
            .find(|axis| axis.traits.iter().any(|t| t == word) || axis.groups.contains_key(word))
    }

    /// What an engine with these traits and so many cylinders is: those, the
    /// traits that its layout gives it, and the groups that they fall in.
    ///
    /// ```
    /// let (rules, _) = sootsayer::rules::load(None);
    /// let single = rules.engine_traits(["petrol"], 1);
    /// assert!(single.contains("one-cylinder") && single.contains("spark"));
    /// assert!(!rules.engine_traits(["petrol"], 4).contains("one-cylinder"));
    /// ```
    pub fn engine_traits<S: AsRef<str>>(
        &self,
        traits: impl IntoIterator<Item = S>,
        cylinders: usize,
    ) -> BTreeSet<String> {
        let counted = self.axes.values().flat_map(|axis| &axis.cylinders);
        let met = counted.filter(|(_, [from, to])| (*from..=*to).contains(&cylinders));
        let mut all: BTreeSet<String> = met.map(|(word, _)| word.clone()).collect();
        all.extend(traits.into_iter().map(|word| word.as_ref().to_string()));
        self.with_groups(&all)
    }

    /// What an engine of a family is, with its usual number of cylinders.
    pub fn family_traits(&self, family: &Family) -> BTreeSet<String> {
        self.engine_traits(&family.traits, family.cylinders)
    }

    /// Whether a trait follows from the number of cylinders.
    pub fn is_counted(&self, word: &str) -> bool {
        (self.axes.values()).any(|axis| axis.cylinders.contains_key(word))
    }

    /// The traits and the groups that they fall in; of a whole engine see
    /// [`Rules::engine_traits`].
    pub fn with_groups(&self, traits: &BTreeSet<String>) -> BTreeSet<String> {
        let groups = self.axes.values().flat_map(|axis| &axis.groups);
        let met = groups.filter(|(_, members)| members.iter().any(|m| traits.contains(m)));
        let mut all = traits.clone();
        all.extend(met.map(|(group, _)| group.clone()));
        all
    }

    /// The repairs that mend a cause, the surest first.
    pub fn mended_by(&self, cause: &str) -> Vec<&str> {
        let mut found: Vec<(f64, &str)> = self
            .repairs
            .iter()
            .filter_map(|(id, repair)| {
                let link = repair.mends.get(cause)?;
                Some((self.chance(&link.chance), id.as_str()))
            })
            .collect();
        found.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(b.1)));
        found.into_iter().map(|(_, id)| id).collect()
    }

    /// The tests that yield a finding, by id.
    pub fn yielded_by(&self, finding: &str) -> Vec<&str> {
        self.tests
            .iter()
            .filter(|(_, test)| test.yields.iter().any(|y| y == finding))
            .map(|(id, _)| id.as_str())
            .collect()
    }
}
