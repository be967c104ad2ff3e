//! `gauge`: the calculators alone, without a job.
//!
//! Every input is written with its unit, is refused outside its physical range,
//! and every answer can say its formula and source (`--why`).

mod balance;
mod blow_by;
mod compression;
mod convert;
mod coolant;
mod input;
mod leakdown;
pub(super) mod oil_checks;
mod oil_pressure;
mod oil_sample;
pub(super) mod oil_use;
mod template;
mod vacuum;

use super::Answer;
use crate::gauge::sheet::Sheet;
use crate::measure::UnitSet;
use crate::problem::Problems;
use crate::rules::Rules;
use crate::show;
use clap::{Args, Subcommand};
use std::io::Write;

/// Arguments of `gauge`.
#[derive(Debug, Args)]
pub struct Gauge {
    #[command(subcommand)]
    which: Which,
    #[command(flatten)]
    common: Common,
}

/// What every calculator understands.
#[derive(Debug, Clone, Args)]
pub struct Common {
    /// What bare numbers mean, and what answers are told in
    #[arg(
        long,
        global = true,
        display_order = 900,
        value_name = "SET",
        default_value = "metric"
    )]
    units: UnitSet,
    /// Say inputs with their ranges, the formula and its sources
    #[arg(long, global = true, display_order = 900)]
    why: bool,
    /// Print JSON
    #[arg(long, global = true, display_order = 900)]
    json: bool,
}

/// The air around; sea level when neither is given.
#[derive(Debug, Clone, Args)]
struct Air {
    /// Altitude, -450 to 6000 m, such as `5000ft`
    #[arg(long, value_name = "HEIGHT", allow_hyphen_values = true)]
    altitude: Option<String>,
    /// Barometer, 45 to 110 kPa, such as `29.4inHg`; goes before the altitude
    #[arg(long, value_name = "PRESSURE", allow_hyphen_values = true)]
    barometer: Option<String>,
}

#[derive(Debug, Subcommand)]
enum Which {
    /// Leak-down: percent, leak area, and the same leak on another tester
    Leakdown(leakdown::Leakdown),
    /// Cranking compression that this engine should read, and readings beside it
    Compression(compression::Compression),
    /// Oil use as a rate, its trend, and the published limits
    OilUse(oil_use::OilUse),
    /// Manifold vacuum as it would be at sea level
    Vacuum(vacuum::Vacuum),
    /// Blow-by beside the air that the engine draws
    BlowBy(blow_by::BlowBy),
    /// Oil pressure against speed
    OilPressure(oil_pressure::OilPressure),
    /// Cooling-system pressure lost, and the boiling point under a cap
    Coolant(coolant::Coolant),
    /// What each cylinder is worth, from the speed lost without it
    Balance(balance::Balance),
    /// Used-oil figures brought to a rate, against sourced levels
    OilSample(oil_sample::OilSample),
    /// A figure in other units
    Convert(convert::Convert),
    /// An empty sheet in CSV for `record --csv`
    Template(template::Template),
}

impl Gauge {
    /// Calculates and writes the answer.
    ///
    /// # Errors
    /// Every input that cannot be read or cannot be.
    pub fn run(
        self,
        rules: impl FnOnce() -> Result<Rules, Problems>,
        out: &mut dyn Write,
    ) -> Answer {
        let common = &self.common;
        let sheet = match self.which {
            Which::Leakdown(it) => it.sheet(common)?,
            Which::Compression(it) => it.sheet(common)?,
            Which::OilUse(it) => it.sheet(common, &rules()?)?,
            Which::Vacuum(it) => it.sheet(common)?,
            Which::BlowBy(it) => it.sheet(common)?,
            Which::OilPressure(it) => it.sheet(common, &rules()?)?,
            Which::Coolant(it) => it.sheet(common)?,
            Which::Balance(it) => it.sheet(common)?,
            Which::OilSample(it) => it.sheet(common, &rules()?)?,
            Which::Convert(it) => it.sheet(common)?,
            Which::Template(it) => return it.run(common, &rules()?, out),
        };
        tell(&sheet, common, out)
    }
}

fn tell(sheet: &Sheet, common: &Common, out: &mut dyn Write) -> Answer {
    if common.json {
        writeln!(out, "{:#}", show::gauge_sheet::json(sheet))?;
    } else {
        let page = show::gauge_sheet::page(sheet, common.why, show::width());
        writeln!(out, "{page}")?;
    }
    Ok(())
}
