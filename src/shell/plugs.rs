//! Asking for the looks of plugs, one question at a time, the most telling
//! first; each answer is on disk before the next question is put.

use super::input::{Input, Typed, Wanted};
use super::recorded;
use crate::answer::{Answer, Ending};
use crate::engine::Place;
use crate::job::file::Act;
use crate::job::meaning::places;
use crate::job::{Moment, Said, plugs};
use crate::plug::{Chart, Form, Looks, Matched, PLUG, Reply, help};
use crate::problem::{Problem, Problems};
use crate::rules::file::Scope;
use crate::session::Session;
use crate::show::{self, FAINT, STRONG, styled};
use std::collections::BTreeMap;
use std::io::Write;

/// Said once, before the first question.
const HOW: &str = "Answer with a number or in words, of this question or any other look you see \
                   (`wet oily, nose cracked`); Enter goes on, `?` explains, `undo` goes back, \
                   `enough` ends the plug, `normal` when nothing is wrong with it.";

/// How the questions about a plug ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum After {
    /// All that matters was asked, or the person said so.
    Plug,
    /// The person left, or the answers ended.
    All,
}

/// Asks about plugs.
pub struct Asking<'a> {
    /// The job.
    pub session: &'a mut Session,
    /// Where the answers come from.
    pub input: &'a mut dyn Input,
    /// Where the questions go.
    pub out: &'a mut dyn Write,
    /// How they are seen: an act without readings.
    pub act: Act,
    /// Lines that were not understood.
    slips: Problems,
    told_how: bool,
}

/// The chart of a session's engine.
///
/// # Errors
/// An engine without spark plugs.
pub fn chart(session: &Session) -> Result<Chart<'_>, Problem> {
    Chart::of(&session.rules, &session.engine)
        .ok_or_else(|| Problem::new("this engine has no spark plugs"))
}

/// Every plug of a session read by its looks, matched.
pub fn matched<'c, 'r>(
    session: &'r Session,
    chart: &'c Chart<'r>,
) -> BTreeMap<Place, Matched<'c, 'r>> {
    plugs::matched(&session.rules, &session.engine, &session.store.job, chart)
}

/// What the plugs at some places match.
///
/// # Errors
/// The answer cannot be written.
pub fn matches(session: &Session, wanted: &[Place], out: &mut dyn Write) -> Answer {
    let chart = chart(session)?;
    for (place, matched) in matched(session, &chart) {
        if wanted.contains(&place) {
            let page = show::plug::matches(place, &matched, show::width(), show::true_colour());
            writeln!(out, "\n{page}")?;
        }
    }
    Ok(())
}

impl<'a> Asking<'a> {
    /// Asks on `out`, the answers come from `input`.
    pub fn new(
        session: &'a mut Session,
        input: &'a mut dyn Input,
        out: &'a mut dyn Write,
        act: Act,
    ) -> Self {
        Asking {
            session,
            input,
            out,
            act,
            slips: vec![],
            told_how: false,
        }
    }

    /// Asks about one plug, or about several that look alike (`1,3`), and says
    /// what they match.
    ///
    /// # Errors
    /// A place that the engine lacks; the terminal, the job or the answer fails;
    /// from a pipe, at the end, every line that was not understood.
    pub fn one(mut self, at: &str) -> Answer {
        let any = Said {
            of: PLUG.into(),
            at: Some(at.into()),
            value: "unknown".into(),
        };
        self.session.understood(&[any])?;
        let places = places(&self.session.engine, Scope::Plug, Some(at), PLUG)?;
        let before = self.session.store.job.readings.len();
        self.ask(&places, None)?;
        self.close(before, &places)
    }

    /// Asks about plug after plug, then sets them side by side.
    ///
    /// # Errors
    /// As [`Asking::one`].
    pub fn each(mut self, places: &[Place]) -> Answer {
        let mut last = None;
        for place in places {
            if self.ask(&[*place], last.as_ref())? == After::All {
                break;
            }
            last = Some(self.known(*place)?);
        }
        side_by_side(self.session, self.out)?;
        self.end()
    }

    /// Says what was recorded and what it matches.
    fn close(self, before: usize, places: &[Place]) -> Answer {
        let after = self.session.store.job.readings.len();
        if before == after {
            writeln!(self.out, "Nothing was recorded.")?;
        } else {
            for line in recorded::warnings(self.session, before..after) {
                writeln!(self.out, "{line}")?;
            }
            matches(self.session, places, self.out)?;
        }
        self.end()
    }

    fn end(self) -> Answer {
        match self.slips.is_empty() || self.input.is_terminal() {
            true => Ok(()),
            false => Err(Ending::Failed(self.slips)),
        }
    }

    /// What is known of a plug by its looks.
    fn known(&self, place: Place) -> Result<Looks, Problem> {
        let session = &self.session;
        let chart = chart(session)?;
        let mut seen = plugs::seen(&session.rules, &session.engine, &session.store.job, &chart);
        Ok(seen.remove(&place).map_or(Looks::default(), |s| s.looks))
    }

    /// Puts the questions about plugs that look alike; `same` are the looks of
    /// the plug before.
    fn ask(&mut self, places: &[Place], same: Option<&Looks>) -> Result<After, Ending> {
        let at: Vec<String> = places.iter().map(Place::to_string).collect();
        let at = at.join(",");
        let mut form = Form::new(match places {
            [one] => self.known(*one)?,
            _ => Looks::default(),
        });
        if let Some(same) = same {
            form.carry(&chart(self.session)?, same);
        }
        let mut shown = None;
        loop {
            let Some(look) = form.question(&self.session.rules, &chart(self.session)?) else {
                return Ok(After::Plug);
            };
            if shown != Some(look) {
                self.put(&at, look, &form, same.is_some())?;
                shown = Some(look);
            }
            let Some(line) = self.line(&at, look)? else {
                return Ok(After::All);
            };
            let reply = form.understand(&chart(self.session)?, look, &line);
            match reply {
                Err(problems) => {
                    for problem in &problems {
                        writeln!(self.out, "{problem}")?;
                    }
                    self.slips.extend(problems);
                }
                Ok(Reply::Looks(looks)) => {
                    let typed = looks.typed(&chart(self.session)?);
                    self.record(vec![plug(&at, &typed)])?;
                    form.take(look, &looks);
                    self.so_far(&form)?;
                }
                Ok(Reply::Same) => match same {
                    Some(looks) if !looks.seen.is_empty() => {
                        let typed = looks.typed(&chart(self.session)?);
                        self.record(vec![plug(&at, &typed)])?;
                        return Ok(After::Plug);
                    }
                    Some(_) => writeln!(self.out, "Nothing is known of the plug before.")?,
                    None => writeln!(self.out, "There is no plug before this one.")?,
                },
                Ok(Reply::Normal) => {
                    let normal = plugs::normal(&self.session.rules, &self.session.engine, &at);
                    self.record(normal)?;
                    return Ok(After::Plug);
                }
                Ok(Reply::NotOut) => {
                    self.record(vec![plug(&at, "not-out")])?;
                    return Ok(After::Plug);
                }
                Ok(Reply::Skip) => form.skip(look),
                Ok(Reply::Help) => self.explain(look)?,
                Ok(Reply::Back) => {
                    match form.back() {
                        Some(true) => {
                            let undone = self.session.undo()?;
                            writeln!(self.out, "undone: {undone}")?;
                        }
                        Some(false) => {}
                        None => writeln!(self.out, "This is the first question of this plug.")?,
                    }
                    shown = None;
                }
                Ok(Reply::Enough) => return Ok(After::Plug),
                Ok(Reply::Leave) => return Ok(After::All),
            }
        }
    }

    fn record(&mut self, said: Vec<Said>) -> Result<(), Problems> {
        let act = Act {
            time: Moment::now(),
            ..self.act.clone()
        };
        self.session.record(&said, act).map(drop)
    }

    /// Writes a question with its numbered values.
    fn put(&mut self, at: &str, look: usize, form: &Form, walks: bool) -> Answer {
        let chart = chart(self.session)?;
        let it = chart.looks[look];
        if !self.told_how {
            let how = match walks {
                true => format!("{HOW} `same` when it looks as the plug before."),
                false => HOW.to_string(),
            };
            let how = show::wrapped(&how, show::width(), 0);
            writeln!(self.out, "{}", styled(FAINT, how))?;
        }
        self.told_how = true;
        if form.is_new() {
            let known = match form.looks.seen.is_empty() {
                true => String::new(),
                false => format!(" - known: {}", form.looks.words(&chart)),
            };
            let head = show::wrapped(&format!("Plug {at}{known}"), show::width(), 2);
            writeln!(self.out, "\n{}", styled(STRONG, head))?;
        }
        writeln!(self.out, "{}", show::wrapped(&it.ask, show::width(), 0))?;
        writeln!(self.out, "{}", show::plug::values(it))?;
        Ok(())
    }

    /// A line that answers; none when the answers end or are broken off.
    fn line(&mut self, at: &str, look: usize) -> Result<Option<String>, Ending> {
        let chart = chart(self.session)?;
        let values = chart.looks[look].values.iter();
        let mut usual: Vec<String> = values.map(|v| v.value.clone()).collect();
        usual.push("?".into());
        let prompt = format!("  plug {at}> ");
        self.out.flush()?;
        if !self.input.is_terminal() {
            write!(self.out, "{prompt}")?;
        }
        let typed = self.input.line(&prompt, Wanted::Answer { usual })?;
        let line = match typed {
            Typed::Line(line) => Some(line),
            Typed::Dropped | Typed::End => None,
        };
        if !self.input.is_terminal() {
            writeln!(self.out, "{}", line.as_deref().unwrap_or_default().trim())?;
        }
        Ok(line)
    }

    /// What the answers come to so far, in one line.
    fn so_far(&mut self, form: &Form) -> Answer {
        let chart = chart(self.session)?;
        let matched = Matched::of(&self.session.rules, &chart, form.looks.clone());
        if matched.is_possible() {
            let line = format!("    so far: {}", show::plug::in_a_line(&matched));
            writeln!(self.out, "{}", styled(FAINT, line))?;
        }
        Ok(())
    }

    fn explain(&mut self, look: usize) -> Answer {
        let chart = chart(self.session)?;
        for line in help(chart.looks[look]) {
            let line = show::wrapped(&line, show::width(), 4);
            writeln!(self.out, "{}", styled(FAINT, line))?;
        }
        Ok(())
    }
}

fn plug(at: &str, typed: &str) -> Said {
    Said {
        of: PLUG.into(),
        at: Some(at.into()),
        value: typed.into(),
    }
}

/// Every plug of the engine in one table, with what they say together.
///
/// # Errors
/// An engine without spark plugs, or the answer cannot be written.
pub fn side_by_side(session: &Session, out: &mut dyn Write) -> Answer {
    let chart = chart(session)?;
    let plugs = matched(session, &chart);
    if plugs.is_empty() {
        let how = "No plug was read by its looks yet. `plug 1` asks, `plug 1 black wet oily` tells; `plug --list` lists the words.";
        writeln!(out, "{}", show::wrapped(how, show::width(), 0))?;
        return Ok(());
    }
    let places = session.engine.places(Scope::Plug);
    let width = show::width();
    writeln!(out, "{}\n", show::plug::side(&places, &plugs, width))?;
    for line in crate::plug::side::says(&plugs, places.len()) {
        writeln!(out, "{}", show::wrapped(&line, width, 0))?;
    }
    let drawn = show::plug::drawn(&plugs, width, show::true_colour());
    writeln!(out, "\n{drawn}")?;
    Ok(())
}
