//! `close`: what it turned out to be, what was done, and what came after.

use super::{Answer, Ending, no_such};
use crate::decide::cost::Pricer;
use crate::decide::package::Package;
use crate::engine::Place;
use crate::job::closed::Closed;
use crate::job::file::Act;
use crate::job::{Moment, Said};
use crate::problem::{Problem, Problems};
use crate::session::Session;
use crate::show;
use clap::Args;
use std::io::Write;

/// Arguments of `close`.
#[derive(Debug, Args)]
pub struct Close {
    /// What it turned out to be, such as `--found rings-stuck@3 breather-blocked`
    #[arg(long, value_name = "CAUSE[@WHERE]", num_args = 1.., conflicts_with = "nothing_found")]
    pub found: Vec<String>,
    /// No fault was found where it was looked for
    #[arg(long)]
    pub nothing_found: bool,
    /// How it was confirmed
    #[arg(long, value_name = "TEXT")]
    pub confirmed: Option<String>,
    /// Repairs done, such as `hone-and-ring@3`, or in words
    #[arg(long, value_name = "REPAIR[@WHERE]", num_args = 1..)]
    pub done: Vec<String>,
    /// What it cost, in the shop's currency, tax included
    #[arg(long, value_name = "AMOUNT")]
    pub cost: Option<f64>,
    /// Hours that it took
    #[arg(long, value_name = "HOURS")]
    pub hours: Option<f64>,
    /// Readings after the repair, such as `compression@3=1150kPa`; may be added later
    #[arg(long, value_name = "READING", num_args = 1..)]
    pub retest: Vec<String>,
    /// It came back, and with what
    #[arg(long, value_name = "TEXT", conflicts_with_all = ["found", "nothing_found"])]
    pub comeback: Option<String>,
    /// Open the job again, and why
    #[arg(long, value_name = "WHY", num_args = 0..=1, default_missing_value = "", conflicts_with_all = ["found", "nothing_found", "comeback", "retest"])]
    pub reopen: Option<String>,
    /// A remark
    #[arg(long, value_name = "TEXT")]
    pub note: Option<String>,
    /// When, if not now
    #[arg(long, value_name = "TIME")]
    pub taken: Option<Moment>,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
}

impl Close {
    /// Closes the job, or adds to a closed one; with nothing, says how it stands.
    ///
    /// # Errors
    /// Causes, repairs or readings that this engine cannot have, a job that is
    /// closed already or not yet, or one that cannot be saved.
    pub fn run(self, session: &mut Session, out: &mut dyn Write) -> Answer {
        let closes = !self.found.is_empty() || self.nothing_found;
        let adds =
            closes || self.comeback.is_some() || self.reopen.is_some() || !self.retest.is_empty();
        let of_closing = !self.done.is_empty()
            || self.cost.is_some()
            || self.hours.is_some()
            || self.confirmed.is_some();
        if of_closing && !closes {
            return Err(Problem::new("what it turned out to be is not said")
                .hint("`--found CAUSE[@WHERE]`, or `--nothing-found`")
                .into());
        }
        if adds {
            let act = self.act(session, closes)?;
            session.store.add(act)?;
        }
        let job = &session.store.job;
        if self.json {
            writeln!(out, "{:#}", show::closed::json(session.store.name(), job))?;
        } else {
            writeln!(
                out,
                "{}",
                show::closed::page(
                    &session.rules,
                    job,
                    &session.shop.pricing.currency,
                    show::width()
                )
            )?;
        }
        Ok(())
    }

    fn act(&self, session: &Session, closes: bool) -> Result<Act, Ending> {
        let mut problems = Problems::new();
        let mut found = vec![];
        for text in &self.found {
            match cause(session, text) {
                Ok(all) => found.extend(all),
                Err(problem) => problems.push(problem),
            }
        }
        for (name, figure) in [("cost", self.cost), ("hours", self.hours)] {
            if figure.is_some_and(|v| !(v.is_finite() && v >= 0.0)) {
                problems.push(Problem::new(format!("`--{name}` must be nought or more")));
            }
        }
        let retest: Result<Vec<Said>, Problem> = self.retest.iter().map(|t| t.parse()).collect();
        let retest = match retest {
            Ok(said) => session.understood(&said).unwrap_or_else(|wrong| {
                problems.extend(wrong);
                vec![]
            }),
            Err(problem) => {
                problems.push(problem);
                vec![]
            }
        };
        let (done, estimate) = match done(session, &self.done) {
            Ok(it) => it,
            Err(problem) => {
                problems.push(problem);
                (vec![], None)
            }
        };
        if !problems.is_empty() {
            return Err(problems.into());
        }
        found.dedup();
        let act = Act {
            taken: self.taken,
            note: self.note.clone(),
            comeback: self.comeback.clone(),
            reopened: self.reopen.clone(),
            ..Act::now()
        };
        Ok(match closes {
            true => Act {
                closed: Some(Closed {
                    found,
                    confirmed: self.confirmed.clone().unwrap_or_default(),
                    done,
                    cost: self.cost,
                    hours: self.hours,
                    estimate,
                    retest,
                }),
                ..act
            },
            false => Act { retest, ..act },
        })
    }
}

/// A cause as this engine can have it, at each place meant.
fn cause(session: &Session, text: &str) -> Result<Vec<String>, Problem> {
    let (rules, engine) = (&session.rules, &session.engine);
    let (id, at) = match text.split_once('@') {
        Some((id, at)) => (id, Some(at)),
        None => (text, None),
    };
    let Some(it) = rules.causes.get(id) else {
        let list = "`sootsayer rules list causes` lists them";
        return Err(no_such("cause", id, rules.causes.keys(), list));
    };
    if !rules.applies(&engine.traits, &it.on, &it.not_on) {
        let what = format!("`{id}` ({}) cannot be on this kind of engine", it.title);
        return Err(Problem::new(what).hint("`rank --most 200` lists what can"));
    }
    let places = crate::job::places(engine, it.scope, at, id)?;
    Ok(places
        .into_iter()
        .map(|place| match place {
            Place::Engine => id.to_string(),
            place => format!("{id}@{place}"),
        })
        .collect())
}

/// The repairs done, and what the estimate gives for them now: 10 %, middle and
/// 90 %, in the shop's currency; none where something was done that has no price.
fn done(session: &Session, done: &[String]) -> Result<(Vec<String>, Option<[f64; 3]>), Problem> {
    let known = |word: &String| {
        let id = word.split('@').next().unwrap_or(word);
        session.rules.repairs.contains_key(id)
    };
    let (repairs, words): (Vec<String>, Vec<String>) = done.iter().cloned().partition(known);
    let text = repairs.join(",");
    let package = Package::read(&text, &session.rules, &session.engine)?;
    let estimate = (!package.is_empty() && words.is_empty()).then(|| {
        let pricing = &session.shop.pricing;
        let pricer = Pricer {
            rules: &session.rules,
            engine: &session.engine,
            pricing,
        };
        let cost = pricer.cost(&package);
        let unit = pricing.currency.unit() as f64;
        cost.points.map(|p| p as f64 / unit)
    });
    Ok((done.to_vec(), estimate))
}
