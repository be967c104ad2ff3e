//! Lines from a pipe or a file: done one after the other without prompt or
//! colour, until one fails.

use super::bench::Grammar;
use super::input::{Input, Lines, Typed, Wanted};
use super::split::split;
use crate::answer::{Answer, Ending};
use crate::problem::{Problem, Problems};
use crate::session::Session;
use std::io::{BufRead, Write};

/// Does the lines of a script. Empty lines and lines that start with `#` say nothing.
///
/// # Errors
/// [`Ending::Failed`] at the first line that fails, naming its number.
pub fn run(
    session: &mut Session,
    grammar: &dyn Grammar,
    input: &mut dyn BufRead,
    out: &mut dyn Write,
) -> Answer {
    let known: Vec<String> = grammar.words().into_iter().map(|w| w.name).collect();
    let mut lines = Lines::new(input);
    loop {
        let wanted = Wanted::Word {
            offered: String::new(),
        };
        let line = match lines.line("", wanted) {
            Ok(Typed::Line(line)) => line,
            Ok(_) => return Ok(()),
            Err(problem) => return Err(failed(lines.number, "", vec![problem])),
        };
        let (line, number) = (line.as_str(), lines.number);
        let mut words = split(line);
        let Some(first) = words.first() else { continue };
        if first.starts_with('#') {
            continue;
        }
        if ["leave", "quit", "exit", "bye"].contains(&first.as_str()) {
            return Ok(());
        }
        if !known.contains(first) && line.contains('=') {
            words.insert(0, "record".into());
        }
        match grammar.run(&words, session, &mut lines, out) {
            Ok(()) => {}
            Err(ending @ (Ending::PipeClosed | Ending::Unwritten { .. })) => return Err(ending),
            Err(Ending::Wrong(problems) | Ending::Failed(problems)) => {
                out.flush()?;
                return Err(failed(number, line, problems));
            }
            Err(Ending::Usage(e)) if !e.use_stderr() => write!(out, "{}", e.render())?,
            Err(Ending::Usage(e)) => {
                out.flush()?;
                let said = e.render().to_string();
                let said = said.trim().trim_start_matches("error: ").to_string();
                return Err(failed(number, line, vec![Problem::new(said)]));
            }
        }
    }
}

/// The problems of a line with its number.
fn failed(number: usize, line: &str, problems: Problems) -> Ending {
    let named = |p: Problem| Problem {
        what: match line.is_empty() {
            true => format!("line {number}: {}", p.what),
            false => format!("line {number}, `{line}`: {}", p.what),
        },
        ..p
    };
    Ending::Failed(problems.into_iter().map(named).collect())
}
