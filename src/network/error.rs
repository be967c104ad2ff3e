//! What can go wrong when a network is built or asked.

use super::build::Var;
use std::fmt;

/// Why the network gives no answer. It never gives a wrong one instead.
#[derive(Debug, Clone, PartialEq)]
pub enum Error {
    /// A table, gate or likelihood does not fit the network: what is wrong, in words.
    Shape(String),
    /// The evidence cannot all be true.
    Impossible {
        /// A smallest set of observed variables that contradict each other:
        /// without any one of them the rest is possible.
        conflict: Vec<Var>,
        /// Their names, in the same order.
        names: Vec<String>,
    },
    /// Even without the observations an answer would need more memory or work
    /// than the declared limit.
    TooLarge {
        /// Table entries that the best plan found would need.
        entries: f64,
        /// The declared limit on entries, see [`super::MOST_ENTRIES`].
        limit: f64,
    },
    /// The engine's own check of its arithmetic failed: relative disagreement found.
    Imprecise(f64),
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Error::Shape(what) => write!(f, "{what}"),
            Error::Impossible { names, .. } if names.len() == 1 => {
                write!(
                    f,
                    "`{}` as observed is impossible in this network",
                    names[0]
                )
            }
            Error::Impossible { names, .. } => {
                write!(
                    f,
                    "these observations cannot all be true: {}",
                    quoted(names)
                )
            }
            Error::TooLarge { entries, limit } => write!(
                f,
                "an answer needs tables of {entries:.0} entries, the limit is {limit:.0}"
            ),
            Error::Imprecise(by) => write!(
                f,
                "the answer could not be had exactly: two ways to compute it differ by a part in {:.0e}",
                1.0 / by
            ),
        }
    }
}

impl std::error::Error for Error {}

fn quoted(names: &[String]) -> String {
    let quoted: Vec<String> = names.iter().map(|name| format!("`{name}`")).collect();
    quoted.join(", ")
}
