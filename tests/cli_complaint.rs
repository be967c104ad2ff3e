//! What is the complaint, and what tells of a time before.

mod common;

use common::{Shop, without_clock};
use pretty_assertions::assert_eq;
use sootsayer::session::Session;

/// Each observation with whether it is the complaint.
fn observed(shop: &Shop) -> Vec<(String, bool)> {
    let session = Session::open(&shop.path("pump.yaml"), None, false).unwrap();
    let seen = session.evidence().0.into_iter();
    seen.map(|o| (o.finding, o.complaint)).collect()
}

#[test]
fn readings_are_marked_as_the_complaint_when_recorded_and_after() {
    let shop = Shop::new();
    let is = |of: &str, complaint| (of.to_string(), complaint);
    assert_eq!(
        observed(&shop),
        [is("oil-use", false), is("plug-oil-wet", false)],
        "an old job has no mark"
    );
    shop.run(&[
        "record",
        "pump.yaml",
        "--complaint",
        "blue-smoke-on-start=yes",
    ]);
    assert_eq!(
        shop.run(&["complaint", "pump.yaml", "1"]),
        "the complaint: 1, oil-use=high\nstatus 0\n"
    );
    assert_eq!(
        observed(&shop),
        [
            is("oil-use", true),
            is("plug-oil-wet", false),
            is("blue-smoke-on-start", true)
        ]
    );
    let record = without_clock(&shop.read("pump.yaml"));
    assert!(
        record.ends_with(
            "- time: NOW\n  readings:\n  - blue-smoke-on-start=yes\n  complaint: true\n\
             - time: NOW\n  complaint_of:\n  - 1\n"
        ),
        "{record}"
    );
    let page = shop.run(&["show", "pump.yaml"]);
    assert_eq!(page.matches("the complaint").count(), 2, "{page}");
    assert_eq!(
        shop.run(&["undo", "pump.yaml"]),
        "undone: reading 1 as the complaint\nstatus 0\n"
    );
    assert_eq!(observed(&shop)[0], is("oil-use", false));
    let refused = shop.run(&["complaint", "pump.yaml", "1", "9"]);
    assert!(
        refused.starts_with("error: there is no reading 9"),
        "{refused}"
    );
    assert_eq!(observed(&shop)[0], is("oil-use", false), "all or none");
}

#[test]
fn what_was_earlier_is_kept_and_shown_and_is_no_evidence() {
    let shop = Shop::new();
    let before = observed(&shop);
    let said = shop.run(&[
        "record",
        "pump.yaml",
        "--earlier",
        "leak-down@2=30%",
        "plug@1=black",
    ]);
    assert!(said.ends_with("status 0\n"), "{said}");
    assert_eq!(observed(&shop), before);
    let page = shop.run(&["show", "pump.yaml"]);
    assert!(page.contains("earlier"), "{page}");
    let figures = shop.run(&["figures", "pump.yaml"]);
    assert!(!figures.contains("30"), "{figures}");
    let refused = shop.run(&["complaint", "pump.yaml", "3"]);
    assert!(refused.contains("tells of a time before"), "{refused}");
    let both = shop.run(&[
        "record",
        "pump.yaml",
        "--earlier",
        "--complaint",
        "misfire=yes",
    ]);
    assert!(both.ends_with("status 2\n"), "{both}");
}
