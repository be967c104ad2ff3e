//! The shell on a bench with few rules: what it says to typed lines.

mod common;

use common::{PUMP, Shop, without_clock};
use pretty_assertions::assert_eq;
use sootsayer::answer::{Answer, Ending};
use sootsayer::cli::talk::Words;
use sootsayer::job::store::Store;
use sootsayer::problem::Problem;
use sootsayer::rules::{self, Rules};
use sootsayer::session::Session;
use sootsayer::shell::bench::Bench;
use sootsayer::shell::input::{Input, Typed, Wanted};
use std::collections::VecDeque;

const RULES: &str = "
system: few
title: Few
words: {often: 0.6, seldom: 0.12}
axes:
  - {axis: fuel, title: Fuel, traits: [petrol, diesel]}
families:
  - {family: industrial-petrol, title: Petrol engine, traits: [petrol], cylinders: 4}
facts:
  - {fact: hours-high, title: Many hours, ask: Has it run many hours?, words: [tired engine]}
readings:
  - {reading: leak-down, title: Leak-down, scope: cylinder, quantity: leakage, unit: '%', between: [0, 100], error: 2, basis: judgement}
findings:
  - finding: oil-use
    title: Oil use
    ask: How much oil does it use?
    help: Against the maker's limit.
    grades: [normal, high]
    sound: {chance: 0.05, basis: judgement}
    words: [burns oil]
  - finding: leak-down
    title: Leak-down
    ask: What does the tester lose?
    scope: cylinder
    grades: [good, poor]
    measured: {reading: leak-down, bounds: [20], basis: judgement}
    sound: {chance: 0.05, basis: judgement}
  - finding: air-at-breather
    title: Air at the breather
    ask: Is the tester's air heard at the breather?
    scope: cylinder
    sound: {chance: 0.05, basis: judgement}
causes:
  - cause: rings-worn
    title: Rings worn
    says: The rings are worn.
    scope: cylinder
    base_rate: {per_1000: 50, basis: judgement}
    history:
      hours-high: {times: 3, basis: judgement}
    shows:
      oil-use: {chance: often, basis: judgement}
      leak-down: {chance: often, basis: judgement}
      air-at-breather: {chance: often, basis: judgement}
    look_for: Worn rings.
  - cause: breather-blocked
    title: Breather blocked
    says: The breather is blocked.
    base_rate: {per_1000: 50, basis: judgement}
    shows:
      oil-use: {chance: often, basis: judgement}
    look_for: A blocked breather.
set_ups:
  - {set_up: plugs-out, title: Spark plugs out, minutes: {fixed: 8}}
equipment:
  - {equipment: leak-down-tester, title: Leak-down tester}
tests:
  - test: interview
    title: Ask the owner
    says: Costs nothing.
    minutes: {fixed: 1}
    cautions: [None beyond a hot engine.]
    steps: [Ask.]
    yields: [oil-use]
    basis: judgement
  - test: leak-down-test
    title: Leak-down test
    says: Feeds air in.
    scope: cylinder
    minutes: {fixed: 5, each: 5}
    set_up: [plugs-out]
    equipment: [leak-down-tester]
    cautions: [Compressed air spins the crank; keep clear.]
    steps: [Bring it to top dead centre., Let air in.]
    yields: [leak-down, air-at-breather]
    misleads: [Off top dead centre all is lost.]
    basis: judgement
";

fn few() -> Rules {
    let loaded = rules::load_files([("few.yaml".to_string(), RULES.as_bytes().to_vec())], []);
    assert_eq!(loaded.problems, vec![]);
    loaded.rules
}

/// Lines typed beforehand; what was asked goes between the answers.
struct Typist {
    lines: VecDeque<String>,
    asked: Vec<String>,
}

impl Input for Typist {
    fn line(&mut self, prompt: &str, wanted: Wanted) -> Result<Typed, Problem> {
        let offered = match wanted {
            Wanted::Word { offered } => offered,
            Wanted::Answer { usual } => usual.join("|"),
        };
        self.asked.push(format!("{prompt}[{offered}]"));
        Ok(self.lines.pop_front().map_or(Typed::End, Typed::Line))
    }
}

/// What the shell says after its greeting, the prompts it showed, and the job file.
fn talk(shop: &Shop, lines: &[&str]) -> (String, Vec<String>, String) {
    let store = Store::open(&shop.path("pump.yaml")).unwrap();
    let mut session = Session::with(few(), store).unwrap();
    let mut typist = Typist {
        lines: lines.iter().map(|l| l.to_string()).collect(),
        asked: vec![],
    };
    let mut out: Vec<u8> = vec![];
    let answer: Answer = Bench::new(&mut session, &Words, &mut typist, &mut out).run();
    assert!(answer.is_ok(), "{answer:?}");
    let said = anstream::adapter::strip_str(std::str::from_utf8(&out).unwrap()).to_string();
    let said = said
        .split_once("the words.\n")
        .map_or(said.clone(), |(_, s)| s.to_string());
    (said, typist.asked, without_clock(&shop.read("pump.yaml")))
}

/// A job with one reading, on the few rules.
fn shop() -> Shop {
    let shop = Shop::new();
    shop.write("pump.yaml", &PUMP.replace("  - plug-oil-wet@3=yes\n", ""));
    shop
}

#[test]
fn an_empty_line_takes_the_offered_test_reading_by_reading() {
    let shop = shop();
    let lines = ["", "", "8 9 40 9%", "3", "leave"];
    let (said, asked, file) = talk(&shop, &lines);
    assert_eq!(asked[0], "pump> [Enter: Leak-down test (33 min)]");
    let sheet = "Leak-down test\nFeeds air in.\n! Compressed air";
    assert!(said.starts_with(sheet), "{said}");
    for part in [
        "\nrecorded 4: Leak-down: 40%, cylinder 3\n",
        "\nrecorded 6 to 7: Air at the breather: no, at 1 and 2\n",
        "\nrecorded 8: Air at the breather: yes, cylinder 3\n",
    ] {
        assert!(said.contains(part), "{part}\nis not in\n{said}");
    }
    assert_eq!(said.matches("Moved").count(), 2, "{said}");
    let end = "  - air-at-breather@4=no\n  test: leak-down-test\n";
    assert!(file.ends_with(end), "{file}");
}

#[test]
fn a_test_by_name_asks_everything_that_it_yields() {
    let shop = shop();
    let lines = [
        "test leak-down-test",
        "",
        "8",
        "undo",
        "9",
        "all 40%",
        "?",
        "2 3",
        "leave",
    ];
    let (said, asked, file) = talk(&shop, &lines);
    assert_eq!(
        asked[1..],
        [
            "Enter when ready, `skip` for another test, `stop` to leave it> [skip|stop]",
            "  cylinder 1> [good|poor|can't|skip|undo|stop|?]",
            "  cylinder 2> [good|poor|can't|skip|undo|stop|?]",
            "  cylinder 1> [good|poor|can't|skip|undo|stop|?]",
            "  cylinder 2> [good|poor|can't|skip|undo|stop|?]",
            "  where> [none|1|2|3|4|all|can't|skip|undo|stop|?]",
            "  where> [none|1|2|3|4|all|can't|skip|undo|stop|?]",
            asked.last().unwrap(),
        ]
    );
    for part in [
        "! Compressed air spins the crank; keep clear.\nFirst: Spark plugs out\nTools: Leak-down tester\n 1. Bring it to top dead centre.\n 2. Let air in.\nMisleads: Off top dead centre all is lost.\n",
        "\nundone: leak-down@1=8%\n",
        "\nrecorded 3: Leak-down: 9%, cylinder 1\n",
        "\nrecorded 4 to 6: Leak-down: 40%, at 2, 3 and 4\n",
        "\nWrite the places, such as `3` or `2,3`, or `none` or `all`.\n",
        "\nrecorded 8 to 9: Air at the breather: yes, at 2 and 3\n",
    ] {
        assert!(said.contains(part), "{part}\nis not in\n{said}");
    }
    let diary = file.split_once("  - oil-use=high\n").unwrap().1;
    assert_eq!(
        diary,
        "\
- time: NOW
  set_up:
  - plugs-out=yes
- time: NOW
  readings:
  - leak-down@1=8%
  test: leak-down-test
- time: NOW
  undo: 3
- time: NOW
  readings:
  - leak-down@1=9%
  test: leak-down-test
- time: NOW
  readings:
  - leak-down@2=40%
  - leak-down@3=40%
  - leak-down@4=40%
  test: leak-down-test
- time: NOW
  readings:
  - air-at-breather@1=no
  - air-at-breather@2=yes
  - air-at-breather@3=yes
  - air-at-breather@4=no
  test: leak-down-test
"
    );
}

#[test]
fn a_reading_shows_what_it_moved_and_what_is_wrong_is_told() {
    let shop = shop();
    let (said, _, file) = talk(
        &shop,
        &[
            "leak-down@3=60%",
            "leak-down@9=1",
            "rnak",
            "oil-use=high note:\"again, hot\"",
        ],
    );
    assert!(
        said.starts_with("recorded 2: Leak-down: 60%, cylinder 3\nMoved"),
        "{said}"
    );
    assert!(said.contains("Rings worn"), "{said}");
    assert!(
        said.contains("error: this engine has no cylinder 9\n"),
        "{said}"
    );
    assert!(
        said.contains("There is no word `rnak`; did you mean `rank`?\n"),
        "{said}"
    );
    assert!(
        file.ends_with("  - oil-use=high\n  note: again, hot\n"),
        "{file}"
    );
}

#[test]
fn an_observation_is_found_by_plain_words_and_asked_for() {
    let shop = shop();
    let (said, asked, file) = talk(
        &shop,
        &[
            "it burns a lot of oil",
            "1",
            "normal",
            "tired engine",
            "1",
            "yes",
            "what nonsense",
        ],
    );
    assert!(said.starts_with("  1  Oil use  oil-use\n"), "{said}");
    assert_eq!(asked[1], "Which one? (its number, or nothing) [1]");
    assert!(
        said.contains("\nHow much oil does it use?\nrecorded 2: Oil use: normal\n"),
        "{said}"
    );
    assert!(
        said.contains("\nHas it run many hours?\nnoted: Many hours: yes\n"),
        "{said}"
    );
    assert!(
        said.contains("Nothing is known like `what nonsense`"),
        "{said}"
    );
    assert!(file.ends_with("  facts:\n  - hours-high=yes\n"), "{file}");
}

#[test]
fn a_pasted_block_is_taken_line_by_line() {
    let shop = shop();
    let (said, _, _) = talk(
        &shop,
        &["leak-down@1=8%\n\nleak-down@2=9%\nleave\nleak-down@3=9%"],
    );
    assert!(
        said.contains("pump> leak-down@1=8%\nrecorded 2: "),
        "{said}"
    );
    assert!(
        said.contains("recorded 3: Leak-down: 9%, cylinder 2\n"),
        "{said}"
    );
    assert!(!said.contains("recorded 4"), "{said}");
}

#[test]
fn the_greeting_says_engine_complaint_ranking_and_next_test() {
    let shop = shop();
    let store = Store::open(&shop.path("pump.yaml")).unwrap();
    let mut session = Session::with(few(), store).unwrap();
    let mut typist = Typist {
        lines: VecDeque::new(),
        asked: vec![],
    };
    let mut out: Vec<u8> = vec![];
    Bench::new(&mut session, &Words, &mut typist, &mut out)
        .run()
        .unwrap_or_else(|e: Ending| panic!("{e}"));
    let said = anstream::adapter::strip_str(std::str::from_utf8(&out).unwrap()).to_string();
    assert!(
        said.starts_with("Hill pump: Petrol engine, 4 cylinders\nComplaint: Uses a litre of oil a day\n1 reading in the evidence.\n\n"),
        "{said}"
    );
    for part in [
        "Rings worn",
        "Breather blocked",
        "\nNext: Leak-down test",
        "An empty line takes it.",
    ] {
        assert!(said.contains(part), "{part}\nis not in\n{said}");
    }
}

#[test]
fn a_script_from_a_pipe_stops_at_the_first_line_that_fails() {
    let shop = Shop::new();
    let script = "# the first look\n\noil-use=high\nrecord air-at-intake@1=no note:\"cold, 9:30\"\nundo\nleak-down@9=8%\nundo\n";
    assert_eq!(
        shop.fed(&["talk", "pump.yaml"], script),
        "\
recorded 3: Oil use: high
recorded 4: Tester's air heard at the intake: no, cylinder 1
undone: air-at-intake@1=no
error: line 6, `leak-down@9=8%`: this engine has no cylinder 9
   = its cylinders are 1 to 4
status 1
"
    );
    assert_eq!(
        shop.fed(&["talk", "pump.yaml"], "oil-use=high\nleave\nnonsense\n"),
        "recorded 5: Oil use: high\nstatus 0\n"
    );
    let said = shop.fed(&["talk", "pump.yaml"], "rnak\n");
    assert!(
        said.starts_with("error: line 1, `rnak`: unrecognized subcommand 'rnak'"),
        "{said}"
    );
    assert!(said.ends_with("status 1\n"), "{said}");
}
