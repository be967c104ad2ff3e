//! `next`: the tests worth doing, by what they tell per minute.

use super::Answer;
use crate::diagnose::{Diagnosis, next};
use crate::session::Session;
use crate::show;
use clap::Args;
use std::io::Write;

/// Arguments of `next`.
#[derive(Debug, Args)]
pub struct Next {
    /// Rows at most
    #[arg(long, default_value_t = 6, value_name = "ROWS")]
    pub most: usize,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
}

impl Next {
    /// Values every test that the shop can do.
    ///
    /// # Errors
    /// Readings that cannot all be true, or no exact answer.
    pub fn run(self, session: &mut Session, out: &mut dyn Write) -> Answer {
        let (observations, _) = session.evidence();
        let unrolled = session.unrolled()?;
        let d = Diagnosis::of(&session.rules, &session.engine, &unrolled, &observations)?;
        let next = next::next(&d, &session.at_hand())?;
        if self.json {
            writeln!(out, "{:#}", show::json::next(&next))?;
        } else {
            let page = show::next::page(&next, &session.rules, self.most, show::width());
            writeln!(out, "{page}")?;
        }
        Ok(())
    }
}
