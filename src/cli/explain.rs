//! `explain`: what speaks for and against a cause.

use super::Answer;
use crate::diagnose::{Diagnosis, explain, rank};
use crate::engine::Place;
use crate::problem::Problem;
use crate::session::Session;
use crate::show;
use clap::Args;
use std::io::Write;

/// Arguments of `explain`.
#[derive(Debug, Args)]
pub struct Explain {
    /// The cause, such as `rings-stuck@3`, or `rings-stuck` for anywhere; the first of the ranking when left out
    #[arg(value_name = "CAUSE[@WHERE]")]
    pub cause: Option<String>,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
}

impl Explain {
    /// Weighs every reading for one cause.
    ///
    /// # Errors
    /// A cause or place that the engine has not, or readings that cannot all be true.
    pub fn run(self, session: &mut Session, out: &mut dyn Write) -> Answer {
        let (observations, _) = session.evidence();
        let unrolled = session.unrolled()?;
        let d = Diagnosis::of(&session.rules, &session.engine, &unrolled, &observations)?;
        let (cause, place) = match &self.cause {
            Some(said) => read(said)?,
            None => first(&d)?,
        };
        if !session.rules.causes.contains_key(&cause) {
            return Err(super::no_such(
                "cause",
                &cause,
                session.rules.causes.keys(),
                "list them with `rules list causes`",
            )
            .into());
        }
        let explanation = explain::explain(&d, &session.facts(), &cause, place)?;
        if self.json {
            writeln!(out, "{:#}", show::json::explain(&explanation))?;
        } else {
            writeln!(
                out,
                "{}",
                show::explain::page(&explanation, &session.rules, show::width())
            )?;
        }
        Ok(())
    }
}

fn read(said: &str) -> Result<(String, Option<Place>), Problem> {
    match said.split_once('@') {
        None => Ok((said.to_string(), None)),
        Some((cause, place)) => {
            let place = place.parse::<Place>().map_err(Problem::new)?;
            Ok((cause.to_string(), Some(place)))
        }
    }
}

fn first(d: &Diagnosis) -> Result<(String, Option<Place>), Problem> {
    let ranking = rank::rank(d)?;
    let first = ranking.kinds.first();
    let first = first.ok_or_else(|| Problem::new("the rules hold no cause for this engine"))?;
    Ok((first.id.clone(), first.place))
}
