//! `show`: what is recorded.

use super::Answer;
use crate::session::Session;
use crate::shell::headline;
use crate::show::{self, STRONG, styled};
use clap::Args;
use std::io::Write;

/// Arguments of `show`.
#[derive(Debug, Args)]
pub struct Show {
    /// Print JSON
    #[arg(long)]
    pub json: bool,
}

impl Show {
    /// Writes the record.
    ///
    /// # Errors
    /// The answer cannot be written.
    pub fn run(self, session: &mut Session, out: &mut dyn Write) -> Answer {
        let job = &session.store.job;
        if self.json {
            let record = show::record::json(session.store.name(), job, &session.reader());
            writeln!(out, "{record:#}")?;
            return Ok(());
        }
        writeln!(out, "{}", styled(STRONG, headline(session)))?;
        let page = show::record::page(job, &session.reader(), show::width());
        writeln!(out, "{page}")?;
        for warning in session.evidence().1 {
            writeln!(out, "warning: {}", warning.says)?;
        }
        Ok(())
    }
}
