//! `gauge blow-by`.

use super::Common;
use super::input::Inputs;
use crate::answer::Ending;
use crate::gauge::blow_by::{
    BOOST, DISPLACEMENT, FLOW, SPEED, USUAL_SHARE, air_drawn, share, usual,
};
use crate::gauge::oil_use::POWER;
use crate::gauge::sheet::{Line, Sheet};
use crate::gauge::{Kind, Range, UnitSet, of, units};
use crate::problem::Problem;
use clap::Args;

const FILLING: Range<of::Number> = Range::new("filling", 0.05, 1.3, units::COUNT);

/// Arguments of `gauge blow-by`.
#[derive(Debug, Args)]
pub struct BlowBy {
    /// Flow at the breather, 0 to 5000 L/min, such as `38L/min` or `225ft3/h`
    #[arg(value_name = "FLOW", allow_hyphen_values = true)]
    flow: String,
    /// Displacement, 0.02 to 100 L
    #[arg(
        long,
        value_name = "VOLUME",
        requires = "speed",
        allow_hyphen_values = true
    )]
    displacement: Option<String>,
    /// Speed at which it was read, 200 to 20000 rpm
    #[arg(
        long,
        value_name = "SPEED",
        requires = "displacement",
        allow_hyphen_values = true
    )]
    speed: Option<String>,
    /// Filling of the cylinders, 0.05 to 1.3; 0.85 at full throttle when left out
    #[arg(long, value_name = "SHARE", allow_hyphen_values = true)]
    filling: Option<String>,
    /// Boost: intake over surrounding pressure, absolute, 0.2 to 5
    #[arg(long, value_name = "RATIO", allow_hyphen_values = true)]
    boost: Option<String>,
    /// Rated power, 0.3 to 20000 kW, when it was read at rated load
    #[arg(long, value_name = "POWER", allow_hyphen_values = true)]
    power: Option<String>,
}

impl BlowBy {
    /// Works it out.
    ///
    /// # Errors
    /// Every input that cannot be.
    pub fn sheet(&self, common: &Common) -> Result<Sheet, Ending> {
        let mut inputs = Inputs::new(common);
        let flow = inputs.take("flow", Some(&self.flow), Kind::Flow, &FLOW);
        let displacement = inputs.take(
            "displacement",
            self.displacement.as_ref(),
            Kind::Volume,
            &DISPLACEMENT,
        );
        let speed = inputs.take("speed", self.speed.as_ref(), Kind::Speed, &SPEED);
        let filling = inputs.number("filling", self.filling.as_ref(), &FILLING);
        let boost = inputs.number("boost", self.boost.as_ref(), &BOOST);
        let power = inputs.take("power", self.power.as_ref(), Kind::Power, &POWER);
        if self.displacement.is_none() && self.power.is_none() {
            inputs.refuse(
                Problem::new("there is nothing to tell the flow against")
                    .hint("give `--displacement` and `--speed`, or `--power`"),
            );
        }
        let mut sheet = Sheet {
            gauge: "blow-by",
            given: inputs.done()?,
            formula: "air drawn = displacement x speed / 2 x filling x boost (four-stroke); usual blow-by 1.5 % of it, or power / 50 hp in cfm at rated load",
            sources: vec![
                "Rule of thumb: 1.5 % of the air drawn, 1 cfm for each 50 hp (explainer page)".into(),
                "TM 9-2815-255-24 allows one engine 225 ft3/h at rated speed and load, after 100 h of running in".into(),
            ],
            ..Sheet::default()
        };
        let unit = match common.units {
            UnitSet::Metric => units::L_PER_MIN,
            UnitSet::Us => units::CFM,
        };
        let mut times = Vec::new();
        if let (Some(flow), Some(displacement), Some(speed)) = (flow, displacement, speed) {
            let air = air_drawn(
                displacement,
                speed,
                filling.unwrap_or(0.85),
                boost.unwrap_or(1.0),
            )?;
            let of_air = share(flow, air)?;
            sheet
                .found
                .push(Line::figure("air_drawn", "air drawn", air, unit));
            sheet.found.push(Line::figure(
                "share_of_air",
                "blow-by of it",
                of_air,
                units::PERCENT,
            ));
            if filling.is_none() {
                sheet
                    .assumed
                    .push("throttle open: the cylinders fill to 85 % (judgement)".into());
            }
            times.push(of_air.si() / USUAL_SHARE);
        }
        if let (Some(flow), Some(power)) = (flow, power) {
            let usual = usual(power)?;
            sheet
                .found
                .push(Line::figure("usual", "usual at rated load", usual, unit));
            sheet.found.push(Line::number(
                "times_usual",
                "blow-by over usual",
                flow / usual,
            ));
            times.push(flow / usual);
        }
        if let Some(most) = times.into_iter().reduce(f64::max) {
            sheet.says.push(match most {
                _ if most > 2.0 => "More than twice the usual: rings, bores or a piston, a turbocharger seal, or a vacuum or brake servo that feeds the crankcase.",
                _ if most > 1.2 => "Above the usual, below twice it: watch it.",
                _ => "Not above the usual.",
            }.into());
        }
        Ok(sheet)
    }
}
