//! `gauge vacuum`.

use super::input::Inputs;
use super::{Air, Common};
use crate::answer::Ending;
use crate::gauge::sheet::{Line, Sheet};
use crate::gauge::vacuum::{VACUUM, at_sea_level, manifold};
use crate::gauge::{Kind, UnitSet, units};
use clap::Args;

/// Arguments of `gauge vacuum`.
#[derive(Debug, Args)]
pub struct Vacuum {
    /// Manifold vacuum at a warm idle, 0 to 101 kPa below the air around, such as `18inHg`
    #[arg(value_name = "VACUUM", allow_hyphen_values = true)]
    reading: String,
    #[command(flatten)]
    air: Air,
}

impl Vacuum {
    /// Works it out.
    ///
    /// # Errors
    /// Every input that cannot be.
    pub fn sheet(&self, common: &Common) -> Result<Sheet, Ending> {
        let mut inputs = Inputs::new(common);
        let around = inputs.air(&self.air);
        let read = inputs.take("vacuum", Some(&self.reading), Kind::Vacuum, &VACUUM);
        let corrected = read.and_then(|v| inputs.kept(at_sea_level(v, around)));
        let absolute = read.and_then(|v| inputs.kept(manifold(v, around)));
        let given = inputs.done()?;
        let (unit, whole) = match common.units {
            UnitSet::Metric => (units::KPA, units::KPAA),
            UnitSet::Us => (units::INHG, units::INHGA),
        };
        let mut says = Vec::new();
        if let Some(vacuum) = corrected {
            // 15 to 22 inHg at a steady idle is normal (printed procedure).
            let inches = vacuum.get(units::INHG);
            says.push(match inches {
                _ if inches < 15.0 => "Below the 15 to 22 inHg (51 to 74 kPa) of a steady idle; an engine with a long-overlap cam reads low when sound.",
                _ if inches > 22.0 => "Above the 15 to 22 inHg (51 to 74 kPa) of a steady idle.",
                _ => "Within the 15 to 22 inHg (51 to 74 kPa) of a steady idle.",
            }.into());
        }
        let found = [
            corrected.map(|v| Line::figure("at_sea_level", "at sea level", v, unit)),
            absolute.map(|p| Line::figure("manifold", "in the manifold", p, whole)),
        ];
        Ok(Sheet {
            gauge: "vacuum",
            given,
            found: found.into_iter().flatten().collect(),
            says,
            formula: "vacuum at sea level = vacuum + (P0 - Pa): the manifold's absolute pressure at idle hardly changes with height, the air around does",
            sources: vec![
                "Rule of thumb: 1 inHg for each 1000 ft (vacuum gauge instructions)".into(),
                "U.S. Standard Atmosphere, 1976".into(),
                "Normal 15 to 22 inHg: service procedure for manifold vacuum".into(),
            ],
            ..Sheet::default()
        })
    }
}
