//! The job file as it stands on disk: plain YAML, `sootsayer: 1` first.
//!
//! The head says what the engine is; the diary below it only ever grows. What
//! was recorded, retracted and undone is read off the diary by replay.

use super::closed::Closed;
use super::{Moment, Said};
use crate::gauge::UnitSet;
use crate::problem::{Problem, Spot};
use crate::rules::file::Dimensions;
use crate::rules::node::{Data, Node};
use crate::rules::text::Text;
use crate::rules::typing::at_once;
use crate::rules::yaml;
use crate::visible::visible;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::borrow::Cow;

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

/// A node without keys that say nothing: `facts:` alone is as good as left out.
fn said(mut node: Node) -> Node {
    node.data = match node.data {
        Data::Map(pairs) => Data::Map(
            (pairs.into_iter())
                .filter(|(_, value)| value.data != Data::Nothing)
                .map(|(key, value)| (key, said(value)))
                .collect(),
        ),
        Data::List(items) => Data::List(items.into_iter().map(said).collect()),
        other => other,
    };
    node
}

impl JobFile {
    /// Reads the text of a job file; `name` is how the user would name the file.
    /// Hidden characters in free text are shown by their code from here on.
    ///
    /// # Errors
    /// Text that is no YAML, no job file, or of a newer version; with the line
    /// and column where the reader stopped.
    pub fn parse(text: &str, name: &str) -> Result<Self, Problem> {
        let (text, mut faults) = Text::decode(name, text.into());
        let (root, more) = yaml::parse(0, &text.text);
        faults.extend(more);
        if let Some(fault) = faults.into_iter().next() {
            return Err(text.problem(fault));
        }
        version(&root, name)?;
        let root = said(root);
        let mut file: JobFile = at_once(&root).map_err(|placed| text.problem(placed.fault))?;
        file.show_hidden();
        Ok(file)
    }

    /// The whole file as text.
    ///
    /// # Errors
    /// None that is known; the YAML writer's own, should it have any.
    pub fn text(&self) -> Result<String, Problem> {
        serde_yaml::to_string(self)
            .map_err(|e| Problem::new(format!("the job cannot be written: {e}")))
    }

    /// The text of the file with one more act in its diary. What a person wrote
    /// into the file (comments, order, line breaks) is kept: the act is put behind
    /// the last one. Where the diary is no plain list the file is written anew,
    /// unless it holds comments, which would be lost.
    ///
    /// # Errors
    /// A diary that cannot be added to without loss.
    pub fn text_after(&self, old: &str, act: &Act) -> Result<String, Problem> {
        let mut grown = self.clone();
        grown.diary.push(act.clone());
        grown.show_hidden();
        let entry = serde_yaml::to_string(&[act])
            .map_err(|e| Problem::new(format!("the job cannot be written: {e}")))?;
        let indented: String = entry.lines().map(|l| format!("  {l}\n")).collect();
        let (before, after) = old.split_at(end_of_diary(old));
        let line_end = match before.is_empty() || before.ends_with('\n') {
            true => "",
            false => "\n",
        };
        let added = [
            format!("{before}{line_end}{entry}{after}"),
            format!("{before}{line_end}{indented}{after}"),
            format!("{before}{line_end}diary:\n{entry}{after}"),
            before.replacen("\ndiary: []", &format!("\ndiary:\n{}", entry.trim_end()), 1) + after,
        ]
        .into_iter()
        .find(|text| JobFile::parse(text, "").is_ok_and(|read| read == grown));
        match added {
            Some(text) => Ok(text),
            None if !old.contains('#') => grown.text(),
            None => Err(Problem::new(
                "the diary is not a plain list, so that nothing can be added without losing the comments in the file",
            )
            .hint("write every act as `- time: ...` on a line of its own below `diary:`")),
        }
    }

    /// Free text with nothing hidden in it, for whoever shows it.
    fn show_hidden(&mut self) {
        let engine = &mut self.engine;
        let head = [
            &mut engine.name,
            &mut engine.family,
            &mut engine.banks,
            &mut self.complaint,
        ];
        let traits = engine.with.iter_mut().chain(&mut engine.without);
        let acts = (self.diary.iter_mut())
            .flat_map(|act| [&mut act.test, &mut act.instrument, &mut act.note])
            .flatten();
        for text in head.into_iter().chain(traits).chain(acts) {
            if let Cow::Owned(shown) = visible(text) {
                *text = shown;
            }
        }
    }
}

/// Where the text of the diary ends, before other keys and the end of the document;
/// the end of the head where there is no diary.
fn end_of_diary(text: &str) -> usize {
    let mut at = 0;
    let mut end = text.len();
    let mut within = false;
    for line in text.split_inclusive('\n') {
        let is_end = line.starts_with("...");
        if (within && !line.starts_with([' ', '-', '#', '\n', '\r'])) || is_end {
            end = at;
            break;
        }
        within |= line.starts_with("diary:");
        at += line.len();
    }
    // comments and blank lines before what follows belong to it
    while end < text.len() {
        let last = text[..end]
            .trim_end_matches(['\n', '\r'])
            .rfind('\n')
            .map_or(0, |n| n + 1);
        let line = text[last..end].trim();
        if last == 0 || !(line.is_empty() || text[last..end].starts_with('#')) {
            break;
        }
        end = last;
    }
    end
}

/// Refuses a file that is no job or that a newer program wrote.
fn version(root: &Node, name: &str) -> Result<(), Problem> {
    let version = root.get("sootsayer").map(|it| &it.data);
    let problem = match version {
        Some(Data::Number(v)) if *v == f64::from(VERSION) => return Ok(()),
        None => Problem::new("this is no job file: the key `sootsayer` is missing")
            .hint("a job file is started with `sootsayer new`"),
        Some(Data::Number(v)) if *v > f64::from(VERSION) => Problem::new(format!(
            "the job file has version {v}; this program reads up to version {VERSION}"
        ))
        .hint("a newer sootsayer wrote it; it is left as it is"),
        Some(_) => Problem::new("the version of the job file is not understood")
            .hint(format!("the first line should be `sootsayer: {VERSION}`")),
    };
    Err(problem.at(Spot {
        file: name.into(),
        ..Spot::default()
    }))
}
