//! `undo`: takes back the last act; the record keeps both.

use super::Answer;
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
        let said = session.undo()?;
        writeln!(out, "undone: {said}")?;
        Ok(())
    }
}
