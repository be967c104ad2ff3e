//! What a line such as `leak-down@3=38%` means on one engine: which finding or
//! raw reading, where, and whether the value is a grade, a figure, or "could
//! not tell".

use super::grades::{grade_words, graded, no_grade, vague_word, why_not};
pub use super::place::places;
use super::said::Said;
pub use super::vague::Says;
use super::vague::is_one;
use crate::engine::{Engine, Place};
use crate::gauge::oil_log::{OIL_CHECK, OilCheck};
use crate::gauge::reduce;
use crate::measure::{Figure, UnitSet};
use crate::plug::{Chart, Looks, PLUG};
use crate::problem::Problem;
use crate::rules::Rules;
use crate::rules::file::{Finding, Reading, Scope};
use crate::words::{listed, nearest};

/// What was said, understood.
#[derive(Debug, Clone, PartialEq)]
pub struct Understood {
    /// Where.
    pub place: Place,
    /// What.
    pub meaning: Meaning,
}

/// What a value means.
#[derive(Debug, Clone, PartialEq)]
pub enum Meaning {
    /// A finding was seen in one of the grades that are true here.
    Graded {
        /// Finding id.
        finding: String,
        /// One for each grade.
        grades: Vec<bool>,
    },
    /// A gauge's figure.
    Figure {
        /// Id of the raw reading.
        reading: String,
        /// As it was read.
        figure: Figure,
    },
    /// A check of the oil, for the trend of its use.
    OilCheck {
        /// As it was read.
        check: OilCheck,
    },
    /// How a spark plug looks, to be matched with the chart.
    Looks {
        /// As typed, blanks and capitals evened out.
        typed: String,
    },
    /// Something said of several findings at once; at the engine when it is at one of several places.
    Vague {
        /// Id of a sign or finding.
        of: String,
        /// At one of its places, not known which.
        one: bool,
        /// What is said of them.
        says: Says,
    },
    /// It was looked for and could not be told.
    Unknown {
        /// Id of the finding or raw reading.
        of: String,
    },
}

impl Understood {
    /// The line as the job file keeps it: known ids, units written out.
    pub fn said(&self, rules: &Rules) -> Said {
        let (plug, oil_check) = (PLUG.to_string(), OIL_CHECK.to_string());
        let (of, value) = match &self.meaning {
            Meaning::Graded { finding, grades } => (finding, grade_words(rules, finding, grades)),
            Meaning::Figure { reading, figure } => (reading, figure.to_string()),
            Meaning::OilCheck { check } => (&oil_check, check.to_string()),
            Meaning::Looks { typed } => (&plug, typed.clone()),
            Meaning::Unknown { of } => (of, "unknown".to_string()),
            Meaning::Vague { of, says, .. } => (of, vague_word(rules, of, says)),
        };
        let one = matches!(self.meaning, Meaning::Vague { one: true, .. });
        let at = (self.place != Place::Engine).then(|| self.place.to_string());
        Said {
            of: of.clone(),
            at: if one { Some("one".into()) } else { at },
            value,
        }
    }
}

/// Ways to say that a plug was not taken out.
const NOT_OUT: [&str; 5] = [
    "not out",
    "not-out",
    "not removed",
    "not-removed",
    "still in",
];

/// Whether the words say that a plug was not taken out.
pub fn is_not_out(plain: &str) -> bool {
    NOT_OUT.contains(&plain)
}

/// Several problems as one.
fn together(problems: Vec<Problem>) -> Problem {
    let joined = |parts: Vec<String>| parts.join("; ");
    let whats = problems.iter().map(|p| p.what.clone()).collect();
    let hints: Vec<String> = problems.into_iter().filter_map(|p| p.hint).collect();
    let problem = Problem::new(joined(whats));
    match hints.is_empty() {
        true => problem,
        false => problem.hint(joined(hints)),
    }
}

/// Reads lines for one engine.
#[derive(Debug, Clone, Copy)]
pub struct Reader<'a> {
    /// The knowledge.
    pub rules: &'a Rules,
    /// The engine on the bench.
    pub engine: &'a Engine,
    /// What bare numbers mean.
    pub units: UnitSet,
}

impl Reader<'_> {
    /// What a line means: one meaning for each place that it speaks of.
    ///
    /// # Errors
    /// An unknown finding, one that this engine does not have, a place that it
    /// lacks, a value that is no grade and no figure, a unit that does not fit,
    /// a figure outside the physical range.
    pub fn understand(&self, said: &Said) -> Result<Vec<Understood>, Problem> {
        let id = said.of.to_lowercase();
        if id == PLUG {
            return self.plug(said);
        }
        if let Some(sign) = self.rules.signs.get(&id) {
            return self.sign(sign, said);
        }
        if let Some(understood) = self.circumstance(&id, said) {
            return understood;
        }
        let finding = self.rules.findings.get(&id).map(|f| &f.it);
        let reading = self.rules.readings.get(&id).map(|r| &r.it);
        let scope = match (finding, reading) {
            (Some(f), _) => f.scope,
            (None, Some(r)) => r.scope,
            (None, None) => return Err(self.unknown(&id)),
        };
        self.applies(&id, finding)?;
        let meaning = self.value(&id, finding, reading, &said.value)?;
        if let (Some(f), true, Meaning::Graded { grades, .. }) =
            (finding, is_one(said.at.as_deref()), &meaning)
        {
            return self.at_one(f, grades);
        }
        let places = places(self.engine, scope, said.at.as_deref(), &id)?;
        Ok(places
            .into_iter()
            .map(|place| Understood {
                place,
                meaning: meaning.clone(),
            })
            .collect())
    }

    /// How a plug looks, in the words of the chart.
    fn plug(&self, said: &Said) -> Result<Vec<Understood>, Problem> {
        let chart = Chart::of(self.rules, self.engine)
            .ok_or_else(|| Problem::new("this engine has no spark plugs"))?;
        let plain = said.value.to_lowercase().replace('’', "'");
        let meaning = match is_unknown(&plain) || is_not_out(&plain) {
            true => Meaning::Unknown { of: PLUG.into() },
            false => {
                Looks::read(&chart, &said.value).map_err(together)?;
                let typed = plain.split_whitespace().collect::<Vec<_>>().join(" ");
                Meaning::Looks { typed }
            }
        };
        let places = places(self.engine, Scope::Plug, said.at.as_deref(), PLUG)?;
        let cylinder = said.at.as_deref().and_then(|at| at.parse::<Place>().ok());
        if let (Some(Place::Cylinder(n)), [_, _]) = (cylinder, places.as_slice()) {
            return Err(
                Problem::new(format!("cylinder {n} has two plugs, read one by one")).hint(format!(
                    "write `{n}-upper` or `{n}-lower`; `{n}-upper,{n}-lower` when both look so"
                )),
            );
        }
        Ok((places.into_iter())
            .map(|place| Understood {
                place,
                meaning: meaning.clone(),
            })
            .collect())
    }

    /// A line in words: "Leak-down: 38%, cylinder 3".
    pub fn in_words(&self, said: &Said) -> String {
        let finding = self.rules.findings.get(&said.of).map(|f| &f.title);
        let reading = self.rules.readings.get(&said.of).map(|r| &r.title);
        if said.of == PLUG {
            let chart = Chart::of(self.rules, self.engine);
            let looks = chart.and_then(|chart| {
                let looks = Looks::read(&chart, &said.value).ok()?;
                Some(looks.words(&chart))
            });
            let value = match said.value.as_str() {
                "unknown" => "not read",
                value => looks.as_deref().unwrap_or(value),
            };
            let place = said.at.as_deref().and_then(|at| at.parse().ok());
            return place
                .unwrap_or(Place::Engine)
                .after(&format!("Plug: {value}"));
        }
        if let (OIL_CHECK, Ok(check)) = (said.of.as_str(), self.oil_check(&said.value)) {
            return format!("Check of the oil: {}", check.words());
        }
        let is_figure = said.value.starts_with(|c: char| c.is_ascii_digit());
        let sign = self.rules.signs.get(&said.of).map(|s| &s.title);
        let title = match is_figure {
            true => reading.or(finding),
            false => finding.or(reading).or(sign),
        };
        let value = match said.value.as_str() {
            "unknown" => "could not tell",
            value => value,
        };
        let place = said.at.as_deref().and_then(|at| at.parse().ok());
        let one = is_one(said.at.as_deref());
        let said = format!("{}: {value}", title.unwrap_or(&said.of));
        if one {
            return format!("{said}, at one of them");
        }
        place.unwrap_or(Place::Engine).after(&said)
    }

    fn value(
        &self,
        id: &str,
        finding: Option<&Finding>,
        reading: Option<&Reading>,
        value: &str,
    ) -> Result<Meaning, Problem> {
        let plain = value.to_lowercase().replace('’', "'");
        if is_unknown(&plain) {
            return Ok(Meaning::Unknown { of: id.into() });
        }
        if id == OIL_CHECK {
            let check = self.oil_check(value)?;
            return Ok(Meaning::OilCheck { check });
        }
        if let Some(finding) = finding
            && let Some(grades) = graded(finding, &plain)
        {
            return Ok(Meaning::Graded {
                finding: id.into(),
                grades,
            });
        }
        let measured = finding.and_then(|f| f.measured.as_ref());
        let by_gauge = measured.and_then(|m| self.rules.readings.get(&m.reading));
        let Some(reading) = reading.or(by_gauge.map(|r| &r.it)) else {
            return Err(finding.map_or_else(|| self.unknown(id), |f| no_grade(f, value, None)));
        };
        let looks_like_figure =
            value.starts_with(|c: char| c.is_ascii_digit() || "+-−.".contains(c));
        match finding {
            Some(f) if !looks_like_figure => Err(no_grade(f, value, Some(reading))),
            _ => {
                let figure = reduce::read(reading, value, self.units)?;
                Ok(Meaning::Figure {
                    reading: reading.reading.clone(),
                    figure,
                })
            }
        }
    }

    /// A check of the oil; a bare meter is a distance on what runs on the road.
    fn oil_check(&self, value: &str) -> Result<OilCheck, Problem> {
        let by_road = self.engine.traits.contains("road");
        OilCheck::parse(value, self.units, by_road).map_err(|p| Problem {
            what: format!("check of the oil `{value}`: {}", p.what),
            ..p
        })
    }

    /// Refuses what this engine does not have, and says why.
    fn applies(&self, id: &str, finding: Option<&Finding>) -> Result<(), Problem> {
        let applies = |f: &Finding| self.rules.applies(&self.engine.traits, &f.on, &f.not_on);
        let concerned: Vec<&Finding> = match finding {
            Some(f) => vec![f],
            None => (self.rules.findings.values().map(|f| &f.it))
                .filter(|f| f.measured.as_ref().is_some_and(|m| m.reading == id))
                .collect(),
        };
        match concerned.first() {
            Some(first) if !concerned.iter().any(|f| applies(f)) => Err(Problem::new(format!(
                "`{id}` is not of this engine"
            ))
            .hint(why_not(self.rules, self.engine, first))),
            _ => Ok(()),
        }
    }

    /// An id that is neither finding nor reading, with what may have been meant.
    fn unknown(&self, id: &str) -> Problem {
        let rules = self.rules;
        let problem = Problem::new(format!("no finding is called `{id}`"));
        let hint = if rules.facts.contains_key(id) {
            format!("it is a fact of the engine's past: `fact {id}=yes`")
        } else if let Some(test) = rules.tests.get(id) {
            let yields: Vec<String> = test.yields.iter().map(|y| format!("`{y}`")).collect();
            format!("it is a test, which yields {}", listed(&yields, "and"))
        } else if rules.causes.contains_key(id) {
            format!("it is a cause: `explain {id}` says what speaks for it")
        } else {
            let known = (rules.findings.keys()).chain(rules.readings.keys());
            let known = known.chain(rules.signs.keys());
            match nearest(id, known.map(String::as_str)) {
                Some(near) => format!("did you mean `{near}`?"),
                None => "`find WORDS` looks for an observation by plain words".into(),
            }
        };
        problem.hint(hint)
    }
}

/// Whether the words say that it could not be told.
pub fn is_unknown(plain: &str) -> bool {
    [
        "unknown",
        "can't",
        "cant",
        "cannot",
        "can't tell",
        "could not tell",
        "?",
    ]
    .contains(&plain)
}
