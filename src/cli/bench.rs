//! `bench`: figures of the opened engine in, what they mean out.

use super::record::{How, read, whole};
use super::{Answer, Ending};
use crate::bench::{Judged, Measured, check, remedy, worked};
use crate::diagnose::{Diagnosis, rank};
use crate::job::opened::{bench_of, measured, understood};
use crate::job::table::bench as bench_table;
use crate::job::{Observation, Said};
use crate::problem::{Problem, Problems};
use crate::session::Session;
use crate::show::{self, bench::Opened};
use crate::teardown::after::{After, after, is_of_the_bench};
use clap::Args;
use std::io::Write;
use std::path::PathBuf;

/// Arguments of `bench`.
#[derive(Debug, Args)]
pub struct Bench {
    /// What was measured or seen with the engine open: `bore@1=80.05/80.02 80.03/80.01 80.00/80.00` (three depths from the top, across/along the pin), `ring-gap@1=0.6`, `bench-bore-seen@1=scored`; with none the bench so far is shown
    #[arg(value_name = "WHAT[@WHERE]=FIGURES", allow_negative_numbers = true)]
    pub lines: Vec<String>,
    /// The maker's own limit or size, such as `bore-taper=0.05mm` or `bore-new=80mm`; may be given again
    #[arg(long, value_name = "LIMIT=FIGURE")]
    pub limit: Vec<String>,
    /// A CSV table of figures, as `--template` writes it empty; `-` reads it from standard input
    #[arg(long, value_name = "FILE", conflicts_with = "lines")]
    pub csv: Option<PathBuf>,
    /// Write an empty table as CSV, with everything that is measured on this engine
    #[arg(long, conflicts_with_all = ["lines", "csv", "json", "out"])]
    pub template: bool,
    /// Write the figures so far as CSV
    #[arg(long, conflicts_with_all = ["lines", "csv", "json", "template", "out"])]
    pub as_csv: bool,
    /// Write the bench as an HTML page with each bore drawn
    #[arg(long, value_name = "FILE.html")]
    pub out: Option<PathBuf>,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
    /// How it was taken.
    #[command(flatten)]
    pub how: How,
}

impl Bench {
    /// Records the lines, all or none, and shows the bench.
    ///
    /// # Errors
    /// A line that is not understood, figures that cannot be, a closed job, or
    /// a job or page that cannot be written.
    pub fn run(mut self, session: &mut Session, out: &mut dyn Write) -> Answer {
        let Session { rules, engine, .. } = &*session;
        let units = session.store.job.file.units;
        if self.template {
            write!(out, "{}", bench_table::template(rules, engine))?;
            return Ok(());
        }
        if self.as_csv {
            write!(out, "{}", bench_table::written(&session.store.job))?;
            return Ok(());
        }
        let (said, note) = match &self.csv {
            Some(path) => {
                let (name, bytes) = whole(path)?;
                (
                    bench_table::read(&bytes, &name, rules, engine, units)?,
                    None,
                )
            }
            None if self.lines.is_empty() => (vec![], None),
            None => read(&self.lines)?,
        };
        let limits: Vec<Said> = (self.limit.iter().map(|l| l.parse())).collect::<Result<_, _>>()?;
        if !said.is_empty() || !limits.is_empty() {
            self.how.note = self.how.note.take().or(note);
            let how = std::mem::take(&mut self.how);
            record(session, &said, limits, how)?;
        }
        self.show(session, out)
    }

    fn show(&self, session: &Session, out: &mut dyn Write) -> Answer {
        let Session { engine, store, .. } = session;
        let (bench, judged, measured, notes) = of(session);
        let opened = opened(session, &bench, &judged, &measured, &notes);
        let after = ranked(session)?;
        if let Some(path) = &self.out {
            let page = show::bench_page::document(&engine.name, &opened, after.as_ref());
            let name = path.display();
            std::fs::write(path, page)
                .map_err(|e| Problem::new(format!("{name} cannot be written: {e}")))?;
            writeln!(out, "wrote {name}")?;
        } else if self.json {
            let value = show::bench::json(store.name(), &opened, after.as_ref());
            writeln!(out, "{value:#}")?;
        } else {
            let page = show::bench::page(&opened, after.as_ref(), show::width());
            writeln!(out, "{page}")?;
        }
        Ok(())
    }
}

/// The bench of a job: what was worked out, the figures, and what looks odd or cannot be.
pub(super) fn of(
    session: &Session,
) -> (
    crate::bench::Bench<'_>,
    Vec<Judged<'_>>,
    Measured,
    Vec<String>,
) {
    let Session {
        rules,
        engine,
        store,
        shop,
    } = session;
    let bench = bench_of(rules, engine, &store.job);
    let (measured, problems) = measured(rules, engine, &store.job, &shop.workbench);
    let judged = worked::judged(&bench, &measured);
    let mut notes = check::odd(&bench, &measured);
    notes.extend(
        problems
            .into_iter()
            .chain(check::impossible(&measured))
            .map(|p| p.what),
    );
    (bench, judged, measured, notes)
}

/// The same for a page.
pub(super) fn opened<'a>(
    session: &Session,
    bench: &'a crate::bench::Bench<'a>,
    judged: &'a [Judged<'a>],
    measured: &'a Measured,
    notes: &'a [String],
) -> Opened<'a> {
    Opened {
        units: session.store.job.file.units,
        remedies: remedy::sized(bench, measured, judged),
        measured,
        judged,
        bench,
        notes,
    }
}

/// Writes figures and findings into one act, all or none.
fn record(session: &mut Session, said: &[Said], limits: Vec<Said>, how: How) -> Answer {
    let Session {
        rules,
        engine,
        store,
        shop,
    } = &*session;
    let mut problems = Problems::new();
    let (mut bench, mut seen) = (vec![], vec![]);
    for line in said {
        let measured = rules.measures.contains_key(&line.of);
        match !measured
            && (rules.findings.contains_key(&line.of) || rules.readings.contains_key(&line.of))
        {
            true => seen.push(line.clone()),
            false => match understood(rules, engine, &store.job, line) {
                Ok(lines) => bench.extend(lines.into_iter().map(|(_, said)| said)),
                Err(problem) => problems.push(problem),
            },
        }
    }
    for limit in &limits {
        let mut own = crate::bench::Own::default();
        if let Err(problem) = own.read(rules, &limit.of, &limit.value, store.job.file.units) {
            problems.push(problem);
        }
    }
    let mut act = how.act(session)?;
    act.bench = bench;
    act.limits = limits;
    if problems.is_empty() {
        // as it would stand with the new lines
        let mut file = store.job.file.clone();
        file.diary.push(act.clone());
        match crate::job::Job::replay(file) {
            Ok(job) => {
                let (measured, _) = measured(rules, engine, &job, &shop.workbench);
                problems.extend(check::impossible(&measured));
            }
            Err(stuck) => problems.push(Problem {
                hint: stuck.hint,
                ..Problem::new(stuck.what)
            }),
        }
    }
    if !problems.is_empty() {
        return Err(Ending::Wrong(problems));
    }
    session.record(&seen, act)?;
    Ok(())
}

/// The ranking before and after the engine was opened, where something of the bench is known.
fn ranked(session: &Session) -> Result<Option<After>, Ending> {
    let (observations, _) = session.evidence();
    let before: Vec<Observation> = (observations.iter())
        .filter(|o| !is_of_the_bench(&session.rules, o))
        .cloned()
        .collect();
    if before.len() == observations.len() {
        return Ok(None);
    }
    let unrolled = session.unrolled()?;
    let (rules, engine) = (&session.rules, &session.engine);
    let closed = Diagnosis::of(rules, engine, &unrolled, &before)?;
    let was = rank::rank(&closed)?;
    let open = Diagnosis::of(rules, engine, &unrolled, &observations)?;
    let now = rank::rank(&open)?;
    Ok(Some(after(&open, &was, &now)))
}
