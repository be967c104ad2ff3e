//! `whatif`: the ranking if a reading came out so, without recording it.

use super::{Answer, record};
use crate::diagnose::{Diagnosis, rank, surprise};
use crate::session::Session;
use crate::show;
use clap::Args;
use std::io::Write;

/// Arguments of `whatif`.
#[derive(Debug, Args)]
pub struct WhatIf {
    /// Readings as for `record`
    #[arg(required = true, value_name = "FINDING[@WHERE]=VALUE")]
    pub readings: Vec<String>,
    /// Print JSON: the ranking as `rank --json` prints it
    #[arg(long)]
    pub json: bool,
}

impl WhatIf {
    /// Ranks with the readings, and shows what would move.
    ///
    /// # Errors
    /// Readings that are not understood or cannot all be true.
    pub fn run(self, session: &mut Session, out: &mut dyn Write) -> Answer {
        let (said, _) = record::read(&self.readings)?;
        let (before, _) = session.evidence();
        let (after, warnings) = session.evidence_with(&said)?;
        let unrolled = session.unrolled_for(&after)?;
        let now = session.unrolled_for(&before)?;
        let (rules, engine) = (&session.rules, &session.engine);
        let was = rank::rank(&Diagnosis::of(rules, engine, &now, &before)?)?;
        let d = Diagnosis::of(rules, engine, &unrolled, &after)?;
        let ranking = rank::rank(&d)?;
        let surprises = surprise::surprises(&d)?;
        let warnings: Vec<String> = warnings.into_iter().map(|w| w.says).collect();
        if self.json {
            let job = session.store.name();
            let systems = rank::systems(&d, &ranking.causes)?;
            let value = show::json::rank(job, &ranking, &systems, &surprises, &warnings, None);
            writeln!(out, "{value:#}")?;
        } else {
            let width = show::width();
            writeln!(out, "{}\n", show::moved::table_of(&was, &ranking, 8, width))?;
            writeln!(
                out,
                "{}",
                show::rank::page(&ranking, &surprises, &warnings, None, 6, width)
            )?;
            writeln!(
                out,
                "\n{}",
                show::styled(show::FAINT, "Nothing was recorded.")
            )?;
        }
        Ok(())
    }
}
