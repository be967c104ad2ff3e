//! `undo`: takes back the last act; the record keeps both.

use super::Answer;
use crate::job::file::Act;
use crate::problem::Problem;
use crate::session::Session;
use clap::Args;
use std::io::Write;

/// Arguments of `undo`: none.
#[derive(Debug, Args)]
pub struct Undo {}

impl Undo {
    /// Undoes the last act that still stands.
    ///
    /// # Errors
    /// Nothing to undo, or the job cannot be saved.
    pub fn run(self, session: &mut Session, out: &mut dyn Write) -> Answer {
        let job = &session.store.job;
        let Some(number) = job.last_act() else {
            return Err(Problem::new("there is nothing to undo").into());
        };
        let said = job.file.diary[number - 1].says();
        session.store.add(Act {
            undo: Some(number),
            ..Act::now()
        })?;
        writeln!(out, "undone: {said}")?;
        Ok(())
    }
}
