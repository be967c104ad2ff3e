//! `teardown`: the inspection sheet for opening the engine.

use super::Answer;
use crate::diagnose::{Diagnosis, rank};
use crate::job::Moment;
use crate::problem::Problem;
use crate::session::Session;
use crate::show;
use crate::teardown::sheet::sheet;
use clap::Args;
use std::io::Write;
use std::path::PathBuf;

/// Arguments of `teardown`.
#[derive(Debug, Args)]
pub struct Teardown {
    /// Write the sheet as an HTML page to print
    #[arg(long, value_name = "FILE.html")]
    pub out: Option<PathBuf>,
    /// Date of the page; today when left out
    #[arg(long, value_name = "DATE")]
    pub date: Option<String>,
    /// Print JSON
    #[arg(long, conflicts_with = "out")]
    pub json: bool,
}

impl Teardown {
    /// Writes the sheet.
    ///
    /// # Errors
    /// Readings that cannot all be true, no exact answer, or a page that cannot be written.
    pub fn run(self, session: &mut Session, out: &mut dyn Write) -> Answer {
        let (observations, _) = session.evidence();
        let unrolled = session.unrolled()?;
        let (rules, engine) = (&session.rules, &session.engine);
        let d = Diagnosis::of(rules, engine, &unrolled, &observations)?;
        let ranking = rank::rank(&d)?;
        let sheet = sheet(&d, &ranking)?;
        if let Some(path) = &self.out {
            let today = Moment::now().to_string();
            let date = self
                .date
                .as_deref()
                .unwrap_or(today.get(..10).unwrap_or(&today));
            let page = show::teardown::document(&sheet, engine, &session.shop.file.name, date);
            let name = path.display();
            std::fs::write(path, page)
                .map_err(|e| Problem::new(format!("{name} cannot be written: {e}")))?;
            writeln!(out, "wrote {name}")?;
        } else if self.json {
            writeln!(
                out,
                "{:#}",
                show::teardown::json(session.store.name(), &sheet)
            )?;
        } else {
            writeln!(
                out,
                "{}",
                show::teardown::page(&sheet, engine, show::width())
            )?;
        }
        Ok(())
    }
}
