//! `oil`: the log of the oil in a job: checks in, the trend out.

use super::Answer;
use super::gauge::oil_checks::told;
use super::gauge::oil_use::{forms, limits};
use super::record::{How, record, whole};
use crate::gauge::oil_log::{OIL_CHECK, parted};
use crate::gauge::sheet::Sheet;
use crate::job::{self, Said, table};
use crate::problem::{Problem, Problems};
use crate::session::Session;
use crate::show;
use clap::Args;
use std::io::Write;
use std::path::{Path, PathBuf};

/// Arguments of `oil`.
#[derive(Debug, Args)]
pub struct Oil {
    /// Checks of the oil, each METER:ADDED[:LEVEL], such as `1215h:1qt 1240h:0.5qt:-0.3qt 1250h:changed`; LEVEL is what the dipstick showed before adding, below (-) or above the full mark, and left out the sump was filled to the mark; `changed+0.5L` was filled so far above it, `:fuel 3%` at the end is fuel in the oil; with none the log so far is shown
    #[arg(value_name = "CHECK", allow_negative_numbers = true)]
    pub checks: Vec<String>,
    /// A CSV log, as `--template` writes it empty; `-` reads it from standard input
    #[arg(long, value_name = "FILE", conflicts_with = "checks")]
    pub csv: Option<PathBuf>,
    /// Write an empty log as CSV
    #[arg(long, conflicts_with_all = ["checks", "csv", "json"])]
    pub template: bool,
    /// Write the log so far as CSV
    #[arg(long, conflicts_with_all = ["checks", "csv", "json", "template"])]
    pub as_csv: bool,
    /// Say the formula and the sources of the limits
    #[arg(long, conflicts_with = "json")]
    pub why: bool,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
    /// How it was taken.
    #[command(flatten)]
    pub how: How,
}

impl Oil {
    /// Records the checks, all or none, and shows the log with its trend.
    ///
    /// # Errors
    /// A check that is not understood, an engine without a sump, a table with
    /// faults, or the job cannot be saved.
    pub fn run(self, session: &mut Session, out: &mut dyn Write) -> Answer {
        if self.template {
            let set = session.store.job.file.units;
            let by_road = session.engine.traits.contains("road");
            write!(out, "{}", table::oil_template(set, by_road))?;
            return Ok(());
        }
        let said = match &self.csv {
            Some(path) => of_table(path, session)?,
            None => parted(&self.checks)
                .iter()
                .map(|word| Said::plain(OIL_CHECK, word))
                .collect(),
        };
        let recorded = !said.is_empty();
        if recorded {
            let mut unsaid = Vec::new();
            let to: &mut dyn Write = if self.json { &mut unsaid } else { &mut *out };
            record(session, &said, self.how, to)?;
        }
        let job = &session.store.job;
        if self.as_csv {
            let mut checks = job::oil::checks(&session.rules, &session.engine, job);
            checks.sort_by(|a, b| a.1.check().at.total_cmp(&b.1.check().at));
            let checks: Vec<_> = checks.into_iter().map(|(_, check)| check).collect();
            write!(out, "{}", table::oil_log(&checks))?;
            return Ok(());
        }
        let sheet = sheet(session);
        if self.json {
            writeln!(out, "{:#}", show::gauge_sheet::json(&sheet))?;
        } else {
            let gap = if recorded { "\n" } else { "" };
            let page = show::gauge_sheet::page(&sheet, self.why, show::width());
            writeln!(out, "{gap}{page}")?;
        }
        Ok(())
    }
}

/// The checks of a CSV log.
fn of_table(path: &Path, session: &Session) -> Result<Vec<Said>, Problems> {
    let (name, bytes) = whole(path)?;
    let said = table::oil_checks(&bytes, &name, &session.reader())?;
    match said.is_empty() {
        true => Err(vec![Problem::new(format!(
            "{name} holds no checks: every row is empty"
        ))]),
        false => Ok(said),
    }
}

/// The log, its trend and the limits for this kind of engine.
pub fn sheet(session: &Session) -> Sheet {
    let Session {
        rules,
        engine,
        store,
        shop,
    } = session;
    let (log, running, problems) = job::oil::log(rules, engine, &store.job, &shop.workbench);
    let mut sheet = Sheet {
        gauge: "oil",
        formula: crate::cli::gauge::oil_use::FORMULA,
        ..Sheet::default()
    };
    if let Some(log) = log {
        told(&log, &mut sheet);
        if let Some(now) = log.now() {
            let rate = log.rate(&now);
            let error = now.deviation.si() / now.each.si().abs().max(1e-18);
            sheet.found.extend(forms(rate, &running, log.set));
            limits(rate, error, &running, (rules, &engine.traits), &mut sheet);
        }
    } else if problems.is_empty() {
        sheet.says.push("No checks of the oil are recorded; `1215h:0.5L` writes one: the meter, and what was added.".into());
    }
    let said = problems.into_iter().map(|p| match p.hint {
        Some(hint) => format!("{}: {hint}.", p.what),
        None => format!("{}.", p.what),
    });
    sheet.says.extend(said);
    sheet
}
