//! The bench as a page: every value against its limit, each bore drawn, what is
//! to be done, and what opening the engine has settled.

use super::table::{figures, table, words};
use super::{ALARM, FAINT, FALL, RISE, STRONG, bar, percent, styled, wrapped};
use crate::bench::remedy::Remedy;
use crate::bench::{Bench, Judged, Measured, Standing};
use crate::engine::Place;
use crate::measure::UnitSet;
use crate::teardown::after::{After, Moved};
use crate::words::three_figures;
use serde_json::{Value, json};

/// Causes told that are neither confirmed nor refuted.
const MOST_OPEN: usize = 10;

/// What the bench has to show.
#[derive(Debug, Clone)]
pub struct Opened<'a> {
    /// The job's units.
    pub units: UnitSet,
    /// The bench.
    pub bench: &'a Bench<'a>,
    /// The figures.
    pub measured: &'a Measured,
    /// What was worked out of them.
    pub judged: &'a [Judged<'a>],
    /// Hone, oversize, regrind.
    pub remedies: Vec<Remedy>,
    /// What looks odd or cannot be.
    pub notes: &'a [String],
}

/// A word for how a value stands.
pub fn stands(standing: Option<Standing>) -> &'static str {
    match standing {
        Some(Standing::Inside) => "pass",
        Some(Standing::Near) => "near",
        Some(Standing::Out) => "out",
        None => "no limit",
    }
}

/// A value and its limit in the unit that is shown: millimetres or thousandths of an inch, newtons.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct In {
    factor: f64,
    /// Its name.
    pub unit: &'static str,
}

impl In {
    /// The unit of a value.
    pub fn of(quantity: &str, units: UnitSet) -> In {
        match (quantity, units) {
            ("force", _) => In {
                factor: 1.0,
                unit: "N",
            },
            (_, UnitSet::Metric) => In {
                factor: 1e3,
                unit: "mm",
            },
            (_, UnitSet::Us) => In {
                factor: 1.0 / 25.4e-6,
                unit: "thou",
            },
        }
    }

    /// A figure in it; `fine` to the thousandth of a millimetre.
    pub fn figure(self, si: f64) -> String {
        let value = si * self.factor;
        match self.unit {
            "mm" if value.abs() < 1.0 => format!("{value:.3}"),
            "thou" if value.abs() < 100.0 => format!("{value:.1}"),
            _ => three_figures(value),
        }
    }

    /// A figure as a number.
    pub fn number(self, si: f64) -> f64 {
        let places = if self.unit == "mm" { 1e5 } else { 1e3 };
        (si * self.factor * places).round() / places
    }
}

/// `0.062 ± 0.011`, a force with its unit; a length is in the unit of the table.
pub fn found(it: &Judged, units: UnitSet) -> String {
    let unit = In::of(&it.measure.quantity, units);
    let (value, doubt) = (
        unit.figure(it.found.value),
        unit.figure(it.found.expanded()),
    );
    match unit.unit {
        "N" => format!("{value} ± {doubt} N"),
        _ => format!("{value} ± {doubt}"),
    }
}

/// `0.080`, after `least` where less is worse.
pub fn limit(it: &Judged, units: UnitSet) -> String {
    let unit = In::of(&it.measure.quantity, units);
    it.limit
        .as_ref()
        .map_or(String::new(), |limit| match limit.falls {
            true => format!("least {}", unit.figure(limit.at)),
            false => unit.figure(limit.at),
        })
}

/// Whose limit it is.
pub fn whose(it: &Judged) -> &'static str {
    match it.limit.as_ref().map(|l| l.from) {
        Some(None) => "maker",
        Some(Some(_)) => "general",
        None => "",
    }
}

/// The values by measurement as the engine comes apart, and place.
pub fn in_order<'o, 'a>(opened: &'o Opened<'a>) -> Vec<&'o Judged<'a>> {
    let stage = |it: &&Judged| {
        let measure = &it.measure.measure;
        let stages = opened.bench.rules.stages.values();
        let at =
            stages.filter_map(|s| Some((s.order, s.measure.iter().position(|m| m == measure)?)));
        let value = it
            .measure
            .gives
            .iter()
            .position(|v| v.value == it.value.value);
        (at.min(), it.place, value)
    };
    let mut all: Vec<&Judged> = opened.judged.iter().collect();
    all.sort_by_key(stage);
    all
}

/// How much wear is left, in words.
pub fn left(it: &Judged) -> String {
    match it.left() {
        Some(left) if left > 0.0 => percent(left.min(1.0)),
        Some(_) => "none".into(),
        None => String::new(),
    }
}

/// Where, with its number in a row.
pub fn whereabouts(it: &Judged) -> String {
    let place = match it.place {
        Place::Engine => String::new(),
        place => place.to_string(),
    };
    match it.which {
        Some(n) => format!("{place} no. {n}").trim().to_string(),
        None => place,
    }
}

/// The whole page.
pub fn page(opened: &Opened, after: Option<&After>, width: usize) -> String {
    let mut parts = vec![];
    if opened.judged.is_empty() && opened.measured.lines.is_empty() && after.is_none() {
        parts.push(wrapped(
            "Nothing of the opened engine is recorded yet. `bench bore@1=80.05/80.02 80.03/80.01 80.00/80.00` writes a bore down: three depths from the top, each across and along the pin; `bench --template` lists everything.",
            width,
            0,
        ));
    }
    if !opened.judged.is_empty() {
        parts.push(values(opened, width));
        parts.push(styled(FAINT, wrapped("± holds the true value 95 times in 100; left: wear still allowed. General limits give way to the maker's: `--limit bore-taper=0.05mm`.", width, 0)));
    }
    for bore in bores(opened) {
        parts.push(drawn(&bore, opened.units, width));
    }
    for remedy in &opened.remedies {
        parts.push(wrapped(&format!("To do: {}", remedy.says), width, 2));
    }
    let out = opened
        .judged
        .iter()
        .filter(|it| it.standing == Some(Standing::Out));
    let mut done: Vec<String> = vec![];
    for it in out.filter(|it| {
        !opened
            .remedies
            .iter()
            .any(|r| r.measure == it.measure.measure)
    }) {
        let text = format!(
            "To do: {} Because of: {}.",
            it.value.remedy,
            it.place.after(&it.value.title)
        );
        if !done.contains(&text) {
            parts.push(wrapped(&text, width, 2));
            done.push(text);
        }
    }
    parts.extend(
        opened
            .notes
            .iter()
            .map(|n| styled(RISE, wrapped(&format!("Note: {n}"), width, 2))),
    );
    if let Some(after) = after {
        parts.push(settled(after, width));
    }
    parts.join("\n\n")
}

fn values(opened: &Opened, width: usize) -> String {
    let head = format!("Measured, {}", In::of("length", opened.units).unit);
    let columns = [
        words(&head),
        words("where"),
        figures("found"),
        figures("limit"),
        words("whose"),
        words("is"),
        figures("left"),
    ];
    let rows = in_order(opened).into_iter().map(|it| {
        let style = match it.standing {
            Some(Standing::Inside) => FALL,
            Some(Standing::Near) => RISE,
            Some(Standing::Out) => ALARM,
            None => FAINT,
        };
        vec![
            it.value.title.clone(),
            whereabouts(it),
            found(it, opened.units),
            limit(it, opened.units),
            whose(it).to_string(),
            styled(style, stands(it.standing)),
            left(it),
        ]
    });
    table(&columns, rows.collect(), width)
}

/// A bore to be drawn: how far each depth and axis lies over the least figure, in SI.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawn {
    /// Where.
    pub place: Place,
    /// Rows from the top; each across and along the pin.
    pub over: Vec<[Option<f64>; 2]>,
    /// What is drawn as full.
    pub full: f64,
    /// The limit of wear, where it is known.
    pub limit: Option<f64>,
    /// What the figures are over: the size when new, or the least figure.
    pub base: f64,
}

/// The bores, all to one scale.
pub fn bores(opened: &Opened) -> Vec<Drawn> {
    let own = opened
        .measured
        .own
        .new_size("bore")
        .or(opened.bench.bore_new);
    let mut drawn = vec![];
    for ((id, place), line) in &opened.measured.lines {
        if id != "bore" {
            continue;
        }
        let base = own.unwrap_or(line.all().fold(f64::INFINITY, f64::min));
        let at = |depth: &Vec<Option<f64>>, axis: usize| {
            depth.get(axis).copied().flatten().map(|v| v - base)
        };
        let wear = opened
            .judged
            .iter()
            .find(|j| j.place == *place && j.value.value == "bore-wear");
        drawn.push(Drawn {
            place: *place,
            over: line.things[0]
                .iter()
                .map(|d| [at(d, 0), at(d, 1)])
                .collect(),
            full: 0.0,
            limit: wear.and_then(|j| j.limit.as_ref()).map(|l| l.at),
            base,
        });
    }
    let most = drawn
        .iter()
        .flat_map(|d| d.over.iter().flatten().flatten())
        .fold(0.0f64, |m, v| m.max(*v));
    let most = drawn
        .iter()
        .filter_map(|d| d.limit)
        .fold(most, f64::max)
        .max(1e-6);
    for bore in &mut drawn {
        bore.full = most;
    }
    drawn
}

/// Words for the depths of a bore.
pub fn depth(index: usize, of: usize) -> &'static str {
    match (index, of) {
        (0, _) => "top",
        (i, n) if i + 1 == n => "bottom",
        _ => "middle",
    }
}

fn drawn(bore: &Drawn, units: UnitSet, width: usize) -> String {
    let unit = In::of("length", units);
    let cells = if width >= 100 { 24 } else { 14 };
    let base = format!(
        "{:.3} {}",
        bore.base * if unit.unit == "mm" { 1e3 } else { 1.0 / 0.0254 },
        if unit.unit == "mm" { "mm" } else { "in" }
    );
    let mut lines = vec![styled(
        STRONG,
        format!("{} over {base}", bore.place.after("Bore")),
    )];
    for (i, row) in bore.over.iter().enumerate() {
        let side = |v: Option<f64>| match v {
            Some(v) => format!(
                "{} {:>7}",
                bar(v / bore.full, cells),
                format!("{:+}", unit.number(v))
            ),
            None => format!("{} {:>7}", " ".repeat(cells), "-"),
        };
        lines.push(format!(
            "  {:<7} across {}   along {}",
            depth(i, bore.over.len()),
            side(row[0]),
            side(row[1])
        ));
    }
    if let Some(limit) = bore.limit {
        lines.push(styled(
            FAINT,
            format!(
                "  a full bar is {} {}; the limit of wear is {}",
                unit.figure(bore.full),
                unit.unit,
                unit.figure(limit)
            ),
        ));
    }
    lines.join("\n")
}

fn settled(after: &After, width: usize) -> String {
    let mut parts = vec![styled(STRONG, "What opening it has settled")];
    let mut rows = vec![];
    let mut add = |word: &str, list: &[Moved]| {
        rows.extend(list.iter().map(|m| {
            vec![
                word.to_string(),
                m.title.clone(),
                percent(m.was),
                percent(m.now),
            ]
        }));
    };
    add("confirmed", &after.confirmed);
    add("refuted", &after.refuted);
    add("open", &after.open[..after.open.len().min(MOST_OPEN)]);
    match rows.is_empty() {
        true => parts.push("Nothing is confirmed or refuted yet.".into()),
        false => parts.push(table(
            &[
                words(""),
                words("Cause"),
                figures("closed"),
                figures("opened"),
            ],
            rows,
            width,
        )),
    }
    if !after.unexplained.is_empty() {
        let text = format!("Still unexplained: {}.", after.unexplained.join("; "));
        parts.push(wrapped(&text, width, 2));
    }
    parts.join("\n")
}

/// `bench --json`.
pub fn json(job: &str, opened: &Opened, after: Option<&After>) -> Value {
    let values: Vec<Value> = (opened.judged.iter())
        .map(|it| {
            let unit = In { factor: if it.measure.quantity == "length" { 1e3 } else { 1.0 }, unit: "mm" };
            json!({
                "value": it.value.value,
                "title": it.value.title,
                "where": it.place.to_string(),
                "number": it.which,
                "unit": if it.measure.quantity == "length" { "mm" } else { "N" },
                "found": unit.number(it.found.value),
                "standard_uncertainty": unit.number(it.found.error),
                "limit": it.limit.as_ref().map(|l| unit.number(l.at)),
                "limit_from": it.limit.as_ref().map(|l| if l.from.is_none() { "maker" } else { "general" }),
                "stands": stands(it.standing),
                "left": it.left(),
            })
        })
        .collect();
    let moved = |list: &[Moved]| -> Vec<Value> {
        list.iter()
            .map(|m| json!({"cause": m.id, "title": m.title, "closed": m.was, "opened": m.now}))
            .collect()
    };
    json!({
        "job": job,
        "values": values,
        "remedies": opened.remedies.iter().map(|r| json!({"measure": r.measure, "says": r.says})).collect::<Vec<_>>(),
        "notes": opened.notes,
        "settled": after.map(|a| json!({
            "confirmed": moved(&a.confirmed), "refuted": moved(&a.refuted), "open": moved(&a.open),
            "unexplained": a.unexplained,
        })),
    })
}
