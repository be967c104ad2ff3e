//! The readings that a test yields, as questions with their answers.

use crate::engine::{Engine, Place};
use crate::job::Said;
use crate::rules::Rules;
use crate::rules::file::{Finding, Scope, Test};
use crate::rules::signs::circumstance;
use std::collections::BTreeSet;

/// One question.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Question {
    /// A grade or a figure at one place.
    Each {
        /// Finding or raw reading.
        of: String,
        /// Where.
        place: Place,
    },
    /// A finding that is there or not: at which of these places?
    Which {
        /// Finding.
        of: String,
        /// Where it can be.
        places: Vec<Place>,
    },
}

/// What an answer says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Reply {
    /// Readings, and how many questions they answer from this one on.
    Said(Vec<Said>, usize),
    /// Go on without it.
    Skip,
    /// Say more about the question.
    Help,
    /// Take the last answer back and ask again.
    Undo,
    /// Leave the test.
    Leave,
}

/// The questions of a test, in the order of what it yields; only those of
/// `wanted`, where that is given.
pub fn of_test(
    rules: &Rules,
    engine: &Engine,
    test: &Test,
    wanted: Option<&[(String, Place)]>,
) -> Vec<Question> {
    let mut questions = vec![];
    let mut figures = BTreeSet::new();
    for id in &test.yields {
        let Some(finding) = rules.findings.get(id) else {
            continue;
        };
        if !rules.applies(&engine.traits, &finding.on, &finding.not_on) {
            continue;
        }
        if let Some(of) = finding.value_of.clone() {
            let asked = wanted.is_none_or(|w| w.iter().any(|(of, _)| of == id));
            if asked && figures.insert((of.clone(), Place::Engine)) {
                questions.push(Question::Each {
                    of,
                    place: Place::Engine,
                });
            }
            continue;
        }
        let mut places = engine.places(finding.scope);
        if let Some(wanted) = wanted {
            places.retain(|place| wanted.iter().any(|(of, at)| of == id && at == place));
        }
        let reading = finding.measured.as_ref().map(|m| m.reading.clone());
        match reading {
            Some(of) => {
                let new = places
                    .into_iter()
                    .filter(|p| figures.insert((of.clone(), *p)));
                questions.extend(new.map(|place| Question::Each {
                    of: of.clone(),
                    place,
                }));
            }
            None => questions.extend(of_finding(finding, places)),
        }
    }
    questions
}

/// The questions of one finding.
pub fn of_finding(finding: &Finding, places: Vec<Place>) -> Vec<Question> {
    let of = finding.finding.clone();
    if finding.scope != Scope::Engine && finding.grades.len() == 2 && places.len() > 1 {
        return vec![Question::Which { of, places }];
    }
    let each = |place| Question::Each {
        of: of.clone(),
        place,
    };
    places.into_iter().map(each).collect()
}

impl Question {
    /// The finding or raw reading.
    pub fn of(&self) -> &str {
        match self {
            Question::Each { of, .. } | Question::Which { of, .. } => of,
        }
    }

    /// The question in words; a raw reading asks by its title.
    pub fn ask(&self, rules: &Rules) -> String {
        let finding = rules.findings.get(self.of());
        let reading = rules.readings.get(self.of());
        let sign = rules.signs.get(self.of());
        match (self, reading, finding) {
            (Question::Each { .. }, Some(r), _) => format!("{}, in {}", r.title, r.unit),
            (_, _, Some(f)) => f.ask.clone(),
            _ if sign.is_some() => sign.map_or(String::new(), |s| s.ask.clone()),
            _ => circumstance(self.of()).unwrap_or(self.of()).to_string(),
        }
    }

    /// More about the question: how to tell the grades apart, what can be answered.
    pub fn help(&self, rules: &Rules) -> String {
        let finding = rules.findings.get(self.of());
        let sign = rules.signs.get(self.of()).map(|s| s.help.clone());
        let mut help = finding.map_or(sign.unwrap_or_default(), |f| f.help.clone());
        if !help.is_empty() {
            help.push('\n');
        }
        help += match self {
            Question::Each { of, .. } if rules.readings.contains_key(of) => {
                "Write the figure with its unit, or the figures of all that are left in order."
            }
            Question::Each { .. } if circumstance(self.of()).is_some() => {
                "Write one of the values, or several with commas between them."
            }
            Question::Each { .. } if rules.signs.contains_key(self.of()) => {
                "Write `yes` when at least one of what the word stands for is seen, `no` when none is."
            }
            Question::Each { .. } if finding.is_some_and(|f| f.grades.len() > 2) => {
                "Write one of the grades, `yes` when it is seen and the degree is not known, or `at least` \
                 a grade; `all` before it means all that are left."
            }
            Question::Each { .. } => {
                "Write one of the grades; `all` before it means all that are left."
            }
            Question::Which { .. } => "Write the places, such as `3` or `2,3`, or `none` or `all`.",
        };
        help += "\n`skip` goes on, `can't` says that it cannot be told, `undo` takes the last answer back, \
                 `stop` leaves the test.";
        help
    }

    /// Usual answers.
    pub fn usual(&self, rules: &Rules) -> Vec<String> {
        let mut usual: Vec<String> = match self {
            Question::Each { of, .. } => match rules.findings.get(of) {
                Some(f) if f.grades.len() > 2 => {
                    let (sound, above) = f.grades.split_at(1);
                    [sound, &["yes".to_string()], above].concat()
                }
                Some(f) => f.grades.clone(),
                None if circumstance(of).is_some() => {
                    rules.values_of(of).into_keys().map(String::from).collect()
                }
                None if rules.signs.contains_key(of) => ["no", "yes"].map(String::from).to_vec(),
                None => vec![],
            },
            Question::Which { places, .. } => {
                let places = places.iter().map(Place::to_string);
                ["none".to_string()]
                    .into_iter()
                    .chain(places)
                    .chain(["all".to_string()])
                    .collect()
            }
        };
        usual.extend(["can't", "skip", "undo", "stop", "?"].map(String::from));
        usual
    }

    /// Where it is asked, for the prompt.
    pub fn at(&self) -> String {
        match self {
            Question::Each {
                place: Place::Engine,
                ..
            } => String::new(),
            Question::Each { place, .. } => place.after("").trim_start_matches(", ").to_string(),
            Question::Which { .. } => "where".into(),
        }
    }

    /// What an answer says. `alike` are the places of the questions that follow
    /// with the same finding or reading.
    ///
    /// # Errors
    /// A place that was not asked for.
    pub fn reply(&self, answer: &str, alike: &[Place]) -> Result<Reply, String> {
        let plain = answer.trim().to_lowercase();
        match plain.as_str() {
            "" | "skip" => return Ok(Reply::Skip),
            "?" | "help" => return Ok(Reply::Help),
            "undo" => return Ok(Reply::Undo),
            "stop" | "leave" | "quit" => return Ok(Reply::Leave),
            _ => {}
        }
        match self {
            Question::Each { of, place } => Ok(each(of, *place, answer.trim(), alike)),
            Question::Which { of, places } => which(of, places, &plain),
        }
    }
}

fn line(of: &str, place: Place, value: &str) -> Said {
    Said {
        of: of.into(),
        at: (place != Place::Engine).then(|| place.to_string()),
        value: value.into(),
    }
}

/// One value, one for all that are left, or the figures of all that are left.
fn each(of: &str, place: Place, answer: &str, alike: &[Place]) -> Reply {
    let left: Vec<Place> = [place].into_iter().chain(alike.iter().copied()).collect();
    if let Some(value) = answer.strip_prefix("all ") {
        let said = left.iter().map(|p| line(of, *p, value.trim())).collect();
        return Reply::Said(said, left.len());
    }
    let words: Vec<&str> = answer.split_whitespace().collect();
    let is_figure = |w: &str| w.starts_with(|c: char| c.is_ascii_digit() || c == '.') || w == "-";
    let (figures, unit) = match words.as_slice() {
        [figures @ .., unit] if !is_figure(unit) => (figures, format!(" {unit}")),
        figures => (figures, String::new()),
    };
    if figures.len() == left.len() && left.len() > 1 && figures.iter().all(|w| is_figure(w)) {
        let said = left.iter().zip(figures).filter(|(_, f)| **f != "-");
        let said = said
            .map(|(p, figure)| line(of, *p, &format!("{figure}{unit}")))
            .collect();
        return Reply::Said(said, left.len());
    }
    Reply::Said(vec![line(of, place, answer)], 1)
}

/// The places where it is seen; the others then are places where it is not.
fn which(of: &str, places: &[Place], answer: &str) -> Result<Reply, String> {
    let all = |value: &str| places.iter().map(|p| line(of, *p, value)).collect();
    if crate::job::meaning::is_unknown(answer) {
        return Ok(Reply::Said(all("unknown"), 1));
    }
    match answer {
        "none" | "no" | "nowhere" => return Ok(Reply::Said(all("no"), 1)),
        "all" | "yes" => return Ok(Reply::Said(all("yes"), 1)),
        _ => {}
    }
    let mut seen = BTreeSet::new();
    for word in answer.split([',', ' ']).filter(|w| !w.is_empty()) {
        let place: Place = word.parse()?;
        if !places.contains(&place) {
            let asked: Vec<String> = places.iter().map(Place::to_string).collect();
            return Err(format!(
                "`{word}` is none of {}; or write `none`, `all`",
                asked.join(", ")
            ));
        }
        seen.insert(place);
    }
    let said = places
        .iter()
        .map(|p| line(of, *p, if seen.contains(p) { "yes" } else { "no" }));
    Ok(Reply::Said(said.collect(), 1))
}

#[cfg(test)]
mod tests {
    use super::*;

    const TWO: [Place; 2] = [Place::Cylinder(2), Place::Cylinder(3)];

    fn shown(reply: Result<Reply, String>) -> String {
        match reply {
            Ok(Reply::Said(said, n)) => {
                let said: Vec<String> = said.iter().map(Said::to_string).collect();
                format!("{} ({n})", said.join(" "))
            }
            Ok(other) => format!("{other:?}"),
            Err(why) => why,
        }
    }

    #[test]
    fn a_figure_answers_one_question_or_all_that_are_left() {
        let q = Question::Each {
            of: "it".into(),
            place: Place::Cylinder(1),
        };
        assert_eq!(shown(q.reply("38%", &TWO)), "it@1=38% (1)");
        assert_eq!(shown(q.reply("95 psi", &TWO)), "it@1=95 psi (1)");
        assert_eq!(shown(q.reply("8 38 9", &TWO)), "it@1=8 it@2=38 it@3=9 (3)");
        assert_eq!(
            shown(q.reply("150 - 95 psi", &TWO)),
            "it@1=150 psi it@3=95 psi (3)"
        );
        assert_eq!(
            shown(q.reply("all good", &TWO)),
            "it@1=good it@2=good it@3=good (3)"
        );
        assert_eq!(shown(q.reply("can't", &TWO)), "it@1=can't (1)");
        assert_eq!(shown(q.reply("", &TWO)), "Skip");
        assert_eq!(shown(q.reply(" UNDO ", &TWO)), "Undo");
    }

    #[test]
    fn the_places_where_it_is_seen_say_where_it_is_not() {
        let q = Question::Which {
            of: "it".into(),
            places: TWO.to_vec(),
        };
        assert_eq!(shown(q.reply("3", &[])), "it@2=no it@3=yes (1)");
        assert_eq!(shown(q.reply("2, 3", &[])), "it@2=yes it@3=yes (1)");
        assert_eq!(shown(q.reply("none", &[])), "it@2=no it@3=no (1)");
        assert_eq!(
            shown(q.reply("can't", &[])),
            "it@2=unknown it@3=unknown (1)"
        );
        assert_eq!(
            shown(q.reply("7", &[])),
            "`7` is none of 2, 3; or write `none`, `all`"
        );
        assert!(shown(q.reply("maybe", &[])).contains("no place"));
    }
}
