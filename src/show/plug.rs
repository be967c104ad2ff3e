//! Spark plugs in words: what one plug matches, and all of them side by side.

use super::plug_cells;
use super::plug_drawn::Drawn;
use super::table::{figures, table, words};
use super::{FAINT, STRONG, bar, percent, styled, wrapped};
use crate::engine::Place;
use crate::plug::{CALLED, Chart, Matched};
use crate::rules::chart::{Heat, Look};
use crate::words::{listed, lower, three_figures, wrap};
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// Conditions below this probability are left out of a match.
const WORTH_A_LINE: f64 = 0.05;

/// What one plug matches: the conditions by probability, what the first one
/// means, what it is mistaken for, what it hides.
pub fn matches(place: Place, matched: &Matched, width: usize, true_colour: bool) -> String {
    let chart = matched.chart;
    let (each, none) = matched.probabilities();
    let head = format!("{}: {}", place.after("Plug"), matched.looks.words(chart));
    let mut lines = vec![styled(STRONG, wrapped(&head, width, 2))];
    let mut rows: Vec<(f64, String)> = (matched.ranked().into_iter())
        .filter(|&c| each[c] >= CALLED || (each[c] >= WORTH_A_LINE && matched.raised(c)))
        .map(|c| (each[c], chart.conditions[c].it.title.clone()))
        .collect();
    rows.push((
        none,
        format!("{} - none of the chart's faults", chart.sound.it.title),
    ));
    rows.sort_by(|a, b| b.0.total_cmp(&a.0));
    let rows = rows
        .into_iter()
        .map(|(p, title)| vec![title, percent(p), bar(p, 10)])
        .collect();
    lines.push(table(
        &[words("Looks like"), figures(""), words("")],
        rows,
        width,
    ));
    let called = matched.called();
    for &c in &called {
        let it = &chart.conditions[c];
        lines.push(wrapped(
            &format!("{}: {}", it.it.title, it.it.says),
            width,
            2,
        ));
        lines.push(wrapped(&format!("  Points to: {}", it.it.means), width, 4));
        if let Some(runs) = &it.it.runs {
            let line = format!("  How hot the firing end ran: {}.", heat(runs));
            lines.push(wrapped(&line, width, 4));
        }
    }
    if called.is_empty() {
        let here = chart.sound.here.unwrap_or(&chart.sound.it.says);
        lines.push(wrapped(
            &format!("Nothing is called. A sound plug: {here}"),
            width,
            2,
        ));
    }
    if let Some(line) = look_alike(matched, &each) {
        lines.push(wrapped(&line, width, 2));
    }
    let masked: Vec<String> = (matched.masked().into_iter())
        .map(|c| chart.conditions[c].it.title.to_lowercase())
        .collect();
    if !masked.is_empty() {
        let line = format!("Hidden, so it cannot be told: {}.", listed(&masked, "and"));
        lines.push(wrapped(&styled(FAINT, line), width, 2));
    }
    lines.push(seen_and_called(matched, width, true_colour));
    lines.join("\n")
}

/// What a plug matches so far, in a line: "Wet with oil 94 %, Dry carbon 15 %".
pub fn in_a_line(matched: &Matched) -> String {
    let chart = matched.chart;
    let (each, none) = matched.probabilities();
    let mut rows: Vec<(f64, &str)> = (each.iter().zip(&chart.conditions))
        .map(|(p, c)| (*p, c.it.title.as_str()))
        .collect();
    rows.insert(0, (none, &chart.sound.it.title));
    rows.sort_by(|a, b| b.0.total_cmp(&a.0));
    let shown: Vec<String> = (rows.iter().take(3))
        .filter(|(p, _)| *p >= WORTH_A_LINE)
        .map(|(p, title)| format!("{title} {}", percent(*p)))
        .collect();
    shown.join(", ")
}

/// The values of a look, numbered, each with what it is also called.
pub fn values(look: &Look) -> String {
    let lines = (1..).zip(&look.values).map(|(number, value)| {
        let title = &value.title;
        format!("{number:4}  {title}")
    });
    lines.collect::<Vec<_>>().join("\n")
}

/// How hot a firing end so looking has been: "480 to 855 °C (896 to 1570 °F)".
pub fn heat(runs: &Heat) -> String {
    let tens = |f: f64| (f / 10.0).round() * 10.0;
    let both = |c: f64| (three_figures(c), three_figures(tens(c * 1.8 + 32.0)));
    match (runs.from.map(both), runs.to.map(both)) {
        (Some((c, f)), Some((to_c, to_f))) => format!("{c} to {to_c} °C ({f} to {to_f} °F)"),
        (Some((c, f)), None) => format!("above {c} °C ({f} °F)"),
        (None, Some((c, f))) => format!("below {c} °C ({f} °F)"),
        (None, None) => String::new(),
    }
}

/// How to tell the first condition from the next one that it is mistaken for.
fn look_alike(matched: &Matched, each: &[f64]) -> Option<String> {
    let chart = matched.chart;
    let order = matched.ranked();
    let first = &chart.conditions[*order.first()?].it;
    let other = order[1..]
        .iter()
        .filter(|c| each[**c] >= WORTH_A_LINE)
        .find(|c| first.like.contains_key(&chart.conditions[**c].it.condition))?;
    let other = &chart.conditions[*other].it;
    Some(format!(
        "Not {}? {}",
        other.title.to_lowercase(),
        first.like[&other.condition]
    ))
}

/// What a plug is taken to be, with its probability.
fn verdict(matched: &Matched) -> (String, String) {
    let chart = matched.chart;
    let (each, none) = matched.probabilities();
    match matched.called().as_slice() {
        [] if none >= 0.5 => (chart.sound.it.title.clone(), percent(none)),
        [] => ("Not clear".to_string(), String::new()),
        called => {
            let titles: Vec<&str> = (called.iter())
                .map(|c| chart.conditions[*c].it.title.as_str())
                .collect();
            let shares: Vec<String> = called.iter().map(|c| percent(each[*c])).collect();
            (titles.join(" + "), shares.join(" + "))
        }
    }
}

/// Every plug of the engine in one table.
pub fn side(places: &[Place], plugs: &BTreeMap<Place, Matched>, width: usize) -> String {
    let room = width.saturating_sub(50).max(20);
    let rows = (places.iter())
        .map(|place| {
            let Some(matched) = plugs.get(place) else {
                let not = "not read".to_string();
                return vec![place.to_string(), not, String::new(), String::new()];
            };
            let chart = matched.chart;
            let (title, p) = verdict(matched);
            let masked: Vec<String> = (matched.masked().iter())
                .map(|c| chart.conditions[*c].it.title.to_lowercase())
                .collect();
            let mut looks = matched.looks.words(chart);
            if !masked.is_empty() {
                looks += &format!(" (hides {})", masked.join(", "));
            }
            let looks = textwrap::fill(&looks, room);
            vec![place.to_string(), looks, textwrap::fill(&title, 22), p]
        })
        .collect();
    let columns = [words("Plug"), words("Looks"), words("Matches"), figures("")];
    table(&columns, rows, width)
}

/// Texts of equal height beside one another, as many as fit, with a caption under
/// each.
fn beside(drawings: Vec<(Vec<String>, String)>, width: usize) -> String {
    const GAP: usize = 3;
    let each = plug_cells::COLUMNS + GAP;
    let mut lines = vec![];
    for row in drawings.chunks((width / each).max(1)) {
        for line in 0..plug_cells::LINES {
            let cells = row.iter().filter_map(|(drawing, _)| drawing.get(line));
            let cells: Vec<&str> = cells.map(String::as_str).collect();
            lines.push(cells.join(&" ".repeat(GAP)).trim_end().to_string());
        }
        let captions = row
            .iter()
            .map(|(_, caption)| wrap(caption, plug_cells::COLUMNS));
        let captions: Vec<Vec<String>> = captions.collect();
        let most = captions.iter().map(Vec::len).max().unwrap_or(0);
        for line in 0..most {
            let cells = captions.iter().map(|caption| {
                let text = caption.get(line).map_or("", String::as_str);
                format!("{text:each$}")
            });
            lines.push(cells.collect::<String>().trim_end().to_string());
        }
        lines.push(String::new());
    }
    lines.join("\n").trim_end().to_string()
}

/// Every plug that was read, drawn as it was seen, its place and match beneath.
pub fn drawn(plugs: &BTreeMap<Place, Matched>, width: usize, true_colour: bool) -> String {
    let drawings = plugs.iter().map(|(place, matched)| {
        let drawn = Drawn::of_looks(matched.chart, &matched.looks);
        let (title, _) = verdict(matched);
        let cells = plug_cells::cells(&drawn, true_colour);
        (cells, format!("{place}: {}", lower(&title)))
    });
    beside(drawings.collect(), width)
}

/// The plug as it was seen, and beside it each condition that is called.
fn seen_and_called(matched: &Matched, width: usize, true_colour: bool) -> String {
    let chart = matched.chart;
    let seen = Drawn::of_looks(chart, &matched.looks);
    let called = matched.called();
    let called = called.iter().map(|c| &chart.conditions[*c]);
    let mut drawings = vec![(plug_cells::cells(&seen, true_colour), "as seen".to_string())];
    drawings.extend(called.map(|known| {
        let drawn = Drawn::of_condition(chart, known);
        let caption = format!("chart: {}", lower(&known.it.title));
        (plug_cells::cells(&drawn, true_colour), caption)
    }));
    beside(drawings, width)
}

/// The words of the chart.
pub fn list(chart: &Chart, width: usize, true_colour: bool) -> String {
    let mut lines = vec![styled(STRONG, "Looks")];
    for look in &chart.looks {
        lines.push(wrapped(&format!("{}  {}", look.look, look.ask), width, 4));
        for value in &look.values {
            let mut names = vec![value.value.clone()];
            names.extend(value.words.iter().cloned());
            lines.push(wrapped(
                &format!("    {}: {}", value.title, names.join(", ")),
                width,
                8,
            ));
        }
    }
    lines.push(String::new());
    lines.push(styled(STRONG, "Conditions"));
    let all = || std::iter::once(&chart.sound).chain(&chart.conditions);
    for it in all().map(|known| known.it) {
        lines.push(wrapped(
            &format!("{}  {}: {}", it.condition, it.title, it.says),
            width,
            4,
        ));
    }
    let drawings = all().map(|known| {
        let drawn = Drawn::of_condition(chart, known);
        let caption = known.it.condition.clone();
        (plug_cells::cells(&drawn, true_colour), caption)
    });
    lines.push(String::new());
    lines.push(beside(drawings.collect(), width));
    lines.join("\n")
}

/// Every plug that was read: `{"job", "plugs": [{"plug", "looks", "normal",
/// "conditions": [{"id", "finding", "title", "probability", "odds", "hidden"}]}]}`,
/// the most probable condition first; `odds` is what the network is told, 1 when nothing.
pub fn json(job: &str, plugs: &BTreeMap<Place, Matched>) -> Value {
    let plugs: Vec<Value> = (plugs.iter())
        .map(|(place, matched)| {
            let (each, none) = matched.probabilities();
            let odds: BTreeMap<usize, f64> = matched.odds().into_iter().collect();
            let masked = matched.masked();
            let conditions: Vec<Value> = (matched.ranked().into_iter())
                .map(|c| {
                    let it = &matched.chart.conditions[c].it;
                    json!({
                        "id": it.condition,
                        "finding": it.finding,
                        "title": it.title,
                        "probability": each[c],
                        "odds": odds.get(&c).copied().unwrap_or(1.0),
                        "hidden": masked.contains(&c),
                    })
                })
                .collect();
            json!({
                "plug": place.to_string(),
                "looks": matched.looks.words(matched.chart),
                "normal": none,
                "conditions": conditions,
            })
        })
        .collect();
    json!({"job": job, "plugs": plugs})
}
