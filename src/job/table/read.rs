//! A CSV table of readings, read: every fault names its cell.

use super::cells::{Cells, Faults};
use crate::engine::Place;
use crate::job::Said;
use crate::job::meaning::Reader;
use crate::measure::Kind;
use crate::measure::units::Unit;
use crate::problem::{Problem, Problems};
use crate::rules::file::{Reading, Scope};
use crate::words::nearest;
use std::collections::BTreeMap;

/// The heading of the column that says where.
pub(super) const WHERE: &str = "where";
/// What writes an empty table.
const TEMPLATE: &str = "gauge template";

/// A column: what it holds and the unit that its heading gives.
struct Column {
    id: String,
    unit: String,
    scope: Scope,
}

/// Reads a table of one engine's readings; empty cells were not taken.
///
/// # Errors
/// Every fault, each with its row and column.
pub fn read(bytes: &[u8], name: &str, reader: &Reader) -> Result<Vec<Said>, Problems> {
    let mut faults = Faults::of(name);
    let Some(cells) = Cells::read(bytes, TEMPLATE, &mut faults) else {
        return faults.or(vec![]);
    };
    let mut table = Table {
        reader,
        cells: &cells,
        faults,
    };
    let columns = table.columns();
    let mut said = Vec::new();
    let mut seen: BTreeMap<Place, usize> = BTreeMap::new();
    for (line, row) in &cells.rows {
        table.row(*line, row, &columns, &mut seen, &mut said);
    }
    table.missing(&seen, &columns);
    table.faults.or(said)
}

struct Table<'a> {
    reader: &'a Reader<'a>,
    cells: &'a Cells,
    faults: Faults<'a>,
}

impl Table<'_> {
    /// What each column holds; the first says where.
    fn columns(&mut self) -> Vec<Option<Column>> {
        let Cells { line, heads, .. } = self.cells;
        let mut columns = vec![None];
        let first = heads.first().map_or("", String::as_str).to_lowercase();
        if !["where", "cylinder", "place"].contains(&first.as_str()) {
            let problem = Problem::new("the first column should say where")
                .hint(format!("head it `{WHERE}`"));
            self.faults.refuse(&self.cells.at(*line, 1), problem);
        }
        for (i, head) in heads.iter().enumerate().skip(1) {
            let (id, unit) = head.split_once(' ').unwrap_or((head, ""));
            let id = id.to_lowercase();
            let unit = unit.trim().trim_matches(['(', ')', '[', ']']);
            let known = self.known(&id);
            match known {
                _ if head.is_empty() => columns.push(None),
                None => {
                    let at = self.cells.at(*line, i + 1);
                    let problem = self.no_such(&id);
                    self.faults.refuse(&at, problem);
                    columns.push(None);
                }
                Some(_)
                    if heads[1..i]
                        .iter()
                        .any(|h| h.to_lowercase().split(' ').next() == Some(id.as_str())) =>
                {
                    self.faults.refuse(
                        &self.cells.at(*line, i + 1),
                        Problem::new(format!("`{id}` has two columns")),
                    );
                    columns.push(None);
                }
                Some((scope, reading)) => {
                    if let Some(problem) = wrong_unit(unit, reading) {
                        self.faults.refuse(&self.cells.at(*line, i + 1), problem);
                    }
                    columns.push(Some(Column {
                        id,
                        unit: unit.to_string(),
                        scope,
                    }));
                }
            }
        }
        columns
    }

    /// Scope of a reading or finding, and the reading.
    fn known(&self, id: &str) -> Option<(Scope, Option<&Reading>)> {
        let rules = self.reader.rules;
        let reading = rules.readings.get(id).map(|r| &r.it);
        let finding = rules.findings.get(id).map(|f| f.scope);
        reading
            .map(|r| r.scope)
            .or(finding)
            .map(|scope| (scope, reading))
    }

    fn no_such(&self, id: &str) -> Problem {
        let rules = self.reader.rules;
        let known = rules.readings.keys().chain(rules.findings.keys());
        let problem = Problem::new(format!("no reading or finding is called `{id}`"));
        match nearest(id, known.map(String::as_str)) {
            Some(near) => problem.hint(format!("did you mean `{near}`?")),
            None => problem.hint("`sootsayer gauge template` writes the columns that there are"),
        }
    }

    fn row(
        &mut self,
        line: usize,
        cells: &[String],
        columns: &[Option<Column>],
        seen: &mut BTreeMap<Place, usize>,
        said: &mut Vec<Said>,
    ) {
        let first = self.cells.at(line, 1);
        let place = match self.place(cells.first().map_or("", String::as_str)) {
            Ok(place) => place,
            Err(problem) => return self.faults.refuse(&first, problem),
        };
        if let Some(before) = seen.insert(place, line) {
            let problem = Problem::new(format!("`{place}` stands in row {before} already"))
                .hint("a repeat goes into a table of its own");
            return self.faults.refuse(&first, problem);
        }
        for (i, text) in cells
            .iter()
            .enumerate()
            .skip(1)
            .filter(|(_, t)| !t.is_empty())
        {
            let at = self.cells.at(line, i + 1);
            let Some(Some(column)) = columns.get(i) else {
                if i >= self.cells.heads.len() {
                    self.faults.refuse(
                        &at,
                        Problem::new(format!("`{text}` stands beyond the last heading")),
                    );
                }
                continue;
            };
            match self.reading(text, column, place) {
                Ok(it) => said.push(it),
                Err(problem) => self.faults.refuse(&at, problem),
            }
        }
    }

    fn place(&self, text: &str) -> Result<Place, Problem> {
        let engine = self.reader.engine;
        let text = text.to_lowercase();
        let place: Place = text
            .strip_prefix("cylinder ")
            .unwrap_or(&text)
            .parse()
            .map_err(Problem::new)?;
        match place
            .cylinders()
            .into_iter()
            .find(|n| !(1..=engine.cylinders()).contains(n))
        {
            Some(n) => Err(Problem::new(format!(
                "the engine has no cylinder {n}: it has {}",
                engine.cylinders()
            ))),
            None => Ok(place),
        }
    }

    /// One cell, checked as if it had been typed.
    fn reading(&self, text: &str, column: &Column, place: Place) -> Result<Said, Problem> {
        let engine_wide = column.scope == Scope::Engine;
        if engine_wide != (place == Place::Engine) {
            let rows = if engine_wide {
                "the row `engine`"
            } else {
                "a cylinder's row"
            };
            return Err(Problem::new(format!("`{}` belongs in {rows}", column.id)));
        }
        let figure = text.starts_with(|c: char| c.is_ascii_digit() || "+-−.".contains(c));
        let mut value = self.cells.pointed(text)?;
        if figure
            && value.ends_with(|c: char| c.is_ascii_digit() || c == '.')
            && !column.unit.is_empty()
        {
            value = format!("{value} {}", column.unit);
        }
        let said = Said {
            of: column.id.clone(),
            at: (!engine_wide).then(|| place.to_string()),
            value,
        };
        self.reader.understand(&said)?;
        Ok(said)
    }

    /// Cylinders that have no row, where the table is of cylinders.
    fn missing(&mut self, seen: &BTreeMap<Place, usize>, columns: &[Option<Column>]) {
        let of_cylinders = columns.iter().flatten().any(|c| c.scope == Scope::Cylinder);
        let has_cylinder = seen.keys().any(|p| matches!(p, Place::Cylinder(_)));
        if !of_cylinders || (!has_cylinder && !seen.is_empty()) {
            return;
        }
        for n in 1..=self.reader.engine.cylinders() {
            if !seen.contains_key(&Place::Cylinder(n)) {
                self.faults.whole(
                    format!("cylinder {n} has no row"),
                    "keep its row and leave the cells empty where nothing was taken",
                );
            }
        }
    }
}

fn wrong_unit(unit: &str, reading: Option<&Reading>) -> Option<Problem> {
    if unit.is_empty() {
        return None;
    }
    let Some(reading) = reading else {
        return Some(
            Problem::new("a finding has no unit").hint("its cells hold grades, `yes` or `no`"),
        );
    };
    let kind: Kind = reading.quantity.parse().ok()?;
    let dimensions = match kind {
        Kind::Leakage => &[
            crate::measure::Dimension::Share,
            crate::measure::Dimension::Pressure,
        ][..],
        _ => kind.dimensions(),
    };
    Unit::named_of(unit, dimensions).is_none().then(|| {
        Problem::new(format!("`{unit}` is no unit of {}", kind.words()))
            .hint(format!("its units are {}", kind.unit_names()))
    })
}
