//! The job file as it stands on disk: plain YAML, `sootsayer: 1` first.
//!
//! The head says what the engine is; the diary below it only ever grows. What
//! was recorded, retracted and undone is read off the diary by replay.

use super::closed::Closed;
use super::{Moment, Said};
use crate::gauge::UnitSet;
use crate::problem::{Problem, Spot};
use crate::rules::file::Dimensions;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The newest version of the job file that this program reads and the one it writes.
pub const VERSION: u32 = 1;

/// What the job says of the engine.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct EngineFile {
    /// What the owner or shop calls it.
    pub name: String,
    /// Family id in the rules.
    pub family: String,
    /// Traits that it has beside or instead of the family's.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub with: Vec<String>,
    /// Traits of the family that it lacks.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub without: Vec<String>,
    /// Number of cylinders, 1 to 12.
    pub cylinders: usize,
    /// Cylinder numbers bank by bank, `1 3 5 / 2 4 6`; left out when there is one bank.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub banks: String,
    /// Dimensions that differ from the family's or are known better.
    #[serde(default, skip_serializing_if = "is_bare")]
    pub dimensions: Dimensions,
}

fn is_bare(dimensions: &Dimensions) -> bool {
    *dimensions == Dimensions::default()
}

/// One act at the bench: what a single command wrote down.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Act {
    /// When it was written down.
    pub time: Moment,
    /// When it was taken, where that was not when it was written down.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub taken: Option<Moment>,
    /// Readings and observations, as typed; numbered from 1 through the whole diary.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub readings: Vec<Said>,
    /// History facts: `long-lay-up=yes`.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub facts: Vec<Said>,
    /// Repairs tried on this complaint and what came of them: `new-plugs=no-better`.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub tried: Vec<Said>,
    /// States of the engine on the bench: `plugs-out=yes`.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub set_up: Vec<Said>,
    /// Equipment at hand: `borescope=yes`.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub tools: Vec<Said>,
    /// Its readings are the complaint: what the engine was brought in with.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub complaint: bool,
    /// Numbers of readings recorded before that are the complaint.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub complaint_of: Vec<usize>,
    /// Its readings are of a time before: kept and shown, no evidence of today.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub earlier: bool,
    /// Figures of the opened engine, as typed: `bore@1=80.05/80.02 80.03/80.01 80.00/80.00`; a later
    /// line for the same thing takes the place of an earlier one.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub bench: Vec<Said>,
    /// The maker's own limits and sizes: `bore-taper=0.05 mm`, `bore-new=80 mm`.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub limits: Vec<Said>,
    /// What it turned out to be: the job is closed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub closed: Option<Closed>,
    /// A closed job came back, and with what.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub comeback: Option<String>,
    /// Readings after the repair of a closed job, added later.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub retest: Vec<Said>,
    /// A closed job was opened again, and why.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reopened: Option<String>,
    /// Numbers of the readings taken back; they stay in the record.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub retract: Vec<usize>,
    /// Number of the act undone, from 1; it stays in the record.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub undo: Option<usize>,
    /// The test that it was part of.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub test: Option<String>,
    /// The instrument used.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub instrument: Option<String>,
    /// A remark, or the reason.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

impl Act {
    /// An empty act, done now.
    pub fn now() -> Self {
        Act {
            time: Moment::now(),
            taken: None,
            readings: vec![],
            facts: vec![],
            tried: vec![],
            set_up: vec![],
            tools: vec![],
            complaint: false,
            complaint_of: vec![],
            earlier: false,
            bench: vec![],
            limits: vec![],
            closed: None,
            comeback: None,
            retest: vec![],
            reopened: None,
            retract: vec![],
            undo: None,
            test: None,
            instrument: None,
            note: None,
        }
    }

    /// What the act said, in one line.
    pub fn says(&self) -> String {
        let lists = [
            &self.readings,
            &self.facts,
            &self.tried,
            &self.set_up,
            &self.tools,
            &self.bench,
            &self.limits,
            &self.retest,
        ];
        let mut parts: Vec<String> = (lists.into_iter().flatten()).map(Said::to_string).collect();
        parts.extend((self.complaint_of.iter()).map(|n| format!("reading {n} as the complaint")));
        parts.extend(
            self.closed
                .as_ref()
                .map(|closed| match closed.found.is_empty() {
                    true => "closed: no fault found".to_string(),
                    false => format!("closed: found {}", closed.found.join(", ")),
                }),
        );
        parts.extend(
            self.comeback
                .as_ref()
                .map(|with| format!("came back: {with}")),
        );
        parts.extend(self.reopened.as_ref().map(|why| match why.is_empty() {
            true => "reopened".to_string(),
            false => format!("reopened: {why}"),
        }));
        parts.extend(self.retract.iter().map(|n| format!("retract {n}")));
        parts.extend(self.undo.map(|n| format!("undo of act {n}")));
        parts.join(", ")
    }
}

/// The whole file.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct JobFile {
    /// Version of the format; the first key of the file.
    pub sootsayer: u32,
    /// The engine.
    pub engine: EngineFile,
    /// The complaint in the owner's words.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub complaint: String,
    /// When the job was taken in.
    pub opened: Moment,
    /// Units meant when a figure is written without one.
    #[serde(default)]
    pub units: UnitSet,
    /// Everything done since, in order.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub diary: Vec<Act>,
}

/// Only the version, whatever else the file holds.
#[derive(Deserialize)]
struct VersionOnly {
    sootsayer: Option<serde_yaml::Value>,
}

impl JobFile {
    /// Reads the text of a job file; `name` is how the user would name the file.
    ///
    /// # Errors
    /// Text that is no YAML, no job file, or of a newer version; with the line
    /// and column where the reader stopped.
    pub fn parse(text: &str, name: &str) -> Result<Self, Problem> {
        let text = text.trim_start_matches('\u{feff}');
        let version: VersionOnly =
            serde_yaml::from_str(text).map_err(|e| placed(&e, text, name))?;
        let whole = Spot {
            file: name.into(),
            ..Spot::default()
        };
        match version.sootsayer {
            None => {
                return Err(
                    Problem::new("this is no job file: the key `sootsayer` is missing")
                        .at(whole)
                        .hint("a job file is started with `sootsayer new`"),
                );
            }
            Some(v) if v.as_u64().is_some_and(|v| v > u64::from(VERSION)) => {
                let v = v.as_u64().unwrap_or_default();
                return Err(Problem::new(format!(
                    "the job file has version {v}; this program reads up to version {VERSION}"
                ))
                .at(whole)
                .hint("a newer sootsayer wrote it; it is left as it is"));
            }
            Some(v) if v.as_u64() == Some(u64::from(VERSION)) => {}
            Some(_) => {
                return Err(
                    Problem::new("the version of the job file is not understood")
                        .at(whole)
                        .hint(format!("the first line should be `sootsayer: {VERSION}`")),
                );
            }
        }
        serde_yaml::from_str(text).map_err(|e| placed(&e, text, name))
    }

    /// The whole file as text.
    ///
    /// # Errors
    /// None that is known; the YAML writer's own, should it have any.
    pub fn text(&self) -> Result<String, Problem> {
        serde_yaml::to_string(self)
            .map_err(|e| Problem::new(format!("the job cannot be written: {e}")))
    }

    /// The text of the file with one more act at its end. What a person wrote
    /// into the file (comments, order, line breaks) is kept where the diary is
    /// still a plain list at the end; otherwise the file is written anew.
    ///
    /// # Errors
    /// As [`JobFile::text`].
    pub fn text_after(&self, old: &str, act: &Act) -> Result<String, Problem> {
        let mut grown = self.clone();
        grown.diary.push(act.clone());
        let entry = serde_yaml::to_string(&[act])
            .map_err(|e| Problem::new(format!("the job cannot be written: {e}")))?;
        let indented: String = entry.lines().map(|l| format!("  {l}\n")).collect();
        let line_end = if old.is_empty() || old.ends_with('\n') {
            ""
        } else {
            "\n"
        };
        [
            format!("{old}{line_end}{entry}"),
            format!("{old}{line_end}{indented}"),
            format!("{old}{line_end}diary:\n{entry}"),
        ]
        .into_iter()
        .find(|text| JobFile::parse(text, "").is_ok_and(|read| read == grown))
        .map_or_else(|| grown.text(), Ok)
    }
}

/// A YAML error as a problem with its place and line.
fn placed(error: &serde_yaml::Error, text: &str, name: &str) -> Problem {
    let Some(location) = error.location() else {
        return Problem::new(error.to_string()).at(Spot {
            file: name.into(),
            ..Spot::default()
        });
    };
    let (line, column) = (location.line(), location.column());
    let said = error.to_string();
    let end = format!(" at line {line} column {column}");
    let what = said.strip_suffix(&end).unwrap_or(&said).to_string();
    let problem = Problem::new(what).at(Spot {
        file: name.into(),
        line,
        column,
    });
    match text.lines().nth(line.saturating_sub(1)) {
        Some(excerpt) => problem.excerpt(excerpt, 1),
        None => problem,
    }
}
