//! A job with nothing recorded yet, and what its ranking says.

// Each test binary uses a part of it.
#![allow(dead_code)]

use super::{PUMP, Shop};
use serde_json::Value;

/// What `rank --json` gives a kind of cause.
pub fn chance(shop: &Shop, kind: &str) -> f64 {
    let ranking = answer(shop, &["rank", "pump.yaml", "--json"]);
    let all = [&ranking["kinds"], &ranking["roots"]].map(|list| list.as_array().unwrap());
    let of_kind = all.into_iter().flatten().find(|k| k["id"] == kind);
    of_kind.unwrap_or_else(|| panic!("no {kind}"))["probability"]
        .as_f64()
        .unwrap()
}

pub fn answer(shop: &Shop, words: &[&str]) -> Value {
    let said = shop.run(words);
    let text = said.trim_end().trim_end_matches("status 0");
    serde_json::from_str(text).unwrap_or_else(|e| panic!("{e}\n{said}"))
}

/// An engine of which nothing is recorded yet.
pub fn bare() -> Shop {
    let shop = Shop::new();
    let head = PUMP.split("# a remark").next().unwrap().to_string();
    shop.write("pump.yaml", &head);
    shop
}

/// Runs a word that must succeed.
pub fn done(shop: &Shop, words: &[&str]) -> String {
    let said = shop.run(words);
    assert!(said.ends_with("status 0\n"), "{words:?}: {said}");
    said
}

/// Words in one line, whatever the width.
pub fn plain(said: &str) -> String {
    said.split_whitespace().collect::<Vec<_>>().join(" ")
}
