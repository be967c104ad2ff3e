//! A CSV table of readings, read.
//!
//! What spreadsheets write is understood: a byte-order mark, semicolons or tabs,
//! decimal commas where the separator is another. Every fault names its cell.

use crate::engine::Place;
use crate::job::Said;
use crate::job::meaning::Reader;
use crate::measure::Kind;
use crate::measure::units::Unit;
use crate::problem::{Problem, Problems, Spot};
use crate::rules::file::{Reading, Scope};
use crate::words::{count, nearest};
use std::collections::BTreeMap;

/// Most bytes of a table.
const LARGEST: usize = 2_000_000;
/// Most columns of a table: there are not so many readings.
const WIDEST: usize = 400;
/// Most faults that are told one by one.
const MOST: usize = 25;
/// The heading of the column that says where.
pub(super) const WHERE: &str = "where";

/// A cell as a person finds it: row and column from 1, and the column's heading.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Cell {
    line: usize,
    column: usize,
    head: String,
}

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
    let mut table = Table {
        name,
        reader,
        problems: vec![],
    };
    let said = table.read(bytes);
    let mut problems = table.problems;
    match problems.is_empty() {
        true => Ok(said),
        false => {
            let more = problems.len().saturating_sub(MOST);
            problems.truncate(MOST);
            if more > 0 {
                problems.push(Problem::new(format!(
                    "and {} more in {name}",
                    count(more, "fault")
                )));
            }
            Err(problems)
        }
    }
}

struct Table<'a> {
    name: &'a str,
    reader: &'a Reader<'a>,
    problems: Problems,
}

impl Table<'_> {
    fn spot(&self, line: usize, column: usize) -> Spot {
        Spot {
            file: self.name.into(),
            line,
            column,
        }
    }

    fn refuse(&mut self, cell: &Cell, problem: Problem) {
        let what = format!(
            "row {}, column {} (`{}`): {}",
            cell.line, cell.column, cell.head, problem.what
        );
        self.problems.push(Problem {
            what,
            at: Some(self.spot(0, 0)),
            ..problem
        });
    }

    fn whole(&mut self, what: impl Into<String>, hint: &str) {
        let problem = Problem::new(what).at(self.spot(0, 0)).hint(hint);
        self.problems.push(problem);
    }

    fn read(&mut self, bytes: &[u8]) -> Vec<Said> {
        if bytes.len() > LARGEST {
            self.whole(
                "the table is larger than 2 MB",
                "one engine's readings are a few hundred bytes",
            );
            return vec![];
        }
        let text = match bytes {
            [0xFF, 0xFE, ..] | [0xFE, 0xFF, ..] => None,
            _ => std::str::from_utf8(bytes).ok(),
        };
        let Some(text) = text else {
            self.whole("the table is not UTF-8", "save it as `CSV UTF-8`");
            return vec![];
        };
        let text = text.trim_start_matches('\u{feff}');
        let separator = separator(text);
        let mut rows = csv::ReaderBuilder::new()
            .delimiter(separator)
            .has_headers(false)
            .flexible(true)
            .trim(csv::Trim::All)
            .from_reader(text.as_bytes());
        let mut rows = rows.records().enumerate().filter_map(|(i, row)| match row {
            Ok(row) if row.iter().all(str::is_empty) => None,
            Ok(row) => Some((row.position().map_or(i + 1, |p| p.line() as usize), row)),
            Err(_) => None,
        });
        let Some((line, heads)) = rows.next() else {
            self.whole(
                "the table is empty",
                "`sootsayer gauge template` writes an empty one",
            );
            return vec![];
        };
        let heads: Vec<String> = heads.iter().map(str::to_string).collect();
        if heads.len() > WIDEST {
            self.whole(
                format!(
                    "row {line} has {} columns; at most {WIDEST} are read",
                    heads.len()
                ),
                "`sootsayer gauge template` writes the columns that there are",
            );
            return vec![];
        }
        let columns = self.columns(line, &heads);
        let mut said = Vec::new();
        let mut seen: BTreeMap<Place, usize> = BTreeMap::new();
        for (line, row) in rows {
            let cells: Vec<&str> = row.iter().collect();
            self.row(
                line, &cells, &heads, &columns, separator, &mut seen, &mut said,
            );
        }
        self.missing(&seen, &columns);
        said
    }

    /// What each column holds; the first says where.
    fn columns(&mut self, line: usize, heads: &[String]) -> Vec<Option<Column>> {
        let mut columns = vec![None];
        let first = heads.first().map_or("", String::as_str).to_lowercase();
        if !["where", "cylinder", "place"].contains(&first.as_str()) {
            let problem = Problem::new("the first column should say where")
                .hint(format!("head it `{WHERE}`"));
            self.refuse(&cell(line, 1, heads), problem);
        }
        for (i, head) in heads.iter().enumerate().skip(1) {
            let (id, unit) = head.split_once(' ').unwrap_or((head, ""));
            let id = id.to_lowercase();
            let unit = unit.trim().trim_matches(['(', ')', '[', ']']);
            let known = self.known(&id);
            match known {
                _ if head.is_empty() => columns.push(None),
                None => {
                    let at = cell(line, i + 1, heads);
                    let problem = self.no_such(&id);
                    self.refuse(&at, problem);
                    columns.push(None);
                }
                Some(_)
                    if heads[1..i]
                        .iter()
                        .any(|h| h.split(' ').next() == Some(id.as_str())) =>
                {
                    self.refuse(
                        &cell(line, i + 1, heads),
                        Problem::new(format!("`{id}` has two columns")),
                    );
                    columns.push(None);
                }
                Some((scope, reading)) => {
                    if let Some(problem) = wrong_unit(unit, reading) {
                        self.refuse(&cell(line, i + 1, heads), problem);
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

    #[allow(clippy::too_many_arguments)]
    fn row(
        &mut self,
        line: usize,
        cells: &[&str],
        heads: &[String],
        columns: &[Option<Column>],
        separator: u8,
        seen: &mut BTreeMap<Place, usize>,
        said: &mut Vec<Said>,
    ) {
        let first = cell(line, 1, heads);
        let place = match self.place(cells.first().copied().unwrap_or("")) {
            Ok(place) => place,
            Err(problem) => return self.refuse(&first, problem),
        };
        if let Some(before) = seen.insert(place, line) {
            let problem = Problem::new(format!("`{place}` stands in row {before} already"))
                .hint("a repeat goes into a table of its own");
            return self.refuse(&first, problem);
        }
        for (i, text) in cells
            .iter()
            .enumerate()
            .skip(1)
            .filter(|(_, t)| !t.is_empty())
        {
            let at = cell(line, i + 1, heads);
            let Some(Some(column)) = columns.get(i) else {
                if i >= heads.len() {
                    self.refuse(
                        &at,
                        Problem::new(format!("`{text}` stands beyond the last heading")),
                    );
                }
                continue;
            };
            match self.reading(text, column, place, separator) {
                Ok(it) => said.push(it),
                Err(problem) => self.refuse(&at, problem),
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
    fn reading(
        &self,
        text: &str,
        column: &Column,
        place: Place,
        separator: u8,
    ) -> Result<Said, Problem> {
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
        let mut value = match separator {
            b',' => text.to_string(),
            _ => pointed(text)?,
        };
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
                self.whole(
                    format!("cylinder {n} has no row"),
                    "keep its row and leave the cells empty where nothing was taken",
                );
            }
        }
    }
}

fn cell(line: usize, column: usize, heads: &[String]) -> Cell {
    Cell {
        line,
        column,
        head: heads.get(column - 1).cloned().unwrap_or_default(),
    }
}

/// The separator that the heading uses most: semicolon, tab, comma.
fn separator(text: &str) -> u8 {
    let heading = text
        .lines()
        .find(|line| !line.trim().is_empty())
        .unwrap_or("");
    let most = [b',', b';', b'\t']
        .into_iter()
        .max_by_key(|s| heading.bytes().filter(|b| b == s).count());
    most.unwrap_or(b',')
}

/// A decimal comma made a point, where it cannot be anything else.
fn pointed(text: &str) -> Result<String, Problem> {
    let digits = |c: char| c.is_ascii_digit();
    match text.split_once(',') {
        Some((before, after))
            if before.ends_with(digits) && after.starts_with(digits) && !after.contains(',') =>
        {
            let decimals = after.chars().take_while(|c| digits(*c)).count();
            match decimals {
                3 => Err(Problem::new(format!("`{text}`: thousands or decimals?"))
                    .hint(format!("write `{before}.{after}` or `{before}{after}`"))),
                _ => Ok(format!("{before}.{after}")),
            }
        }
        _ => Ok(text.to_string()),
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
