//! `estimate`: the choices of repair with cost, chance of a cure and what they cost in the end.

use super::{Answer, rank};
use crate::decide::desk::Desk;
use crate::decide::estimate::{Asked, estimate};
use crate::decide::package::Package;
use crate::diagnose::Diagnosis;
use crate::session::Session;
use crate::show;
use clap::Args;
use std::io::Write;

/// Arguments of `estimate`.
#[derive(Debug, Args)]
pub struct Estimate {
    /// Price these repairs too, such as `valve-job@2,renew-head-gasket`
    #[arg(long, value_name = "REPAIR[@WHERE],...")]
    pub with: Option<String>,
    /// How far the probabilities lean on judgement: redraw every number of the rules so many times
    #[arg(long, value_name = "REDRAWS", value_parser = super::rank::redraws, num_args = 0..=1, default_missing_value = "200")]
    pub doubt: Option<usize>,
    /// Print JSON; amounts in the currency's smallest unit
    #[arg(long)]
    pub json: bool,
    /// Print a CSV table of choices and lines
    #[arg(long, conflicts_with = "json")]
    pub csv: bool,
}

impl Estimate {
    /// Compares the choices.
    ///
    /// # Errors
    /// Repairs that are not known, readings that cannot all be true, or no exact answer.
    pub fn run(self, session: &mut Session, out: &mut dyn Write) -> Answer {
        let own = match &self.with {
            Some(text) => Some(Package::read(text, &session.rules, &session.engine)?),
            None => None,
        };
        let (observations, _) = session.evidence();
        let unrolled = session.unrolled()?;
        let d = Diagnosis::of(&session.rules, &session.engine, &unrolled, &observations)?;
        let doubt = match self.doubt {
            Some(redraws) => Some(rank::doubt_of(&d, redraws, 1)?),
            None => None,
        };
        let desk = Desk::of(&d, &session.shop.pricing)?;
        let asked = Asked {
            at_hand: &session.at_hand(),
            own: own.as_ref(),
            doubt: doubt.as_ref(),
        };
        let estimate = estimate(&desk, asked)?;
        if self.json {
            let job = session.store.name();
            writeln!(
                out,
                "{:#}",
                show::estimate_json::estimate(job, &estimate, &desk)
            )?;
        } else if self.csv {
            let table = show::estimate_csv::table(&estimate, &desk);
            write!(out, "{}", table.map_err(std::io::Error::other)?)?;
        } else {
            writeln!(
                out,
                "{}",
                show::estimate::page(&estimate, &desk, show::width())
            )?;
        }
        Ok(())
    }
}
