//! Closing a job, closing twice, reopening, and what came after.

mod common;

use common::Shop;

#[test]
fn a_job_is_closed_once_and_may_be_opened_again() {
    let shop = Shop::new();
    let close = |words: &[&str]| shop.run(&[&["close", "pump.yaml"], words].concat());
    assert!(close(&[]).contains("The job is open"));
    let said = close(&[
        "--found",
        "rings-stuck@3",
        "breather-blocked",
        "--confirmed",
        "seen",
        "--done",
        "hone-and-ring@3",
        "--hours",
        "7",
    ]);
    let flowed = said.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        flowed.contains(
            "Closed: Compression rings stuck in their grooves, cylinder 3; Crankcase breather blocked"
        ),
        "{said}"
    );
    assert!(said.contains("The estimate for that work"), "{said}");
    assert!(close(&["--found", "rings-worn@1"]).contains("closed already"));
    let wrong = shop.run(&["record", "pump.yaml", "oil-use=high"]);
    assert!(
        wrong.contains("the job is closed") && wrong.contains("--reopen"),
        "{wrong}"
    );
    let said = close(&[
        "--retest",
        "compression-low@3=normal",
        "--comeback",
        "smokes again after 40 h",
    ]);
    assert!(
        said.contains("Came back") && said.contains("compression-low@3=normal"),
        "{said}"
    );
    let kept = shop.read("pump.yaml");
    assert!(kept.contains("# a remark of the owner"), "{kept}");
    assert!(close(&["--reopen", "found more"]).contains("The job is open"));
    assert!(close(&["--reopen"]).contains("not closed"));
    assert!(close(&["--comeback", "again"]).contains("not closed"));
    assert!(
        shop.run(&["record", "pump.yaml", "oil-use=high"])
            .contains("status 0")
    );
    // the diary still holds all of it
    let kept = shop.read("pump.yaml");
    assert!(
        kept.contains("rings-stuck@3") && kept.contains("reopened: found more"),
        "{kept}"
    );
}

#[test]
fn undoing_a_closing_opens_the_job() {
    let shop = Shop::new();
    shop.run(&["close", "pump.yaml", "--nothing-found"]);
    assert!(shop.run(&["close", "pump.yaml"]).contains("no fault found"));
    let said = shop.run(&["undo", "pump.yaml"]);
    assert!(said.contains("undone: closed: no fault found"), "{said}");
    assert!(
        shop.run(&["close", "pump.yaml"])
            .contains("The job is open")
    );
}

#[test]
fn what_cannot_be_is_refused() {
    let shop = Shop::new();
    for (words, tells) in [
        (
            &["--found", "rings-stuk@3"][..],
            "did you mean `rings-stuck`",
        ),
        (&["--found", "rings-stuck@7"], "no cylinder 7"),
        (&["--found", "rings-stuck"], "needs a place"),
        (
            &["--found", "glow-plugs-failed"],
            "cannot be on this kind of engine",
        ),
        (&["--found", "rings-stuck@1", "--cost=-3"], "nought or more"),
        (&["--cost", "3"], "not said"),
        (
            &["--found", "rings-stuck@1", "--retest", "nonsense=1"],
            "no finding is called",
        ),
    ] {
        let wrong = shop.run(&[&["close", "pump.yaml"], words].concat());
        assert!(wrong.contains(tells), "{words:?}: {wrong}");
    }
    assert!(!shop.read("pump.yaml").contains("closed"));
}
