//! How a word at the bench answers, and how it can end other than well.

use crate::problem::{Problem, Problems};
use crate::visible::Visible;
use std::fmt;
use std::io::{self, Write};

/// What a word answers with.
pub type Answer = Result<(), Ending>;

/// Why a word did not answer; decides the exit status.
#[derive(Debug)]
pub enum Ending {
    /// The input or the usage is wrong, or a file cannot be read or written: status 2.
    Wrong(Problems),
    /// A check found faults, or a line of a script failed: status 1.
    Failed(Problems),
    /// What clap says of the arguments, help and version included.
    Usage(clap::Error),
    /// Whoever read the answer has closed the pipe: no error.
    PipeClosed,
    /// The answer cannot be written: status 2.
    Unwritten {
        /// Why.
        why: String,
        /// Whether the job had been saved by then.
        saved: bool,
    },
}

impl Ending {
    /// The exit status of the process.
    pub fn status(&self) -> u8 {
        match self {
            Ending::Wrong(_) | Ending::Unwritten { .. } => 2,
            Ending::Failed(_) => 1,
            Ending::Usage(e) if e.use_stderr() => 2,
            Ending::Usage(_) | Ending::PipeClosed => 0,
        }
    }
}

impl Ending {
    /// The same, said of a word that has saved the job.
    pub fn after_saving(self) -> Self {
        match self {
            Ending::Unwritten { why, .. } => Ending::Unwritten { why, saved: true },
            other => other,
        }
    }

    /// Tells the user: help on standard output, everything else on standard error.
    pub fn tell(&self) {
        // When the pipe is closed nobody is left to tell.
        let _ = match self {
            Ending::Usage(e) if !e.use_stderr() => e.print(),
            Ending::Usage(e) => write!(Visible::new(anstream::stderr()), "{}", e.render().ansi()),
            other => write!(Visible::new(io::stderr()), "{other}"),
        };
    }
}

impl fmt::Display for Ending {
    /// Every problem as it prints, one under the other, each with its line end.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Ending::Wrong(problems) | Ending::Failed(problems) => {
                problems.iter().try_for_each(|p| writeln!(f, "{p}"))
            }
            Ending::Usage(e) => write!(f, "{e}"),
            Ending::PipeClosed => Ok(()),
            Ending::Unwritten { why, saved } => {
                let problem = Problem::new(format!("the answer cannot be written: {why}"));
                match saved {
                    true => writeln!(
                        f,
                        "{}",
                        problem.hint(
                            "what was to be written down is kept in the job: do not enter it again"
                        )
                    ),
                    false => writeln!(f, "{problem}"),
                }
            }
        }
    }
}

impl From<Problem> for Ending {
    fn from(problem: Problem) -> Self {
        Ending::Wrong(vec![problem])
    }
}

impl From<crate::network::Error> for Ending {
    fn from(error: crate::network::Error) -> Self {
        Problem::from(error).into()
    }
}

impl From<Problems> for Ending {
    fn from(problems: Problems) -> Self {
        Ending::Wrong(problems)
    }
}

impl From<clap::Error> for Ending {
    fn from(error: clap::Error) -> Self {
        Ending::Usage(error)
    }
}

impl From<io::Error> for Ending {
    /// For errors in writing the answer; file errors are named as problems where they arise.
    fn from(error: io::Error) -> Self {
        match error.kind() {
            io::ErrorKind::BrokenPipe => Ending::PipeClosed,
            _ => Ending::Unwritten {
                why: error.to_string(),
                saved: false,
            },
        }
    }
}
