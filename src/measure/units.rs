//! The trade's units with their exact or published factors.
//!
//! Factors follow NIST Special Publication 811 (2008), appendix B; where that
//! table is rounded from exact definitions the definitions are used: the inch
//! 25.4 mm, the pound 0.453 592 37 kg, standard gravity 9.806 65 m/s2, the US
//! gallon 231 cubic inches. Columns of mercury and water are the conventional
//! ones (0 C mercury, 4 C water at standard gravity).

use super::quantity::{Dimension, Of, UnitOf, of};
use std::fmt;
use std::marker::PhantomData;

const INCH: f64 = 0.0254;
const POUND: f64 = 0.453_592_37;
const GRAVITY: f64 = 9.806_65;
const PSI_SI: f64 = POUND * GRAVITY / (INCH * INCH);
const MERCURY_MM: f64 = 133.322_387_415;
const WATER_MM: f64 = GRAVITY;
const QUART: f64 = 231.0 / 4.0 * INCH * INCH * INCH;
const FOOT: f64 = 12.0 * INCH;
const MILE: f64 = 5280.0 * FOOT;
const HORSEPOWER: f64 = 550.0 * FOOT * POUND * GRAVITY;
const METRIC_HORSEPOWER: f64 = 75.0 * GRAVITY;
const HOUR: f64 = 3600.0;

/// One unit: names and how it becomes SI.
#[derive(Debug)]
pub struct Spec {
    /// As the program writes it.
    pub symbol: &'static str,
    /// Other spellings that are understood, in small letters.
    pub also: &'static [&'static str],
    /// What it measures.
    pub dimension: Dimension,
    pub(super) factor: f64,
    pub(super) shift: f64,
    /// Upside down: a larger figure is a smaller quantity (hours per quart).
    pub inverse: bool,
}

impl Spec {
    pub(super) fn to_si(&self, value: f64) -> f64 {
        if self.inverse {
            self.factor / value
        } else {
            (value + self.shift) * self.factor
        }
    }

    pub(super) fn of_si(&self, si: f64) -> f64 {
        if self.inverse {
            self.factor / si
        } else {
            si / self.factor - self.shift
        }
    }
}

/// A unit whose dimension is known only when the program runs.
#[derive(Clone, Copy)]
pub struct Unit(&'static Spec);

impl Unit {
    /// The unit's names and dimension.
    pub fn spec(self) -> &'static Spec {
        self.0
    }

    /// What it measures.
    pub fn dimension(self) -> Dimension {
        self.0.dimension
    }

    /// `value` of this unit in SI.
    pub fn to_si(self, value: f64) -> f64 {
        self.0.to_si(value)
    }

    /// An SI figure in this unit.
    pub fn of_si(self, si: f64) -> f64 {
        self.0.of_si(si)
    }

    /// An error (a standard deviation) at `value` of this unit, in SI.
    pub fn error_to_si(self, value: f64, error: f64) -> f64 {
        if self.0.inverse {
            self.0.factor * error / (value * value)
        } else {
            error * self.0.factor
        }
    }

    /// The unit as one of dimension `D`, if it is.
    pub fn typed<D: Of>(self) -> Option<UnitOf<D>> {
        (self.0.dimension == D::DIMENSION).then_some(UnitOf {
            spec: self.0,
            of: PhantomData,
        })
    }

    /// The unit of that name; letter case counts only where it must (`Mohm`).
    ///
    /// ```
    /// use sootsayer::measure::units::Unit;
    /// assert_eq!(Unit::named("PSI").unwrap().to_string(), "psi");
    /// assert_eq!(Unit::named("kg/cm²").unwrap().to_string(), "kg/cm2");
    /// assert!(Unit::named("furlong").is_none());
    /// ```
    pub fn named(name: &str) -> Option<Unit> {
        among(name, |_| true)
    }

    /// The unit of that name among those of certain dimensions: `lbs` is a
    /// pressure where a pressure is asked for, a force where a force is.
    pub fn named_of(name: &str, dimensions: &[Dimension]) -> Option<Unit> {
        among(name, |unit| dimensions.contains(&unit.dimension()))
    }

    /// The absolute unit of the same name, for a barometer read in a gauge's unit.
    pub fn absolute(self) -> Option<Unit> {
        match self.dimension() {
            Dimension::Absolute => Some(self),
            Dimension::Pressure => {
                Unit::all_of(Dimension::Absolute).find(|unit| unit.0.factor == self.0.factor)
            }
            _ => None,
        }
    }

    /// Every unit of a dimension, in the order of the table.
    pub fn all_of(dimension: Dimension) -> impl Iterator<Item = Unit> {
        ALL.iter()
            .copied()
            .filter(move |unit| unit.0.dimension == dimension)
    }

    /// Every unit, in the order of the table.
    pub fn all() -> &'static [Unit] {
        ALL
    }
}

fn among(name: &str, fits: impl Fn(Unit) -> bool) -> Option<Unit> {
    let name = name.trim();
    let name = name.strip_suffix('.').unwrap_or(name);
    let of_them = || ALL.iter().copied().filter(|unit| fits(*unit));
    if let Some(unit) = of_them().find(|unit| unit.0.symbol == name) {
        return Some(unit);
    }
    let small = plain(name);
    let mut found = of_them()
        .filter(|unit| unit.0.also.contains(&small.as_str()) || plain(unit.0.symbol) == small);
    match (found.next(), found.next()) {
        (Some(unit), None) => Some(unit),
        _ => None,
    }
}

/// Small letters, no spaces, figures instead of raised ones.
fn plain(name: &str) -> String {
    name.chars()
        .filter(|c| !c.is_whitespace())
        .map(|c| match c {
            '²' => '2',
            '³' => '3',
            'µ' | 'μ' => 'u',
            _ => c,
        })
        .flat_map(char::to_lowercase)
        .collect::<String>()
        .replace(['ω', 'Ω'], "ohm")
        .replace('°', "")
        .replace('₂', "2")
}

impl fmt::Debug for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.0.symbol)
    }
}
impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.0.symbol)
    }
}
impl PartialEq for Unit {
    fn eq(&self, other: &Unit) -> bool {
        self.0.symbol == other.0.symbol
    }
}
impl Eq for Unit {}
impl<D> From<UnitOf<D>> for Unit {
    fn from(unit: UnitOf<D>) -> Unit {
        Unit(unit.spec)
    }
}

macro_rules! units {
    ($($(#[$doc:meta])* $id:ident $dim:ident $symbol:literal [$($also:literal),*] $factor:expr $(, shift $shift:expr)? $(=> $inverse:ident)? ;)*) => {
        $(
            $(#[$doc])*
            pub const $id: UnitOf<of::$dim> = UnitOf {
                spec: &Spec {
                    symbol: $symbol,
                    also: &[$($also),*],
                    dimension: Dimension::$dim,
                    factor: $factor,
                    shift: 0.0 $(+ $shift)?,
                    inverse: false $(|| stringify!($inverse).len() > 0)?,
                },
                of: PhantomData,
            };
        )*
        const ALL: &[Unit] = &[$(Unit($id.spec)),*];
    };
}

units! {
    /// Pound-force per square inch, above the surroundings.
    PSI Pressure "psi" ["psig", "lb/in2", "lb", "lbs", "lbf/in2"] PSI_SI;
    /// Bar above the surroundings.
    BAR Pressure "bar" ["barg", "bars"] 1e5;
    /// Kilopascal above the surroundings.
    KPA Pressure "kPa" ["kpag"] 1e3;
    /// Megapascal.
    MPA Pressure "MPa" [] 1e6;
    /// Technical atmosphere, kilogram-force per square centimetre.
    KG_CM2 Pressure "kg/cm2" ["kgf/cm2", "at"] GRAVITY * 1e4;
    /// Inch of mercury, conventional.
    INHG Pressure "inHg" ["\"hg", "in.hg"] MERCURY_MM * 25.4;
    /// Centimetre of mercury, conventional.
    CMHG Pressure "cmHg" [] MERCURY_MM * 10.0;
    /// Millimetre of mercury, conventional.
    MMHG Pressure "mmHg" ["torr"] MERCURY_MM;
    /// Inch of water, conventional.
    INH2O Pressure "inH2O" ["inwg", "inwc", "\"h2o"] WATER_MM * 25.4;
    /// Millimetre of water, conventional.
    MMH2O Pressure "mmH2O" ["mmwg"] WATER_MM;
    /// Millibar, the hectopascal.
    MBAR Pressure "mbar" ["hpa"] 100.0;
    /// Pascal.
    PA Pressure "Pa" [] 1.0;

    /// Pound-force per square inch, absolute.
    PSIA Absolute "psia" ["psiabs"] PSI_SI;
    /// Bar, absolute.
    BARA Absolute "bar abs" ["bara"] 1e5;
    /// Kilopascal, absolute.
    KPAA Absolute "kPa abs" ["kpaa"] 1e3;
    /// Hectopascal or millibar, absolute.
    MBARA Absolute "mbar abs" ["mbara", "hpaabs"] 100.0;
    /// Inch of mercury, absolute.
    INHGA Absolute "inHg abs" ["inhga"] MERCURY_MM * 25.4;
    /// Millimetre of mercury, absolute.
    MMHGA Absolute "mmHg abs" ["mmhga"] MERCURY_MM;

    /// Millimetre.
    MM Length "mm" [] 1e-3;
    /// Inch.
    INCHES Length "in" ["inch", "inches", "\""] INCH;
    /// Thousandth of an inch.
    THOU Length "thou" ["mil"] INCH / 1000.0;
    /// Micrometre.
    MICRON Length "um" ["micron"] 1e-6;
    /// Centimetre.
    CM Length "cm" [] 1e-2;
    /// Metre.
    METRE Length "m" [] 1.0;
    /// Foot.
    FEET Length "ft" ["foot", "feet"] FOOT;
    /// Kilometre.
    KM Length "km" [] 1e3;
    /// Statute mile.
    MILES Length "mi" ["mile", "miles"] MILE;

    /// Square millimetre.
    MM2 Area "mm2" [] 1e-6;
    /// Square inch.
    IN2 Area "in2" [] INCH * INCH;

    /// Litre.
    LITRE Volume "L" ["litre", "litres", "liter", "liters"] 1e-3;
    /// Millilitre.
    ML Volume "mL" ["cc", "cm3"] 1e-6;
    /// US quart, a quarter of 231 cubic inches.
    US_QT Volume "qt" ["qts", "quart", "quarts", "usqt"] QUART;
    /// US gallon.
    US_GAL Volume "gal" ["usgal"] QUART * 4.0;
    /// US pint.
    US_PT Volume "pt" ["pint", "pints"] QUART / 2.0;
    /// US fluid ounce.
    US_FLOZ Volume "floz" [] QUART / 32.0;
    /// Cubic inch.
    IN3 Volume "in3" ["cuin", "ci"] INCH * INCH * INCH;

    /// Gram.
    GRAM Mass "g" [] 1e-3;
    /// Kilogram.
    KG Mass "kg" [] 1.0;
    /// Pound.
    LB Mass "lb" ["lbs"] POUND;

    /// Newton.
    NEWTON Force "N" [] 1.0;
    /// Pound-force.
    LBF Force "lbf" ["lb", "lbs"] POUND * GRAVITY;
    /// Kilogram-force.
    KGF Force "kgf" ["kg"] GRAVITY;

    /// Hour.
    HOURS Time "h" ["hr", "hrs", "hour", "hours"] HOUR;
    /// Minute.
    MINUTES Time "min" ["minute", "minutes"] 60.0;
    /// Second.
    SECONDS Time "s" ["sec"] 1.0;

    /// Degree Celsius.
    CELSIUS Temperature "C" ["degc"] 1.0, shift 273.15;
    /// Degree Fahrenheit.
    FAHRENHEIT Temperature "F" ["degf"] 5.0 / 9.0, shift 459.67;
    /// Kelvin.
    KELVIN Temperature "K" [] 1.0;

    /// Kilowatt.
    KW Power "kW" [] 1e3;
    /// Horsepower, 550 foot-pounds a second.
    HP Power "hp" ["bhp"] HORSEPOWER;
    /// Metric horsepower, 75 kilogram-metres a second.
    PS Power "PS" ["cv"] METRIC_HORSEPOWER;

    /// Litre an hour.
    L_PER_H VolumeRate "L/h" ["l/hr"] 1e-3 / HOUR;
    /// Millilitre an hour.
    ML_PER_H VolumeRate "mL/h" ["cc/h", "cm3/h"] 1e-6 / HOUR;
    /// US quart an hour.
    QT_PER_H VolumeRate "qt/h" ["qt/hr", "usqt/h"] QUART / HOUR;
    /// Hours to a US quart: upside down.
    H_PER_QT VolumeRate "h/qt" ["hr/qt", "hours/qt"] QUART / HOUR => inverse;
    /// Hours to a litre: upside down.
    H_PER_L VolumeRate "h/L" ["hr/l"] 1e-3 / HOUR => inverse;
    /// Litre a minute.
    L_PER_MIN VolumeRate "L/min" ["lpm"] 1e-3 / 60.0;
    /// Cubic foot a minute.
    CFM VolumeRate "cfm" ["ft3/min"] FOOT * FOOT * FOOT / 60.0;
    /// Cubic foot an hour.
    FT3_PER_H VolumeRate "ft3/h" ["cfh", "ft3/hr"] FOOT * FOOT * FOOT / HOUR;
    /// Cubic metre an hour.
    M3_PER_H VolumeRate "m3/h" [] 1.0 / HOUR;

    /// Litre over a thousand kilometres.
    L_PER_1000KM VolumePerLength "L/1000km" [] 1e-9;
    /// US quart over a thousand miles.
    QT_PER_1000MI VolumePerLength "qt/1000mi" ["usqt/1000mi"] QUART / (1000.0 * MILE);
    /// Miles to a US quart: upside down.
    MI_PER_QT VolumePerLength "mi/qt" ["miles/qt"] QUART / MILE => inverse;
    /// Kilometres to a litre: upside down.
    KM_PER_L VolumePerLength "km/L" [] 1e-6 => inverse;

    /// Gram for a kilowatt-hour.
    G_PER_KWH MassPerWork "g/kWh" ["g/bkw-h", "g/kw-h"] 1e-3 / 3.6e6;
    /// Gram for a horsepower-hour.
    G_PER_HPH MassPerWork "g/hph" ["g/hp-h", "g/bhp-h"] 1e-3 / (HORSEPOWER * HOUR);
    /// Pound for a horsepower-hour.
    LB_PER_HPH MassPerWork "lb/hph" ["lb/hp-h", "lb/bhp-h"] POUND / (HORSEPOWER * HOUR);

    /// Revolutions a minute.
    RPM Turning "rpm" ["r/min", "1/min", "rev/min"] 1.0 / 60.0;

    /// Percent.
    PERCENT Share "%" ["percent", "pct"] 1e-2;
    /// Parts in a million by mass, milligrams in a kilogram.
    PPM Share "ppm" ["mg/kg"] 1e-6;

    /// Ohm.
    OHM Resistance "ohm" ["ohms"] 1.0;
    /// Milliohm.
    MILLIOHM Resistance "mohm" [] 1e-3;
    /// Kilohm.
    KOHM Resistance "kohm" [] 1e3;
    /// Megohm.
    MEGOHM Resistance "Mohm" ["megohm"] 1e6;

    /// Volt.
    VOLT Voltage "V" [] 1.0;
    /// Millivolt.
    MV Voltage "mV" [] 1e-3;

    /// Degree of angle.
    DEGREE Angle "deg" ["degrees"] 1.0;

    /// A bare count.
    COUNT Number "" [] 1.0;
}
