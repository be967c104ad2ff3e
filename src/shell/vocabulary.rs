//! What can be typed on one engine, for completion, hints and near misses.

use crate::gauge::Kind;
use crate::plug::Chart;
use crate::plug::looks::known_words;
use crate::rules::file::{Finding, Reading, Scope};
use crate::rules::signs::CIRCUMSTANCES;
use crate::session::Session;
use std::collections::BTreeMap;

/// A word of the grammar.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Word {
    /// As typed.
    pub name: String,
    /// What it does, in one line.
    pub about: String,
    /// Its options, such as `--json`.
    pub options: Vec<String>,
}

/// Something that takes a place and a value: a finding or a raw reading.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Subject {
    /// Title.
    pub title: String,
    /// Places on this engine; empty when it is of the whole engine.
    pub places: Vec<String>,
    /// Grades, first the sound one; empty for a raw reading.
    pub grades: Vec<String>,
    /// It has several grades above the first, so `yes` says no more than seen.
    pub degrees: bool,
    /// Units of its figure; empty when it takes none.
    pub units: Vec<String>,
}

/// Everything that can be typed.
#[derive(Debug, Clone, Default)]
pub struct Vocabulary {
    /// Words of the grammar, in the order that help lists them.
    pub words: Vec<Word>,
    /// Findings and raw readings of this engine, by id.
    pub subjects: BTreeMap<String, Subject>,
    /// For a word, the ids that it takes, with their titles.
    pub ids: BTreeMap<&'static str, Vec<(String, String)>>,
    /// Places of a spark plug.
    pub plugs: Vec<String>,
}

impl Vocabulary {
    /// The words, and what the rules have for the engine of the session.
    pub fn of(session: &Session, words: Vec<Word>) -> Self {
        let (rules, engine) = (&session.rules, &session.engine);
        let applies = |on: &[String], not_on: &[String]| rules.applies(&engine.traits, on, not_on);
        let places = |scope: Scope| -> Vec<String> {
            match scope {
                Scope::Engine => vec![],
                scope => engine
                    .places(scope)
                    .iter()
                    .map(ToString::to_string)
                    .collect(),
            }
        };
        let mut subjects = BTreeMap::new();
        let findings: Vec<&Finding> = (rules.findings.values().map(|f| &f.it))
            .filter(|f| applies(&f.on, &f.not_on))
            .collect();
        for (id, reading) in &rules.readings {
            let measures = |f: &&&Finding| f.measured.as_ref().is_some_and(|m| m.reading == *id);
            if findings.iter().any(|f| measures(&f)) {
                subjects.insert(
                    id.clone(),
                    Subject {
                        title: reading.title.clone(),
                        places: places(reading.scope),
                        grades: vec![],
                        degrees: false,
                        units: units(reading),
                    },
                );
            }
        }
        for finding in &findings {
            let measured = finding
                .measured
                .as_ref()
                .and_then(|m| rules.readings.get(&m.reading));
            subjects.insert(
                finding.finding.clone(),
                Subject {
                    title: finding.title.clone(),
                    places: places(finding.scope),
                    grades: finding.grades.clone(),
                    degrees: finding.grades.len() > 2,
                    units: measured.map_or(vec![], |r| units(&r.it)),
                },
            );
        }
        for (id, sign) in &rules.signs {
            if rules.has_sign(id, &engine.traits) {
                let it = Subject {
                    title: sign.title.clone(),
                    places: places(sign.scope),
                    grades: ["no", "yes"].map(String::from).to_vec(),
                    degrees: false,
                    units: vec![],
                };
                subjects.insert(id.clone(), it);
            }
        }
        for (circumstance, title, _) in CIRCUMSTANCES {
            let values = rules.values_of(circumstance).into_keys();
            let it = Subject {
                title: title.into(),
                places: vec![],
                grades: values.map(String::from).collect(),
                degrees: false,
                units: vec![],
            };
            if !it.grades.is_empty() {
                subjects.insert(circumstance.into(), it);
            }
        }
        let conditions = findings.iter().filter(|f| f.scope == Scope::Plug);
        let conditions = conditions
            .map(|f| {
                (
                    f.finding.trim_start_matches("plug-").to_string(),
                    f.title.clone(),
                )
            })
            .chain([
                ("normal".to_string(), "None of these".to_string()),
                ("not-out".to_string(), "It was not taken out".to_string()),
            ]);
        let chart = Chart::of(rules, engine);
        let looks = chart.map_or(BTreeMap::new(), |chart| known_words(&chart));
        let mut names_of_plugs: Vec<(String, String)> = conditions.collect();
        for (word, means) in looks {
            if names_of_plugs.iter().all(|(name, _)| *name != word) {
                names_of_plugs.push((word, means));
            }
        }
        let titled = |id: &String, title: &String| (id.clone(), title.clone());
        let causes = rules
            .causes
            .iter()
            .filter(|(_, c)| applies(&c.on, &c.not_on));
        let facts = rules.facts.iter().filter(|(_, f)| applies(&f.on, &[]));
        let tests = rules
            .tests
            .iter()
            .filter(|(_, t)| applies(&t.on, &t.not_on));
        let ids = BTreeMap::from([
            (
                "explain",
                causes.map(|(id, c)| titled(id, &c.title)).collect(),
            ),
            (
                "tried",
                (rules.repairs.iter())
                    .filter(|(_, r)| applies(&r.on, &r.not_on))
                    .map(|(id, r)| titled(id, &r.title))
                    .collect(),
            ),
            ("fact", facts.map(|(id, f)| titled(id, &f.title)).collect()),
            ("test", tests.map(|(id, t)| titled(id, &t.title)).collect()),
            (
                "set-up",
                rules
                    .set_ups
                    .iter()
                    .map(|(id, s)| titled(id, &s.title))
                    .collect(),
            ),
            (
                "tools",
                rules
                    .equipment
                    .iter()
                    .map(|(id, e)| titled(id, &e.title))
                    .collect(),
            ),
            ("plug", names_of_plugs),
        ]);
        Vocabulary {
            words,
            subjects,
            ids,
            plugs: places(Scope::Plug),
        }
    }
}

/// Names of the units that a raw reading can be written in.
fn units(reading: &Reading) -> Vec<String> {
    let kind: Option<Kind> = reading.quantity.parse().ok();
    let names = kind.map_or(String::new(), |k| k.unit_names());
    names
        .split(", ")
        .filter(|n| !n.is_empty())
        .map(String::from)
        .collect()
}
