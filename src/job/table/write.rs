//! A CSV table of readings, written: empty for filling in, or with a job's figures.

use super::read::WHERE;
use crate::engine::{Engine, Place};
use crate::measure::UnitSet;
use crate::problem::Problem;
use crate::rules::Rules;
use crate::rules::file::{Reading, Scope};
use crate::words::nearest;
use std::collections::BTreeMap;

/// The heading of a reading's column: id and usual unit.
fn head(reading: &Reading, set: UnitSet) -> String {
    let unit = crate::gauge::reduce::usual(reading, set);
    match unit.map(|u| u.spec().symbol) {
        Some(symbol) if !symbol.is_empty() => format!("{} {symbol}", reading.reading),
        _ => reading.reading.clone(),
    }
}

/// An empty table for an engine: the readings named, or the usual ones.
///
/// # Errors
/// A reading or finding that is not known.
pub fn template(
    rules: &Rules,
    engine: &Engine,
    ids: &[String],
    set: UnitSet,
) -> Result<String, Problem> {
    let rows: Vec<(Place, BTreeMap<String, String>)> = std::iter::once(Place::Engine)
        .chain(engine.places(Scope::Cylinder))
        .map(|place| (place, BTreeMap::new()))
        .collect();
    let usual: Vec<String> = USUAL.iter().map(|id| id.to_string()).collect();
    let ids = if ids.is_empty() { &usual } else { ids };
    let mut heads = Vec::new();
    for id in ids {
        match (rules.readings.get(id), rules.findings.get(id)) {
            (Some(reading), _) => heads.push((id.clone(), head(reading, set))),
            (None, Some(_)) => heads.push((id.clone(), id.clone())),
            (None, None) => {
                let known = rules.readings.keys().chain(rules.findings.keys());
                let problem = Problem::new(format!("no reading or finding is called `{id}`"));
                return Err(match nearest(id, known.map(String::as_str)) {
                    Some(near) => problem.hint(format!("did you mean `{near}`?")),
                    None => problem.hint("`sootsayer rules list readings` lists them"),
                });
            }
        }
    }
    Ok(text(&heads, &rows))
}

/// The columns of a plain template.
const USUAL: [&str; 12] = [
    "compression",
    "compression-wet",
    "compression-first-stroke",
    "leak-down",
    "air-at-intake",
    "air-at-exhaust",
    "air-at-breather",
    "air-at-coolant",
    "cylinder-balance-drop",
    "vacuum",
    "crankcase-pressure",
    "oil-pressure-hot-idle",
];

/// A table of readings: every place has its row; of repeats the last is told.
pub fn written(engine: &Engine, readings: &[(String, Place, String)]) -> String {
    let mut heads: Vec<(String, String)> = Vec::new();
    let mut cells: BTreeMap<Place, BTreeMap<String, String>> = std::iter::once(Place::Engine)
        .chain(engine.places(Scope::Cylinder))
        .map(|place| (place, BTreeMap::new()))
        .collect();
    for (id, place, value) in readings {
        if !heads.iter().any(|(known, _)| known == id) {
            heads.push((id.clone(), id.clone()));
        }
        cells
            .entry(*place)
            .or_default()
            .insert(id.clone(), value.clone());
    }
    text(&heads, &cells.into_iter().collect::<Vec<_>>())
}

fn text(heads: &[(String, String)], rows: &[(Place, BTreeMap<String, String>)]) -> String {
    let mut out = csv::Writer::from_writer(Vec::new());
    let heading = std::iter::once(WHERE).chain(heads.iter().map(|(_, head)| head.as_str()));
    // Writing into memory does not fail.
    let _ = out.write_record(heading);
    for (place, cells) in rows {
        let place = place.to_string();
        let row = std::iter::once(place.as_str()).chain(
            heads
                .iter()
                .map(|(id, _)| cells.get(id).map_or("", String::as_str)),
        );
        let _ = out.write_record(row);
    }
    String::from_utf8(out.into_inner().unwrap_or_default()).unwrap_or_default()
}
