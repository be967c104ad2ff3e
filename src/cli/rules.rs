//! `rules`: check, list and look up what the program knows.

use super::export::Export;
use super::rules_draw::{Draw, Schema};
use super::{Answer, Ending, no_such};
use crate::graph;
use crate::problem::{Problem, Severity};
use crate::rules::coverage::Coverage;
use crate::rules::lookup::Named;
use crate::rules::{self, Kind, folder};
use crate::show::rule_check::Check;
use crate::show::{self, rule_json, rule_list, rule_page};
use crate::words::nearest;
use clap::{Args, Subcommand};
use std::io::Write;
use std::path::Path;

/// Arguments of `rules`.
#[derive(Debug, Args)]
pub struct Rules {
    #[command(subcommand)]
    word: RulesWord,
}

#[derive(Debug, Subcommand)]
enum RulesWord {
    /// Check that the rules hang together, and say what they cover
    Check(Check_),
    /// List causes, findings, tests and so on
    List(List),
    /// One entry as a page: a cause, a finding, a test as a work sheet
    Show(Show),
    /// Draw the rule graph, or the part around an id, as DOT or SVG
    Draw(Draw),
    /// JSON Schema of rule files or job files, for editors
    Schema(Schema),
    /// The network of a family's engine as a file that other programs read
    Export(Export),
}

/// Arguments of `rules check`.
#[derive(Debug, Args)]
struct Check_ {
    /// Print JSON
    #[arg(long)]
    json: bool,
}

/// Arguments of `rules list`.
#[derive(Debug, Args)]
struct List {
    /// causes, findings, readings, tests, set-ups, equipment, repairs,
    /// accesses, parts, families, facts, traits, sources or words
    kind: Option<String>,
    /// Only entries that hold all these words
    #[arg(long, short, num_args = 1.., value_name = "WORDS")]
    search: Vec<String>,
    /// Print JSON
    #[arg(long)]
    json: bool,
}

/// Arguments of `rules show`.
#[derive(Debug, Args)]
struct Show {
    /// Id of an entry, such as `rings-stuck`, a trait, or words of a title
    #[arg(required = true)]
    id: Vec<String>,
    /// Only the entry of this kind, where several have the id
    #[arg(long)]
    kind: Option<String>,
    /// Print JSON
    #[arg(long)]
    json: bool,
}

impl Rules {
    /// Answers; `extra` is the user's folder of rules.
    ///
    /// # Errors
    /// [`Ending::Failed`] when the check finds an error, [`Ending::Wrong`] when
    /// the folder cannot be used or an id is not known.
    pub fn run(self, extra: Option<&Path>, out: &mut dyn Write) -> Answer {
        if let Some(problem) = extra.and_then(folder::unusable) {
            return Err(problem.into());
        }
        match self.word {
            RulesWord::Check(it) => it.run(extra, out),
            RulesWord::List(it) => it.run(extra, out),
            RulesWord::Show(it) => it.run(extra, out),
            RulesWord::Draw(it) => {
                let only = it.kind.as_deref().map(kind).transpose()?;
                it.run(&sound(extra)?, only, out)
            }
            RulesWord::Schema(it) => it.run(out),
            RulesWord::Export(it) => it.run(&sound(extra)?, out),
        }
    }
}

impl Check_ {
    fn run(self, extra: Option<&Path>, out: &mut dyn Write) -> Answer {
        let loaded = rules::load_whole(extra);
        let problems = graph::all_problems(&loaded);
        let coverage = Coverage::of(&loaded.rules);
        let check = Check {
            rules: &loaded.rules,
            problems: &problems,
            coverage: &coverage,
        };
        match self.json {
            true => writeln!(out, "{:#}", check.json())?,
            false => writeln!(out, "{}", check.page(show::width()))?,
        }
        match check.errors() {
            0 => Ok(()),
            _ => Err(Ending::Failed(Vec::new())),
        }
    }
}

impl List {
    fn run(self, extra: Option<&Path>, out: &mut dyn Write) -> Answer {
        let rules = sound(extra)?;
        let width = show::width();
        let kind = match self.kind.as_deref() {
            Some("words") => {
                match self.json {
                    true => writeln!(out, "{:#}", serde_json::json!(rules.words))?,
                    false => writeln!(out, "{}", rule_list::chance_words(&rules, width))?,
                }
                return Ok(());
            }
            Some(word) => Some(kind(word)?),
            None if self.search.is_empty() && !self.json => {
                writeln!(out, "{}", rule_list::kinds(&rules, width))?;
                return Ok(());
            }
            None => None,
        };
        let words: Vec<String> = (self.search.iter())
            .flat_map(|text| text.split_whitespace().map(str::to_string))
            .collect();
        let found = rule_list::found(&rules, kind, &words);
        match self.json {
            true => writeln!(out, "{:#}", rule_list::json(&found))?,
            false => {
                let page = rule_list::page(&rules, &found, kind.is_none(), width);
                writeln!(out, "{page}")?;
            }
        }
        Ok(())
    }
}

impl Show {
    fn run(self, extra: Option<&Path>, out: &mut dyn Write) -> Answer {
        let rules = sound(extra)?;
        let only = self.kind.as_deref().map(kind).transpose()?;
        let id = self.id.join("-");
        let mut found = rules.called(&id);
        if let Some(axis) = rules.axis_of(&id) {
            found.extend(rules.entry(Kind::Axis, &axis.axis));
        }
        found.retain(|entry| only.is_none_or(|kind| kind == entry.kind));
        if found.is_empty() {
            return self.search(&rules, &id, only, out);
        }
        if self.json {
            let all: Vec<_> = found.iter().map(|e| rule_json::entry(&rules, e)).collect();
            writeln!(out, "{:#}", serde_json::Value::Array(all))?;
            return Ok(());
        }
        let width = show::width();
        let page = |entry: &Named| rule_page::page(&rules, entry, width);
        let pages: Vec<String> = found.iter().map(page).collect();
        let rule = format!("\n\n{}\n\n", "─".repeat(width));
        writeln!(out, "{}", pages.join(&rule))?;
        Ok(())
    }
}

impl Show {
    /// What is meant by words that are no id: the one entry that holds them, or a list of several.
    fn search(
        self,
        rules: &rules::Rules,
        id: &str,
        only: Option<Kind>,
        out: &mut dyn Write,
    ) -> Answer {
        let words: Vec<String> = (self.id.iter())
            .flat_map(|text| text.split_whitespace().map(str::to_string))
            .collect();
        let found = rule_list::found(rules, only, &words);
        match found.as_slice() {
            [] => return Err(unknown(rules, id, only).into()),
            [one] if !self.json => writeln!(out, "{}", rule_page::page(rules, one, show::width()))?,
            [one] => writeln!(
                out,
                "{:#}",
                serde_json::json!([rule_json::entry(rules, one)])
            )?,
            several if self.json => writeln!(out, "{:#}", rule_list::json(several))?,
            several => {
                let mixed = only.is_none();
                writeln!(
                    out,
                    "{}",
                    rule_list::page(rules, several, mixed, show::width())
                )?;
            }
        }
        Ok(())
    }
}

/// The rules, if they have no error.
fn sound(extra: Option<&Path>) -> Result<rules::Rules, Ending> {
    let (rules, problems) = rules::load(extra);
    match problems.iter().any(|p| p.severity == Severity::Error) {
        true => Err(problems.into()),
        false => Ok(rules),
    }
}

/// A kind by the word for one or several of it.
fn kind(word: &str) -> Result<Kind, Problem> {
    let plain = word.to_lowercase().replace('-', "_");
    let plain = match plain.as_str() {
        "trait" | "traits" => "axes",
        other => other,
    };
    let known = |kind: &Kind| kind.list() == plain || kind.key() == plain;
    Kind::ALL.into_iter().find(known).ok_or_else(|| {
        let problem = Problem::new(format!("the rules hold no `{word}`"));
        let lists = Kind::ALL.map(Kind::list);
        match nearest(plain, lists) {
            Some(near) => problem.hint(format!("did you mean `{near}`?")),
            None => problem.hint(format!("{} or words", lists.join(", "))),
        }
    })
}

fn unknown(rules: &rules::Rules, id: &str, only: Option<Kind>) -> Problem {
    let kinds = Kind::ALL
        .into_iter()
        .filter(|kind| only.is_none_or(|k| k == *kind));
    let ids: Vec<String> = (kinds.flat_map(|kind| rules.entries(kind)))
        .map(|entry| entry.id.to_string())
        .collect();
    let kind = only.map_or("entry".to_string(), |kind| kind.to_string());
    let way = "find it with `rules list --search WORDS`";
    no_such(&kind, id, ids.iter(), way)
}
