//! `figures`: the gauges' figures per cylinder, with bounds, spread, the odd one
//! out, and what changed when they were taken again.

use super::Answer;
use crate::engine::Place;
use crate::job::figures::{Gauge, figures};
use crate::job::table;
use crate::problem::Problem;
use crate::session::Session;
use crate::show;
use crate::words::nearest;
use clap::Args;
use std::io::Write;

/// Arguments of `figures`.
#[derive(Debug, Args)]
pub struct Figures {
    /// Only these readings, such as `compression` or `leak-down`
    #[arg(value_name = "READING")]
    pub readings: Vec<String>,
    /// Write them as a CSV table, as `record --csv` reads it
    #[arg(long, conflicts_with = "json")]
    pub csv: bool,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
}

impl Figures {
    /// Shows the figures.
    ///
    /// # Errors
    /// A reading that is not known.
    pub fn run(self, session: &mut Session, out: &mut dyn Write) -> Answer {
        for id in &self.readings {
            if !session.rules.readings.contains_key(id) {
                let known = session.rules.readings.keys().map(String::as_str);
                let problem = Problem::new(format!("no reading is called `{id}`"));
                return Err(match nearest(id, known) {
                    Some(near) => problem.hint(format!("did you mean `{near}`?")),
                    None => problem.hint("`sootsayer rules list readings` lists them"),
                }
                .into());
            }
        }
        let job = &session.store.job;
        let shop = &session.shop.workbench;
        let mut gauges = figures(&session.rules, &session.engine, job, shop);
        if !self.readings.is_empty() {
            gauges.retain(|gauge| self.readings.contains(&gauge.reading));
        }
        if self.csv {
            write!(out, "{}", table::written(&session.engine, &cells(&gauges)))?;
        } else if self.json {
            let value = show::figures::json(session.store.name(), &gauges);
            writeln!(out, "{value:#}")?;
        } else {
            writeln!(out, "{}", show::figures::page(&gauges, show::width()))?;
        }
        Ok(())
    }
}

/// The last figure of each reading at each place.
fn cells(gauges: &[Gauge]) -> Vec<(String, Place, String)> {
    let of = |gauge: &Gauge| -> Vec<(String, Place, String)> {
        let rows = gauge.rows.iter();
        rows.filter_map(|row| {
            Some((
                gauge.reading.clone(),
                row.place,
                row.takes.last()?.said.clone(),
            ))
        })
        .collect()
    };
    gauges.iter().flat_map(of).collect()
}
