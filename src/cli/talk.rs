//! `talk`: the interactive shell on a job, or a script from a pipe.

use super::{Answer, Bench};
use crate::session::Session;
use crate::shell::{self, Grammar, input::Input, vocabulary::Word};
use clap::{Args, Command, FromArgMatches, Subcommand};
use std::io::Write;

/// Arguments of `talk`: none.
#[derive(Debug, Args)]
pub struct Talk {}

impl Talk {
    /// Opens the shell.
    ///
    /// # Errors
    /// A script line that failed, or the terminal or the answer fails.
    pub fn run(self, session: &mut Session, out: &mut dyn Write) -> Answer {
        shell::talk(session, &Words, out)
    }
}

/// The words of the bench, read without a job file before them.
#[derive(Debug)]
pub struct Words;

fn command() -> Command {
    let command = Command::new("sootsayer")
        .no_binary_name(true)
        .disable_help_subcommand(true)
        .subcommand_required(true)
        .max_term_width(100);
    Bench::augment_subcommands(command)
}

impl Grammar for Words {
    fn run(
        &self,
        words: &[String],
        session: &mut Session,
        input: &mut dyn Input,
        out: &mut dyn Write,
    ) -> Answer {
        let matches =
            command().try_get_matches_from(words.iter().map(|it| super::signed(it.into())))?;
        match Bench::from_arg_matches(&matches)? {
            Bench::Plug(plug) => plug.answered(session, Some(input), out),
            other => other.run(session, out),
        }
    }

    fn words(&self) -> Vec<Word> {
        let command = command();
        let words = command.get_subcommands().map(|word| Word {
            name: word.get_name().into(),
            about: word.get_about().map_or(String::new(), ToString::to_string),
            options: (word.get_arguments())
                .filter_map(|arg| Some(format!("--{}", arg.get_long()?)))
                .collect(),
        });
        words.collect()
    }
}
