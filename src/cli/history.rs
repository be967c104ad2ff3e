//! `history`: what the shop's closed jobs teach.

use super::{Answer, Ending};
use crate::history::{Case, case, documents, propose, taught};
use crate::job::Moment;
use crate::job::shop::Shop;
use crate::problem::{Problem, Problems};
use crate::rules::Rules;
use crate::show;
use clap::Args;
use rayon::prelude::*;
use std::io::Write;
use std::path::PathBuf;

/// Name of the file that the proposed base rates are written to.
pub const FILE_NAME: &str = "from-our-jobs.yaml";

/// Arguments of `history`.
#[derive(Debug, Args)]
pub struct History {
    /// Folder of job files, one job or several in a file
    pub folder: PathBuf,
    /// How many jobs the built-in base rates weigh as
    #[arg(long, default_value_t = propose::STRENGTH, value_name = "JOBS")]
    pub strength: f64,
    /// Rows of each table at most
    #[arg(long, default_value_t = 12, value_name = "ROWS")]
    pub most: usize,
    /// Write the base rates that the jobs speak clearly for into a rules folder, as one file; deleting it undoes it
    #[arg(long, value_name = "DIR")]
    pub write: Option<PathBuf>,
    /// Write an HTML page with the plot of reliability
    #[arg(long, value_name = "FILE.html")]
    pub out: Option<PathBuf>,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
}

impl History {
    /// Goes through the closed jobs of the folder.
    ///
    /// # Errors
    /// A folder that cannot be read or holds no closed job, a strength below 1,
    /// or a file that cannot be written.
    pub fn run(self, rules: &Rules, shop: Option<&std::path::Path>, out: &mut dyn Write) -> Answer {
        if !(self.strength >= 1.0 && self.strength.is_finite()) {
            return Err(Problem::new("`--strength` must be 1 or more").into());
        }
        let shop = match shop {
            Some(file) => Shop::read(file, rules)?,
            None => Shop::beside(&self.folder.join("a-job"), rules)?,
        };
        let (jobs, mut skipped) = documents(&self.folder)?;
        let open = jobs.iter().filter(|d| d.job.closed.is_none()).count();
        let bar = indicatif::ProgressBar::new((jobs.len() - open) as u64);
        bar.set_style(
            indicatif::ProgressStyle::with_template("closed jobs {bar:30} {pos}/{len}")
                .unwrap_or_else(|_| indicatif::ProgressStyle::default_bar()),
        );
        let cases: Vec<Result<Case, Problem>> = (jobs.par_iter())
            .filter(|d| d.job.closed.is_some())
            .map(|d| {
                let done = case::case(rules, &shop.workbench, &d.name, &d.job);
                bar.inc(1);
                done.map_err(|p| Problem {
                    what: format!("{}: {}", d.name, p.what),
                    ..p
                })
            })
            .collect();
        bar.finish_and_clear();
        let mut counted = vec![];
        for case in cases {
            match case {
                Ok(case) => counted.push(case),
                Err(problem) => skipped.push(problem),
            }
        }
        if counted.is_empty() {
            return Err(nothing(&self.folder, open, skipped));
        }
        let taught = taught(rules, &counted, self.strength);
        let shown = show::history::Shown {
            folder: &self.folder.display().to_string(),
            taught: &taught,
            open,
            skipped: &skipped,
            strength: self.strength,
            most: self.most,
        };
        if let Some(path) = &self.out {
            let name = path.display();
            std::fs::write(path, show::history_page::document(&shown))
                .map_err(|e| Problem::new(format!("{name} cannot be written: {e}")))?;
            writeln!(out, "wrote {name}")?;
        } else if self.json {
            writeln!(out, "{:#}", show::history::json(&shown))?;
        } else {
            writeln!(out, "{}", show::history::page(&shown, show::width()))?;
        }
        if let Some(folder) = &self.write {
            writeln!(out, "{}", written(folder, &shown)?)?;
        }
        Ok(())
    }
}

fn nothing(folder: &std::path::Path, open: usize, skipped: Problems) -> Ending {
    let problem = Problem::new(format!("`{}` holds no closed job", folder.display()));
    let mut all = vec![match open {
        0 => problem.hint("a job is closed with `close JOB --found CAUSE`"),
        n => problem.hint(format!(
            "{} open; close them with `close JOB --found CAUSE`",
            crate::words::count(n, "job")
        )),
    }];
    all.extend(skipped);
    Ending::Wrong(all)
}

/// Writes the overlay; a file of that name is never written over.
fn written(folder: &std::path::Path, shown: &show::history::Shown) -> Result<String, Problem> {
    let path = folder.join(FILE_NAME);
    let name = path.display().to_string();
    let Some(text) = show::history::overlay(shown, &Moment::now().to_string()) else {
        return Ok("The jobs speak clearly for no other base rate, so nothing was written.".into());
    };
    let cannot = |e: std::io::Error| Problem::new(format!("{name} cannot be written: {e}"));
    let mut file = std::fs::File::options()
        .write(true)
        .create_new(true)
        .open(&path)
        .map_err(|e| match e.kind() {
            std::io::ErrorKind::AlreadyExists => Problem::new(format!("{name} exists already"))
                .hint("delete it first: its jobs would count twice"),
            _ => cannot(e),
        })?;
    file.write_all(text.as_bytes()).map_err(cannot)?;
    Ok(format!(
        "wrote {name}; it is used with `--rules {}`, and deleting it undoes it",
        folder.display()
    ))
}
