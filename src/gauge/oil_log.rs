//! One check of the oil as it is written down: `1240h:0.5qt:-0.3qt`.
//!
//! The raw record keeps what was typed, with its units; what the trend is fitted
//! to ([`Check`]) is worked out from it.

use super::oil_sample::ADDED;
use super::oil_trend::Check;
use super::{Figure, Kind, Share, UnitSet, Volume, units};
use crate::measure::units::Unit;
use crate::problem::Problem;
use std::fmt;

/// The reading that checks of the oil are recorded as.
pub const OIL_CHECK: &str = "oil-check";

/// The way to write one.
const WRITE: &str = "write METER:ADDED, METER:ADDED:LEVEL or METER:changed, as in `1215h:1qt`, `1240h:0.5qt:-0.3qt` or `1250h:changed`";

/// Meters that are read, in hours or kilometres.
const MOST: f64 = 10_000_000.0;
/// Most fuel that an oil can have and still be called oil, in percent.
const MOST_FUEL: f64 = 60.0;

/// What was done to the oil at a check.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Done {
    /// So much was added; 0 when none was.
    Added(Figure),
    /// It was changed, and filled to the mark or so far above (+) or below (-) it.
    Changed(Option<Figure>),
}

/// One check, as typed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OilCheck {
    /// Hours or distance on the meter.
    pub meter: Figure,
    /// What was done.
    pub done: Done,
    /// Level found before that, above (+) or below (-) the full mark; when left
    /// out of a top-up, it was filled to the mark.
    pub level: Option<Figure>,
    /// Fuel in the oil, where it was measured.
    pub fuel: Option<Figure>,
}

impl OilCheck {
    /// Reads a check; a bare meter is in hours, or in the distance of the set
    /// when `by_road`.
    ///
    /// ```
    /// use sootsayer::gauge::{UnitSet, oil_log::OilCheck};
    /// let read = |text| OilCheck::parse(text, UnitSet::Us, false).map(|it| it.to_string());
    /// assert_eq!(read("1240:0.5:-0.3").unwrap(), "1240 h:0.5 qt:-0.3 qt");
    /// assert_eq!(read("1250h:changed+0.5L::fuel 3%").unwrap(), "1250 h:changed+0.5 L::fuel 3%");
    /// assert!(read("1250h:-1qt").unwrap_err().to_string().contains("oil topped up -1 qt"));
    /// ```
    ///
    /// # Errors
    /// Another form; a part that is no figure of its kind; less than nothing added.
    pub fn parse(text: &str, set: UnitSet, by_road: bool) -> Result<Self, Problem> {
        let mut parts = text.split(':').map(str::trim);
        let (Some(meter), Some(done)) = (parts.next(), parts.next()) else {
            return Err(Problem::new("it does not say what was added").hint(WRITE));
        };
        let (mut level, mut fuel) = (None, None);
        for (place, part) in parts.enumerate() {
            match (place, part.strip_prefix("fuel")) {
                (_, Some(share)) if fuel.is_none() => fuel = Some(fuel_in(share, set)?),
                (0, None) if part.is_empty() => {}
                (0, None) => level = Some(Figure::parse(part, Kind::Volume, set)?),
                _ => {
                    let problem = Problem::new(format!("`{part}` has no place in it"));
                    return Err(problem.hint(WRITE));
                }
            }
        }
        Ok(OilCheck {
            meter: meter_of(meter, set, by_road)?,
            done: done_of(done, set)?,
            level,
            fuel,
        })
    }

    /// Whether the meter counts distance.
    pub fn by_distance(&self) -> bool {
        self.meter.value_in(units::KM).is_some()
    }

    /// As the trend takes it; the meter in hours or kilometres.
    pub fn check(&self) -> Check {
        let meter = self.meter.value_in(units::HOURS);
        let volume = |figure: Figure| Volume::from_si(figure.unit.to_si(figure.value));
        let none = Volume::from_si(0.0);
        Check {
            at: meter.or(self.meter.value_in(units::KM)).unwrap_or(f64::NAN),
            level: self.level.map(volume),
            added: match self.done {
                Done::Added(figure) => volume(figure),
                Done::Changed(over) => over.map_or(none, volume),
            },
            changed: matches!(self.done, Done::Changed(_)),
            fuel: (self.fuel).map(|figure| Share::from_si(figure.unit.to_si(figure.value))),
        }
    }

    /// The set of units that its volumes are written in, where it has any.
    pub fn set(&self) -> Option<UnitSet> {
        let done = match self.done {
            Done::Added(figure) => Some(figure),
            Done::Changed(over) => over,
        };
        // A bare 0 says nothing of units beside a figure that has one.
        let written = [done.filter(|figure| figure.value != 0.0), self.level, done];
        let written = written.into_iter().flatten().next();
        let us = [units::US_QT, units::US_GAL].map(Unit::from);
        written.map(|figure| match us.contains(&figure.unit) {
            true => UnitSet::Us,
            false => UnitSet::Metric,
        })
    }

    /// In words: `1240 h, 0.5 qt added, found 0.3 qt below the mark`.
    pub fn words(&self) -> String {
        let beside = |figure: &Figure| match figure.value {
            v if v > 0.0 => format!("{figure} above the mark"),
            v if v < 0.0 => format!("{} below the mark", Figure::new(-v, figure.unit)),
            _ => "at the mark".to_string(),
        };
        let mut parts = vec![self.meter.to_string()];
        parts.extend(self.level.iter().map(|l| format!("found {}", beside(l))));
        parts.push(match &self.done {
            Done::Added(figure) if figure.value == 0.0 => "none added".into(),
            Done::Added(figure) => format!("{figure} added"),
            Done::Changed(None) => "oil changed".into(),
            Done::Changed(Some(over)) => format!("oil changed, filled {}", beside(over)),
        });
        parts.extend(self.fuel.iter().map(|f| format!("{f} fuel in it")));
        parts.join(", ")
    }
}

fn meter_of(text: &str, set: UnitSet, by_road: bool) -> Result<Figure, Problem> {
    let hours = Figure::parse(text, Kind::Hours, set);
    let distance = Figure::parse(text, Kind::Distance, set);
    let (first, second) = match by_road {
        true => (distance, hours),
        false => (hours, distance),
    };
    let figure = match (first, second) {
        (Ok(figure), _) | (_, Ok(figure)) => figure,
        (Err(problem), _) => {
            return Err(
                problem.hint("a meter is in hours or in a distance, as in `1215h` or `84200km`")
            );
        }
    };
    match (0.0..=MOST).contains(&figure.value) {
        true => Ok(figure),
        false => Err(Problem::new(format!("the meter cannot stand at {figure}"))
            .hint("meters read from 0 on")),
    }
}

fn done_of(text: &str, set: UnitSet) -> Result<Done, Problem> {
    if text.is_empty() {
        return Err(Problem::new("what was added is left out").hint("write 0 when none was"));
    }
    if let Some(over) = text.strip_prefix("changed") {
        let over = match over.trim() {
            "" => None,
            over => Some(Figure::parse(over, Kind::Volume, set)?),
        };
        return Ok(Done::Changed(over));
    }
    let figure = Figure::parse(text, Kind::Volume, set)?;
    ADDED.check_in(
        Volume::from_si(figure.unit.to_si(figure.value)),
        figure.unit,
    )?;
    Ok(Done::Added(figure))
}

fn fuel_in(text: &str, set: UnitSet) -> Result<Figure, Problem> {
    let figure = Figure::parse(text, Kind::Percent, set)?;
    figure.within("fuel in the oil", [0.0, MOST_FUEL], units::PERCENT.into())?;
    Ok(figure)
}

impl fmt::Display for OilCheck {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:", self.meter)?;
        match self.done {
            Done::Added(figure) => write!(f, "{figure}")?,
            Done::Changed(None) => write!(f, "changed")?,
            Done::Changed(Some(over)) if over.value < 0.0 => write!(f, "changed{over}")?,
            Done::Changed(Some(over)) => write!(f, "changed+{over}")?,
        }
        if let Some(level) = self.level {
            write!(f, ":{level}")?;
        }
        match (self.fuel, self.level) {
            (Some(fuel), Some(_)) => write!(f, ":fuel {fuel}"),
            (Some(fuel), None) => write!(f, "::fuel {fuel}"),
            (None, _) => Ok(()),
        }
    }
}

/// Words of a command line as checks: a check may hold blanks (`1215 h:1 qt`,
/// `1250h:0:0:fuel 3%`).
///
/// ```
/// use sootsayer::gauge::oil_log::parted;
/// let words = ["1215 h:1 qt 1240h:0", "1250h:0::fuel", "3%"].map(String::from);
/// assert_eq!(parted(&words), ["1215 h:1 qt", "1240h:0", "1250h:0::fuel 3%"]);
/// ```
pub fn parted(words: &[String]) -> Vec<String> {
    let mut checks: Vec<String> = Vec::new();
    for word in words.iter().flat_map(|w| w.split_whitespace()) {
        let digits = word.trim_start_matches(['+', '-', '−']);
        // A signed meter is wrong, but it is a meter; a signed level has no colon after it.
        let starts = digits.starts_with(|c: char| c.is_ascii_digit())
            && (digits.len() == word.len() || word.contains(':'));
        match checks.last_mut() {
            Some(last) if !starts || last.ends_with(':') || last.ends_with("fuel") => {
                last.push(' ');
                last.push_str(word);
            }
            _ => checks.push(word.to_string()),
        }
    }
    checks
}
