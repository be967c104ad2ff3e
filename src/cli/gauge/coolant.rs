//! `gauge coolant`.

use super::input::Inputs;
use super::{Air, Common};
use crate::answer::Ending;
use crate::gauge::coolant::{PRESSURE, TEST_MOST, TIME, as_tested, boils_at};
use crate::gauge::sheet::{Line, Sheet};
use crate::gauge::{Kind, Range, UnitSet, of, units};
use crate::problem::Problem;
use clap::Args;

const AFTER: Range<of::Pressure> = Range::new("pressure after", 0.0, 200.0, units::KPA);
const CAP: Range<of::Pressure> = Range::new("cap pressure", 0.0, 300.0, units::KPA);

/// Arguments of `gauge coolant`.
#[derive(Debug, Args)]
pub struct Coolant {
    /// Pressure put on, 10 to 200 kPa
    #[arg(long, value_name = "PRESSURE", requires_all = ["to", "minutes"], allow_hyphen_values = true)]
    from: Option<String>,
    /// Pressure left
    #[arg(
        long,
        value_name = "PRESSURE",
        requires = "from",
        allow_hyphen_values = true
    )]
    to: Option<String>,
    /// After so long, 0.25 to 60 minutes, such as `5min`
    #[arg(
        long,
        value_name = "TIME",
        requires = "from",
        allow_hyphen_values = true
    )]
    minutes: Option<String>,
    /// Pressure that the cap holds, 0 to 300 kPa: gives the boiling point
    #[arg(long, value_name = "PRESSURE", allow_hyphen_values = true)]
    cap: Option<String>,
    #[command(flatten)]
    air: Air,
}

impl Coolant {
    /// Works it out.
    ///
    /// # Errors
    /// Every input that cannot be.
    pub fn sheet(&self, common: &Common) -> Result<Sheet, Ending> {
        let mut inputs = Inputs::new(common);
        let around = inputs.air(&self.air);
        let from = inputs.take("from", self.from.as_ref(), Kind::Pressure, &PRESSURE);
        let to = inputs.take("to", self.to.as_ref(), Kind::Pressure, &AFTER);
        let time = inputs.take("minutes", self.minutes.as_ref(), Kind::Minutes, &TIME);
        let cap = inputs.take("cap", self.cap.as_ref(), Kind::Pressure, &CAP);
        if self.from.is_none() && self.cap.is_none() {
            inputs.refuse(
                Problem::new("there is nothing to work out")
                    .hint("give `--from`, `--to` and `--minutes`, or `--cap`"),
            );
        }
        let lost = match (from, to, time) {
            (Some(from), Some(to), Some(time)) => inputs.kept(as_tested(from, to, time)),
            _ => None,
        };
        let boils = cap.and_then(|cap| inputs.kept(boils_at(cap, around)));
        let mut sheet = Sheet {
            gauge: "coolant",
            given: inputs.done()?,
            formula: "fall in the test = 104 kPa (1 - (p1/p0)^(2 min / t)); boiling point of water by the Antoine equation",
            sources: vec![
                "Test at 104 kPa (15 psi), failed by more than 2 psi in 2 minutes; never above 138 kPa with the engine running: one maker's manual".into(),
                "Antoine constants for water 99 to 374 C (from memory); rule of thumb 3 F for each psi".into(),
            ],
            ..Sheet::default()
        };
        let (unit, heat) = match common.units {
            UnitSet::Metric => (units::KPA, units::CELSIUS),
            UnitSet::Us => (units::PSI, units::FAHRENHEIT),
        };
        if let Some(lost) = lost {
            sheet.found.push(Line::figure(
                "lost",
                "lost in the two-minute test",
                lost,
                unit,
            ));
            sheet.says.push(match lost > TEST_MOST {
                true => "More than the 2 psi allowed: the system leaks. Look outside first, then for what leaks inwards.",
                false => "Within the 2 psi allowed. A combustion leak can still show only when running.",
            }.into());
        }
        if let Some(boils) = boils {
            sheet
                .found
                .push(Line::figure("boils_at", "water boils at", boils, heat));
        }
        Ok(sheet)
    }
}
