//! `plug`: reads a spark plug against the chart, by looks or by the chart's names.

use super::Answer;
use super::over::Over;
use super::record::{How, record};
use crate::diagnose::{Diagnosis, rank};
use crate::job::meaning::places;
use crate::job::plugs;
use crate::plug::PLUG;
use crate::rules::file::Scope;
use crate::session::Session;
use crate::shell::input::{Input, Lines};
use crate::shell::plugs::{Asking, chart, matched, matches, side_by_side};
use crate::shell::{recorded, terminal};
use crate::show;
use clap::Args;
use std::collections::BTreeSet;
use std::io::{IsTerminal, Write, stdin, stdout};
use std::path::PathBuf;

/// Arguments of `plug`.
#[derive(Debug, Args)]
pub struct Plug {
    /// Which plug: a cylinder such as `3`, a plug such as `3-upper`, several as `1,3`, or `all`; left out, the plugs read so far stand side by side
    #[arg(value_name = "WHERE")]
    pub at: Option<String>,
    /// How it looks, such as `black wet oily`, or a condition by name such as `oil-wet`, `worn`; `normal` when none holds, `not-out` when it was not taken out; left out, it is asked
    #[arg(value_name = "LOOK")]
    pub looks: Vec<String>,
    /// List the looks and the conditions of the chart
    #[arg(long)]
    pub list: bool,
    /// Write the chart as an HTML page with drawings, the plugs read so far before it
    #[arg(long, value_name = "FILE")]
    pub chart: Option<PathBuf>,
    /// Print JSON: every plug read so far and what it matches
    #[arg(long)]
    pub json: bool,
    /// What the chart may be written over.
    #[command(flatten)]
    pub over: Over,
    /// How it was seen.
    #[command(flatten)]
    pub how: How,
}

impl Plug {
    /// Records the looks of a plug, asks for them, or sets the plugs side by side.
    ///
    /// # Errors
    /// An engine without plugs, words that the chart has not, contradictory
    /// looks, a place that the engine lacks, or the job cannot be saved.
    pub fn run(self, session: &mut Session, out: &mut dyn Write) -> Answer {
        self.answered(session, None, out)
    }

    /// As [`Plug::run`], the answers coming from `input`; without it they come
    /// from the terminal or the pipe.
    ///
    /// # Errors
    /// As [`Plug::run`].
    pub fn answered(
        self,
        session: &mut Session,
        input: Option<&mut dyn Input>,
        out: &mut dyn Write,
    ) -> Answer {
        let chart = chart(session)?;
        if self.list {
            writeln!(
                out,
                "{}",
                show::plug::list(&chart, show::width(), show::true_colour())
            )?;
            return Ok(());
        }
        if let Some(file) = &self.chart {
            let name = &session.store.job.file.engine.name;
            let plugs = matched(session, &chart);
            let page = show::plug_page::page(&session.rules, name, &chart, &plugs);
            return self.over.write(file, &page, out);
        }
        let Some(at) = self.at.clone() else {
            return self.side_by_side(session, out);
        };
        if self.looks.is_empty() && !self.json {
            return self.ask(session, &at, input, out);
        }
        if !self.looks.is_empty() {
            self.record(session, &at, out)?;
        }
        match self.json {
            true => self.side_by_side(session, out),
            false if plugs::is_not_seen(&self.looks.join(" ")) => Ok(()),
            false => {
                let places = places(&session.engine, Scope::Plug, Some(&at), PLUG)?;
                matches(session, &places, out)
            }
        }
    }

    fn record(&self, session: &mut Session, at: &str, out: &mut dyn Write) -> Answer {
        let words: Vec<String> = (self.looks.iter())
            .flat_map(|w| w.split_whitespace().map(String::from))
            .collect();
        let said = plugs::said(&session.rules, &session.engine, at, &words)?;
        let mut quiet = std::io::sink();
        let out = match self.json {
            true => &mut quiet as &mut dyn Write,
            false => out,
        };
        if words != ["normal"] {
            return record(session, &said, self.how.clone(), out);
        }
        let act = self.how.clone().act(session)?;
        let new = session.record(&said, act)?;
        let numbers = format!("{} to {}", new.start + 1, new.end);
        writeln!(
            out,
            "recorded {numbers}: none of the chart's conditions on the plug, at {at}"
        )?;
        for line in recorded::warnings(session, new) {
            writeln!(out, "{line}")?;
        }
        Ok(())
    }

    /// Asks for the looks of one plug, the most telling first.
    fn ask(
        &self,
        session: &mut Session,
        at: &str,
        input: Option<&mut dyn Input>,
        out: &mut dyn Write,
    ) -> Answer {
        let act = self.how.clone().act(session)?;
        if let Some(input) = input {
            return Asking::new(session, input, out, act).one(at);
        }
        if stdin().is_terminal() && stdout().is_terminal() {
            let mut terminal = terminal(session, vec![])?;
            return Asking::new(session, &mut terminal, out, act).one(at);
        }
        let mut piped = stdin().lock();
        Asking::new(session, &mut Lines::new(&mut piped), out, act).one(at)
    }

    fn side_by_side(&self, session: &Session, out: &mut dyn Write) -> Answer {
        let chart = chart(session)?;
        let plugs = matched(session, &chart);
        if self.json {
            writeln!(out, "{:#}", show::plug::json(session.store.name(), &plugs))?;
            return Ok(());
        }
        side_by_side(session, out)?;
        match plugs.is_empty() {
            true => Ok(()),
            false => moved(session, out),
        }
    }
}

/// What the looks of all plugs together do to the ranking.
fn moved(session: &Session, out: &mut dyn Write) -> Answer {
    let chart = chart(session)?;
    let (rules, engine, job) = (&session.rules, &session.engine, &session.store.job);
    let by_looks: BTreeSet<usize> = plugs::seen(rules, engine, job, &chart)
        .into_values()
        .flat_map(|seen| seen.readings)
        .collect();
    let (with, _) = session.evidence();
    let without: Vec<_> = (with.iter())
        .filter(|o| !o.readings.iter().any(|r| by_looks.contains(r)))
        .cloned()
        .collect();
    let unrolled = session.unrolled()?;
    let before = rank::rank(&Diagnosis::of(rules, engine, &unrolled, &without)?)?;
    let after = rank::rank(&Diagnosis::of(rules, engine, &unrolled, &with)?)?;
    writeln!(out, "\nWhat the plugs do to the ranking:\n")?;
    let table = show::moved::table_of(&before, &after, 6, show::width());
    writeln!(out, "{table}")?;
    Ok(())
}
