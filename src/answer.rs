//! How a word at the bench answers, and how it can end other than well.

use crate::problem::{Problem, Problems};
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
}

impl Ending {
    /// The exit status of the process.
    pub fn status(&self) -> u8 {
        match self {
            Ending::Wrong(_) => 2,
            Ending::Failed(_) => 1,
            Ending::Usage(e) if e.use_stderr() => 2,
            Ending::Usage(_) | Ending::PipeClosed => 0,
        }
    }
}

impl Ending {
    /// Tells the user: help on standard output, everything else on standard error.
    pub fn tell(&self) {
        // When the pipe is closed nobody is left to tell.
        let _ = match self {
            Ending::Usage(e) => e.print(),
            other => write!(io::stderr(), "{other}"),
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
            _ => Problem::new(format!("the answer cannot be written: {error}")).into(),
        }
    }
}
