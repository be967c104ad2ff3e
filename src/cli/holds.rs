//! `fact`, `set-up` and `tools`: what holds of the engine's past, how it
//! stands on the bench, and what the shop has; one grammar for the three.

use super::{Answer, no_such};
use crate::job::file::Act;
use crate::job::{ALL, Holds, Said};
use crate::problem::{Problem, Problems};
use crate::rules::Rules;
use crate::session::Session;
use crate::words::listed;
use clap::Args;
use std::collections::{BTreeMap, BTreeSet};
use std::io::Write;

/// Arguments of `fact`.
#[derive(Debug, Args)]
pub struct Fact {
    /// Facts of the engine's past, such as `long-lay-up`, `recent-overhaul=no`, `short-trips=unknown`,
    /// `has-overheated=perhaps`
    #[arg(required = true, value_name = "FACT[=yes|no|perhaps|unknown]")]
    pub facts: Vec<String>,
    /// Who says so, or why
    #[arg(long, value_name = "TEXT")]
    pub note: Option<String>,
}

/// Arguments of `set-up`.
#[derive(Debug, Args)]
pub struct SetUp {
    /// How the engine stands now, such as `plugs-out`, `engine-warm=no`
    #[arg(required = true, value_name = "SET-UP[=yes|no]")]
    pub set_ups: Vec<String>,
}

/// Arguments of `tools`.
#[derive(Debug, Args)]
pub struct Tools {
    /// What the shop has or lacks, such as `borescope=no`, `leak-down-tester`
    #[arg(required = true, value_name = "TOOL[=yes|no|unknown]")]
    pub tools: Vec<String>,
    /// The shop has these and no others
    #[arg(long)]
    pub only: bool,
}

impl Fact {
    /// Writes the facts into the diary.
    ///
    /// # Errors
    /// A fact that is unknown or not of this engine, or the job cannot be saved.
    pub fn run(self, session: &mut Session, out: &mut dyn Write) -> Answer {
        let facts = facts(&session.rules, &session.engine.traits, &self.facts)?;
        let facts = with_group(&session.rules, &session.store.job.facts, facts);
        let note = self.note;
        session.store.add(Act {
            facts: facts.clone(),
            note,
            ..Act::now()
        })?;
        for said in &facts {
            let title = &session.rules.facts[&said.of].title;
            writeln!(out, "noted: {title}: {}", said.value)?;
        }
        Ok(())
    }
}

impl SetUp {
    /// Writes down how the engine stands; what a set-up ends is taken off.
    ///
    /// # Errors
    /// A set-up that is unknown, or the job cannot be saved.
    pub fn run(self, session: &mut Session, out: &mut dyn Write) -> Answer {
        let known: BTreeSet<&String> = session.rules.set_ups.keys().collect();
        let said = lines("set-up", &self.set_ups, &known, &SURE)?;
        session.stand_as(said)?;
        let now: Vec<&str> = (session.store.job.set_up.iter())
            .filter_map(|id| Some(session.rules.set_ups.get(id)?.title.as_str()))
            .collect();
        match now.is_empty() {
            true => writeln!(out, "the engine stands as it came in")?,
            false => writeln!(out, "the engine stands now: {}", now.join("; "))?,
        }
        Ok(())
    }
}

impl Tools {
    /// Writes down what the shop has.
    ///
    /// # Errors
    /// A tool that is unknown, or the job cannot be saved.
    pub fn run(self, session: &mut Session, out: &mut dyn Write) -> Answer {
        let tools = tools(&session.rules, &self.tools, self.only)?;
        session.store.add(Act {
            tools,
            ..Act::now()
        })?;
        let lacking: Vec<&str> = (session.rules.equipment.iter())
            .filter(|(id, _)| !session.has_tool(id))
            .map(|(_, tool)| tool.title.as_str())
            .collect();
        match lacking.is_empty() {
            true => writeln!(out, "every tool is taken to be at hand")?,
            false => writeln!(out, "not at hand: {}", lacking.join("; "))?,
        }
        Ok(())
    }
}

/// Reads facts for an engine with these traits.
///
/// # Errors
/// Every fact that is unknown or not of such an engine.
pub fn facts(
    rules: &Rules,
    traits: &BTreeSet<String>,
    words: &[String],
) -> Result<Vec<Said>, Problems> {
    let known: BTreeSet<&String> = rules.facts.keys().collect();
    let said = lines("fact", words, &known, &["yes", "no", "perhaps", "unknown"])?;
    let strange = said
        .iter()
        .filter(|s| !rules.applies(traits, &rules.facts[&s.of].on, &[]));
    let problems: Problems = strange
        .map(|s| Problem::new(format!("`{}` is not a fact of this kind of engine", s.of)))
        .collect();
    match problems.is_empty() {
        true => Ok(said),
        false => Err(problems),
    }
}

/// Reads tools; with `only`, every other tool is said to be lacking.
///
/// # Errors
/// Every tool that is unknown.
pub fn tools(rules: &Rules, words: &[String], only: bool) -> Result<Vec<Said>, Problems> {
    let known: BTreeSet<&String> = rules.equipment.keys().collect();
    let mut said = lines("tool", words, &known, &SURE)?;
    if only {
        said.insert(0, Said::plain(ALL, "no"));
    }
    Ok(said)
}

/// What a set-up or a tool can be.
const SURE: [&str; 3] = ["yes", "no", "unknown"];

/// Reads words such as `long-lay-up` or `long-lay-up=no`.
fn lines(
    kind: &str,
    words: &[String],
    known: &BTreeSet<&String>,
    values: &[&str],
) -> Result<Vec<Said>, Problems> {
    let mut said = vec![];
    let mut problems = Problems::new();
    let ways: Vec<String> = values.iter().map(|v| format!("`{v}`")).collect();
    for word in words {
        let (id, value) = word.split_once('=').unwrap_or((word, "yes"));
        let (id, value) = (id.trim().to_lowercase(), value.trim().to_lowercase());
        if !known.contains(&id) {
            let list = format!("`find {id}` may find it");
            problems.push(no_such(kind, &id, known.iter().copied(), &list));
        } else if !values.contains(&value.as_str()) {
            problems.push(
                Problem::new(format!("`{id}` cannot be `{value}`"))
                    .hint(format!("say {}", listed(&ways, "or"))),
            );
        } else {
            said.push(Said::plain(&id, &value));
        }
    }
    match problems.is_empty() {
        true => Ok(said),
        false => Err(problems),
    }
}

/// Only one fact of a group holds: the others that were said to are taken back.
fn with_group(rules: &Rules, now: &BTreeMap<String, Holds>, mut said: Vec<Said>) -> Vec<Said> {
    let group = |id: &str| rules.facts.get(id).and_then(|f| f.group.clone());
    let groups: Vec<String> = said
        .iter()
        .filter(|s| s.value == "yes")
        .filter_map(|s| group(&s.of))
        .collect();
    for (id, holds) in now {
        let replaced = group(id).is_some_and(|g| groups.contains(&g));
        if *holds == Holds::Yes && replaced && !said.iter().any(|s| s.of == *id) {
            said.push(Said::plain(id, "no"));
        }
    }
    said
}
