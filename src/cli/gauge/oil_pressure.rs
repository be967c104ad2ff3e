//! `gauge oil-pressure`.

use super::Common;
use super::input::Inputs;
use crate::answer::Ending;
use crate::gauge::blow_by::SPEED;
use crate::gauge::oil_pressure::{PRESSURE, guide, shape};
use crate::gauge::sheet::{Line, Sheet};
use crate::gauge::{Kind, UnitSet, units};
use clap::Args;

/// Arguments of `gauge oil-pressure`.
#[derive(Debug, Args)]
pub struct OilPressure {
    /// Pressure hot at running speed, 0 to 1500 kPa
    #[arg(value_name = "PRESSURE", allow_hyphen_values = true)]
    fast: String,
    /// The speed that it was read at, 200 to 20000 rpm
    #[arg(
        long,
        value_name = "SPEED",
        default_value = "3000rpm",
        allow_hyphen_values = true
    )]
    speed: String,
    /// Pressure hot at idle, 0 to 1500 kPa
    #[arg(long, value_name = "PRESSURE", allow_hyphen_values = true)]
    idle: Option<String>,
}

impl OilPressure {
    /// Works it out.
    ///
    /// # Errors
    /// Every input that cannot be.
    pub fn sheet(&self, common: &Common) -> Result<Sheet, Ending> {
        let mut inputs = Inputs::new(common);
        let fast = inputs.take("fast", Some(&self.fast), Kind::Pressure, &PRESSURE);
        let speed = inputs.take("speed", Some(&self.speed), Kind::Speed, &SPEED);
        let idle = inputs.take("idle", self.idle.as_ref(), Kind::Pressure, &PRESSURE);
        let mut sheet = Sheet {
            gauge: "oil-pressure",
            given: inputs.done()?,
            formula: "guide = 10 psi for each 1000 rpm, hot; not an idle limit",
            sources: vec![
                "Common practice, from memory; a European form asks 1 bar for each 1000 rpm".into(),
                "One maker's model data: at least 29 kPa idling, 294 to 539 kPa at 3000 rpm".into(),
                "What low at idle or at speed points to: judgement".into(),
            ],
            ..Sheet::default()
        };
        let unit = match common.units {
            UnitSet::Metric => units::KPA,
            UnitSet::Us => units::PSI,
        };
        if let (Some(fast), Some(speed)) = (fast, speed) {
            let guide = guide(speed)?;
            sheet
                .found
                .push(Line::figure("guide", "guide at that speed", guide, unit));
            sheet
                .found
                .push(Line::number("share", "reading over guide", fast / guide));
            if let Some(idle) = idle {
                sheet.says.push(format!(
                    "The pressure is {}.",
                    shape(idle, fast, speed)?.says()
                ));
            }
        }
        Ok(sheet)
    }
}
