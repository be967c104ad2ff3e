//! What a calculator found, as plain data: inputs with their ranges, results,
//! what they mean, what was assumed, formula and source.

use super::{Figure, Of, Quantity, Range, UnitOf, range};

/// One figure or word of a sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// Key in JSON: words joined by underscores.
    pub id: &'static str,
    /// Name in the table.
    pub title: &'static str,
    /// What stands there.
    pub cell: Cell,
    /// The physical range of an input, in words.
    pub range: Option<String>,
}

/// What stands in a line.
#[derive(Debug, Clone, PartialEq)]
pub enum Cell {
    /// A figure with its unit.
    Figure(Figure),
    /// Words.
    Words(String),
    /// Not known, with why.
    Unknown(&'static str),
}

impl Line {
    /// A figure.
    pub fn figure<D: Of>(
        id: &'static str,
        title: &'static str,
        quantity: Quantity<D>,
        unit: UnitOf<D>,
    ) -> Line {
        Line {
            id,
            title,
            cell: Cell::Figure(Figure::new(quantity.get(unit), unit)),
            range: None,
        }
    }

    /// A bare number.
    pub fn number(id: &'static str, title: &'static str, value: f64) -> Line {
        Line {
            id,
            title,
            cell: Cell::Figure(Figure::new(value, super::units::COUNT)),
            range: None,
        }
    }

    /// Words.
    pub fn words(id: &'static str, title: &'static str, words: impl Into<String>) -> Line {
        Line {
            id,
            title,
            cell: Cell::Words(words.into()),
            range: None,
        }
    }

    /// Not known.
    pub fn unknown(id: &'static str, title: &'static str, why: &'static str) -> Line {
        Line {
            id,
            title,
            cell: Cell::Unknown(why),
            range: None,
        }
    }

    /// An input as written, with its range.
    pub fn given<D: Of>(id: &'static str, figure: Figure, range: &Range<D>) -> Line {
        let bound = |v: f64| super::short(v);
        Line {
            id,
            title: range.what,
            cell: Cell::Figure(figure),
            range: Some(format!(
                "{} to {}",
                bound(range.low),
                Figure::new(range::rounded(range.high), range.unit)
            )),
        }
    }
}

/// The answer of one calculator.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Sheet {
    /// Name of the calculator, as on the command line.
    pub gauge: &'static str,
    /// Inputs as written.
    pub given: Vec<Line>,
    /// Results for the whole.
    pub found: Vec<Line>,
    /// Results for each cylinder, metal or interval; every row has the same keys.
    pub rows: Vec<Vec<Line>>,
    /// What it means, in sentences.
    pub says: Vec<String>,
    /// What was assumed.
    pub assumed: Vec<String>,
    /// The formula.
    pub formula: &'static str,
    /// Where formula and bands come from.
    pub sources: Vec<String>,
}
