//! One entry of the rules as JSON: what its file says, and what links to it.

use super::rule_list::entry_json;
use crate::rules::lookup::{Item, Named, of_kind};
use crate::rules::{Kind, Rules};
use serde::Serialize;
use serde_json::{Value, json};

/// An entry: `entry` as written, and by kind `mended_by`, `brings_on`,
/// `yielded_by`, `shown_by` with ids.
pub fn entry(rules: &Rules, named: &Named) -> Value {
    let mut value = entry_json(named);
    let id = named.id;
    value["entry"] = of_kind!(named.kind, T => written::<T>(rules, id));
    match named.kind {
        Kind::Cause => {
            value["mended_by"] = json!(rules.mended_by(id));
            let effects = rules
                .causes
                .iter()
                .filter(|(_, c)| c.brought_on_by.contains_key(id));
            value["brings_on"] = effects.map(|(effect, _)| effect.as_str()).collect();
        }
        Kind::Finding => {
            value["yielded_by"] = json!(rules.yielded_by(id));
            let causes = rules
                .causes
                .iter()
                .filter(|(_, c)| c.shows.contains_key(id));
            value["shown_by"] = causes.map(|(cause, _)| cause.as_str()).collect();
        }
        _ => {}
    }
    value
}

fn written<T: Item + Serialize>(rules: &Rules, id: &str) -> Value {
    let entry = T::shelf(rules).get(id);
    entry.map_or(Value::Null, |entry| json!(entry.it))
}
