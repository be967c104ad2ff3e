//! Where typed lines come from: the editor of a terminal, or anything else that
//! gives lines.

use super::complete::{self, Candidate};
use super::hint::{self, Hint};
use super::vocabulary::Vocabulary;
use crate::problem::Problem;
use crate::visible::visible;
use rustyline::completion::Completer;
use rustyline::error::ReadlineError;
use rustyline::highlight::Highlighter;
use rustyline::hint::Hinter;
use rustyline::history::DefaultHistory;
use rustyline::{CompletionType, Config, Context, Editor, Helper, Validator};
use std::borrow::Cow;
use std::io::BufRead;
use std::path::PathBuf;

/// What was typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Typed {
    /// A line.
    Line(String),
    /// The line was dropped (Ctrl-C).
    Dropped,
    /// There is nothing more (Ctrl-D).
    End,
}

/// What is asked for, for completion and hints.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Wanted {
    /// A word of the grammar or a reading; an empty line takes what is offered.
    Word {
        /// What an empty line would do.
        offered: String,
    },
    /// An answer to a question, such as one of these.
    Answer {
        /// Usual answers.
        usual: Vec<String>,
    },
}

/// Something that gives lines.
pub trait Input {
    /// Asks for a line.
    ///
    /// # Errors
    /// The terminal cannot be read.
    fn line(&mut self, prompt: &str, wanted: Wanted) -> Result<Typed, Problem>;

    /// Whether a person types at it, who sees what was typed and can answer anew.
    fn is_terminal(&self) -> bool {
        true
    }
}

/// Lines from a pipe or a file, without prompts.
pub struct Lines<'a> {
    input: &'a mut dyn BufRead,
    /// Lines read so far.
    pub number: usize,
}

impl<'a> Lines<'a> {
    /// Reads lines from `input`.
    pub fn new(input: &'a mut dyn BufRead) -> Self {
        Lines { input, number: 0 }
    }
}

impl Input for Lines<'_> {
    fn line(&mut self, _: &str, _: Wanted) -> Result<Typed, Problem> {
        self.number += 1;
        let mut line = String::new();
        match self.input.read_line(&mut line) {
            Ok(0) => Ok(Typed::End),
            Ok(_) => {
                let line = line.trim_start_matches('\u{feff}').trim();
                Ok(Typed::Line(visible(line).into_owned()))
            }
            Err(e) => Err(Problem::new(format!("it cannot be read: {e}"))),
        }
    }

    fn is_terminal(&self) -> bool {
        false
    }
}

/// The line editor of a terminal, with completion, hints and history.
pub struct Terminal {
    editor: Editor<Guide, DefaultHistory>,
    history: Option<PathBuf>,
}

impl Terminal {
    /// Takes the terminal over; `hints` says whether faint hints are wanted.
    ///
    /// # Errors
    /// The terminal cannot be used.
    pub fn new(vocabulary: Vocabulary, hints: bool) -> Result<Self, Problem> {
        let config = Config::builder()
            .completion_type(CompletionType::List)
            .completion_prompt_limit(60)
            .max_history_size(1000)
            .and_then(|c| c.history_ignore_dups(true))
            .map_err(|e| unusable(&e))?
            .build();
        let mut editor = Editor::with_config(config).map_err(|e| unusable(&e))?;
        editor.set_helper(Some(Guide {
            vocabulary,
            hints,
            wanted: Wanted::Answer { usual: vec![] },
        }));
        let history = history_file();
        if let Some(path) = &history {
            // A first start has none, and a spoilt one is no reason not to work.
            let _ = editor.load_history(path);
        }
        Ok(Terminal { editor, history })
    }
}

fn unusable(error: &ReadlineError) -> Problem {
    Problem::new(format!("the terminal cannot be used: {error}"))
}

impl Input for Terminal {
    fn line(&mut self, prompt: &str, wanted: Wanted) -> Result<Typed, Problem> {
        let is_word = matches!(wanted, Wanted::Word { .. });
        if let Some(guide) = self.editor.helper_mut() {
            guide.wanted = wanted;
        }
        match self.editor.readline(prompt) {
            Ok(line) => {
                if is_word && !line.trim().is_empty() {
                    let _ = self.editor.add_history_entry(line.as_str());
                }
                // a pasted block holds several
                let lines: Vec<_> = line.split('\n').map(visible).collect();
                Ok(Typed::Line(lines.join("\n")))
            }
            Err(ReadlineError::Interrupted) => Ok(Typed::Dropped),
            Err(ReadlineError::Eof) => Ok(Typed::End),
            Err(e) => Err(unusable(&e)),
        }
    }
}

impl Drop for Terminal {
    fn drop(&mut self) {
        if let Some(path) = &self.history {
            if let Some(folder) = path.parent() {
                let _ = std::fs::create_dir_all(folder);
            }
            let _ = self.editor.save_history(path);
        }
    }
}

/// Where typed lines are remembered: the user's folder for the state of programs.
fn history_file() -> Option<PathBuf> {
    let folder = |name: &str| {
        std::env::var_os(name)
            .filter(|v| !v.is_empty())
            .map(PathBuf::from)
    };
    let state = folder("XDG_STATE_HOME")
        .filter(|path| path.is_absolute())
        .or_else(|| folder("LOCALAPPDATA"))
        .or_else(|| Some(folder("HOME")?.join(".local").join("state")))?;
    Some(state.join("sootsayer").join("history"))
}

/// Completion and hints for the editor.
#[derive(Helper, Validator)]
struct Guide {
    vocabulary: Vocabulary,
    hints: bool,
    wanted: Wanted,
}

impl rustyline::completion::Candidate for Candidate {
    fn display(&self) -> &str {
        &self.shown
    }
    fn replacement(&self) -> &str {
        &self.text
    }
}

impl Completer for Guide {
    type Candidate = Candidate;

    fn complete(
        &self,
        line: &str,
        pos: usize,
        _: &Context<'_>,
    ) -> rustyline::Result<(usize, Vec<Candidate>)> {
        let typed = line.get(..pos).unwrap_or(line);
        Ok(match &self.wanted {
            Wanted::Word { .. } => complete::complete(&self.vocabulary, typed),
            Wanted::Answer { usual } => {
                let fits = usual.iter().filter(|u| u.starts_with(typed));
                let ways = fits.map(|u| Candidate {
                    text: u.clone(),
                    shown: u.clone(),
                });
                (0, ways.collect())
            }
        })
    }
}

impl rustyline::hint::Hint for Hint {
    fn display(&self) -> &str {
        &self.text
    }
    fn completion(&self) -> Option<&str> {
        self.goes_on.then_some(&self.text)
    }
}

impl Hinter for Guide {
    type Hint = Hint;

    fn hint(&self, line: &str, pos: usize, _: &Context<'_>) -> Option<Hint> {
        if !self.hints || pos < line.len() {
            return None;
        }
        match &self.wanted {
            Wanted::Word { offered } => hint::hint(&self.vocabulary, line, offered),
            Wanted::Answer { usual } if line.is_empty() && !usual.is_empty() => Some(Hint {
                text: usual.join(" | "),
                goes_on: false,
            }),
            Wanted::Answer { .. } => None,
        }
    }
}

impl Highlighter for Guide {
    fn highlight_hint<'h>(&self, hint: &'h str) -> Cow<'h, str> {
        Cow::Owned(crate::show::styled(crate::show::FAINT, hint))
    }
}
