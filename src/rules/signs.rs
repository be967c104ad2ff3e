//! Words for several findings at once, and circumstances of the complaint:
//! what they are made of.

use super::Rules;
use super::file::{ByEngine, Chance, Finding, Link};
use std::collections::{BTreeMap, BTreeSet};

/// The circumstances of a complaint: id, title and question. A cause speaks of
/// each under its id; the values are findings with `value_of`.
pub const CIRCUMSTANCES: [(&str, &str, &str); 2] = [
    ("onset", "How it came on", "How did it come on?"),
    ("when", "When it shows", "When does it show, or show most?"),
];

/// The question about a circumstance, if it is one.
pub fn circumstance(id: &str) -> Option<&'static str> {
    let known = CIRCUMSTANCES.iter().find(|(known, _, _)| *known == id);
    known.map(|(_, _, ask)| *ask)
}

impl Rules {
    /// The findings of a sign, those of its signs among them, by id; each once,
    /// whatever circle the signs may stand in.
    pub fn findings_of(&self, sign: &str) -> BTreeSet<&str> {
        let (mut found, mut seen) = (BTreeSet::new(), BTreeSet::new());
        let mut open = vec![sign];
        while let Some(id) = open.pop() {
            let Some(sign) = self.signs.get(id).filter(|_| seen.insert(id)) else {
                continue;
            };
            for member in sign.members() {
                match self.findings.get_key_value(member) {
                    Some((finding, _)) => drop(found.insert(finding.as_str())),
                    None => open.push(member),
                }
            }
        }
        found
    }

    /// The signs that a finding belongs to, by id.
    pub fn signs_of(&self, finding: &str) -> Vec<&str> {
        let ids = self.signs.keys().map(String::as_str);
        ids.filter(|id| self.findings_of(id).contains(finding))
            .collect()
    }

    /// Whether an engine with these traits can show any finding of a sign.
    pub fn has_sign(&self, sign: &str, traits: &BTreeSet<String>) -> bool {
        let findings = self.findings_of(sign).into_iter();
        let mut findings = findings.filter_map(|id| self.findings.get(id));
        findings.any(|f| self.applies(traits, &f.on, &f.not_on))
    }

    /// The values of a circumstance such as `onset`: value -> its finding.
    pub fn values_of(&self, circumstance: &str) -> BTreeMap<&str, &Finding> {
        let of = |f: &&Finding| f.value_of.as_deref() == Some(circumstance);
        let findings = self.findings.values().map(|f| &f.it).filter(of);
        findings
            .filter_map(|f| {
                let value = f.finding.strip_prefix(circumstance)?.strip_prefix('-')?;
                Some((value, f))
            })
            .collect()
    }

    /// The findings that cannot be so when this one is seen, either naming the other.
    pub fn excluded_by(&self, finding: &str) -> BTreeSet<&str> {
        let named = self.findings.get(finding).into_iter();
        let named = named.flat_map(|f| f.excludes.iter().map(String::as_str));
        let naming = (self.findings.iter())
            .filter(|(_, f)| f.excludes.iter().any(|x| x == finding))
            .map(|(id, _)| id.as_str());
        named
            .chain(naming)
            .filter(|id| self.findings.contains_key(*id))
            .collect()
    }

    /// Makes a link of each line in which a cause says how its complaint comes
    /// on and when it shows; values and chances that are not known are left out
    /// (the check refuses them).
    pub(super) fn link_manners(&mut self) {
        let known: BTreeSet<String> = (self.findings.iter())
            .filter(|(_, f)| f.value_of.is_some())
            .map(|(id, _)| id.clone())
            .collect();
        let mut links: Vec<(String, String, Link)> = vec![];
        for (id, cause) in &self.causes {
            for (circumstance, manner) in cause.manners() {
                for (value, chance) in &manner.values {
                    let finding = format!("{circumstance}-{value}");
                    if self.known_chance(chance).is_some_and(|p| p > 0.0)
                        && known.contains(&finding)
                    {
                        let link = Link {
                            chance: Chance::clone(chance),
                            grades: BTreeMap::new(),
                            on: vec![],
                            not_on: vec![],
                            basis: manner.basis.clone(),
                        };
                        links.push((id.clone(), finding, link));
                    }
                }
            }
        }
        for (cause, finding, link) in links {
            if let Some(cause) = self.causes.get_mut(&cause) {
                let shows = &mut cause.it.shows;
                shows.entry(finding).or_insert(ByEngine::One(link));
            }
        }
    }
}
