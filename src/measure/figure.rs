//! A figure as a technician writes it: `95 psi`, `6.2bar`, `38%`, `60/80 psi`.
//!
//! This is the raw reading that a job keeps. It is written back exactly as it
//! was read (number, unit, both gauges), so that a later change of the physics
//! can start from it again.

use super::kind::{Kind, UnitSet};
use super::quantity::Dimension;
use super::units::{self, Unit};
use crate::problem::Problem;
use serde::{Deserialize, Serialize};
use std::fmt;

/// No figure of the trade comes near it in any unit.
const LARGEST: f64 = 1e12;

/// A number with its unit; a two-gauge reading also has the supply.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Figure {
    /// The number (of a two-gauge reading: the cylinder's gauge).
    pub value: f64,
    /// The supply's gauge of a two-gauge reading, in the same unit.
    pub over: Option<f64>,
    /// The unit.
    pub unit: Unit,
}

impl Figure {
    /// A figure with one number.
    pub fn new(value: f64, unit: impl Into<Unit>) -> Self {
        Figure {
            value,
            over: None,
            unit: unit.into(),
        }
    }

    /// Reads a figure of a kind; a bare number means the kind's usual unit of `set`.
    ///
    /// ```
    /// use sootsayer::measure::{Figure, Kind, UnitSet};
    /// let read = |text| Figure::parse(text, Kind::Leakage, UnitSet::Us).map(|f| f.to_string());
    /// assert_eq!(read("38%").unwrap(), "38%");
    /// assert_eq!(read("60/80").unwrap(), "60/80 psi");
    /// assert!(read("6,2 bar").unwrap_err().to_string().contains("6.2"));
    /// ```
    ///
    /// # Errors
    /// Names the text and says how to write it: no number, a decimal comma, an
    /// unknown unit (with the nearest known one), a unit of another dimension,
    /// an absolute pressure where a gauge is read.
    pub fn parse(text: &str, kind: Kind, set: UnitSet) -> Result<Self, Problem> {
        Figure::parse_as(text, kind, kind.usual(set))
    }

    /// As [`parse`](Self::parse); a bare number means `bare`.
    ///
    /// # Errors
    /// As [`parse`](Self::parse).
    pub fn parse_as(text: &str, kind: Kind, bare: Unit) -> Result<Self, Problem> {
        let text = text.trim();
        let (value, rest) = number(text, text, kind)?;
        let rest = rest.trim_start();
        let (over, rest) = match rest.strip_prefix('/') {
            Some(after) => {
                let (over, rest) = number(after.trim_start(), text, kind)?;
                (Some(over), rest.trim())
            }
            None if kind == Kind::Leakage => both_units(rest.trim(), text)?,
            None => (None, rest.trim()),
        };
        let kind_of_unit = match (over, kind) {
            (None, _) => kind,
            (Some(_), Kind::Leakage) => Kind::Pressure,
            (Some(_), _) => {
                return Err(Problem::new(format!(
                    "`{text}` is two figures; {} is one",
                    kind.words()
                ))
                .hint("only leak-down is written cylinder over supply, as in `60/80 psi`"));
            }
        };
        let bare = match over {
            Some(_) if !kind_of_unit.takes(bare) => units::PSI.into(),
            _ => bare,
        };
        let unit = if rest.is_empty() {
            bare
        } else {
            unit_of(rest, text, kind_of_unit)?
        };
        let figure = Figure { value, over, unit };
        figure
            .possible(text)
            .map_err(|what| Problem::new(what).hint("check the figure and its unit"))
    }

    /// The figure, unless it lies below absolute zero or a perfect vacuum.
    fn possible(self, text: &str) -> Result<Self, String> {
        let least = match self.unit.dimension() {
            Dimension::Temperature => "absolute zero",
            Dimension::Absolute => "a perfect vacuum",
            _ => return Ok(self),
        };
        match self.unit.to_si(self.value) < -1e-9 {
            true => Err(format!("`{text}` is below {least}")),
            false => Ok(self),
        }
    }

    /// The number in another unit of the same dimension; `None` across dimensions.
    pub fn value_in(&self, unit: impl Into<Unit>) -> Option<f64> {
        let unit = unit.into();
        if unit == self.unit {
            return Some(self.value);
        }
        (unit.dimension() == self.unit.dimension()).then(|| unit.of_si(self.unit.to_si(self.value)))
    }

    /// Refuses a figure outside a physical range, given in `unit`.
    ///
    /// # Errors
    /// Names `what`, the figure, the range and the unit of the figure.
    pub fn within(&self, what: &str, between: [f64; 2], unit: Unit) -> Result<(), Problem> {
        let Some(value) = self.value_in(unit) else {
            return Ok(());
        };
        let spare = 1e-9 * between[1].abs().max(1.0);
        if value >= between[0] - spare && value <= between[1] + spare {
            return Ok(());
        }
        let bounds = between.map(|b| self.unit.of_si(unit.to_si(b)));
        Err(out_of_range(what, *self, bounds))
    }
}

/// `psi/80 psi` of `60psi/80psi`: the supply and the unit of both gauges.
fn both_units<'t>(rest: &'t str, whole: &str) -> Result<(Option<f64>, &'t str), Problem> {
    let Some((unit, after)) = rest.split_once('/') else {
        return Ok((None, rest));
    };
    let after = after.trim_start();
    if !after.starts_with(|c: char| c.is_ascii_digit() || c == '.') {
        return Ok((None, rest));
    }
    let (over, other) = number(after, whole, Kind::Leakage)?;
    let (unit, other) = (unit.trim(), other.trim());
    let own = unit_of(unit, whole, Kind::Pressure)?;
    if !other.is_empty() && unit_of(other, whole, Kind::Pressure)? != own {
        return Err(
            Problem::new(format!("`{whole}` has its two gauges in two units"))
                .hint("write both in one, as in `60/80 psi`"),
        );
    }
    Ok((Some(over), unit))
}

/// The error for a figure outside its range, given in the figure's own unit.
pub fn out_of_range(what: &str, figure: Figure, bounds: [f64; 2]) -> Problem {
    let (low, high) = (bounds[0].min(bounds[1]), bounds[0].max(bounds[1]));
    let unit = figure.unit.spec().symbol;
    let problem = Problem::new(
        format!(
            "{what} {figure} is outside {} to {} {unit}",
            short(low),
            short(high)
        )
        .trim_end(),
    );
    if figure.value < 0.0 && low >= 0.0 {
        problem.hint("it is written as a positive figure")
    } else {
        problem.hint("check the figure and its unit")
    }
}

/// At most three significant figures, without trailing noughts: `1.06`, `94.7`, `1350`.
///
/// ```
/// use sootsayer::measure::short;
/// assert_eq!(short(1.0586), "1.06");
/// assert_eq!(short(1350.4), "1350");
/// assert_eq!(short(0.000123456), "0.000123");
/// ```
pub fn short(value: f64) -> String {
    if value == 0.0 || !value.is_finite() {
        return if value == 0.0 {
            "0".into()
        } else {
            value.to_string()
        };
    }
    let places = (2 - value.abs().log10().floor() as i32).clamp(0, 12) as usize;
    let text = format!("{value:.places$}");
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_string()
    } else {
        text
    }
}

impl Kind {
    /// What a figure of this kind is called in an error.
    pub fn words(self) -> &'static str {
        match self {
            Kind::Leakage => "leakage",
            Kind::Vacuum | Kind::Draught | Kind::Pressure => "a pressure",
            Kind::Barometer => "a barometer",
            Kind::OilRate => "a rate of oil use",
            Kind::Flow => "a flow",
            Kind::Ppm => "parts in a million",
            Kind::Percent => "a percentage",
            _ => self.dimensions()[0].words(),
        }
    }
}

/// The number at the start of `text` and what follows it.
fn number<'t>(text: &'t str, whole: &str, kind: Kind) -> Result<(f64, &'t str), Problem> {
    let end = text
        .char_indices()
        .find(|(at, c)| {
            !(c.is_ascii_digit() || ".,".contains(*c) || (*at == 0 && "+-−".contains(*c)))
        })
        .map_or(text.len(), |(at, _)| at);
    let (digits, rest) = text.split_at(end);
    if digits.contains(',') {
        return Err(comma(digits, whole));
    }
    let digits = digits.replace('−', "-");
    match digits.parse::<f64>() {
        Ok(value) if value.abs() < LARGEST => Ok((value, rest)),
        Ok(_) => Err(Problem::new(format!(
            "`{whole}` is larger than anything measured"
        ))),
        _ => {
            let example = Figure::new(38.0, kind.usual(UnitSet::Metric));
            Err(
                Problem::new(format!("`{whole}` is not a figure")).hint(format!(
                    "write {} as a number and a unit, as in `{example}`",
                    kind.words()
                )),
            )
        }
    }
}

fn comma(digits: &str, whole: &str) -> Problem {
    let point = digits.replace(',', ".");
    let none = digits.replace(',', "");
    let problem = Problem::new(format!("`{whole}` has a comma in the number"));
    let thousands = digits
        .rsplit(',')
        .next()
        .is_some_and(|last| last.len() == 3);
    match (digits.matches(',').count(), thousands) {
        (1, true) => problem.hint(format!("write `{point}` or `{none}`, whichever is meant")),
        (1, false) => problem.hint(format!("write the decimals after a point: `{point}`")),
        _ => problem.hint(format!("write thousands without commas: `{none}`")),
    }
}

fn unit_of(name: &str, whole: &str, kind: Kind) -> Result<Unit, Problem> {
    let dimensions = kind.dimensions();
    if let Some(unit) = Unit::named_of(name, dimensions) {
        return Ok(unit);
    }
    let known = Unit::named(name)
        .or_else(|| Unit::named_of(name, &[Dimension::Absolute, Dimension::Pressure]));
    if kind == Kind::Barometer
        && let Some(unit) = known.and_then(Unit::absolute)
    {
        return Ok(unit);
    }
    let problem = match known {
        Some(unit) if unit.dimension() == Dimension::Absolute => {
            return Err(Problem::new(format!("`{whole}` is an absolute pressure"))
                .hint("write what the gauge shows: the pressure above the surroundings"));
        }
        Some(unit) => Problem::new(format!(
            "`{whole}`: `{name}` is a unit of {}, not of {}",
            unit.dimension().words(),
            kind.words()
        )),
        None => Problem::new(format!("`{whole}`: `{name}` is no unit")),
    };
    let hint = match known {
        Some(unit) if kind == Kind::Leakage && unit.dimension() == Dimension::Pressure => {
            Some("write both gauges, cylinder over supply: `60/80 psi`".into())
        }
        None => near(name, kind),
        Some(_) => None,
    };
    Err(problem.hint(
        hint.unwrap_or_else(|| format!("units of {} are {}", kind.words(), kind.unit_names())),
    ))
}

/// `did you mean ...?` with the units of the kind that are spelt most alike.
fn near(name: &str, kind: Kind) -> Option<String> {
    let small = name.to_lowercase();
    let mut likely: Vec<(usize, &str)> = kind
        .dimensions()
        .iter()
        .flat_map(|d| Unit::all_of(*d))
        .map(|unit| unit.spec().symbol)
        .map(|symbol| {
            (
                strsim::damerau_levenshtein(&small, &symbol.to_lowercase()),
                symbol,
            )
        })
        .filter(|(distance, symbol)| *distance <= 1.max(symbol.len() / 3))
        .collect();
    likely.sort();
    let least = likely.first()?.0;
    let names: Vec<String> = likely
        .iter()
        .filter(|(distance, _)| *distance == least)
        .map(|(_, symbol)| format!("`{symbol}`"))
        .collect();
    Some(format!("did you mean {}?", names.join(" or ")))
}

impl fmt::Display for Figure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.value)?;
        if let Some(over) = self.over {
            write!(f, "/{over}")?;
        }
        match self.unit.spec().symbol {
            "" => Ok(()),
            "%" => write!(f, "%"),
            unit => write!(f, " {unit}"),
        }
    }
}

impl Serialize for Figure {
    fn serialize<S: serde::Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(&self.to_string())
    }
}

impl<'de> Deserialize<'de> for Figure {
    /// Reads what [`Display`](fmt::Display) writes; the unit must be there,
    /// only a bare count has none.
    fn deserialize<D: serde::Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let text = String::deserialize(from)?;
        Figure::stored(&text).map_err(serde::de::Error::custom)
    }
}

impl Figure {
    /// Reads a figure as the program wrote it, whatever its kind.
    ///
    /// # Errors
    /// Says what cannot be read.
    pub fn stored(text: &str) -> Result<Self, String> {
        let (_, rest) = number(text.trim(), text, Kind::Number).map_err(|p| p.what)?;
        let name = rest
            .trim_start()
            .trim_start_matches(|c: char| c == '/' || c == '-' || c == '.' || c.is_ascii_digit())
            .trim();
        if name.is_empty() {
            return Figure::parse(text, Kind::Number, UnitSet::Metric).map_err(|p| p.what);
        }
        let unit = Unit::named(name).ok_or_else(|| format!("`{text}`: `{name}` is no unit"))?;
        let (value, rest) = number(text.trim(), text, Kind::Number).map_err(|p| p.what)?;
        let over = match rest.trim_start().strip_prefix('/') {
            Some(after) => Some(number(after, text, Kind::Number).map_err(|p| p.what)?.0),
            None => None,
        };
        Figure { value, over, unit }.possible(text)
    }
}
