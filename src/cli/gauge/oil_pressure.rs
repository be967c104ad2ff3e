//! `gauge oil-pressure`.

use super::Common;
use super::input::Inputs;
use crate::answer::Ending;
use crate::gauge::blow_by::SPEED;
use crate::gauge::oil_pressure::{PRESSURE, guide, shape};
use crate::gauge::sheet::{Line, Sheet};
use crate::gauge::{Kind, UnitOf, UnitSet, of, short, units};
use crate::rules::Rules;
use clap::Args;
use std::collections::BTreeSet;

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
    /// Kind of engine by its traits or family, such as `outboard` or `tractor diesel`: tells the bounds that a job judges it by
    #[arg(long = "for", value_name = "TRAIT", num_args = 1..)]
    traits: Vec<String>,
}

impl OilPressure {
    /// Works it out.
    ///
    /// # Errors
    /// Every input that cannot be.
    pub fn sheet(&self, common: &Common, rules: &Rules) -> Result<Sheet, Ending> {
        let mut inputs = Inputs::new(common);
        let fast = inputs.take("fast", Some(&self.fast), Kind::Pressure, &PRESSURE);
        let speed = inputs.take("speed", Some(&self.speed), Kind::Speed, &SPEED);
        let idle = inputs.take("idle", self.idle.as_ref(), Kind::Pressure, &PRESSURE);
        let traits = inputs.traits(&self.traits, rules);
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
        if !self.traits.is_empty() {
            bounds(rules, &traits, unit, &mut sheet);
        }
        Ok(sheet)
    }
}

/// The bounds of the findings that oil pressure is judged by, for a kind of engine.
fn bounds(rules: &Rules, traits: &BTreeSet<String>, unit: UnitOf<of::Pressure>, sheet: &mut Sheet) {
    let told = |kpa: &f64| short(crate::gauge::Pressure::of(*kpa, units::KPA).get(unit));
    for entry in rules.findings.values() {
        let finding = rules.bounded(&entry.it, traits);
        let Some(measured) = &finding.measured else {
            continue;
        };
        if !measured.reading.starts_with("oil-pressure-") {
            continue;
        }
        let at = rules.readings.get(&measured.reading);
        let at = at.map_or(String::new(), |it| it.title.to_lowercase());
        let bounds: Vec<String> = measured.bounds.iter().map(told).collect();
        let side = if measured.falling() { "below" } else { "above" };
        let unit = crate::measure::units::Unit::from(unit);
        sheet.says.push(format!(
            "{}: {side} {} {unit} ({at}).",
            finding.title,
            bounds.join(", worse below ")
        ));
        let sources = measured.basis.sources.iter().map(|id| {
            let source = rules.sources.get(id);
            source.map_or(id.clone(), |it| it.title.clone())
        });
        let mut from: Vec<String> = sources.collect();
        if from.is_empty() {
            from.push("no source: common practice or judgement".into());
        }
        sheet
            .sources
            .push(format!("{}: {}", finding.title, from.join("; ")));
    }
}
