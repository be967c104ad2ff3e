//! The one way of writing what was seen: `FINDING[@WHERE]=VALUE`.
//!
//! The same words on the command line, in the shell and in the job file. Only
//! the form is read here; what the words mean on this engine is `check`'s.

use crate::problem::Problem;
use crate::visible::is_hidden;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;

/// Something said of the engine, as typed: `leak-down@3=38%`, `long-lay-up=yes`.
///
/// ```
/// use sootsayer::job::Said;
/// let said: Said = "leak-down@3=60/80 psi".parse().unwrap();
/// assert_eq!((said.of.as_str(), said.at.as_deref(), said.value.as_str()),
///            ("leak-down", Some("3"), "60/80 psi"));
/// assert_eq!(said.to_string(), "leak-down@3=60/80 psi");
/// ```
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(try_from = "String", into = "String")]
#[schemars(with = "String")]
pub struct Said {
    /// Id of a finding, a raw reading or a history fact.
    pub of: String,
    /// Where, as written after `@`; none is the engine as a whole.
    pub at: Option<String>,
    /// A grade, `yes`, `no`, `unknown`, or a figure with its unit.
    pub value: String,
}

impl Said {
    /// Something said of the engine as a whole.
    pub fn plain(of: &str, value: &str) -> Self {
        Said {
            of: of.into(),
            at: None,
            value: value.into(),
        }
    }
}

impl fmt::Display for Said {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.of)?;
        if let Some(at) = &self.at {
            write!(f, "@{at}")?;
        }
        write!(f, "={}", self.value)
    }
}

impl FromStr for Said {
    type Err = Problem;

    fn from_str(text: &str) -> Result<Self, Problem> {
        let wrong = |what: String| {
            Problem::new(what)
                .hint("write FINDING=VALUE or FINDING@WHERE=VALUE, like `oil-use=high` or `leak-down@3=38%`")
        };
        let text = text.trim();
        let (left, value) = text
            .split_once('=')
            .ok_or_else(|| wrong(format!("`{text}` says no value")))?;
        let (of, at) = match left.split_once('@') {
            Some((of, at)) => (of.trim(), Some(at.trim().to_string())),
            None => (left.trim(), None),
        };
        let value = value.trim();
        if of.is_empty() || value.is_empty() || at.as_deref() == Some("") {
            return Err(wrong(format!("`{text}` leaves a part empty")));
        }
        if let Some(odd) = text.chars().find(|c| c.is_control() || is_hidden(*c)) {
            let text = text.escape_debug();
            return Err(wrong(format!(
                "`{text}` holds the control character {odd:?}"
            )));
        }
        Ok(Said {
            of: of.to_string(),
            at,
            value: value.to_string(),
        })
    }
}

impl TryFrom<String> for Said {
    type Error = String;
    fn try_from(text: String) -> Result<Self, String> {
        text.parse().map_err(|p: Problem| p.what)
    }
}

impl From<Said> for String {
    fn from(said: Said) -> Self {
        said.to_string()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn blanks_around_the_parts_are_dropped() {
        let said: Said = " compression @ 2 = 95 psi ".parse().unwrap();
        assert_eq!(said.to_string(), "compression@2=95 psi");
    }

    #[test]
    fn a_missing_part_is_named() {
        for (bad, what) in [
            ("leak-down", "`leak-down` says no value"),
            ("leak-down@=3", "`leak-down@=3` leaves a part empty"),
            ("=3", "`=3` leaves a part empty"),
            ("leak-down@3=", "`leak-down@3=` leaves a part empty"),
        ] {
            assert_eq!(bad.parse::<Said>().unwrap_err().what, what);
        }
        assert!("a=b\u{7}".parse::<Said>().is_err());
    }
}
