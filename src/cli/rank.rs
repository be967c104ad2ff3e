//! `rank`: the probable causes, most probable first.

use super::Answer;
use crate::diagnose::doubt::{Doubt, doubt};
use crate::diagnose::{Diagnosis, rank, surprise};
use crate::session::Session;
use crate::show;
use clap::Args;
use std::io::Write;
use std::path::{Path, PathBuf};

/// Arguments of `rank`.
#[derive(Debug, Args)]
pub struct Rank {
    /// Rows at most
    #[arg(long, default_value_t = 10, value_name = "ROWS")]
    pub most: usize,
    /// How far the ranking leans on judgement: redraw every number of the rules so many times
    #[arg(long, value_name = "REDRAWS", num_args = 0..=1, default_missing_value = "300")]
    pub doubt: Option<usize>,
    /// Seed of the redraws
    #[arg(long, default_value_t = 1, value_name = "SEED")]
    pub seed: u64,
    /// Write the network with the readings as evidence into a file; `.bif` for
    /// reading by people, `.uai` for other solvers
    #[arg(long, value_name = "FILE")]
    pub export: Option<PathBuf>,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
}

impl Rank {
    /// Ranks the causes.
    ///
    /// # Errors
    /// Readings that cannot all be true, or no exact answer.
    pub fn run(self, session: &mut Session, out: &mut dyn Write) -> Answer {
        let (observations, warnings) = session.evidence();
        let unrolled = session.unrolled()?;
        let d = Diagnosis::of(&session.rules, &session.engine, &unrolled, &observations)?;
        let wrote = match &self.export {
            Some(file) => export(file, &d)?,
            None => Vec::new(),
        };
        let ranking = rank::rank(&d)?;
        let surprises = surprise::surprises(&d)?;
        let warnings: Vec<String> = warnings.into_iter().map(|w| w.says).collect();
        let doubt = match self.doubt {
            Some(redraws) => Some(doubt_of(&d, redraws, self.seed)?),
            None => None,
        };
        if self.json {
            let job = session.store.name();
            let systems = rank::systems(&d, &ranking.causes)?;
            let value = show::json::rank(
                job,
                &ranking,
                &systems,
                &surprises,
                &warnings,
                doubt.as_ref(),
            );
            writeln!(out, "{value:#}")?;
        } else {
            let width = show::width();
            let page = show::rank::page(
                &ranking,
                &surprises,
                &warnings,
                doubt.as_ref(),
                self.most,
                width,
            );
            writeln!(out, "{page}")?;
            for line in wrote {
                writeln!(out, "{line}")?;
            }
        }
        Ok(())
    }
}

/// Writes the network with what was observed.
fn export(file: &Path, d: &Diagnosis) -> Result<Vec<String>, crate::problem::Problem> {
    let tables = show::network_file::tables(d.rules, d.unrolled, d.solved.evidence());
    let said = d
        .observations
        .iter()
        .map(|o| format!("\nobserved: {}", o.said));
    let remarks = format!("{}{}", d.engine.name, said.collect::<String>());
    super::export::write(file, &tables, &remarks)
}

/// Redraws with a bar on the terminal when the wait can be felt.
pub(super) fn doubt_of(
    d: &Diagnosis,
    redraws: usize,
    seed: u64,
) -> Result<Doubt, crate::problem::Problem> {
    let bar = indicatif::ProgressBar::new(redraws as u64);
    bar.set_style(
        indicatif::ProgressStyle::with_template("redrawing the numbers {bar:30} {pos}/{len}")
            .unwrap_or_else(|_| indicatif::ProgressStyle::default_bar()),
    );
    let doubt = doubt(d, redraws.clamp(1, 100_000), seed, &|| bar.inc(1));
    bar.finish_and_clear();
    Ok(doubt?)
}
