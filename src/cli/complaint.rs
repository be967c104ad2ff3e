//! `complaint`: marks readings as what the engine was brought in with.

use super::Answer;
use crate::job::file::Act;
use crate::problem::Problem;
use crate::session::Session;
use clap::Args;
use std::io::Write;

/// Arguments of `complaint`.
#[derive(Debug, Args)]
pub struct Complaint {
    /// Numbers of the readings, as `show` lists them
    #[arg(required = true, value_name = "NUMBER")]
    pub readings: Vec<usize>,
}

impl Complaint {
    /// Marks the readings named, all or none.
    ///
    /// # Errors
    /// A number that no standing reading has, or the job cannot be saved.
    pub fn run(self, session: &mut Session, out: &mut dyn Write) -> Answer {
        let job = &session.store.job;
        let (mut problems, mut said) = (vec![], vec![]);
        for &number in &self.readings {
            match job.readings.iter().find(|r| r.number == number) {
                None => problems.push(
                    Problem::new(format!("there is no reading {number}"))
                        .hint("`show` lists the readings with their numbers"),
                ),
                Some(r) if r.gone.is_some() => problems.push(Problem::new(format!(
                    "reading {number}, `{}`, is out of the evidence",
                    r.said
                ))),
                Some(r) if r.earlier => problems.push(Problem::new(format!(
                    "reading {number}, `{}`, tells of a time before",
                    r.said
                ))),
                Some(r) => said.push(format!("the complaint: {number}, {}", r.said)),
            }
        }
        if !problems.is_empty() {
            return Err(problems.into());
        }
        session.store.add(Act {
            complaint_of: self.readings,
            ..Act::now()
        })?;
        for line in said {
            writeln!(out, "{line}")?;
        }
        Ok(())
    }
}
