//! Tests named as worth doing together: what is saved, and what they tell.

mod common;

use common::Shop;
use serde_json::Value;

fn bits(set: &Value) -> f64 {
    set["bits"].as_f64().unwrap()
}

#[test]
fn what_is_worth_doing_together_beats_each_alone() {
    let shop = Shop::new();
    let family = ["--family", "industrial-petrol", "--name", "Pump"];
    let made = shop.command(&[&["new", "weak.yaml"], &family[..]].concat());
    let seen = [
        "record",
        "weak.yaml",
        "oil-use=high",
        "compression-low@2=low",
    ];
    for mut command in [made, shop.command(&seen)] {
        assert!(command.output().unwrap().status.success());
    }
    let mut next = shop.command(&["next", "weak.yaml", "--json"]);
    let told = next.output().unwrap();
    let next: Value = serde_json::from_slice(&told.stdout).unwrap();
    let sets = next["together"].as_array().unwrap();
    assert!(!sets.is_empty(), "{next:#}");
    for set in sets {
        let number = |key: &str| set[key].as_f64().unwrap();
        assert!(number("minutes") < number("apart"), "{set:#}");
        let own = next["tests"].as_array().unwrap().iter();
        let own = own.filter(|t| set["tests"].as_array().unwrap().contains(&t["id"]));
        for test in own {
            assert!(bits(set) >= bits(test) - 1e-9, "{set:#} {test:#}");
            // Both are drawn anew: they are told apart no better than their errors.
            let error = |of: &Value| 2.0 * of["error"].as_f64().unwrap();
            let most = (bits(set) + error(set)) / number("minutes");
            let minutes = test["minutes"].as_f64().unwrap();
            let least = (bits(test) - error(test)) / minutes;
            assert!(most > least, "{set:#} {test:#}");
        }
    }
}
