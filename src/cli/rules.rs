//! `rules`: check, list, look up and draw what the program knows.

use super::{Answer, Ending};
use crate::graph;
use crate::problem::{Problems, Severity};
use crate::rules::{self, folder};
use crate::words::count;
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
    /// Check that the rules hang together
    Check,
}

impl Rules {
    /// Answers; `extra` is the user's folder of rules.
    ///
    /// # Errors
    /// [`Ending::Failed`] when the check finds an error, [`Ending::Wrong`] when
    /// the folder cannot be used.
    pub fn run(self, extra: Option<&Path>, out: &mut dyn Write) -> Answer {
        if let Some(problem) = extra.and_then(folder::unusable) {
            return Err(problem.into());
        }
        match self.word {
            RulesWord::Check => check(extra, out),
        }
    }
}

fn check(extra: Option<&Path>, out: &mut dyn Write) -> Answer {
    let problems = graph::all_problems(&rules::load_whole(extra));
    let (errors, warnings): (Problems, Problems) = problems
        .into_iter()
        .partition(|p| p.severity == Severity::Error);
    for problem in warnings.iter().chain(&errors) {
        writeln!(out, "{problem}\n")?;
    }
    let (e, w) = (
        count(errors.len(), "error"),
        count(warnings.len(), "warning"),
    );
    writeln!(out, "{e}, {w}")?;
    match errors.is_empty() {
        true => Ok(()),
        false => Err(Ending::Failed(Vec::new())),
    }
}
