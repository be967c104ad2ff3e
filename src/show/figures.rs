//! The gauges' figures: a table with a strip of bars for each gauge, the bounds
//! marked on the bars.

use super::table::{Column, figures as right, table, words};
use super::{FAINT, STRONG, styled, wrapped};
use crate::engine::Place;
use crate::job::figures::{Gauge, Grading, Row};
use crate::measure::units;
use crate::words::{listed, three_figures};
use serde_json::{Value, json};

/// Cells of a bar.
const BAR: usize = 24;

/// Every gauge, one under the other.
pub fn page(gauges: &[Gauge], width: usize) -> String {
    let parts: Vec<String> = gauges.iter().map(|gauge| one(gauge, width)).collect();
    match parts.is_empty() {
        true => "No figures are recorded.".into(),
        false => parts.join("\n\n"),
    }
}

fn one(gauge: &Gauge, width: usize) -> String {
    let has = |of: fn(&Row) -> bool| gauge.rows.iter().any(of);
    let (graded, leaks) = (has(|r| r.grading.is_some()), has(|r| r.leak.is_some()));
    let mut columns: Vec<Column> = vec![words("Where"), right("Reading")];
    if leaks {
        columns.push(right("Leak, mm2"));
    }
    if graded {
        columns.extend([right("Comes to"), words("Grade"), words("")]);
    }
    let most = most(gauge);
    let rows = gauge
        .rows
        .iter()
        .map(|row| {
            let mut cells = vec![place(row.place), reading(row)];
            if leaks {
                cells.push(
                    row.leak
                        .map_or("-".into(), |a| three_figures(a.get(units::MM2))),
                );
            }
            if graded {
                match &row.grading {
                    Some(it) => cells.extend([comes_to(it), it.grade.clone(), bar(it, most)]),
                    None => cells.extend(["-".into(), String::new(), String::new()]),
                }
            }
            cells
        })
        .collect();
    let mut text = format!(
        "{}\n{}",
        styled(STRONG, &gauge.title),
        table(&columns, rows, width)
    );
    if let Some(grading) = gauge.rows.iter().find_map(|r| r.grading.as_ref()) {
        let bounds: Vec<String> = grading.bounds.iter().map(|b| three_figures(*b)).collect();
        let legend = format!(
            "| marks the bounds between grades: {}",
            listed(&bounds, "and")
        );
        text = format!("{text}\n{}", styled(FAINT, wrapped(&legend, width, 2)));
    }
    for line in &gauge.says {
        text = format!("{text}\n{}", wrapped(line, width, 2));
    }
    if !gauge.assumed.is_empty() {
        let line = format!("Assumed: {}.", gauge.assumed.join("; "));
        text = format!("{text}\n{}", styled(FAINT, wrapped(&line, width, 2)));
    }
    text
}

fn place(place: Place) -> String {
    place.to_string()
}

fn reading(row: &Row) -> String {
    match row.takes.as_slice() {
        [] => "-".into(),
        [.., last] if row.takes.len() > 1 => format!("{} (of {})", last.said, row.takes.len()),
        [only] => only.said.clone(),
        [.., last] => last.said.clone(),
    }
}

fn comes_to(grading: &Grading) -> String {
    format!(
        "{} ± {}",
        three_figures(grading.value),
        two_figures(grading.deviation)
    )
}

fn two_figures(value: f64) -> String {
    if value <= 0.0 {
        return "0".into();
    }
    let places = (1 - value.log10().floor() as i32).clamp(0, 6) as usize;
    format!("{value:.places$}")
}

/// The right end of the bars of a gauge: beyond every figure and bound.
fn most(gauge: &Gauge) -> f64 {
    let gradings = gauge.rows.iter().filter_map(|row| row.grading.as_ref());
    gradings
        .flat_map(|it| it.bounds.iter().copied().chain([it.value]))
        .fold(0.0, f64::max)
        * 1.1
}

/// A bar with the bounds marked on it.
fn bar(grading: &Grading, most: f64) -> String {
    if most <= 0.0 {
        return String::new();
    }
    let at = |value: f64| ((value / most).clamp(0.0, 1.0) * BAR as f64).round() as usize;
    let filled = at(grading.value);
    let marks: Vec<usize> = grading.bounds.iter().map(|b| at(*b).min(BAR - 1)).collect();
    (0..BAR)
        .map(|cell| match (marks.contains(&cell), cell < filled) {
            (true, _) => '|',
            (false, true) => '█',
            (false, false) => '·',
        })
        .collect()
}

/// `figures --json`.
pub fn json(job: &str, gauges: &[Gauge]) -> Value {
    json!({
        "job": job,
        "gauges": gauges.iter().map(|gauge| json!({
            "reading": gauge.reading,
            "title": gauge.title,
            "unit": gauge.unit.spec().symbol,
            "spread": gauge.spread,
            "odd_one_out": gauge.odd.map(|p| p.to_string()),
            "says": gauge.says,
            "assumed": gauge.assumed,
            "places": gauge.rows.iter().map(row_json).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
    })
}

fn row_json(row: &Row) -> Value {
    json!({
        "where": row.place.to_string(),
        "takes": row.takes.iter().map(|t| json!({
            "reading": t.number, "said": t.said, "value": t.value, "remark": t.remark,
        })).collect::<Vec<_>>(),
        "leak_mm2": row.leak.map(|a| a.get(units::MM2)),
        "grading": row.grading.as_ref().map(|g| json!({
            "value": g.value, "deviation": g.deviation,
            "bounds": g.bounds, "grade": g.grade, "how": g.how,
        })),
    })
}
