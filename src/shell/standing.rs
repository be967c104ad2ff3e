//! How things stand after everything recorded so far: the ranking and what does
//! not fit at once, the next tests when they are asked for.

use crate::diagnose::Diagnosis;
use crate::diagnose::next::{self, Next, TestOption};
use crate::diagnose::rank::{self, Ranking};
use crate::diagnose::surprise::{self, Surprise};
use crate::problem::Problem;
use crate::session::Session;
use crate::show;
use std::collections::BTreeSet;

/// The answers that the shell keeps between two lines.
#[derive(Debug, Clone)]
pub struct Standing {
    /// Probable causes.
    pub ranking: Ranking,
    /// Readings that do not fit.
    pub surprises: Vec<Surprise>,
    /// What is wrong with the readings.
    pub warnings: Vec<String>,
}

/// The tests worth doing, for the session as it is.
///
/// # Errors
/// Readings that cannot all be true, or no exact answer.
pub fn next_tests(session: &Session) -> Result<Next, Problem> {
    let (observations, _) = session.evidence();
    let unrolled = session.unrolled()?;
    let d = Diagnosis::of(&session.rules, &session.engine, &unrolled, &observations)?;
    Ok(next::next(&d, &session.at_hand())?)
}

/// The best test that was not turned down.
pub fn best<'n>(next: &'n Next, declined: &BTreeSet<String>) -> Option<&'n TestOption> {
    next.tests.iter().find(|t| !declined.contains(&t.id()))
}

impl Standing {
    /// Answers for the session as it is.
    ///
    /// # Errors
    /// Readings that cannot all be true, or no exact ranking.
    pub fn of(session: &Session) -> Result<Self, Problem> {
        let (observations, warnings) = session.evidence();
        let unrolled = session.unrolled()?;
        let d = Diagnosis::of(&session.rules, &session.engine, &unrolled, &observations)?;
        Ok(Standing {
            ranking: rank::rank(&d)?,
            surprises: surprise::surprises(&d)?,
            warnings: warnings.into_iter().map(|w| w.says).collect(),
        })
    }

    /// What was not to be said before: dangers and readings that do not fit.
    pub fn news(&self, before: &Standing) -> Vec<String> {
        let known: BTreeSet<&str> = (before.ranking.dangers.iter().map(|d| d.title.as_str()))
            .chain(before.surprises.iter().map(|s| s.said.as_str()))
            .collect();
        let dangers = self
            .ranking
            .dangers
            .iter()
            .filter(|d| !known.contains(d.title.as_str()));
        let surprises = self
            .surprises
            .iter()
            .filter(|s| !known.contains(s.said.as_str()));
        dangers
            .map(|d| show::styled(show::ALARM, format!("Danger: {}. {}", d.title, d.text)))
            .chain(surprises.map(|s| {
                let chance = show::percent(s.probability);
                format!("Does not fit: {} - the other readings leave it a chance of {chance}. Take it again.", s.said)
            }))
            .collect()
    }

    /// The top of the ranking as a page.
    pub fn page(&self, most: usize) -> String {
        show::rank::page(
            &self.ranking,
            &self.surprises,
            &self.warnings,
            None,
            most,
            show::width(),
        )
    }
}
