//! `test`: the sheet of a test: cautions, what to make ready, steps.

use super::{Answer, no_such};
use crate::problem::Problem;
use crate::session::Session;
use crate::show;
use clap::Args;
use std::io::Write;

/// Arguments of `test`.
#[derive(Debug, Args)]
pub struct Test {
    /// The test, by id
    #[arg(value_name = "TEST")]
    pub test: String,
}

impl Test {
    /// Writes the sheet.
    ///
    /// # Errors
    /// A test that the rules do not know, or one that is not of this engine.
    pub fn run(self, session: &mut Session, out: &mut dyn Write) -> Answer {
        let rules = &session.rules;
        let id = self.test.split('@').next().unwrap_or_default();
        let Some(test) = rules.tests.get(id) else {
            let list = "`next` names the tests worth doing";
            return Err(no_such("test", id, rules.tests.keys(), list).into());
        };
        if !rules.applies(&session.engine.traits, &test.on, &test.not_on) {
            return Err(Problem::new(format!("`{id}` is not a test of this engine")).into());
        }
        let in_place = &session.store.job.set_up;
        let sheet = show::sheet::page(test, rules, in_place, show::width());
        writeln!(out, "{sheet}")?;
        Ok(())
    }
}
