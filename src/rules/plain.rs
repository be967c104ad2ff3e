//! What serde complains of, in words for a mechanic with an editor open.

use super::node::Data;
use crate::words::{listed, nearest};

/// The field that is missing, if that is the complaint.
pub fn missing(said: &str) -> Option<&str> {
    quoted(said.strip_prefix("missing field ")?).next()
}

/// The key that the format does not know, if that is the complaint.
pub fn unknown_field(said: &str) -> Option<&str> {
    quoted(said.strip_prefix("unknown field ")?).next()
}

/// The words between backticks.
fn quoted(text: &str) -> impl Iterator<Item = &str> {
    text.split('`').skip(1).step_by(2)
}

/// Complaint and hint; `name` is the key that the value belongs to.
pub fn say(said: &str, name: &str, found: &Data) -> (String, Option<String>) {
    if let Some(field) = missing(said) {
        return (format!("`{field}` is missing here"), shape_of_field(field));
    }
    for prefix in ["unknown field ", "unknown variant "] {
        if let Some(rest) = said.strip_prefix(prefix) {
            let mut words = quoted(rest);
            let wrong = words.next().unwrap_or(name);
            let known: Vec<&str> = words.collect();
            let what = if prefix.contains("field") {
                format!("`{wrong}` is no key that belongs here")
            } else {
                format!("`{wrong}` is no word for `{name}`")
            };
            let hint = match nearest(wrong, known.iter().copied()) {
                Some(near) => Some(format!("did you mean `{near}`?")),
                None if wrong.contains(' ') && *found == Data::Nothing => Some(
                    "a comma inside `{...}` begins a new key: quote a text that holds one".into(),
                ),
                None if known.is_empty() => None,
                None => {
                    let known: Vec<String> = known.iter().map(|k| format!("`{k}`")).collect();
                    Some(format!("known here: {}", listed(&known, "and")))
                }
            };
            return (what, hint);
        }
    }
    if said.starts_with("a ") && !said.contains(", expected ") {
        return (
            format!("`{name}` must be {said}, not {}", kind(found)),
            None,
        );
    }
    if let Some((_, expected)) = said.split_once(", expected ") {
        let expected = expected.split(" at line").next().unwrap_or(expected);
        let what = format!("`{name}` must be {}, not {}", shape(expected), kind(found));
        return (what, example(expected));
    }
    // none of the ways in which it can be written
    if said.starts_with("data did not match") {
        return (format!("`{name}` cannot be {}", kind(found)), None);
    }
    (format!("`{name}`: {said}"), None)
}

fn kind(data: &Data) -> String {
    match data {
        Data::Nothing => "nothing".into(),
        Data::Truth(t) => format!("`{t}`"),
        Data::Number(n) if n.abs() < 1e15 => format!("the number {n}"),
        Data::Number(n) => format!("the number {n:e}"),
        Data::Text(text) => {
            let short: String = text.chars().take(30).collect();
            let dots = if text.chars().count() > 30 { "…" } else { "" };
            format!("the text `{short}{dots}`")
        }
        Data::List(_) => "a list".into(),
        Data::Map(_) => "a map".into(),
    }
}

/// What serde expected, as one would say it.
fn shape(expected: &str) -> String {
    match expected {
        "f64" => "a number".into(),
        "usize" | "u64" => "a whole number, not below 0".into(),
        "a string" | "a borrowed string" | "string" => "text".into(),
        "a sequence" | "sequence" => "a list, `[...]`".into(),
        "a map" | "map" => "a map, `{key: value}`".into(),
        "u32" | "i64" | "u8" | "u16" => "a whole number".into(),
        "a boolean" => "`true` or `false`".into(),
        "variant identifier" | "string or map" => "one word".into(),
        "an array of length 2" | "fewer elements in array" => "a list of two numbers".into(),
        _ if expected.starts_with("struct ") => "a map, `{key: value}`".into(),
        other => other.into(),
    }
}

/// How a thing is written, by the struct that serde expected.
fn example(expected: &str) -> Option<String> {
    let text = match expected {
        "struct Link" => "{chance: often, as: {fair: 2, poor: 1}, basis: judgement}",
        "struct Danger" => "{on: [diesel], says: What can happen and what to do.}",
        "struct RootLink" => "{chance: often, basis: judgement}",
        "struct Odds" => "{times: 2, basis: judgement}",
        "struct TraitOdds" => "{on: [aircraft], times: 2, basis: judgement}",
        "struct BaseRate" => "{per_1000: 12, basis: judgement}",
        "struct Minutes" => "{fixed: 10, each: 2}",
        "struct Range3" => "{low: 1, likely: 2, high: 4}",
        "struct PartUse" => "{part: head-gasket, count: 1}",
        "struct BoundsOn" => "{on: [aircraft], bounds: [140, 70], basis: judgement}",
        "struct Measured" => "{reading: vacuum, bounds: [50, 40], basis: judgement}",
        "an array of length 2" | "fewer elements in array" => "[0, 100]",
        _ => return None,
    };
    Some(format!("write `{text}`"))
}

fn shape_of_field(field: &str) -> Option<String> {
    let text = match field {
        "basis" => "basis: judgement",
        "base_rate" => "base_rate: {per_1000: 12, basis: judgement}",
        "chance" => "chance: often",
        "sound" => "sound: {chance: rarely, basis: judgement}",
        "minutes" => "minutes: {fixed: 10, each: 2}",
        "hours" => "hours: {low: 1, likely: 2, high: 4}",
        "times" => "times: 2",
        _ => return None,
    };
    Some(format!("write `{text}`"))
}
