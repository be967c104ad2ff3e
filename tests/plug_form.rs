//! Asking for the looks of plugs: the form itself, on a pipe, and in the shell's
//! test that reads every plug.

#[path = "plug_bench/mod.rs"]
mod bench;
mod common;

use bench::{petrol, rules};
use common::Shop;
use pretty_assertions::assert_eq;
use sootsayer::cli::talk::Words;
use sootsayer::job::store::Store;
use sootsayer::plug::{Chart, Form, Looks, Matched, Reply};
use sootsayer::problem::Problem;
use sootsayer::session::{self, Session};
use sootsayer::shell::bench::Bench;
use sootsayer::shell::complete::complete;
use sootsayer::shell::input::{Input, Typed, Wanted};
use sootsayer::shell::vocabulary::Vocabulary;
use std::collections::VecDeque;

/// Answers every question as the looks typed have it, `usual` for the rest; gives
/// the looks that were asked for.
fn asked(chart: &Chart, rules: &sootsayer::rules::Rules, typed: &str) -> (Vec<String>, Form) {
    let truth = Looks::read(chart, typed).unwrap();
    let mut form = Form::default();
    let mut asked = vec![];
    while let Some(look) = form.question(rules, chart) {
        asked.push(chart.looks[look].look.clone());
        match truth.seen.get(&look) {
            Some(values) => {
                let seen = [(look, values.clone())].into();
                form.take(look, &Looks { seen });
            }
            None => form.skip(look),
        }
        assert!(asked.len() <= chart.looks.len(), "{asked:?}");
    }
    (asked, form)
}

#[test]
fn a_clear_plug_is_read_in_a_few_questions_and_comes_out_right() {
    let rules = rules();
    let car = petrol(&rules, "four-stroke");
    let chart = Chart::of(&rules, &car).unwrap();
    for (typed, condition, most) in [
        (
            "wetness:oil black film smell:oil heavy square as-set oily-thread",
            "oil-wet",
            7,
        ),
        (
            "dry white bare nose:whole square as-set sweet amount:none clean-thread specks:none",
            "coolant",
            10,
        ),
        (
            "dry tan powder square as-set whole specks:none",
            "normal",
            7,
        ),
        ("dry grey beads heavy square as-set whole", "lead", 8),
        (
            "dry white bare nose:melted electrodes:melted wide",
            "preignition",
            8,
        ),
    ] {
        let (asked, form) = asked(&chart, &rules, typed);
        assert!(asked.len() <= most, "{condition}: {asked:?}");
        let matched = Matched::of(&rules, &chart, form.looks.clone());
        let (each, none) = matched.probabilities();
        let found = match matched.ranked()[0] {
            c if each[c] > none => chart.conditions[c].it.condition.as_str(),
            _ => "normal",
        };
        assert_eq!(found, condition, "{asked:?}");
    }
}

#[test]
fn how_it_was_stopped_is_asked_only_where_it_could_change_the_answer() {
    let rules = rules();
    let car = petrol(&rules, "four-stroke");
    let chart = Chart::of(&rules, &car).unwrap();
    let stopped = |typed: &str| {
        asked(&chart, &rules, typed)
            .0
            .contains(&"stopped".to_string())
    };
    // ngk-appearance: idling soots a sound plug
    assert!(stopped("dry black soot light smell:none square as-set"));
    assert!(!stopped("oil black film smell:oil heavy square as-set"));
}

#[test]
fn an_answer_is_a_number_its_own_words_or_any_looks() {
    let rules = rules();
    let car = petrol(&rules, "four-stroke");
    let chart = Chart::of(&rules, &car).unwrap();
    let smell = chart.look("smell").unwrap();
    let form = Form::new(Looks::read(&chart, "wet oily").unwrap());
    let said = |line: &str| match form.understand(&chart, smell, line) {
        Ok(Reply::Looks(looks)) => looks.typed(&chart),
        Ok(other) => format!("{other:?}"),
        Err(problems) => problems[0].what.clone(),
    };
    assert_eq!(said("2"), "smell:fuel");
    // the word of the question goes before the same word of another look
    assert_eq!(said("oil"), "smell:oil");
    assert_eq!(said("fuel or oil"), "smell:fuel or smell:oil");
    assert_eq!(said("black, nose cracked"), "colour:black, nose:cracked");
    assert_eq!(said("9"), "the list goes from 1 to 4");
    for (line, reply) in [
        ("", "Skip"),
        ("can't", "Skip"),
        ("?", "Help"),
        ("Undo", "Back"),
        ("back", "Back"),
        ("enough", "Enough"),
        ("stop", "Leave"),
        ("normal", "Normal"),
        ("not-out", "NotOut"),
        ("same", "Same"),
    ] {
        assert_eq!(said(line), reply, "{line}");
    }
    let dry = said("dry");
    assert!(
        dry.contains("contradicts") && dry.contains("wet with oil"),
        "{dry}"
    );
}

#[test]
fn going_back_forgets_the_answer_and_asks_again() {
    let rules = rules();
    let car = petrol(&rules, "four-stroke");
    let chart = Chart::of(&rules, &car).unwrap();
    let mut form = Form::default();
    let first = form.question(&rules, &chart).unwrap();
    assert_eq!(form.back(), None);
    form.take(first, &Looks::read(&chart, "black").unwrap());
    let second = form.question(&rules, &chart).unwrap();
    form.skip(second);
    assert_eq!(form.back(), Some(false));
    assert_eq!(form.question(&rules, &chart), Some(second));
    assert_eq!(form.back(), Some(true));
    assert_eq!(form.looks, Looks::default());
    assert_eq!(form.question(&rules, &chart), Some(first));
}

#[test]
fn on_a_pipe_answers_are_lines_and_their_end_keeps_what_was_answered() {
    let shop = Shop::new();
    let said = shop.fed(&["plug", "pump.yaml", "2"], "black\noil\n");
    assert!(said.ends_with("status 0\n"), "{said}");
    assert!(said.contains("plug 2> black"), "{said}");
    assert!(said.contains("Wet with oil"), "{said}");
    let job = shop.read("pump.yaml");
    assert!(
        job.contains("plug@2=colour:black") && job.contains("plug@2=wetness:oil"),
        "{job}"
    );

    let none = shop.fed(&["plug", "pump.yaml", "4"], "");
    assert!(none.contains("Nothing was recorded."), "{none}");
}

#[test]
fn on_a_pipe_a_line_not_understood_is_told_and_the_end_is_a_failure() {
    let shop = Shop::new();
    let said = shop.fed(&["plug", "pump.yaml", "2"], "blak\nblack\n");
    assert!(
        said.contains("`black`") && said.contains("so far"),
        "{said}"
    );
    assert!(said.ends_with("status 1\n"), "{said}");
    assert!(shop.read("pump.yaml").contains("plug@2=colour:black"));
}

#[test]
fn a_script_of_the_shell_answers_the_questions_in_its_next_lines() {
    let shop = Shop::new();
    let script = "plug 2\nblack wet oily\nenough\nplug 3 tan dry\n";
    let said = shop.fed(&["talk", "pump.yaml"], script);
    let job = shop.read("pump.yaml");
    assert!(job.contains("wetness:oil, colour:black"), "{said}\n{job}");
    assert!(job.contains("plug@3=tan dry"), "{said}");
}

struct Typist(VecDeque<String>);

impl Input for Typist {
    fn line(&mut self, _: &str, _: Wanted) -> Result<Typed, Problem> {
        Ok(self.0.pop_front().map_or(Typed::End, Typed::Line))
    }
}

/// What the shell says to lines, and the job after them.
fn talk(shop: &Shop, lines: &[&str]) -> (String, String) {
    let store = Store::open(&shop.path("pump.yaml")).unwrap();
    let mut session = Session::with(session::known(None).unwrap(), store).unwrap();
    let mut typist = Typist(lines.iter().map(|l| l.to_string()).collect());
    let mut out = vec![];
    let mut bench = Bench::new(&mut session, &Words, &mut typist, &mut out);
    bench.run().unwrap_or_else(|e| panic!("{e}"));
    drop(session);
    let said = String::from_utf8(out).unwrap();
    (
        anstream::adapter::strip_str(&said).to_string(),
        shop.read("pump.yaml"),
    )
}

#[test]
fn the_test_that_reads_the_plugs_goes_plug_by_plug_through_looks() {
    let shop = Shop::new();
    let lines = [
        "test read-plugs",
        "", // ready, by looks
        "tan, dry, dust",
        "enough", // plug 1
        "same",   // plug 2
        "black wet oily",
        "enough",  // plug 3
        "not out", // plug 4
    ];
    let (said, job) = talk(&shop, &lines);
    for line in [
        "plug@1=wetness:dry, colour:tan, texture:powder",
        "plug@2=wetness:dry, colour:tan, texture:powder",
        "plug@3=wetness:oil, colour:black",
        "plug@4=unknown",
        "test: read-plugs",
    ] {
        assert!(job.contains(line), "{line}\n{job}");
    }
    assert!(
        said.contains("The plug at 3 stands alone, wet with oil"),
        "{said}"
    );
    assert!(said.contains("Moved"), "{said}");
}

#[test]
fn the_same_test_by_names_asks_for_conditions_and_undo_takes_a_look_back() {
    let shop = Shop::new();
    let (said, job) = talk(&shop, &["test read-plugs", "names", "3", "stop"]);
    assert!(said.contains("wet and black with oil"), "{said}");
    assert!(job.contains("plug-oil-wet@1=no"), "{job}");

    let shop = Shop::new();
    let (said, job) = talk(&shop, &["plug 2", "black", "undo", "white", "stop"]);
    assert!(said.contains("undone: plug@2=colour:black"), "{said}");
    assert!(
        job.contains("undo: 2") && job.contains("plug@2=colour:white"),
        "{job}"
    );
}

/// The probability of a kind of cause after these plugs of a four-cylinder engine.
fn ranked(plugs: [&str; 4], kind: &str) -> f64 {
    let shop = Shop::new();
    shop.write(
        "pump.yaml",
        &common::PUMP.replace("  - plug-oil-wet@3=yes\n", ""),
    );
    for (cylinder, looks) in ["1", "2", "3", "4"].iter().zip(plugs) {
        let said = shop.run(&["plug", "pump.yaml", cylinder, looks]);
        assert!(said.ends_with("status 0\n"), "{said}");
    }
    let json = shop.run(&["rank", "pump.yaml", "--json"]);
    let json: serde_json::Value =
        serde_json::from_str(json.trim_end_matches("status 0\n")).unwrap();
    let kinds = json["kinds"].as_array().unwrap();
    let it = kinds.iter().find(|k| k["id"] == kind).unwrap();
    it["probability"].as_f64().unwrap()
}

#[test]
fn one_odd_plug_moves_the_ranking_to_its_cylinder_and_all_alike_to_the_engine() {
    // plug-plate-reprinted: the number of plugs tells local from general causes, and
    // blocked crankcase ventilation wets all of them
    let (tan, oily) = ("tan dry powder", "black wet oily");
    let (one, all) = ([tan, tan, oily, tan], [oily; 4]);
    let breather = |plugs| ranked(plugs, "breather-blocked");
    assert!(
        breather(all) > 2.0 * breather(one),
        "{} {}",
        breather(all),
        breather(one)
    );
    let broken = |plugs| ranked(plugs, "rings-broken");
    assert!(
        broken(one) > broken([tan; 4]),
        "{} {}",
        broken(one),
        broken([tan; 4])
    );
}

#[test]
fn side_by_side_says_where_it_is_and_what_that_moves() {
    let shop = Shop::new();
    for (at, looks) in [("1,2,4", "tan dry powder"), ("3", "black wet oily")] {
        shop.run(&["plug", "pump.yaml", at, looks]);
    }
    let said = shop.run(&["plug", "pump.yaml"]);
    for part in [
        "The plug at 3 stands alone, wet with oil: look to that cylinder.",
        "3: wet with oil",
        "What the plugs do to the ranking:",
        "decibans",
    ] {
        assert!(said.contains(part), "{part}\n{said}");
    }
    assert!(said.lines().all(|l| l.chars().count() <= 80), "{said}");
    assert!(!said.contains('\u{1b}'), "no colour in a pipe");
}

#[test]
fn looks_and_names_are_completed_and_found_by_what_one_would_say() {
    let shop = Shop::new();
    let store = Store::open(&shop.path("pump.yaml")).unwrap();
    let session = Session::with(session::known(None).unwrap(), store).unwrap();
    let words = Vocabulary::of(&session, vec![]);
    let ways = |line: &str| {
        let (_, ways) = complete(&words, line);
        ways.into_iter().map(|w| w.text).collect::<Vec<_>>()
    };
    assert_eq!(ways("plug 3 velv"), ["velvet "]);
    assert_eq!(ways("plug 3 black oil-w"), ["oil-wet "]);
    assert!(ways("plug 3 li").contains(&"light-brown ".to_string()));
    // what is completed is understood
    let chart = Chart::of(&session.rules, &session.engine).unwrap();
    for word in sootsayer::plug::looks::known_words(&chart).keys() {
        assert!(Looks::read(&chart, word).is_ok(), "{word}");
    }
    drop(session);
    let found = shop.run(&["find", "pump.yaml", "turquoise"]);
    assert!(found.contains("plug WHERE colour:green"), "{found}");
}

#[test]
fn the_chart_needs_no_job() {
    let shop = Shop::new();
    let said = shop.run(&["chart"]);
    assert!(
        said.contains("velvet") && said.contains("Wet with oil"),
        "{said}"
    );
    assert!(said.lines().all(|l| l.chars().count() <= 80), "{said}");
    let said = shop.run(&["chart", "plugs.html", "--family", "two-stroke-premix"]);
    assert!(said.contains("wrote plugs.html"), "{said}");
    let page = shop.read("plugs.html");
    assert!(page.contains("A two-stroke burns its oil") && page.contains("<svg"));
    let none = shop.run(&["chart", "--family", "light-diesel-turbo"]);
    assert!(
        none.contains("no spark plugs") && none.ends_with("status 2\n"),
        "{none}"
    );
    let odd = shop.run(&["chart", "--family", "two-strok"]);
    assert!(odd.contains("did you mean"), "{odd}");
}

#[test]
fn the_two_plugs_of_an_aircraft_cylinder_are_two_places() {
    let shop = Shop::new();
    shop.write(
        "pump.yaml",
        &common::PUMP
            .replace("industrial-petrol", "aircraft-opposed")
            .replace("  - plug-oil-wet@3=yes\n", ""),
    );
    let both = shop.run(&["plug", "pump.yaml", "3", "black wet oily"]);
    assert!(
        both.contains("cylinder 3 has two plugs") && both.contains("3-upper"),
        "{both}"
    );
    let one = shop.run(&["plug", "pump.yaml", "3-lower", "black wet oily"]);
    assert!(one.contains("Wet with oil"), "{one}");
    let asked = shop.fed(&["plug", "pump.yaml", "3-upper"], "tan dry\nenough\n");
    assert!(asked.contains("plug 3-upper>"), "{asked}");
    let none = shop.fed(&["plug", "pump.yaml", "3"], "tan\n");
    assert!(
        none.contains("two plugs") && none.ends_with("status 2\n"),
        "{none}"
    );
}
