//! `rank`: the probable causes, most probable first.

use super::Answer;
use super::over::Over;
use crate::diagnose::doubt::{Doubt, doubt};
use crate::diagnose::{Diagnosis, next, rank, surprise};
use crate::session::Session;
use crate::show;
use clap::Args;
use std::io::{IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};

/// Arguments of `rank`.
#[derive(Debug, Args)]
pub struct Rank {
    /// Rows at most
    #[arg(long, default_value_t = 10, value_name = "ROWS")]
    pub most: usize,
    /// How far the ranking leans on judgement: redraw every number of the rules so many times
    #[arg(long, value_name = "REDRAWS", value_parser = redraws, num_args = 0..=1, default_missing_value = "300")]
    pub doubt: Option<usize>,
    /// Seed of the redraws
    #[arg(long, default_value_t = 1, value_name = "SEED")]
    pub seed: u64,
    /// Write the network with the readings as evidence into a file; `.bif` for
    /// reading by people, `.uai` for other solvers
    #[arg(long, value_name = "FILE")]
    pub export: Option<PathBuf>,
    /// What it may be written over.
    #[command(flatten)]
    pub over: Over,
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
            Some(file) => export(file, &d, self.over)?,
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
            if let Some(enough) = next::settled(&d)? {
                writeln!(out, "\n{}", show::wrapped(&enough, width, 2))?;
            }
            for line in wrote {
                writeln!(out, "{line}")?;
            }
        }
        Ok(())
    }
}

/// Writes the network with what was observed.
fn export(file: &Path, d: &Diagnosis, over: Over) -> Result<Vec<String>, crate::problem::Problem> {
    let tables = show::network_file::tables(d.rules, d.unrolled, d.solved.evidence());
    let said = d
        .observations
        .iter()
        .map(|o| format!("\nobserved: {}", o.said));
    let remarks = format!("{}{}", d.engine.name, said.collect::<String>());
    super::export::write(file, &tables, &remarks, over)
}

/// Most redraws that may be asked for.
const MOST_REDRAWS: u64 = 10_000;

/// Reads a number of redraws.
pub(super) fn redraws(text: &str) -> Result<usize, String> {
    match text.parse::<u64>() {
        Ok(n) if (1..=MOST_REDRAWS).contains(&n) => Ok(n as usize),
        _ => Err(format!("write a whole number from 1 to {MOST_REDRAWS}")),
    }
}

/// Redraws; a terminal is told how far it has come.
pub(super) fn doubt_of(
    d: &Diagnosis,
    redraws: usize,
    seed: u64,
) -> Result<Doubt, crate::problem::Problem> {
    let seen = std::io::stderr().is_terminal();
    let done = AtomicUsize::new(0);
    let tick = || {
        let done = done.fetch_add(1, Ordering::Relaxed) + 1;
        if seen {
            eprint!("\rredrawing the numbers {done}/{redraws}");
        }
    };
    let found = doubt(d, redraws, seed, &tick);
    if seen {
        eprint!("\r\x1b[K");
    }
    Ok(found?)
}
