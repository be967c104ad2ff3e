//! The interactive bench: a job is open, words are given, and what they move is
//! shown.
//!
//! On a terminal the [`bench`] loop asks for lines with completion and hints;
//! lines from a pipe are a [`script`]. Both hand words to the same [`Grammar`]
//! that the command line uses.

pub mod bench;
pub mod complete;
pub mod hint;
pub mod input;
mod look_up;
pub mod plugs;
pub mod questions;
pub mod recorded;
pub mod script;
pub mod search;
pub mod split;
pub mod standing;
pub mod vocabulary;
mod walk;

use crate::answer::Answer;
use crate::problem::Problem;
use crate::session::Session;
pub use bench::{Grammar, headline};
use input::Terminal;
use std::io::{IsTerminal, Write, stdin, stdout};
use vocabulary::Vocabulary;

/// Opens the shell on a session: on a terminal it asks, from a pipe it follows.
///
/// # Errors
/// A script line that failed, or the terminal or the answer fails.
pub fn talk(session: &mut Session, grammar: &dyn Grammar, out: &mut dyn Write) -> Answer {
    if !stdin().is_terminal() || !stdout().is_terminal() {
        return script::run(session, grammar, &mut stdin().lock(), out);
    }
    let mut words = grammar.words();
    words.extend(bench::own_words());
    let mut terminal = terminal(session, words)?;
    bench::Bench::new(session, grammar, &mut terminal, out).run()
}

/// The line editor on the terminal, with hints unless colour is unwanted.
///
/// # Errors
/// The terminal cannot be used.
pub fn terminal(session: &Session, words: Vec<vocabulary::Word>) -> Result<Terminal, Problem> {
    let colour = std::env::var_os("NO_COLOR").is_none_or(|v| v.is_empty());
    Terminal::new(Vocabulary::of(session, words), colour)
}
