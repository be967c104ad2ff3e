//! The bench's figures as a CSV table: one row for each measurement and place,
//! the depths of a bore in cells of their own.

use crate::engine::{Engine, Place};
use crate::job::{Job, Said};
use crate::measure::UnitSet;
use crate::problem::{Problem, Problems, Spot};
use crate::rules::Rules;
use crate::rules::file::Form;

/// An empty table with everything that is measured on this engine.
pub fn template(rules: &Rules, engine: &Engine) -> String {
    let mut rows = vec![head()];
    for (id, measure) in &rules.measures {
        if !rules.applies(&engine.traits, &measure.on, &measure.not_on) {
            continue;
        }
        let how = match measure.form {
            Form::Bore => "top, middle, bottom; each across/along the pin",
            Form::Journal => "both ends; each on two axes",
            Form::Single => "one figure",
            Form::Each => "one figure, or several in a row",
        };
        let how = format!("{} ({how})", measure.title);
        for place in engine.places(measure.scope) {
            rows.push([
                id.clone(),
                at(place),
                String::new(),
                String::new(),
                String::new(),
                how.clone(),
            ]);
        }
    }
    text(rows)
}

/// The figures that stand.
pub fn written(job: &Job) -> String {
    let mut rows = vec![head()];
    for line in &job.bench {
        let mut cells = line.said.value.split_whitespace().map(String::from);
        let mut cell = || cells.next().unwrap_or_default();
        let (first, second) = (cell(), cell());
        let rest: Vec<String> = cells.collect();
        let place = line.said.at.clone().unwrap_or("engine".into());
        rows.push([
            line.said.of.clone(),
            place,
            first,
            second,
            rest.join(" "),
            String::new(),
        ]);
    }
    text(rows)
}

fn head() -> [String; 6] {
    [
        "what",
        "where",
        "first or top",
        "second or middle",
        "third or bottom",
        "how",
    ]
    .map(String::from)
}

fn at(place: Place) -> String {
    place.to_string()
}

fn text(rows: Vec<[String; 6]>) -> String {
    let mut writer = csv::Writer::from_writer(vec![]);
    for row in rows {
        if writer.write_record(&row).is_err() {
            break;
        }
    }
    let bytes = writer.into_inner().unwrap_or_default();
    String::from_utf8_lossy(&bytes).into_owned()
}

/// Reads a table; rows without figures are passed over.
///
/// # Errors
/// Every row that cannot be read, with its line.
pub fn read(
    bytes: &[u8],
    name: &str,
    rules: &Rules,
    engine: &Engine,
    units: UnitSet,
) -> Result<Vec<Said>, Problems> {
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .trim(csv::Trim::All)
        .from_reader(bytes);
    let (mut said, mut problems) = (vec![], Problems::new());
    for (index, row) in reader.records().enumerate() {
        let line = index + 1;
        let place = |problem: Problem| {
            problem.at(Spot {
                file: name.into(),
                line,
                column: 1,
            })
        };
        let row = match row {
            Ok(row) => row,
            Err(error) => {
                problems.push(place(Problem::new(format!(
                    "the row cannot be read: {error}"
                ))));
                continue;
            }
        };
        let cell = |i: usize| row.get(i).unwrap_or("").trim_start_matches('\u{feff}');
        let figures: Vec<&str> = (2..row.len().min(5))
            .map(cell)
            .filter(|c| !c.is_empty())
            .collect();
        if cell(0).is_empty() || cell(0) == "what" || figures.is_empty() {
            continue;
        }
        let at = match cell(1) {
            "" | "engine" => None,
            at => Some(at.to_string()),
        };
        let one = Said {
            of: cell(0).into(),
            at,
            value: figures.join(" "),
        };
        let measured = crate::job::opened::measure(rules, engine, &one.of).and_then(|measure| {
            crate::bench::Line::read(measure, &one.value, units, None).map(drop)
        });
        match measured {
            Err(problem) if !rules.findings.contains_key(&one.of) => problems.push(place(problem)),
            _ => said.push(one),
        }
    }
    if said.is_empty() && problems.is_empty() {
        problems.push(Problem::new(format!(
            "{name} holds no figures: every row is empty"
        )));
    }
    match problems.is_empty() {
        true => Ok(said),
        false => Err(problems),
    }
}
