//! Kinds of quantity as `rules/readings.yaml` names them, and the unit that a
//! bare number means in each set of units.

use super::quantity::Dimension;
use super::units::{self, Unit};
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;

/// The units that a job or a shop writes bare numbers in.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    Default,
    Serialize,
    Deserialize,
    schemars::JsonSchema,
    clap::ValueEnum,
)]
#[serde(rename_all = "kebab-case")]
pub enum UnitSet {
    /// kPa, mm, L, km, C, kW.
    #[default]
    Metric,
    /// psi, in, qt, mi, F, hp.
    Us,
}

impl FromStr for UnitSet {
    type Err = String;
    fn from_str(text: &str) -> Result<Self, String> {
        match text.to_lowercase().as_str() {
            "metric" => Ok(UnitSet::Metric),
            "us" => Ok(UnitSet::Us),
            _ => Err(format!(
                "`{text}` is no set of units: write `metric` or `us`"
            )),
        }
    }
}

impl fmt::Display for UnitSet {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            UnitSet::Metric => "metric",
            UnitSet::Us => "us",
        })
    }
}

macro_rules! kinds {
    ($($(#[$doc:meta])* $kind:ident $word:literal [$($dimension:ident),+] $metric:ident $us:ident;)*) => {
        /// What sort of figure a reading is.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Kind { $($(#[$doc])* $kind),* }

        impl Kind {
            /// Every kind.
            pub const ALL: &'static [Kind] = &[$(Kind::$kind),*];

            /// The word in `rules/readings.yaml`.
            pub fn word(self) -> &'static str {
                match self { $(Kind::$kind => $word),* }
            }

            /// What units of this kind may measure.
            pub fn dimensions(self) -> &'static [Dimension] {
                match self { $(Kind::$kind => &[$(Dimension::$dimension),+]),* }
            }

            /// The unit that a bare number means.
            pub fn usual(self, set: UnitSet) -> Unit {
                match (self, set) {
                    $((Kind::$kind, UnitSet::Metric) => units::$metric.into(),
                      (Kind::$kind, UnitSet::Us) => units::$us.into()),*
                }
            }
        }
    };
}

kinds! {
    /// A gauge pressure or a fall of pressure.
    Pressure "pressure" [Pressure] KPA PSI;
    /// A pressure below the surroundings, written as a positive figure.
    Vacuum "vacuum" [Pressure] KPA INHG;
    /// A small pressure, as in a crankcase.
    Draught "draught" [Pressure] KPA INH2O;
    /// A barometer's absolute pressure.
    Barometer "barometer" [Absolute] KPAA INHGA;
    /// Leakage of a differential tester: percent lost, or cylinder over supply (`60/80 psi`).
    Leakage "leakage" [Share] PERCENT PERCENT;
    /// A share in percent.
    Percent "percent" [Share] PERCENT PERCENT;
    /// Parts in a million.
    Ppm "ppm" [Share] PPM PPM;
    /// A temperature.
    Temperature "temperature" [Temperature] CELSIUS FAHRENHEIT;
    /// A speed of turning.
    Speed "speed" [Turning] RPM RPM;
    /// Oil used: by the hour, by the distance, or for work done.
    OilRate "oil-rate" [VolumeRate, VolumePerLength, MassPerWork] L_PER_H QT_PER_H;
    /// A flow of gas.
    Flow "flow" [VolumeRate] L_PER_MIN CFM;
    /// A length on the bench.
    Length "length" [Length] MM INCHES;
    /// An area.
    Area "area" [Area] MM2 IN2;
    /// A distance run.
    Distance "distance" [Length] KM MILES;
    /// An altitude.
    Altitude "altitude" [Length] METRE FEET;
    /// Hours run.
    Hours "hours" [Time] HOURS HOURS;
    /// A short time.
    Minutes "minutes" [Time] MINUTES MINUTES;
    /// An amount of oil.
    Volume "volume" [Volume] LITRE US_QT;
    /// Power.
    Power "power" [Power] KW HP;
    /// A spring's load.
    Force "force" [Force] NEWTON LBF;
    /// An electrical resistance.
    Resistance "resistance" [Resistance] OHM OHM;
    /// A voltage.
    Voltage "voltage" [Voltage] VOLT VOLT;
    /// A crank angle.
    Angle "angle" [Angle] DEGREE DEGREE;
    /// A bare number.
    Number "number" [Number] COUNT COUNT;
}

impl Kind {
    /// Whether a figure of this kind may be written in `unit`.
    pub fn takes(self, unit: Unit) -> bool {
        self.dimensions().contains(&unit.dimension())
    }

    /// The names of its units, as an error lists them.
    pub fn unit_names(self) -> String {
        let names: Vec<&str> = self
            .dimensions()
            .iter()
            .flat_map(|d| Unit::all_of(*d))
            .map(|unit| unit.spec().symbol)
            .collect();
        names.join(", ")
    }
}

impl FromStr for Kind {
    type Err = String;
    fn from_str(text: &str) -> Result<Self, String> {
        Kind::ALL
            .iter()
            .find(|kind| kind.word() == text)
            .copied()
            .ok_or_else(|| {
                let words: Vec<&str> = Kind::ALL.iter().map(|kind| kind.word()).collect();
                format!(
                    "`{text}` is no kind of quantity; there are {}",
                    words.join(", ")
                )
            })
    }
}

impl fmt::Display for Kind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}
