//! `gauge template`.

use super::Common;
use crate::answer::Answer;
use crate::engine::{Engine, MOST_CYLINDERS};
use crate::job::table;
use crate::problem::Problem;
use crate::rules::Rules;
use crate::rules::file::Dimensions;
use clap::Args;
use std::collections::BTreeSet;
use std::io::Write;

/// Arguments of `gauge template`.
#[derive(Debug, Args)]
pub struct Template {
    /// Readings and findings that it should have columns for; the usual ones when left out
    #[arg(value_name = "READING")]
    columns: Vec<String>,
    /// Cylinders of the engine, 1 to 12
    #[arg(long, default_value_t = 4, value_name = "COUNT")]
    cylinders: usize,
    /// A log of the oil for `oil --csv`: one row for each check
    #[arg(long, conflicts_with_all = ["columns", "oil_sample"])]
    oil_log: bool,
    /// Its meter counts distance, not hours
    #[arg(long, requires = "oil_log")]
    by_distance: bool,
    /// Columns for a used-oil report
    #[arg(long, conflicts_with = "columns")]
    oil_sample: bool,
}

impl Template {
    /// Writes the empty table.
    ///
    /// # Errors
    /// A reading that is not known, an engine without or with too many cylinders.
    pub fn run(self, common: &Common, rules: &Rules, out: &mut dyn Write) -> Answer {
        if self.oil_log {
            write!(
                out,
                "{}",
                table::oil_template(common.units, self.by_distance)
            )?;
            return Ok(());
        }
        if !(1..=MOST_CYLINDERS).contains(&self.cylinders) {
            return Err(
                Problem::new(format!("an engine of {} cylinders", self.cylinders))
                    .hint(format!("it can have 1 to {MOST_CYLINDERS}"))
                    .into(),
            );
        }
        let banks = match self.oil_sample {
            true => vec![],
            false => Engine::deal(self.cylinders, 1),
        };
        let engine = Engine {
            name: String::new(),
            family: String::new(),
            traits: BTreeSet::new(),
            banks,
            dimensions: Dimensions::default(),
        };
        let of_oil =
            |id: &&String| id.starts_with("oil-sample-") || id.starts_with("oil-viscosity");
        let columns: Vec<String> = match self.oil_sample {
            true => rules.readings.keys().filter(of_oil).cloned().collect(),
            false => self.columns,
        };
        write!(
            out,
            "{}",
            table::template(rules, &engine, &columns, common.units)?
        )?;
        Ok(())
    }
}
