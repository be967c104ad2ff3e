//! A calculator's sheet as text and as JSON.

use super::table::{Column, table};
use super::{FAINT, STRONG, styled, wrapped};
use crate::gauge::sheet::{Cell, Line, Sheet};
use crate::measure::{Figure, short};
use serde_json::{Map, Value, json};

/// The sheet as text, no wider than `width`; with `why` also inputs and their
/// ranges, formula and sources.
pub fn page(sheet: &Sheet, why: bool, width: usize) -> String {
    let mut parts = Vec::new();
    let heading = |words: &str| styled(STRONG, words);
    if why && !sheet.given.is_empty() {
        let lines: Vec<String> = sheet.given.iter().map(|line| given(line, width)).collect();
        parts.push(format!("{}\n{}", heading("Given"), lines.join("\n")));
    }
    if !sheet.rows.is_empty() {
        parts.push(rows(&sheet.rows, width));
    }
    if !sheet.found.is_empty() {
        let wide = sheet
            .found
            .iter()
            .map(|l| l.title.chars().count())
            .max()
            .unwrap_or(0);
        let lines: Vec<String> = sheet
            .found
            .iter()
            .map(|line| format!("{:wide$}  {}", line.title, cell(&line.cell)))
            .map(|line| wrapped(&line, width, wide + 2))
            .collect();
        parts.push(lines.join("\n"));
    }
    if !sheet.says.is_empty() {
        let lines: Vec<String> = sheet.says.iter().map(|s| wrapped(s, width, 0)).collect();
        parts.push(lines.join("\n"));
    }
    if !sheet.assumed.is_empty() {
        let lines: Vec<String> = sheet
            .assumed
            .iter()
            .map(|a| wrapped(&format!("- {a}"), width, 2))
            .collect();
        parts.push(format!("{}\n{}", heading("Assumed"), lines.join("\n")));
    }
    if why {
        parts.push(format!(
            "{}\n{}",
            heading("Formula"),
            wrapped(sheet.formula, width, 0)
        ));
        let lines: Vec<String> = sheet
            .sources
            .iter()
            .map(|s| wrapped(&format!("- {s}"), width, 2))
            .collect();
        parts.push(format!("{}\n{}", heading("Sources"), lines.join("\n")));
    }
    parts.join("\n\n")
}

fn given(line: &Line, width: usize) -> String {
    let range = line
        .range
        .as_ref()
        .map(|r| styled(FAINT, format!("  (can be {r})")))
        .unwrap_or_default();
    wrapped(
        &format!("{}: {}{range}", line.title, written(&line.cell)),
        width,
        2,
    )
}

/// An input is said as it was written, not rounded.
fn written(it: &Cell) -> String {
    match it {
        Cell::Figure(figure) => figure.to_string(),
        other => cell(other),
    }
}

fn cell(it: &Cell) -> String {
    match it {
        Cell::Figure(figure) => rounded(figure),
        Cell::Words(words) => words.clone(),
        Cell::Unknown(why) => format!("- ({why})"),
    }
}

fn rounded(figure: &Figure) -> String {
    match figure.unit.spec().symbol {
        "" => short(figure.value),
        "%" => format!("{} %", short(figure.value)),
        unit => format!("{} {unit}", short(figure.value)),
    }
}

/// One row for each cylinder; figures of a column share its unit in the heading.
fn rows(rows: &[Vec<Line>], width: usize) -> String {
    let Some(first) = rows.first() else {
        return String::new();
    };
    let heads: Vec<String> = first
        .iter()
        .enumerate()
        .map(|(i, line)| {
            let unit = rows
                .iter()
                .find_map(|row| match row.get(i).map(|l| &l.cell) {
                    Some(Cell::Figure(figure)) => Some(figure.unit.spec().symbol),
                    _ => None,
                });
            match unit {
                Some(unit) if !unit.is_empty() => format!("{}, {unit}", line.title),
                _ => line.title.to_string(),
            }
        })
        .collect();
    let columns: Vec<Column> = first
        .iter()
        .zip(&heads)
        .map(|(line, head)| Column {
            head,
            right: !matches!(line.cell, Cell::Words(_)),
        })
        .collect();
    let body = rows
        .iter()
        .map(|row| {
            row.iter()
                .map(|line| match &line.cell {
                    Cell::Figure(figure) => short(figure.value),
                    Cell::Words(words) => words.clone(),
                    Cell::Unknown(_) => "-".into(),
                })
                .collect()
        })
        .collect();
    table(&columns, body, width)
}

/// The sheet as JSON: every figure with its unit.
pub fn json(sheet: &Sheet) -> Value {
    let lines = |lines: &[Line]| {
        let map: Map<String, Value> = lines
            .iter()
            .map(|line| (line.id.to_string(), value(&line.cell)))
            .collect();
        Value::Object(map)
    };
    let ranges: Map<String, Value> = sheet
        .given
        .iter()
        .filter_map(|line| Some((line.id.to_string(), json!(line.range.as_ref()?))))
        .collect();
    json!({
        "gauge": sheet.gauge,
        "given": lines(&sheet.given),
        "ranges": ranges,
        "found": lines(&sheet.found),
        "rows": sheet.rows.iter().map(|row| lines(row)).collect::<Vec<_>>(),
        "says": sheet.says,
        "assumed": sheet.assumed,
        "formula": sheet.formula,
        "sources": sheet.sources,
    })
}

fn value(it: &Cell) -> Value {
    match it {
        Cell::Figure(figure) if figure.over.is_some() => json!({"figure": figure.to_string()}),
        Cell::Figure(figure) if figure.value.is_finite() => {
            json!({"value": figure.value, "unit": figure.unit.spec().symbol})
        }
        Cell::Figure(figure) => json!({"value": null, "unit": figure.unit.spec().symbol}),
        Cell::Words(words) => json!(words),
        Cell::Unknown(_) => Value::Null,
    }
}
