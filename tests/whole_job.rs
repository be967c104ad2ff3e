//! One engine through the whole of it: new, record, estimate, report, teardown,
//! bench, close, and its place in the history.

mod common;

use common::Shop;
use std::fs;

/// The steps of `demo/whole-job.txt`, one command a line.
const STEPS: &str = include_str!("../demo/whole-job.txt");

#[test]
fn one_job_from_new_to_history() {
    let shop = Shop::new();
    fs::remove_file(shop.path("pump.yaml")).unwrap();
    fs::create_dir(shop.path("jobs")).unwrap();
    let mut said = vec![];
    for line in STEPS
        .lines()
        .filter(|l| !l.is_empty() && !l.starts_with('#'))
    {
        let words = sootsayer::shell::split::split(line);
        let words: Vec<&str> = words.iter().map(String::as_str).skip(1).collect();
        let answer = shop.run(&words);
        assert!(answer.ends_with("status 0\n"), "{line}\n{answer}");
        said.push((words[0].to_string(), answer));
    }
    let of = |word: &str| {
        let mut all = said
            .iter()
            .filter(|(w, _)| w == word)
            .map(|(_, s)| s.as_str());
        all.next_back().unwrap_or("").to_string()
    };
    // closed, worn rings and worn bores look alike; opened, the bore gauge decides
    let bench = of("bench");
    assert!(
        bench.contains("confirmed  Bore worn, tapered or out of round, cylinder 2"),
        "{bench}"
    );
    assert!(bench.contains("To do: Bore and hone all to"), "{bench}");
    assert!(of("close").contains("Closed: Bore worn"), "{}", of("close"));
    let history = of("history");
    assert!(history.contains("1 closed job in jobs"), "{history}");
    for page in ["report.html", "sheet.html", "bench.html", "history.html"] {
        let text = shop.read(page);
        assert!(text.starts_with("<!DOCTYPE html>"), "{page}");
        assert!(
            !text.contains("<script") && !text.contains("http"),
            "{page}"
        );
        assert!(text.contains("</html>"), "{page}");
    }
    assert!(
        shop.read("report.html")
            .contains("The bores, wear drawn large")
    );
    let sheet = shop.read("sheet.html");
    for wanted in [
        "class=\"tick\"",
        "Stop if:",
        "Never used again",
        "left-hand thread",
        "Main and rod caps",
    ] {
        assert!(sheet.contains(wanted), "{wanted}");
    }
    // the sheet's bores come before its pistons
    assert!(sheet.find("Head or barrels off") < sheet.find("Pistons out"));
}
