//! `plug`: reads a spark plug against the chart, by looks or by the chart's names.

use super::ask::Ask;
use super::record::{How, record};
use super::{Answer, no_such};
use crate::diagnose::{Diagnosis, rank};
use crate::engine::Place;
use crate::job::{Said, plugs};
use crate::plug::{self, Chart, Looks, Matched, PLUG};
use crate::problem::{Problem, Problems};
use crate::session::Session;
use crate::shell::recorded;
use crate::show;
use clap::Args;
use std::collections::{BTreeMap, BTreeSet};
use std::io::{IsTerminal, Write};
use std::path::{Path, PathBuf};

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
    /// Write the chart and the plugs read so far as an HTML page with drawings
    #[arg(long, value_name = "FILE")]
    pub page: Option<PathBuf>,
    /// Print JSON: every plug read so far and what it matches
    #[arg(long)]
    pub json: bool,
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
        if Chart::of(&session.rules, &session.engine).is_none() {
            return Err(Problem::new("this engine has no spark plugs").into());
        }
        if self.list {
            return list(session, out);
        }
        if let Some(file) = &self.page {
            return page(session, file, out);
        }
        let Some(at) = self.at.clone() else {
            return side_by_side(session, self.json, out);
        };
        if self.looks.is_empty() && !self.json {
            return self.ask(session, &at, out);
        }
        if !self.looks.is_empty() {
            self.record(session, &at, out)?;
        }
        match self.json {
            true => side_by_side(session, true, out),
            false => matches(session, &at, out),
        }
    }

    fn record(&self, session: &mut Session, at: &str, out: &mut dyn Write) -> Answer {
        let said = said(session, at, &self.looks)?;
        if self.looks != ["normal"] {
            let mut quiet = std::io::sink();
            let out = if self.json {
                &mut quiet as &mut dyn Write
            } else {
                out
            };
            return record(session, &said, self.how.clone(), out);
        }
        let act = self.how.clone().act(session)?;
        let new = session.record(&said, act)?;
        if !self.json {
            let numbers = format!("{} to {}", new.start + 1, new.end);
            writeln!(
                out,
                "recorded {numbers}: none of the chart's conditions on the plug, at {at}"
            )?;
            for line in recorded::warnings(session, new) {
                writeln!(out, "{line}")?;
            }
        }
        Ok(())
    }

    /// Asks for the looks of one plug, the most telling first.
    fn ask(&self, session: &mut Session, at: &str, out: &mut dyn Write) -> Answer {
        // The place is proved before anything is asked.
        let any = Said {
            of: PLUG.into(),
            at: Some(at.into()),
            value: "unknown".into(),
        };
        session.understood(&[any])?;
        if !std::io::stdin().is_terminal() {
            return Err(Problem::new("how does the plug look?")
                .hint("say its looks, such as `black wet oily`, or `normal`; `plug --list` lists the words")
                .into());
        }
        let typed = {
            let chart = Chart::of(&session.rules, &session.engine);
            let chart = chart.ok_or_else(|| Problem::new("this engine has no spark plugs"))?;
            let mut input = std::io::stdin().lock();
            questions(&session.rules, &chart, &mut Ask::new(&mut input, out))?
        };
        if typed.is_empty() {
            writeln!(out, "Nothing was recorded.")?;
            return Ok(());
        }
        let said = Said {
            of: PLUG.into(),
            at: Some(at.into()),
            value: typed,
        };
        record(session, &[said], self.how.clone(), out)?;
        matches(session, at, out)
    }
}

/// Puts the questions of the chart until the rest cannot matter; gives the looks
/// as they would be typed.
///
/// # Errors
/// The answers end, or a question cannot be written.
pub fn questions(
    rules: &crate::rules::Rules,
    chart: &Chart,
    ask: &mut Ask,
) -> Result<String, super::Ending> {
    let mut typed: Vec<String> = vec![];
    let mut asked: Vec<usize> = vec![];
    loop {
        let looks = Looks::read(chart, &typed.join(", ")).unwrap_or_default();
        let matched = Matched::of(rules, chart, looks);
        let circumstance =
            (0..chart.looks.len()).find(|i| chart.looks[*i].circumstance && !asked.contains(i));
        let index = match circumstance {
            Some(index) => index,
            None => match plug::next(&matched, &asked) {
                Some(question) => question.index,
                None => return Ok(typed.join(", ")),
            },
        };
        let look = chart.looks[index];
        asked.push(index);
        let mut known: Vec<(&str, &str)> = (look.values.iter())
            .map(|v| (v.value.as_str(), v.title.as_str()))
            .collect();
        known.push(("skip", "Cannot tell"));
        let answer = ask.one_of(&look.ask, &known)?;
        if answer != "skip" {
            typed.push(format!("{}:{answer}", look.look));
        }
    }
}

/// One line for each condition named, and one with the looks; `normal` alone
/// says that no condition is there.
fn said(session: &Session, at: &str, words: &[String]) -> Result<Vec<Said>, Problems> {
    let names = names(session);
    let line = |of: &str, value: &str| Said {
        of: of.into(),
        at: Some(at.into()),
        value: value.into(),
    };
    if words == ["normal"] {
        let judged =
            (names.values()).filter(|f| session.rules.findings[f.as_str()].measured.is_none());
        return Ok(judged.map(|f| line(f, "no")).collect());
    }
    let short = |word: &str| {
        let name = word.split('=').next().unwrap_or(word).to_lowercase();
        name.trim_start_matches("plug-").to_string()
    };
    // Where every word is a condition's name they are names; otherwise what the
    // chart reads as looks is looks.
    let all_names = words.iter().all(|w| names.contains_key(&short(w)));
    if !all_names && is_look(session, &words.join(" ")) {
        return Ok(vec![line(PLUG, &words.join(" "))]);
    }
    let (mut said, mut looks) = (vec![], vec![]);
    let mut problems = Problems::new();
    for word in words {
        match names.get(&short(word)) {
            Some(finding) => said.push(line(finding, word.split_once('=').map_or("yes", |w| w.1))),
            None if word.contains('=') => {
                let list = "`plug --list` lists the names of the chart";
                problems.push(no_such("condition", &short(word), names.keys(), list));
            }
            None => looks.push(word.as_str()),
        }
    }
    if !looks.is_empty() {
        said.push(line(PLUG, &looks.join(" ")));
    }
    match problems.is_empty() {
        true => Ok(said),
        false => Err(problems),
    }
}

fn is_look(session: &Session, word: &str) -> bool {
    Chart::of(&session.rules, &session.engine)
        .is_some_and(|chart| Looks::read(&chart, word).is_ok())
}

/// The plug findings of this engine by short name.
fn names(session: &Session) -> BTreeMap<String, String> {
    let (rules, traits) = (&session.rules, &session.engine.traits);
    (rules.findings.values())
        .filter(|f| f.scope == crate::rules::file::Scope::Plug)
        .filter(|f| rules.applies(traits, &f.on, &f.not_on))
        .map(|f| {
            let short = f.finding.trim_start_matches("plug-");
            (short.to_string(), f.finding.clone())
        })
        .collect()
}

fn list(session: &Session, out: &mut dyn Write) -> Answer {
    let chart = Chart::of(&session.rules, &session.engine);
    let chart = chart.ok_or_else(|| Problem::new("this engine has no spark plugs"))?;
    writeln!(out, "{}", show::plug::list(&chart, show::width()))?;
    Ok(())
}

/// What the plugs at a place match.
fn matches(session: &Session, at: &str, out: &mut dyn Write) -> Answer {
    let chart = Chart::of(&session.rules, &session.engine);
    let chart = chart.ok_or_else(|| Problem::new("this engine has no spark plugs"))?;
    let wanted: Vec<Place> = at
        .split(',')
        .filter_map(|p| p.trim().parse().ok())
        .collect();
    for (place, matched) in matched(session, &chart) {
        if at == "all" || wanted.contains(&place) {
            writeln!(
                out,
                "\n{}",
                show::plug::matches(place, &matched, show::width())
            )?;
        }
    }
    Ok(())
}

/// Every plug read so far, matched.
fn matched<'c, 'r>(session: &'r Session, chart: &'c Chart<'r>) -> BTreeMap<Place, Matched<'c, 'r>> {
    let (rules, engine, job) = (&session.rules, &session.engine, &session.store.job);
    plugs::seen(rules, engine, job, chart)
        .into_iter()
        .map(|(place, seen)| (place, Matched::of(rules, chart, seen.looks)))
        .filter(|(_, matched)| matched.is_possible())
        .collect()
}

fn side_by_side(session: &Session, json: bool, out: &mut dyn Write) -> Answer {
    let chart = Chart::of(&session.rules, &session.engine);
    let chart = chart.ok_or_else(|| Problem::new("this engine has no spark plugs"))?;
    let plugs = matched(session, &chart);
    if json {
        writeln!(out, "{:#}", show::plug::json(session.store.name(), &plugs))?;
        return Ok(());
    }
    if plugs.is_empty() {
        writeln!(
            out,
            "No plug was read by its looks yet. `plug 1` asks, `plug 1 black wet oily` tells; `plug --list` lists the words."
        )?;
        return Ok(());
    }
    let places = session.engine.places(crate::rules::file::Scope::Plug);
    writeln!(out, "{}", show::plug::side(&places, &plugs, show::width()))?;
    let said = plug::side::says(&plugs, places.len());
    writeln!(out)?;
    for line in said {
        writeln!(out, "{}", show::wrapped(&line, show::width(), 0))?;
    }
    moved(session, &chart, out)
}

/// Writes the chart and the plugs read so far as a page.
fn page(session: &Session, file: &Path, out: &mut dyn Write) -> Answer {
    let chart = Chart::of(&session.rules, &session.engine);
    let chart = chart.ok_or_else(|| Problem::new("this engine has no spark plugs"))?;
    let plugs = matched(session, &chart);
    let name = &session.store.job.file.engine.name;
    let page = show::plug_page::page(&session.rules, name, &chart, &plugs);
    std::fs::write(file, page)
        .map_err(|e| Problem::new(format!("{} cannot be written: {e}", file.display())))?;
    writeln!(out, "wrote {}", file.display())?;
    Ok(())
}

/// What the looks of all plugs together do to the ranking.
fn moved(session: &Session, chart: &Chart, out: &mut dyn Write) -> Answer {
    let (rules, engine, job) = (&session.rules, &session.engine, &session.store.job);
    let by_looks: BTreeSet<usize> = plugs::seen(rules, engine, job, chart)
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
