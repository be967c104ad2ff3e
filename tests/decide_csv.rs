//! `estimate --csv` hands on the same figures as `--json`.

mod common;

use common::Shop;
use serde_json::Value;

const PUMP: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/demo/irrigation-pump.yaml");

#[test]
fn the_table_has_every_choice_and_line_of_the_json() {
    let shop = Shop::new();
    let told = |how: &str| shop.command(&["estimate", PUMP, how]).output().unwrap();
    let json: Value = serde_json::from_slice(&told("--json").stdout).unwrap();
    let table = told("--csv").stdout;
    let mut reader = csv::Reader::from_reader(&table[..]);
    let head = reader.headers().unwrap().clone();
    let rows: Vec<_> = reader.records().map(|row| row.unwrap()).collect();
    let cell = |row: &csv::StringRecord, name: &str| {
        let at = head.iter().position(|h| h == name).unwrap();
        row[at].to_string()
    };
    let choices = json["choices"].as_array().unwrap();
    assert!(choices.len() > 3);
    for choice in choices {
        let of: Vec<_> = rows
            .iter()
            .filter(|row| cell(row, "choice") == choice["id"].as_str().unwrap())
            .collect();
        let whole = of.iter().find(|row| cell(row, "row") == "choice").unwrap();
        let money = |at: &Value| format!("{:.2}", at.as_f64().unwrap() / 100.0);
        for bound in ["p10", "p50", "p90"] {
            assert_eq!(
                cell(whole, bound),
                money(&choice["cost"][bound]),
                "{whole:?}"
            );
        }
        let lines = choice["lines"].as_array().unwrap();
        let priced = of
            .iter()
            .filter(|row| !matches!(&*cell(row, "row"), "choice" | "tax"));
        assert_eq!(priced.count(), lines.len(), "{whole:?}");
        for line in lines {
            let likely = money(&line["likely"]);
            let there = of.iter().any(|row| cell(row, "likely") == likely);
            assert!(there, "{line:#}");
        }
    }
}
