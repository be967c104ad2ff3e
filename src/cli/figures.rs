//! `figures`: the gauges' figures per cylinder, with bounds, spread, the odd one
//! out, and what changed when they were taken again.

use super::{Answer, oil};
use crate::engine::Place;
use crate::gauge::oil_log::OIL_CHECK;
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
            let page = show::figures::page(&gauges, show::width());
            let log = self.wants(OIL_CHECK).then(|| oil::sheet(session));
            match log.filter(|sheet| !sheet.rows.is_empty()) {
                None => writeln!(out, "{page}")?,
                Some(sheet) => {
                    let log = show::gauge_sheet::page(&sheet, false, show::width());
                    let above = if gauges.is_empty() {
                        String::new()
                    } else {
                        page + "\n\n"
                    };
                    writeln!(out, "{above}Log of the oil\n{log}")?;
                }
            }
        }
        Ok(())
    }
}

impl Figures {
    /// Whether a reading is asked for.
    fn wants(&self, reading: &str) -> bool {
        self.readings.is_empty() || self.readings.iter().any(|id| id == reading)
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
