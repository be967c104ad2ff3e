//! `tried`: what was done about this complaint before, and what came of it.

use super::Answer;
use super::record::read;
use crate::job;
use crate::job::file::Act;
use crate::problem::Problems;
use crate::session::Session;
use clap::Args;
use std::io::Write;

/// Arguments of `tried`.
#[derive(Debug, Args)]
pub struct Tried {
    /// What was tried on this complaint: `REPAIR=no-better`, `=better-for-a-time` or `=cured`;
    /// `sootsayer rules list repairs` lists the repairs. Work done before it began is a `fact`
    #[arg(required = true, value_name = "REPAIR[@WHERE]=RESULT")]
    pub repairs: Vec<String>,
    /// Who did it, or when
    #[arg(long, value_name = "TEXT")]
    pub note: Option<String>,
}

impl Tried {
    /// Writes down what was tried, all or none.
    ///
    /// # Errors
    /// Every line that is not understood, or the job cannot be saved.
    pub fn run(self, session: &mut Session, out: &mut dyn Write) -> Answer {
        let (said, note) = read(&self.repairs)?;
        let mut problems = Problems::new();
        let (mut tried, mut lines) = (vec![], vec![]);
        for mut line in said {
            match job::tried(&session.rules, &session.engine, &line) {
                Ok((repair, places, _)) => {
                    let title = &session.rules.repairs[&repair].title;
                    line.value = line.value.to_lowercase().replace([' ', '_'], "-");
                    for place in places {
                        let said = format!("{title}: {}", line.value.replace('-', " "));
                        lines.push(format!("noted: tried, {}", place.after(&said)));
                        let at = (place != crate::engine::Place::Engine).then(|| place.to_string());
                        tried.push(job::Said {
                            of: repair.clone(),
                            at,
                            value: line.value.clone(),
                        });
                    }
                }
                Err(problem) => problems.push(problem),
            }
        }
        if !problems.is_empty() {
            return Err(problems.into());
        }
        session.store.add(Act {
            tried,
            note: self.note.or(note),
            ..Act::now()
        })?;
        for line in lines {
            writeln!(out, "{line}")?;
        }
        Ok(())
    }
}
