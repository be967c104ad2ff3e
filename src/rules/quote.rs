//! Faults of a file as problems, with the line quoted.

use super::text::{Fault, Text};
use crate::problem::{Problem, Spot};

/// Most characters of a line that are quoted.
const QUOTED: usize = 160;

impl Text {
    /// The fault as a problem, with the line quoted.
    pub fn problem(&self, fault: Fault) -> Problem {
        let spot = Spot {
            file: self.name.clone(),
            line: fault.line,
            column: fault.column,
        };
        let mut problem = Problem::new(fault.what).at(spot);
        problem.hint = fault.hint;
        problem.width = fault.width.min(QUOTED) as u32;
        self.quoted(problem)
    }

    /// Quotes the line that a problem of this file points to.
    pub fn quoted(&self, problem: Problem) -> Problem {
        let at = problem.at.clone().unwrap_or_default();
        let line = self.text.lines().nth(at.line.saturating_sub(1));
        let Some(line) = line.filter(|_| at.column <= QUOTED) else {
            return problem;
        };
        let plain = |c: char| if c.is_control() { ' ' } else { c };
        let shown: String = line.chars().take(QUOTED).map(plain).collect();
        let room = (shown.chars().count() + 1).saturating_sub(at.column);
        let width = (problem.width as usize).min(room.max(1));
        problem.excerpt(shown, width)
    }
}
