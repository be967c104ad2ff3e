//! `retract`: takes readings out of the evidence; the record keeps them.

use super::Answer;
use crate::job::file::Act;
use crate::problem::Problem;
use crate::session::Session;
use clap::Args;
use std::io::Write;

/// Arguments of `retract`.
#[derive(Debug, Args)]
pub struct Retract {
    /// Numbers of the readings, as `show` lists them
    #[arg(required = true, value_name = "NUMBER")]
    pub readings: Vec<usize>,
    /// Why they do not count
    #[arg(long, value_name = "REASON")]
    pub why: Option<String>,
}

impl Retract {
    /// Retracts the readings named.
    ///
    /// # Errors
    /// A number that no standing reading has, or the job cannot be saved.
    pub fn run(self, session: &mut Session, out: &mut dyn Write) -> Answer {
        let job = &session.store.job;
        let mut problems = vec![];
        let mut said = vec![];
        for &number in &self.readings {
            match job.readings.iter().find(|r| r.number == number) {
                None => problems.push(
                    Problem::new(format!("there is no reading {number}"))
                        .hint("`show` lists the readings with their numbers"),
                ),
                Some(r) if r.gone.is_some() => problems.push(Problem::new(format!(
                    "reading {number}, `{}`, is already out of the evidence",
                    r.said
                ))),
                Some(r) => said.push(format!("retracted: {number}, {}", r.said)),
            }
        }
        if !problems.is_empty() {
            return Err(problems.into());
        }
        session.store.add(Act {
            retract: self.readings,
            note: self.why,
            ..Act::now()
        })?;
        for line in said {
            writeln!(out, "{line}")?;
        }
        Ok(())
    }
}
