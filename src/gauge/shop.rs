//! A shop's instruments and air, as the physics needs them.

use super::leakdown::Tester;
use super::quantity::{Absolute, Length, Pressure};
use super::{Figure, air, units};
use std::collections::BTreeMap;

/// How a leak-down tester shows what it reads.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Scale {
    /// Two gauges, cylinder over supply.
    TwoGauge,
    /// One dial in percent lost.
    Percent,
}

/// One instrument of the shop, described once.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Instrument {
    /// Ids of the readings that it takes.
    pub takes: Vec<String>,
    /// Diameter of a leak-down tester's restrictor, where it is known.
    pub restrictor: Option<Length>,
    /// Supply that a leak-down tester is set to.
    pub supply: Option<Pressure>,
    /// How a leak-down tester shows what it reads.
    pub scale: Option<Scale>,
    /// One standard deviation of a repeated reading, in the unit that it is given in.
    pub repeatability: Option<Figure>,
}

/// The air and the instruments of a shop.
#[derive(Debug, Clone, PartialEq)]
pub struct Workbench {
    /// Pressure of the air around.
    pub around: Absolute,
    /// Whether that was given, or sea level assumed.
    pub air_known: bool,
    /// Instruments by the name that a reading gives.
    pub instruments: BTreeMap<String, Instrument>,
}

impl Default for Workbench {
    /// A shop at sea level that has described no instrument.
    fn default() -> Self {
        Workbench {
            around: air::SEA_LEVEL,
            air_known: false,
            instruments: BTreeMap::new(),
        }
    }
}

impl Workbench {
    /// The instrument that a reading was taken with: the one named, else the
    /// only one of the shop that takes it.
    pub fn instrument(&self, named: Option<&str>, reading: &str) -> Option<&Instrument> {
        if let Some(name) = named {
            return self.instruments.get(name);
        }
        let mut takers = self
            .instruments
            .values()
            .filter(|it| it.takes.iter().any(|id| id == reading));
        match (takers.next(), takers.next()) {
            (Some(only), None) => Some(only),
            _ => None,
        }
    }

    /// The leak-down tester behind a reading: the instrument's restrictor and
    /// supply, the reading's own supply first, 80 psi where none is known.
    pub fn tester(&self, instrument: Option<&Instrument>, supply: Option<Pressure>) -> Tester {
        Tester {
            restrictor: instrument.and_then(|it| it.restrictor),
            supply: supply
                .or(instrument.and_then(|it| it.supply))
                .unwrap_or(Pressure::of(80.0, units::PSI)),
            around: self.around,
        }
    }
}
