//! A fault in a job file is said with its line and column, and nothing that was
//! misspelt in it is passed over in silence.

mod common;

use common::Shop;

/// A job with `engine` (two blanks in front) and `diary` lines.
fn job(shop: &Shop, engine: &str, diary: &str) {
    let text =
        format!("sootsayer: 1\nengine:\n  name: X\n{engine}opened: 2026-11-27T00:00:00Z\n{diary}");
    shop.write("x.yaml", &text);
}

#[test]
fn every_fault_of_the_head_names_its_place() {
    let shop = Shop::new();
    let head = "  family: industrial-petrl\n  cylinders: 44\n  banks: 1 2 / 3 9\n  dimensions:\n    bore_mm: -3\n";
    job(&shop, head, "");
    let said = shop.run(&["rank", "x.yaml"]);
    for expected in [
        "x.yaml:4:11: no family is called `industrial-petrl`",
        "x.yaml:5:14: an engine of 44 cylinders",
        "x.yaml:6:10: banks `1 2 / 3 9`: cylinder 4 is missing",
        "x.yaml:8:14: `bore_mm` must be above 0",
    ] {
        assert!(said.contains(expected), "{expected}\nin\n{said}");
    }
    let traits = "  family: industrial-petrol\n  cylinders: 4\n  with: [air-cooled, turbo-chargd]\n  without: [diesel]\n";
    job(&shop, traits, "");
    let said = shop.run(&["rank", "x.yaml"]);
    assert!(
        said.contains("x.yaml:6:22: no trait is called `turbo-chargd`"),
        "{said}"
    );
    assert!(said.contains("x.yaml:7:13: the family"), "{said}");
}

#[test]
fn an_act_that_cannot_be_followed_names_its_place() {
    let shop = Shop::new();
    let head = "  family: industrial-petrol\n  cylinders: 4\n";
    let diary = "diary:\n- time: 2026-11-27T00:00:00Z\n  readings: [oil-use=high]\n- time: 2026-11-27T00:00:00Z\n  retract: [7]\n";
    job(&shop, head, diary);
    let said = shop.run(&["rank", "x.yaml"]);
    assert!(
        said.contains("x.yaml:10:3: act 2 of the diary: there is no reading 7"),
        "{said}"
    );
}

#[test]
fn what_is_misspelt_in_the_diary_is_said_with_its_line_and_a_near_miss() {
    let shop = Shop::new();
    let head = "  family: industrial-petrol\n  cylinders: 4\n";
    let diary = "diary:\n- time: 2026-11-27T00:00:00Z\n  readings: [oil-use=high, blue-smoke-on-strt=often, oil-leak-seen=weps]\n  facts: [long-lay-upp=yes]\n";
    job(&shop, head, diary);
    let said = shop.run(&["rank", "x.yaml", "--json"]);
    for expected in [
        "x.yaml:9:28: reading 2 (`blue-smoke-on-strt=often`) is not used: no finding is called `blue-smoke-on-strt`: did you mean `blue-smoke-on-start`?",
        "x.yaml:9:54: reading 3 (`oil-leak-seen=weps`) is not used: `oil-leak-seen` cannot be `weps`: did you mean `weeps`?",
        "x.yaml:10:11: no fact is called `long-lay-upp`, so it is not used; did you mean `long-lay-up`?",
    ] {
        assert!(said.contains(expected), "{expected}\nin\n{said}");
    }
}
