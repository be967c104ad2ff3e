//! The colour of a photographed nose in words, with its caution.

use super::table::{figures, table, words};
use super::{ALARM, FAINT, STRONG, styled, wrapped};
use crate::plug::Chart;
use crate::plug::photo::Hint;
use crate::words::{lower, three_figures};
use serde_json::{Value, json};

/// Colours shown.
const SHOWN: usize = 3;
/// A colour farther off than this is none of the chart's: judgement.
const FAR: f64 = 20.0;
/// Two colours whose distances differ by less than this cannot be told apart: judgement.
const ALIKE: f64 = 3.0;

/// What every hint says of itself.
pub const CAUTION: &str = "A hint, nothing more: it was not recorded. Camera, lamp, gloss and wet shift a colour, and colour alone \
     names no condition. Judge wet or dry, texture, nose and electrodes by eye, in daylight.";

/// The hint in lines; `at` is the plug, where it was named.
pub fn page(chart: &Chart, hint: &Hint, at: Option<&str>, width: usize) -> String {
    let Some(look) = chart.look("colour").map(|i| chart.looks[i]) else {
        return String::new();
    };
    let Hint { seen, near, .. } = hint;
    let head = format!(
        "Colour of the nose, evened out by the white: L* {:.0}, a* {:.0}, b* {:.0}",
        seen.l, seen.a, seen.b
    );
    let mut lines = vec![styled(STRONG, wrapped(&head, width, 2))];
    let rows = near.iter().take(SHOWN).map(|(i, difference)| {
        let value = &look.values[*i];
        vec![
            value.title.clone(),
            three_figures((difference * 10.0).round() / 10.0),
            closeness(*difference).to_string(),
        ]
    });
    let columns = [words("Nearest colours"), figures("CIEDE2000"), words("")];
    lines.push(table(&columns, rows.collect(), width));
    let mut say = |text: String| lines.push(wrapped(&text, width, 2));
    match near.as_slice() {
        [(_, first), ..] if *first > FAR => {
            say("It is near none of the chart's deposit colours.".into());
        }
        [(a, first), (b, second), ..] if second - first < ALIKE => {
            let (a, b) = (&look.values[*a].title, &look.values[*b].title);
            say(format!("{a} and {} cannot be told apart here.", lower(b)));
        }
        _ => {}
    }
    if hint.is_mixed() {
        let radius = hint.radius;
        say(format!(
            "The spot is uneven within its {radius} pixels: it shows several things, so point elsewhere or give a smaller --spot."
        ));
    }
    lines.push(styled(ALARM, wrapped(CAUTION, width, 0)));
    if let Some((first, difference)) = near.first()
        && *difference <= FAR
    {
        let value = &look.values[*first].value;
        let at = at.unwrap_or("WHERE");
        let say = format!("If your eye agrees: plug {at} {value}, with what else you see.");
        lines.push(styled(FAINT, wrapped(&say, width, 0)));
    }
    lines.join("\n")
}

fn closeness(difference: f64) -> &'static str {
    match difference {
        d if d <= 5.0 => "close",
        d if d <= 12.0 => "like it",
        d if d <= FAR => "somewhat like it",
        _ => "another colour",
    }
}

/// `{"lab": {"l", "a", "b"}, "spread", "mixed", "near": [{"colour", "title", "difference"}], "caution"}`.
pub fn json(chart: &Chart, hint: &Hint) -> Value {
    let values = chart.look("colour").map(|i| &chart.looks[i].values);
    let near: Vec<Value> = (hint.near.iter())
        .filter_map(|(i, difference)| {
            let value = values?.get(*i)?;
            let (colour, title) = (&value.value, &value.title);
            Some(json!({"colour": colour, "title": title, "difference": difference}))
        })
        .collect();
    json!({
        "lab": {"l": hint.seen.l, "a": hint.seen.a, "b": hint.seen.b},
        "spread": hint.spread,
        "mixed": hint.is_mixed(),
        "near": near,
        "caution": CAUTION,
    })
}
