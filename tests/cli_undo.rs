//! Retract and undo take out of the evidence and keep the record.

mod common;

use common::{Shop, without_clock};
use pretty_assertions::assert_eq;
use sootsayer::session::Session;

#[test]
fn a_retracted_reading_stays_in_the_record_with_its_reason() {
    let shop = Shop::new();
    assert_eq!(
        shop.run(&["retract", "pump.yaml", "2", "--why", "wrong plug"]),
        "retracted: 2, plug-oil-wet@3=yes\nstatus 0\n"
    );
    assert_eq!(
        without_clock(&shop.read("pump.yaml")),
        format!(
            "{}- time: NOW\n  retract:\n  - 2\n  note: wrong plug\n",
            common::PUMP
        )
    );
    assert_eq!(
        shop.run(&["show", "pump.yaml"]),
        "\
Hill pump: Industrial petrol engine (pump, generator, forklift), 4 cylinders
Complaint: Uses a litre of oil a day

No.  Reading                           taken
───────────────────────────────────────────────────────────────────────────────
  1  Oil use: high                     25 Nov 2026 08:10
  2  Plug wet with oil: yes, cylinder  25 Nov 2026 08:10  retracted: wrong plug
     3
1 of 2 no longer in the evidence
status 0
"
    );
    assert_eq!(
        shop.run(&["retract", "pump.yaml", "2", "7"]),
        "\
error: reading 2, `plug-oil-wet@3=yes`, is already out of the evidence
error: there is no reading 7
   = `show` lists the readings with their numbers
status 2
"
    );
}

#[test]
fn undo_goes_back_act_by_act_and_keeps_the_record() {
    let shop = Shop::new();
    shop.run(&["fact", "pump.yaml", "hours-high"]);
    shop.run(&["retract", "pump.yaml", "1"]);
    assert_eq!(
        shop.run(&["undo", "pump.yaml"]),
        "undone: retract 1\nstatus 0\n"
    );
    assert_eq!(
        shop.run(&["undo", "pump.yaml"]),
        "undone: hours-high=yes\nstatus 0\n"
    );
    assert_eq!(
        shop.run(&["undo", "pump.yaml"]),
        "undone: oil-use=high, plug-oil-wet@3=yes\nstatus 0\n"
    );
    assert_eq!(
        shop.run(&["undo", "pump.yaml"]),
        "error: there is nothing to undo\nstatus 2\n"
    );
    let record = without_clock(&shop.read("pump.yaml"));
    assert!(record.starts_with(common::PUMP), "{record}");
    assert!(
        record.ends_with("  undo: 3\n- time: NOW\n  undo: 2\n- time: NOW\n  undo: 1\n"),
        "{record}"
    );
}

/// What the network would be told, apart from the numbers of the readings.
fn evidence(shop: &Shop) -> Vec<(String, String, Vec<f64>)> {
    let session = Session::open(&shop.path("pump.yaml"), None, false).unwrap();
    let seen = session.evidence().0.into_iter();
    let mut seen: Vec<_> = seen
        .map(|o| (o.finding, o.place.to_string(), o.likelihood))
        .collect();
    seen.sort_by(|a, b| (&a.0, &a.1).cmp(&(&b.0, &b.1)));
    seen
}

#[test]
fn retract_and_undo_bring_back_the_evidence_as_it_was() {
    let shop = Shop::new();
    let before = evidence(&shop);
    shop.run(&[
        "record",
        "pump.yaml",
        "leak-down@2=30%",
        "oil-use=extreme",
        "compression@1=120 psi",
    ]);
    assert_ne!(evidence(&shop), before);
    shop.run(&["retract", "pump.yaml", "3", "4", "5"]);
    assert_eq!(evidence(&shop), before);
    shop.run(&["undo", "pump.yaml"]);
    assert_ne!(evidence(&shop), before);
    shop.run(&["undo", "pump.yaml"]);
    assert_eq!(evidence(&shop), before);
}

#[test]
fn the_order_of_readings_does_not_matter() {
    let lines = [
        "leak-down@2=30%",
        "leak-down@2=26%",
        "oil-use=extreme",
        "plug-dry-carbon@3=yes",
        "compression@1=120 psi",
        "compression@2=150 psi",
    ];
    let forth = Shop::new();
    let back = Shop::new();
    for line in lines {
        forth.run(&["record", "pump.yaml", line]);
    }
    for line in lines.iter().rev() {
        back.run(&["record", "pump.yaml", line]);
    }
    let (a, b) = (evidence(&forth), evidence(&back));
    assert_eq!(a.len(), b.len());
    for (x, y) in a.iter().zip(&b) {
        assert_eq!((&x.0, &x.1), (&y.0, &y.1));
        for (p, q) in x.2.iter().zip(&y.2) {
            assert!((p - q).abs() < 1e-12, "{x:?} is not {y:?}");
        }
    }
}
