//! Dimensions of an engine as arguments, in any unit of the trade.

use crate::gauge::units::{self, Unit};
use crate::gauge::{Figure, Kind, UnitSet};
use crate::problem::{Problem, Problems};
use crate::rules::file::Dimensions;
use clap::Args;

/// Dimensions that differ from the family's usual ones.
#[derive(Debug, Clone, Default, Args)]
#[command(next_help_heading = "Dimensions, where they differ from the family's usual ones")]
pub struct Size {
    /// Bore, such as `86 mm`
    #[arg(long, value_name = "LENGTH")]
    pub bore: Option<String>,
    /// Stroke
    #[arg(long, value_name = "LENGTH")]
    pub stroke: Option<String>,
    /// Connecting rod between centres
    #[arg(long, value_name = "LENGTH")]
    pub rod: Option<String>,
    /// Compression ratio, such as `8.5`
    #[arg(long, value_name = "NUMBER")]
    pub compression_ratio: Option<String>,
    /// Intake valve or port closes, degrees after bottom dead centre
    #[arg(long, value_name = "DEGREES")]
    pub intake_closes: Option<String>,
    /// Maker's least cranking compression, such as `100 psi`
    #[arg(long, value_name = "PRESSURE")]
    pub compression_limit: Option<String>,
    /// Maker's usual cranking compression
    #[arg(long, value_name = "PRESSURE")]
    pub compression_normal: Option<String>,
    /// Rated power, such as `40 kW`
    #[arg(long, value_name = "POWER")]
    pub power: Option<String>,
    /// Oil in the sump when full, such as `5 L`
    #[arg(long, value_name = "VOLUME")]
    pub oil: Option<String>,
}

impl Size {
    /// The dimensions in the units of the job file.
    ///
    /// # Errors
    /// Every figure that is not understood or whose unit does not fit.
    pub fn read(&self, set: UnitSet) -> Result<Dimensions, Problems> {
        let mut problems = Problems::new();
        let mut read = |name: &str, text: &Option<String>, kind: Kind, unit: Unit| {
            let text = text.as_deref()?;
            match one(text, kind, unit, set) {
                Ok(value) => Some(value),
                Err(problem) => {
                    let what = format!("--{name}: {}", problem.what);
                    problems.push(Problem { what, ..problem });
                    None
                }
            }
        };
        let mm: Unit = units::MM.into();
        let kpa: Unit = units::KPA.into();
        let size = Dimensions {
            bore_mm: read("bore", &self.bore, Kind::Length, mm),
            stroke_mm: read("stroke", &self.stroke, Kind::Length, mm),
            rod_mm: read("rod", &self.rod, Kind::Length, mm),
            compression_ratio: read(
                "compression-ratio",
                &self.compression_ratio,
                Kind::Number,
                units::COUNT.into(),
            ),
            intake_closes_deg: read(
                "intake-closes",
                &self.intake_closes,
                Kind::Angle,
                units::DEGREE.into(),
            ),
            compression_limit_kpa: read(
                "compression-limit",
                &self.compression_limit,
                Kind::Pressure,
                kpa,
            ),
            compression_normal_kpa: read(
                "compression-normal",
                &self.compression_normal,
                Kind::Pressure,
                kpa,
            ),
            power_kw: read("power", &self.power, Kind::Power, units::KW.into()),
            oil_litres: read("oil", &self.oil, Kind::Volume, units::LITRE.into()),
        };
        match problems.is_empty() {
            true => Ok(size),
            false => Err(problems),
        }
    }
}

/// One figure in `unit`, to four decimals.
fn one(text: &str, kind: Kind, unit: Unit, set: UnitSet) -> Result<f64, Problem> {
    let figure = Figure::parse(text, kind, set)?;
    let value = figure.value_in(unit).unwrap_or(figure.value);
    match value > 0.0 {
        true => Ok((value * 1e4).round() / 1e4),
        false => Err(Problem::new(format!("{figure} is not above 0"))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bare_figure_is_in_the_units_of_the_job() {
        let size = Size {
            bore: Some("3.4".into()),
            oil: Some("5 L".into()),
            ..Size::default()
        };
        let read = size.read(UnitSet::Us).unwrap();
        // 3.4 in of 25.4 mm exactly (NIST SP 811, B.8).
        assert_eq!((read.bore_mm, read.oil_litres), (Some(86.36), Some(5.0)));
    }

    #[test]
    fn every_faulty_figure_is_named() {
        let size = Size {
            bore: Some("86 kg".into()),
            power: Some("0".into()),
            ..Size::default()
        };
        let problems = size.read(UnitSet::Metric).unwrap_err();
        let what: Vec<&str> = problems.iter().map(|p| p.what.as_str()).collect();
        assert_eq!(
            what,
            [
                "--bore: `86 kg`: `kg` is a unit of a mass, not of a length",
                "--power: 0 kW is not above 0"
            ]
        );
    }
}
