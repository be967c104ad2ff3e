//! Vague words, circumstances, what was tried and what is perhaps so, as typed.

mod common;

use common::Shop;
use sootsayer::session::Session;

fn observed(shop: &Shop) -> Vec<(String, String, Vec<f64>)> {
    let session = Session::open(&shop.path("pump.yaml"), None, false).unwrap();
    let seen = session.evidence().0.into_iter();
    seen.map(|o| (o.finding, o.place.to_string(), o.likelihood))
        .collect()
}

fn has(shop: &Shop, finding: &str, place: &str, likelihood: &[f64]) -> bool {
    observed(shop).contains(&(finding.into(), place.into(), likelihood.to_vec()))
}

#[test]
fn a_vague_word_is_recorded_ranked_and_taken_back() {
    let shop = Shop::new();
    let said = shop.run(&[
        "record",
        "pump.yaml",
        "blue-smoke=yes",
        "plug-rust-or-water@one=yes",
        "blue-smoke-on-overrun=at least often",
        "sludge-seen=yes",
        "compression-good@2=yes",
    ]);
    assert!(said.ends_with("status 0\n"), "{said}");
    assert!(said.contains("at one of them"), "{said}");
    // the narrower answer stands for the vague one
    assert!(!observed(&shop).iter().any(|(of, _, _)| of == "blue-smoke"));
    assert!(has(
        &shop,
        "blue-smoke-on-overrun",
        "engine",
        &[0.0, 0.0, 1.0]
    ));
    assert!(has(&shop, "sludge-seen", "engine", &[0.0, 1.0, 1.0]));
    assert!(has(&shop, "plug-rust-or-water", "engine", &[0.0, 1.0]));
    assert!(has(&shop, "compression-good", "2", &[1.0, 0.0]));
    let rank = shop.run(&["rank", "pump.yaml"]);
    assert!(rank.ends_with("status 0\n"), "{rank}");
    assert!(
        shop.read("pump.yaml")
            .contains("- plug-rust-or-water@one=yes")
    );
    let undone = shop.run(&["undo", "pump.yaml"]);
    assert!(undone.starts_with("undone: blue-smoke=yes"), "{undone}");
    assert!(!has(&shop, "plug-rust-or-water", "engine", &[0.0, 1.0]));
}

#[test]
fn circumstances_are_values_of_one_question() {
    let shop = Shop::new();
    let said = shop.run(&[
        "record",
        "pump.yaml",
        "onset=at once",
        "when=once-hot,under-load",
    ]);
    assert!(said.contains("Came on at once: yes"), "{said}");
    assert!(has(&shop, "onset-at-once", "engine", &[0.0, 1.0]));
    assert!(has(&shop, "onset-over-months", "engine", &[1.0, 0.0]));
    assert!(has(&shop, "when-under-load", "engine", &[0.0, 1.0]));
    assert!(!observed(&shop).iter().any(|(of, _, _)| of == "when-wet"));
    let wrong = shop.run(&["record", "pump.yaml", "onset=at-onse"]);
    assert!(wrong.contains("`onset` cannot be `at-onse`"), "{wrong}");
    assert!(wrong.contains("did you mean `at-once`?"), "{wrong}");
    let both = shop.run(&["record", "pump.yaml", "onset=over-months"]);
    assert!(
        both.contains("warning") && both.contains("neither is counted"),
        "{both}"
    );
    assert!(
        !observed(&shop)
            .iter()
            .any(|(of, _, _)| of.starts_with("onset"))
    );
}

#[test]
fn what_was_tried_is_kept_undone_and_refused_where_it_cannot_be() {
    let shop = Shop::new();
    let said = shop.run(&["tried", "pump.yaml", "renew-plugs=no better"]);
    assert!(said.starts_with("noted: tried, "), "{said}");
    assert!(has(&shop, "tried:renew-plugs", "engine", &[1.0, 0.0]));
    assert!(
        shop.read("pump.yaml")
            .contains("tried:\n  - renew-plugs=no-better")
    );
    let show = shop.run(&["show", "pump.yaml"]);
    assert!(
        show.contains("Tried: ") && show.contains("no better"),
        "{show}"
    );
    let rank = shop.run(&["rank", "pump.yaml"]);
    assert!(rank.ends_with("status 0\n"), "{rank}");
    shop.run(&["tried", "pump.yaml", "renew-plugs=better-for-a-time"]);
    assert!(has(&shop, "tried:renew-plugs", "engine", &[0.0, 1.0]));
    shop.run(&["undo", "pump.yaml"]);
    assert!(has(&shop, "tried:renew-plugs", "engine", &[1.0, 0.0]));
    for (line, why) in [
        ("renew-plug=cured", "did you mean `renew-plugs`?"),
        ("renew-plugs=worse", "`no-better`"),
        ("overhaul-magneto@9=cured", "is no repair of this engine"),
    ] {
        let refused = shop.run(&["tried", "pump.yaml", line]);
        assert!(refused.contains(why), "{line}: {refused}");
    }
}

#[test]
fn a_fact_may_perhaps_be_so() {
    let shop = Shop::new();
    shop.run(&[
        "fact",
        "pump.yaml",
        "has-overheated=perhaps",
        "hours-high=perhaps",
    ]);
    assert!(has(&shop, "has-overheated", "engine", &[0.3, 1.0]));
    let show = shop.run(&["show", "pump.yaml"]);
    assert!(
        show.contains("Perhaps: Has overheated; At or past"),
        "{show}"
    );
    shop.run(&["fact", "pump.yaml", "has-overheated=no"]);
    assert!(has(&shop, "has-overheated", "engine", &[1.0, 0.0]));
    let refused = shop.run(&["set-up", "pump.yaml", "plugs-out=perhaps"]);
    assert!(
        refused.contains("say `yes`, `no` or `unknown`"),
        "{refused}"
    );
}

#[test]
fn what_cannot_be_is_told() {
    let shop = Shop::new();
    for (line, why) in [
        ("blue-smoke@one=yes", "is of the whole engine"),
        ("plug-oil-wet@one=no", "`plug-oil-wet@all=no`"),
        ("blue-smoke=loud", "`blue-smoke` cannot be `loud`"),
        ("blue-smoek=yes", "did you mean `blue-smoke`?"),
        ("leak-down@1=at least bad", "`at least poor`"),
    ] {
        let refused = shop.run(&["record", "pump.yaml", line]);
        assert!(refused.contains(why), "{line}: {refused}");
    }
}
