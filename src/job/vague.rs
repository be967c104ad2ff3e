//! What is said without saying which: a sign ("blue smoke"), a finding seen at
//! one of several places, a circumstance of the complaint (`onset=at-once`).

use super::meaning::{Meaning, Reader, Understood, is_unknown, places};
use super::said::Said;
use crate::engine::{Engine, Place};
use crate::problem::Problem;
use crate::rules::Rules;
use crate::rules::file::{Finding, Scope, Sign};
use crate::words::{listed, nearest};

/// Ways to write that it is at one place or some, not known which.
const ONE: [&str; 2] = ["one", "some"];

/// What is said of several findings at once.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Says {
    /// None shows it.
    None,
    /// At least one does.
    Any,
    /// The worst of them shows it in this grade.
    Grade(String),
}

/// Whether `@WHERE` says one of several, not known which.
pub fn is_one(at: Option<&str>) -> bool {
    at.is_some_and(|at| ONE.contains(&at.to_lowercase().as_str()))
}

/// The findings and places that something said of several speaks of, by id and
/// place: `of` is a sign or a finding; at the engine it means every place of each.
pub fn members(rules: &Rules, engine: &Engine, of: &str, place: Place) -> Vec<(String, Place)> {
    let ids = match rules.findings.get_key_value(of) {
        Some((id, _)) => [id.as_str()].into(),
        None => rules.findings_of(of),
    };
    let findings = ids.into_iter().filter_map(|id| rules.findings.get(id));
    let findings = findings.filter(|f| rules.applies(&engine.traits, &f.on, &f.not_on));
    findings
        .flat_map(|f| {
            let all = engine.places(f.scope).into_iter();
            let here = all.filter(move |at| place == Place::Engine || at.touches(place));
            here.map(|at| (f.finding.clone(), at))
        })
        .collect()
}

impl Reader<'_> {
    /// What a line about a sign means.
    pub(super) fn sign(&self, sign: &Sign, said: &Said) -> Result<Vec<Understood>, Problem> {
        let id = &sign.sign;
        if !self.rules.has_sign(id, &self.engine.traits) {
            return Err(Problem::new(format!("`{id}` is not of this engine"))
                .hint("it has none of the findings that the word stands for"));
        }
        let plain = said.value.to_lowercase().replace('’', "'");
        let one = is_one(said.at.as_deref());
        let places = match one {
            true if sign.scope == Scope::Engine => return Err(whole(id)),
            true => vec![Place::Engine],
            false => places(self.engine, sign.scope, said.at.as_deref(), id)?,
        };
        let meaning = if is_unknown(&plain) {
            Meaning::Unknown { of: id.clone() }
        } else {
            let says = self.says(sign, &plain)?;
            if one && says == Says::None {
                return Err(nowhere(id));
            }
            Meaning::Vague {
                of: id.clone(),
                one,
                says,
            }
        };
        Ok((places.into_iter())
            .map(|place| Understood {
                place,
                meaning: meaning.clone(),
            })
            .collect())
    }

    /// What a value says of the findings of a sign.
    fn says(&self, sign: &Sign, plain: &str) -> Result<Says, Problem> {
        let word = plain.replace([' ', '_'], "-");
        let well = sign.is_summary();
        match word.as_str() {
            "yes" | "y" if well => return Ok(Says::None),
            "no" | "n" if well => return Ok(Says::Any),
            "yes" | "y" => return Ok(Says::Any),
            "no" | "n" | "none" | "normal" | "good" | "clean" | "dry" => return Ok(Says::None),
            _ => {}
        }
        let findings = self.rules.findings_of(&sign.sign).into_iter();
        let findings = findings.filter_map(|id| self.rules.findings.get(id));
        let mut grades: Vec<&str> = vec![];
        for grade in findings.flat_map(|f| f.grades.iter().skip(1)) {
            if grade != "yes" && !grades.contains(&grade.as_str()) {
                grades.push(grade);
            }
        }
        if !well && grades.contains(&word.as_str()) {
            return Ok(Says::Grade(word));
        }
        let mut known = vec!["yes", "no"];
        if !well {
            known.extend(grades);
        }
        let near = nearest(&word, known.iter().copied());
        let known: Vec<String> = known.iter().map(|g| format!("`{g}`")).collect();
        let hint = match near {
            Some(near) => format!("did you mean `{near}`?"),
            None => format!("it can be {}, or `unknown`", listed(&known, "or")),
        };
        Err(Problem::new(format!("`{}` cannot be `{plain}`", sign.sign)).hint(hint))
    }

    /// A finding at one of its places, not known which.
    pub(super) fn at_one(
        &self,
        finding: &Finding,
        grades: &[bool],
    ) -> Result<Vec<Understood>, Problem> {
        let id = &finding.finding;
        if finding.scope == Scope::Engine {
            return Err(whole(id));
        }
        let meant: Vec<usize> = (0..grades.len()).filter(|&k| grades[k]).collect();
        let says = match meant.as_slice() {
            [0, ..] | [] => return Err(nowhere(id)),
            [one] if grades.len() > 2 => Says::Grade(finding.grades[*one].clone()),
            [first, ..] if *first > 1 => {
                return Err(Problem::new(format!(
                    "`{id}` at one of several places takes a grade, or `yes`"
                )));
            }
            _ => Says::Any,
        };
        let all = self.engine.places(finding.scope);
        let (place, meaning) = match all.as_slice() {
            [only] => (
                *only,
                Meaning::Graded {
                    finding: id.clone(),
                    grades: grades.to_vec(),
                },
            ),
            _ => (
                Place::Engine,
                Meaning::Vague {
                    of: id.clone(),
                    one: true,
                    says,
                },
            ),
        };
        Ok(vec![Understood { place, meaning }])
    }

    /// A circumstance and its values, `onset=at-once`, `when=cold,under-load`; nothing when
    /// the id is none.
    pub(super) fn circumstance(
        &self,
        id: &str,
        said: &Said,
    ) -> Option<Result<Vec<Understood>, Problem>> {
        let values = self.rules.values_of(id);
        if values.is_empty() {
            return None;
        }
        Some(self.values(id, said, &values))
    }

    fn values(
        &self,
        id: &str,
        said: &Said,
        values: &std::collections::BTreeMap<&str, &Finding>,
    ) -> Result<Vec<Understood>, Problem> {
        if said.at.is_some() {
            let problem = Problem::new(format!("`{id}` is of the complaint, not of a place"));
            return Err(problem.hint(format!("write `{id}=...`")));
        }
        let plain = said.value.to_lowercase().replace('’', "'");
        let at = |meaning| Understood {
            place: Place::Engine,
            meaning,
        };
        if is_unknown(&plain) {
            let all = values.values().map(|f| Meaning::Unknown {
                of: f.finding.clone(),
            });
            return Ok(all.map(at).collect());
        }
        let mut found = vec![];
        for word in plain.split(',') {
            let word = word.trim().replace([' ', '_'], "-");
            let applies = |f: &&&Finding| self.rules.applies(&self.engine.traits, &f.on, &f.not_on);
            let Some(finding) = values.get(word.as_str()).filter(applies) else {
                let known: Vec<String> = values.keys().map(|v| format!("`{v}`")).collect();
                let hint = match nearest(&word, values.keys().copied()) {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => format!("it can be {}, or `unknown`", listed(&known, "or")),
                };
                return Err(Problem::new(format!("`{id}` cannot be `{word}`")).hint(hint));
            };
            found.push(at(Meaning::Graded {
                finding: finding.finding.clone(),
                grades: vec![false, true],
            }));
        }
        Ok(found)
    }
}

fn whole(id: &str) -> Problem {
    Problem::new(format!(
        "`{id}` is of the whole engine, so it has no places"
    ))
    .hint(format!("write `{id}=...`"))
}

fn nowhere(id: &str) -> Problem {
    Problem::new(format!("`{id}` at one of several places must be seen"))
        .hint(format!("for none of them write `{id}@all=no`"))
}
