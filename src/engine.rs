//! The engine on the bench: its traits, cylinders, banks, and the places that
//! a cause or a finding can be at.
//!
//! Made from a family of the rules and what the job says of this engine; used
//! to unroll the rule graph and to read `@WHERE` in readings.

pub use crate::rules::file::MOST_CYLINDERS;
use crate::rules::file::{Dimensions, Scope};
use std::collections::BTreeSet;
use std::fmt;
use std::str::FromStr;

/// Where on the engine: as written after `@`.
///
/// ```
/// use sootsayer::engine::Place;
/// assert_eq!("3".parse(), Ok(Place::Cylinder(3)));
/// assert_eq!("2-3".parse(), Ok(Place::Pair(2, 3)));
/// assert_eq!("3-upper".parse(), Ok(Place::Upper(3)));
/// assert_eq!(Place::Pair(2, 3).to_string(), "2-3");
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Place {
    /// The engine as a whole.
    Engine,
    /// One cylinder, from 1.
    Cylinder(usize),
    /// Upper plug of a cylinder with two.
    Upper(usize),
    /// Lower plug of a cylinder with two.
    Lower(usize),
    /// Two neighbours on one bank, the lower number first.
    Pair(usize, usize),
}

impl Place {
    /// The cylinders that the place touches: none, one or two.
    pub fn cylinders(self) -> Vec<usize> {
        match self {
            Place::Engine => vec![],
            Place::Cylinder(n) | Place::Upper(n) | Place::Lower(n) => vec![n],
            Place::Pair(a, b) => vec![a, b],
        }
    }

    /// A title with its place, as one would say it.
    ///
    /// ```
    /// use sootsayer::engine::Place;
    /// assert_eq!(Place::Cylinder(3).after("Bore scored"), "Bore scored, cylinder 3");
    /// assert_eq!(Place::Engine.after("Breather blocked"), "Breather blocked");
    /// ```
    pub fn after(self, title: &str) -> String {
        match self {
            Place::Engine => title.to_string(),
            Place::Cylinder(n) => format!("{title}, cylinder {n}"),
            Place::Upper(n) => format!("{title}, cylinder {n} upper"),
            Place::Lower(n) => format!("{title}, cylinder {n} lower"),
            Place::Pair(a, b) => format!("{title}, cylinders {a} and {b}"),
        }
    }

    /// Whether a cause here acts on a finding there: the engine touches all,
    /// otherwise they share a cylinder, and two plugs must be the same plug.
    pub fn touches(self, other: Place) -> bool {
        use Place::{Engine, Lower, Upper};
        match (self, other) {
            (Engine, _) | (_, Engine) => true,
            (Upper(_), Lower(_)) | (Lower(_), Upper(_)) => false,
            _ => self
                .cylinders()
                .iter()
                .any(|c| other.cylinders().contains(c)),
        }
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Place::Engine => write!(f, "engine"),
            Place::Cylinder(n) => write!(f, "{n}"),
            Place::Upper(n) => write!(f, "{n}-upper"),
            Place::Lower(n) => write!(f, "{n}-lower"),
            Place::Pair(a, b) => write!(f, "{a}-{b}"),
        }
    }
}

impl FromStr for Place {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let wrong = || {
            format!(
                "`{text}` is no place: write a cylinder (`3`), neighbours (`2-3`), a plug (`3-upper`, `3-lower`) or `engine`"
            )
        };
        let number = |digits: &str| digits.parse::<usize>().map_err(|_| wrong());
        if text == "engine" {
            return Ok(Place::Engine);
        }
        match text.split_once('-') {
            None => Ok(Place::Cylinder(number(text)?)),
            Some((n, "upper")) => Ok(Place::Upper(number(n)?)),
            Some((n, "lower")) => Ok(Place::Lower(number(n)?)),
            Some((a, b)) => {
                let (a, b) = (number(a)?, number(b)?);
                if a == b {
                    Err(wrong())
                } else {
                    Ok(Place::Pair(a.min(b), a.max(b)))
                }
            }
        }
    }
}

/// One engine: what the rules need to know of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Engine {
    /// What the owner or shop calls it.
    pub name: String,
    /// Family id in the rules.
    pub family: String,
    /// Trait words, the family's with the job's changes, groups included
    /// (an engine that is `petrol` also is `spark`).
    pub traits: BTreeSet<String>,
    /// Cylinder numbers bank by bank, in order along the bank; 1 to 12 in all.
    pub banks: Vec<Vec<usize>>,
    /// Dimensions as far as known: the family's usual ones, overridden by the job's.
    pub dimensions: Dimensions,
}

impl Engine {
    /// Number of cylinders.
    pub fn cylinders(&self) -> usize {
        self.banks.iter().map(Vec::len).sum()
    }

    /// Deals cylinders 1 to `cylinders` to `banks` in turn: 6 on 2 is 1 3 5 / 2 4 6.
    ///
    /// ```
    /// use sootsayer::engine::Engine;
    /// assert_eq!(Engine::deal(6, 2), vec![vec![1, 3, 5], vec![2, 4, 6]]);
    /// ```
    pub fn deal(cylinders: usize, banks: usize) -> Vec<Vec<usize>> {
        let banks = banks.clamp(1, cylinders.max(1));
        (0..banks)
            .map(|b| (b + 1..=cylinders).step_by(banks).collect())
            .collect()
    }

    /// Every place of a scope, in order.
    pub fn places(&self, scope: Scope) -> Vec<Place> {
        let all = || 1..=self.cylinders();
        match scope {
            Scope::Engine => vec![Place::Engine],
            Scope::Cylinder => all().map(Place::Cylinder).collect(),
            Scope::Plug if self.traits.contains("dual-plug") => all()
                .flat_map(|n| [Place::Upper(n), Place::Lower(n)])
                .collect(),
            Scope::Plug => all().map(Place::Cylinder).collect(),
            Scope::Pair => {
                let mut pairs: Vec<Place> = self
                    .banks
                    .iter()
                    .flat_map(|bank| bank.windows(2))
                    .map(|two| Place::Pair(two[0].min(two[1]), two[0].max(two[1])))
                    .collect();
                pairs.sort();
                pairs
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pair_touches_its_cylinders_and_no_other() {
        assert!(Place::Pair(2, 3).touches(Place::Cylinder(3)));
        assert!(!Place::Pair(2, 3).touches(Place::Cylinder(4)));
        assert!(Place::Engine.touches(Place::Upper(1)));
        assert!(!Place::Upper(1).touches(Place::Lower(1)));
        assert!(Place::Cylinder(1).touches(Place::Lower(1)));
    }

    #[test]
    fn what_is_no_place_says_how_to_write_one() {
        for bad in ["", "x", "3-", "-3", "3-3", "3-middle", "1-2-3"] {
            assert!(
                bad.parse::<Place>().is_err_and(|e| e.contains("3-upper")),
                "{bad}"
            );
        }
    }
}
