//! What is wrong with a file of a network, and where.

use crate::network::build::ROW_TOLERANCE;
use std::fmt;

/// Most variables of a network that is read.
pub const MOST_VARIABLES: usize = 4096;

/// Most numbers of all tables of a network that is read.
pub const MOST_NUMBERS: usize = 1 << 22;

/// A fault of the text, with its place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// Width of the offending text in characters, at least 1.
    pub width: usize,
    /// What is wrong, in words.
    pub what: String,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}: {}", self.line, self.column, self.what)
    }
}

impl std::error::Error for Fault {}

/// A piece of the text.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Piece<'t> {
    pub text: &'t str,
    /// Where it starts, in bytes.
    pub at: usize,
}

impl<'t> Piece<'t> {
    /// The piece as a count.
    pub fn count(&self, whole: &str, of: &str) -> Result<usize, Fault> {
        let bad = |_| {
            self.fault(
                whole,
                format!("`{}` where the number of {of} belongs", self.short()),
            )
        };
        self.text.parse().map_err(bad)
    }

    /// The piece as a number from 0 up.
    pub fn number(&self, whole: &str) -> Result<f64, Fault> {
        match self.text.parse::<f64>() {
            Ok(number) if number.is_finite() && number >= 0.0 => Ok(number),
            _ => Err(self.fault(
                whole,
                format!("`{}` where a number from 0 up belongs", self.short()),
            )),
        }
    }

    /// A fault of this piece.
    pub fn fault(&self, whole: &str, what: impl Into<String>) -> Fault {
        fault(whole, self.at, self.text.chars().count(), what)
    }

    /// The piece, cut where it is too long to be shown.
    pub fn short(&self) -> &'t str {
        let end = self
            .text
            .char_indices()
            .nth(40)
            .map_or(self.text.len(), |(at, _)| at);
        &self.text[..end]
    }
}

/// A fault at a byte of the text.
pub(super) fn fault(whole: &str, at: usize, width: usize, what: impl Into<String>) -> Fault {
    let before = &whole[..at.min(whole.len())];
    let line = before.rfind('\n').map_or(0, |end| end + 1);
    Fault {
        line: before.matches('\n').count() + 1,
        column: before[line..].chars().count() + 1,
        width: width.max(1),
        what: what.into(),
    }
}

/// The bytes as text.
pub(super) fn text(bytes: &[u8]) -> Result<&str, Fault> {
    std::str::from_utf8(bytes).map_err(|error| {
        let sound = std::str::from_utf8(&bytes[..error.valid_up_to()]).unwrap_or_default();
        fault(
            sound,
            sound.len(),
            1,
            "this is not a text: a byte that is no UTF-8",
        )
    })
}

/// Makes a row add up to one exactly; says what it adds up to if that is not about one.
pub(super) fn normalise(row: &mut [f64]) -> Result<(), f64> {
    let sum: f64 = row.iter().sum();
    if (sum - 1.0).abs() > ROW_TOLERANCE {
        return Err(sum);
    }
    row.iter_mut().for_each(|p| *p /= sum);
    Ok(())
}
