//! One kind of trouble report for everything that reads a file or an argument.
//!
//! A [`Problem`] says what is wrong, where (file, line, column), why, and what
//! to do about it. Loading never stops at the first one: functions return what
//! they could read together with [`Problems`].

use crate::visible::visible;
use std::fmt;

/// A place in a text file; lines and columns count from 1.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Spot {
    /// The file as the user would name it, for example `rules/causes/oil-rings.yaml`.
    pub file: String,
    /// Line, from 1; 0 when the file as a whole is meant.
    pub line: usize,
    /// Column in characters, from 1; 0 when the file as a whole is meant.
    pub column: usize,
}

impl fmt::Display for Spot {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let file = visible(&self.file);
        match self.line {
            0 => write!(f, "{file}"),
            _ => write!(f, "{file}:{}:{}", self.line, self.column),
        }
    }
}

/// How bad a problem is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub enum Severity {
    /// Worth a look; the input is used as it is.
    Warning,
    /// The input cannot be used as it is.
    #[default]
    Error,
}

impl fmt::Display for Severity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Severity::Warning => "warning",
            Severity::Error => "error",
        })
    }
}

/// Something wrong with an input, in complete words.
///
/// ```
/// use sootsayer::problem::Problem;
/// let p = Problem::new("no finding is called `leakdown`").hint("did you mean `leak-down`?");
/// assert_eq!(p.to_string(), "error: no finding is called `leakdown`\n   = did you mean `leak-down`?");
/// ```
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// Error or warning.
    pub severity: Severity,
    /// What is wrong, with the offending name in backticks.
    pub what: String,
    /// Where, if the problem has a place in a file.
    pub at: Option<Spot>,
    /// The text of the offending line, if there is one.
    pub excerpt: Option<String>,
    /// How wide the offending text is, in characters (for the carets).
    pub width: u32,
    /// A way out.
    pub hint: Option<String>,
}

impl Problem {
    /// A problem without a place.
    pub fn new(what: impl Into<String>) -> Self {
        Problem {
            severity: Severity::Error,
            what: what.into(),
            at: None,
            excerpt: None,
            width: 1,
            hint: None,
        }
    }

    /// A warning without a place.
    pub fn warning(what: impl Into<String>) -> Self {
        Problem {
            severity: Severity::Warning,
            ..Problem::new(what)
        }
    }

    /// Says where it is.
    pub fn at(mut self, spot: Spot) -> Self {
        self.at = Some(spot);
        self
    }

    /// Quotes the line and underlines `width` characters from the column.
    pub fn excerpt(mut self, line: impl Into<String>, width: usize) -> Self {
        self.excerpt = Some(line.into());
        self.width = u32::try_from(width).unwrap_or(1).max(1);
        self
    }

    /// Adds a way out.
    pub fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = Some(hint.into());
        self
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // names and values from outside may stand in every part
        let what = visible(&self.what);
        match &self.at {
            Some(at) => write!(f, "{}: {at}: {what}", self.severity)?,
            None => write!(f, "{}: {what}", self.severity)?,
        }
        if let (Some(at), Some(line)) = (&self.at, &self.excerpt) {
            let margin = " ".repeat(at.line.to_string().len().max(2));
            let indent = " ".repeat(at.column.saturating_sub(1));
            let carets = "^".repeat(self.width as usize);
            let (number, line) = (at.line, visible(line));
            write!(
                f,
                "\n{margin} |\n{number:<2} | {line}\n{margin} | {indent}{carets}"
            )?;
        }
        if let Some(hint) = &self.hint {
            write!(f, "\n   = {}", visible(hint))?;
        }
        Ok(())
    }
}

impl std::error::Error for Problem {}

/// Every problem found, in the order of the files.
pub type Problems = Vec<Problem>;
