//! The log of the oil as a CSV table: one row for each check, in and out.

use super::cells::{Cells, Faults};
use crate::gauge::oil_log::{Done, OIL_CHECK, OilCheck};
use crate::job::Said;
use crate::job::meaning::Reader;
use crate::measure::UnitSet;
use crate::problem::{Problem, Problems};
use crate::words::{listed, nearest};
use std::collections::BTreeMap;

/// What a column of the log holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Holds {
    Meter,
    Added,
    Level,
    Changed,
    /// Level after a change, where it was not filled to the mark.
    After,
    Fuel,
    /// Kept by the person, not read.
    Aside,
}

/// Headings, the first of each kind as the template writes it.
const HEADS: [(&str, Holds); 10] = [
    ("meter", Holds::Meter),
    ("added", Holds::Added),
    ("level", Holds::Level),
    ("changed", Holds::Changed),
    ("after", Holds::After),
    ("fuel", Holds::Fuel),
    ("date", Holds::Aside),
    ("note", Holds::Aside),
    ("hours", Holds::Meter),
    ("distance", Holds::Meter),
];

/// An empty log. A meter in hours, or in the set's distance when `by_road`.
pub fn oil_template(set: UnitSet, by_road: bool) -> String {
    let (volume, far) = match set {
        UnitSet::Metric => ("L", "km"),
        UnitSet::Us => ("qt", "mi"),
    };
    let meter = if by_road { far } else { "h" };
    format!("date,meter {meter},added {volume},level {volume},changed,fuel %,note\n")
}

/// Checks as a table that [`oil_checks`] reads.
pub fn oil_log(checks: &[OilCheck]) -> String {
    let mut out = csv::Writer::from_writer(Vec::new());
    // Writing into memory does not fail.
    let _ = out.write_record(["meter", "added", "level", "changed", "after", "fuel"]);
    for check in checks {
        let (added, changed, after) = match check.done {
            Done::Added(figure) => (figure.to_string(), "", None),
            Done::Changed(after) => (String::new(), "yes", after),
        };
        let written =
            |it: Option<crate::measure::Figure>| it.map_or(String::new(), |f| f.to_string());
        let row = [
            check.meter.to_string(),
            added,
            written(check.level),
            changed.to_string(),
            written(after),
            written(check.fuel),
        ];
        let _ = out.write_record(row);
    }
    String::from_utf8(out.into_inner().unwrap_or_default()).unwrap_or_default()
}

/// Reads a log: one line of the job for each row.
///
/// # Errors
/// Every fault, each with its row and column.
pub fn oil_checks(bytes: &[u8], name: &str, reader: &Reader) -> Result<Vec<Said>, Problems> {
    let mut faults = Faults::of(name);
    let Some(cells) = Cells::read(bytes, "gauge template --oil-log", &mut faults) else {
        return faults.or(vec![]);
    };
    let columns = columns(&cells, &mut faults);
    let meter = columns
        .iter()
        .flatten()
        .any(|(holds, _)| *holds == Holds::Meter);
    if !meter {
        faults.whole(
            "no column holds the meter",
            "head it `meter h`, `meter km` or `meter mi`",
        );
        return faults.or(vec![]);
    }
    let mut said = Vec::new();
    for (line, row) in &cells.rows {
        let mut wrong = false;
        let mut found: BTreeMap<Holds, String> = BTreeMap::new();
        for (i, text) in row.iter().enumerate().filter(|(_, text)| !text.is_empty()) {
            let at = cells.at(*line, i + 1);
            let Some(Some((holds, unit))) = columns.get(i) else {
                if i >= cells.heads.len() {
                    let what = format!("`{text}` stands beyond the last heading");
                    faults.refuse(&at, Problem::new(what));
                    wrong = true;
                }
                continue;
            };
            match cells.pointed(text) {
                Ok(text) => {
                    found.insert(*holds, with_unit(&text, unit));
                }
                Err(problem) => {
                    faults.refuse(&at, problem);
                    wrong = true;
                }
            }
        }
        // Blank but for a date or a remark: nothing was checked.
        found.remove(&Holds::Aside);
        if wrong || found.is_empty() {
            continue;
        }
        let line_of = |holds: Holds| {
            let column = columns
                .iter()
                .position(|c| c.as_ref().is_some_and(|(h, _)| *h == holds));
            cells.at(*line, column.map_or(1, |at| at + 1))
        };
        match one(&found, reader) {
            Ok(it) => said.push(it),
            Err(fault) => faults.refuse(&line_of(fault.0), fault.1),
        }
    }
    faults.or(said)
}

/// A bare number with the unit of its heading.
fn with_unit(text: &str, unit: &str) -> String {
    match text.ends_with(|c: char| c.is_ascii_digit() || c == '.') && !unit.is_empty() {
        true => format!("{text} {unit}"),
        false => text.to_string(),
    }
}

/// What each column holds, and the unit in its heading.
fn columns(cells: &Cells, faults: &mut Faults) -> Vec<Option<(Holds, String)>> {
    let mut found: Vec<Option<(Holds, String)>> = Vec::new();
    for (i, head) in cells.heads.iter().enumerate() {
        let (name, unit) = head.split_once(' ').unwrap_or((head, ""));
        let name = name.to_lowercase();
        let unit = unit.trim().trim_matches(['(', ')', '[', ']']);
        let known = HEADS.iter().find(|(head, _)| *head == name);
        let at = cells.at(cells.line, i + 1);
        match known {
            _ if head.is_empty() => found.push(None),
            Some((_, holds)) => {
                let same =
                    |c: &Option<(Holds, String)>| c.as_ref().is_some_and(|(h, _)| h == holds);
                if *holds != Holds::Aside && found.iter().any(same) {
                    faults.refuse(&at, Problem::new(format!("`{name}` has two columns")));
                }
                let unit = match (name.as_str(), unit) {
                    ("hours", "") => "h",
                    (_, unit) => unit,
                };
                found.push(Some((*holds, unit.to_string())));
            }
            None => {
                let names = HEADS.map(|(head, _)| head);
                let problem = Problem::new(format!("the log of the oil has no column `{name}`"));
                faults.refuse(
                    &at,
                    match nearest(&name, names) {
                        Some(near) => problem.hint(format!("did you mean `{near}`?")),
                        None => problem.hint(format!("its columns are {}", listed(&names, "and"))),
                    },
                );
                found.push(None);
            }
        }
    }
    found
}

/// A fault of a column.
fn of(holds: Holds) -> impl Fn(Problem) -> Box<(Holds, Problem)> {
    move |problem| Box::new((holds, problem))
}

/// One row as a line of the job; a fault says which column it is of.
fn one(found: &BTreeMap<Holds, String>, reader: &Reader) -> Result<Said, Box<(Holds, Problem)>> {
    let part = |holds| found.get(&holds).map_or("", String::as_str);
    if part(Holds::Meter).is_empty() {
        return Err(of(Holds::Meter)(Problem::new("the meter is left out")));
    }
    let changed = match part(Holds::Changed).to_lowercase().as_str() {
        "" | "no" | "n" | "0" => false,
        "yes" | "y" | "1" | "x" | "changed" => true,
        other => {
            let problem = Problem::new(format!("`{other}` is neither `yes` nor `no`"));
            return Err(of(Holds::Changed)(problem));
        }
    };
    let after = part(Holds::After);
    if !changed && !after.is_empty() {
        let problem = Problem::new("the level after is told of a change alone")
            .hint("put the level found before adding under `level`");
        return Err(of(Holds::After)(problem));
    }
    // How much went in at a change tells nothing: some stays in the engine.
    let done = match (changed, part(Holds::Added)) {
        (false, "") => "0".to_string(),
        (false, added) => added.to_string(),
        (true, _) if after.is_empty() || after.starts_with(['-', '+']) => {
            format!("changed{after}")
        }
        (true, _) => format!("changed+{after}"),
    };
    let whole = |meter: &str, done: &str, level: &str, fuel: &str| {
        let fuel = match fuel.is_empty() {
            true => String::new(),
            false => format!(":fuel {fuel}"),
        };
        let value = format!("{meter}:{done}:{level}{fuel}");
        let said = Said::plain(OIL_CHECK, &value);
        reader
            .understand(&said)
            .map(|it| it.first().map_or(said, |u| u.said(reader.rules)))
    };
    // A fault is looked for column by column, so that it names its own cell.
    let meter = part(Holds::Meter);
    whole(meter, "0", "", "").map_err(of(Holds::Meter))?;
    let of_done = if changed { Holds::After } else { Holds::Added };
    whole(meter, &done, "", "").map_err(of(of_done))?;
    whole(meter, &done, part(Holds::Level), "").map_err(of(Holds::Level))?;
    whole(meter, &done, part(Holds::Level), part(Holds::Fuel)).map_err(of(Holds::Fuel))
}
