//! `next`: the tests worth doing, by what they tell per minute.

use super::Answer;
use crate::decide::{desk::Desk, worth};
use crate::diagnose::{Diagnosis, next, together};
use crate::session::Session;
use crate::show;
use clap::Args;
use std::io::Write;

/// Arguments of `next`.
#[derive(Debug, Args)]
pub struct Next {
    /// Rows at most
    #[arg(long, default_value_t = 6, value_name = "ROWS")]
    pub most: usize,
    /// Rank by what a test tells for its minutes, or by the money it saves
    #[arg(long, value_enum, default_value_t = By::Bits)]
    pub by: By,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
}

/// What tests are ranked by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub enum By {
    /// Bits of uncertainty for each minute.
    Bits,
    /// What it saves in the end, less what it costs.
    Money,
}

impl Next {
    /// Values every test that the shop can do.
    ///
    /// # Errors
    /// Readings that cannot all be true, or no exact answer.
    pub fn run(self, session: &mut Session, out: &mut dyn Write) -> Answer {
        let (observations, _) = session.evidence();
        let unrolled = session.unrolled()?;
        let d = Diagnosis::of(&session.rules, &session.engine, &unrolled, &observations)?;
        if self.by == By::Money {
            return self.by_money(session, &d, out);
        }
        let next = next::next(&d, &session.at_hand())?;
        let together = together::together(&d, &session.at_hand())?;
        if self.json {
            writeln!(out, "{:#}", show::json::next(&next, &together))?;
        } else {
            let page = show::next::page(&next, &together, &session.rules, self.most, show::width());
            writeln!(out, "{page}")?;
        }
        Ok(())
    }

    fn by_money(&self, session: &Session, d: &Diagnosis, out: &mut dyn Write) -> Answer {
        let desk = Desk::of(d, &session.shop.pricing)?;
        let (chosen, tests) = worth::next(&desk, &session.at_hand())?;
        if self.json {
            let job = session.store.name();
            writeln!(out, "{:#}", show::worth::json(job, &chosen, &tests, &desk))?;
        } else {
            let width = show::width();
            writeln!(
                out,
                "{}",
                show::worth::page(&tests, &desk, self.most, width)
            )?;
        }
        Ok(())
    }
}
