//! Networks written to BIF and UAI files and read back, and files that are wrong.

#[path = "network/generate.rs"]
#[allow(dead_code)]
mod generate;

mod common;

use common::Shop;
use generate::Dice;
use pretty_assertions::assert_eq;
use proptest::prelude::*;
use sootsayer::network::exchange::{Tables, bif, uai};
use sootsayer::network::{Evidence, Network, Solved, Var};

fn numbered(net: &Network, var: Var) -> (String, Vec<String>) {
    let states = (0..net.states(var)).map(|s| s.to_string()).collect();
    (format!("the \"{}\"", net.name(var)), states)
}

fn written(net: &Network, evidence: &Evidence) -> Tables {
    Tables::of(net, evidence, &|var| numbered(net, var))
}

/// Every posterior and the probability of the evidence, by the names of a network.
fn same_answers(net: &Network, evidence: &Evidence, read: &Tables, names: &[usize]) {
    let ours = Solved::new(net, evidence);
    let it = read.solvable().unwrap();
    let theirs = Solved::new(&it.network, &it.evidence);
    let (Ok(ours), Ok(theirs)) = (&ours, &theirs) else {
        assert!(ours.is_err() && theirs.is_err(), "{ours:?} {theirs:?}");
        return;
    };
    let far = ours.ln_evidence() - theirs.ln_evidence() - read.ln_scale;
    assert!(far.abs() < 1e-11, "ln P(e) is {far} off");
    for (var, node) in net.vars().zip(names) {
        let (a, b) = (
            ours.marginal(var).unwrap(),
            theirs.marginal(it.vars[*node]).unwrap(),
        );
        for (a, b) in a.iter().zip(&b) {
            assert!((a - b).abs() < 1e-12, "{}: {a} and {b}", net.name(var));
        }
    }
}

#[test]
fn what_is_written_is_read_back_and_solved_alike() {
    for seed in 0..60 {
        let mut dice = Dice(seed);
        let net = generate::network(&mut dice, 14);
        let evidence = generate::evidence(&mut dice, &net, 0.4);
        let tables = written(&net, &evidence);
        let names: Vec<usize> = net
            .vars()
            .map(|v| tables.find(net.name(v)).unwrap())
            .collect();
        same_answers(&net, &evidence, &tables, &names);
        let as_bif = bif::read(bif::write(&tables, "n", "a remark").as_bytes()).unwrap();
        same_answers(&net, &evidence, &as_bif, &names);
        // A likelihood of nothing but zeros is refused as a function of that kind.
        if evidence.iter().any(|(_, l)| l.iter().all(|l| *l == 0.0)) {
            assert!(uai::read(uai::write(&tables).as_bytes()).is_err());
            continue;
        }
        let mut as_uai = uai::read(uai::write(&tables).as_bytes()).unwrap();
        uai::read_evidence(uai::write_evidence(&tables).as_bytes(), &mut as_uai).unwrap();
        same_answers(&net, &evidence, &as_uai, &names);
    }
}

/// Twenty causes of three grades: 3 486 784 401 rows in full, a short chain instead.
#[test]
fn a_large_gate_becomes_an_exact_chain_of_small_tables() {
    let mut net = Network::new();
    let mut dice = Dice(7);
    let causes: Vec<Var> = (0..20)
        .map(|i| {
            net.add_table(&format!("c{i}"), 2, &[], dice.row(2))
                .unwrap()
        })
        .collect();
    let links = causes.iter().map(|c| (*c, dice.row(3))).collect();
    let seen = net.add_max("f", vec![0.9, 0.07, 0.03], links).unwrap();
    for likelihood in [[0.0, 0.0, 1.0], [0.0, 1.0, 0.0], [0.3, 1.0, 0.2]] {
        let mut evidence = Evidence::new();
        evidence.set(seen, &likelihood);
        let tables = written(&net, &evidence);
        assert!(tables.nodes.iter().any(|n| n.helper && n.name == "f~upto1"));
        assert!(tables.nodes.iter().all(|n| n.table.len() <= 64));
        let names: Vec<usize> = net
            .vars()
            .map(|v| tables.find(net.name(v)).unwrap())
            .collect();
        same_answers(&net, &evidence, &tables, &names);
    }
}

/// A Markov network whose weights are no tables: posterior and partition by hand.
#[test]
fn a_markov_network_is_read_with_its_weights() {
    // Weights of (a, b): 1 2 / 3 4 times 1 for a = 0 and 5 for a = 1: 1 2 15 20, sum 38.
    let tables = uai::read(b"MARKOV 2 2 2 2  2 0 1  1 0  4 1 2 3 4  2 1 5").unwrap();
    let it = tables.solvable().unwrap();
    let solved = Solved::new(&it.network, &it.evidence).unwrap();
    assert!((solved.ln_evidence() + tables.ln_scale - 38f64.ln()).abs() < 1e-14);
    assert!((solved.marginal(it.vars[0]).unwrap()[1] - 35.0 / 38.0).abs() < 1e-15);
    assert!((solved.marginal(it.vars[1]).unwrap()[1] - 22.0 / 38.0).abs() < 1e-15);
}

/// The dog problem as F. G. Cozman's description of the format has it: in a
/// `table` the first variable named goes slowest.
#[test]
fn a_table_in_one_piece_is_read_in_the_order_of_the_format() {
    let text = r#"network "Dog-Problem" { property "by hand"; }
        variable "light-on" { type discrete [2] { "true" "false" }; }
        variable "family-out" { type discrete [2] { "true" "false" }; }
        probability ( "light-on" "family-out" ) { table 0.6 0.05 0.4 0.95; }
        probability ( "family-out" ) { default 0.15 /* so */ 0.85; // or so
        }"#;
    let tables = bif::read(text.as_bytes()).unwrap();
    assert_eq!(tables.nodes[0].table, [0.6, 0.4, 0.05, 0.95]);
    assert_eq!(tables.nodes[1].table, [0.15, 0.85]);
}

const AB: &str = "variable a { type discrete [ 2 ] { no, yes }; }\nvariable b { type discrete [ 2 ] { no, yes }; }\n";

#[test]
fn faults_of_a_bif_file_are_named_with_their_place() {
    let whole = "probability ( a ) { table 0.5, 0.5; }\nprobability ( b ) { table 0.5, 0.5; }";
    assert!(bif::read(format!("{AB}{whole}").as_bytes()).is_ok());
    let a = "probability ( a ) { table 0.5, 0.5; }\n";
    let of_b = |body: &str| format!("{a}probability ( b | a ) {{ {body} }}");
    let cases = [
        ("netwerk n {}".into(), "3:1: `netwerk` where `network`, `variable` or `probability` belongs"),
        ("probability ( a ) {".into(), "3:20: the file ends where `table`, `default`, a row or `}` belongs"),
        ("variable a { }".into(), "3:10: `a` is there twice"),
        ("variable c { }".into(), "3:10: `c` has no states"),
        ("variable c { type discrete [ 3 ] { x, y }; }".into(), "3:30: `c` is said to have 3 states and has 2"),
        ("variable c { type discrete [ 0 ] { }; }".into(), "3:10: `c` has no states"),
        ("variable c { type discrete [ x ] { }; }".into(), "3:30: `x` where the number of states belongs"),
        ("variable c { type discrete [ 2 ] { x, x }; }".into(), "3:39: `c` has the state `x` twice"),
        ("variable c { type continuous; }".into(), "3:19: `continuous` where `discrete` belongs"),
        ("variable c { type discrete [ 2 ] { x, y }; property \"likelihood 1\"; }".into(), "3:44: a likelihood needs 2 numbers from 0 up, one for each state"),
        ("probability ( c ) { table 1; }".into(), "3:15: no variable is called `c`"),
        ("probability ( a | a ) { table 1; }".into(), "3:19: `a` is its own parent"),
        ("probability ( a | b, b ) { table 1; }".into(), "3:22: `b` is a parent twice"),
        (a.into(), "2:10: `b` has no table"),
        (format!("{a}{a}"), "4:15: `a` has two tables"),
        ("probability ( a ) { table 0.5, 0.6; }".into(), "3:15: the table of `a` adds up to 1.1, not to 1"),
        ("probability ( a ) { table 0.5; }".into(), "3:30: `;` where number 2 of 2 belongs"),
        ("probability ( a ) { table 0.5 0.2 0.3; }".into(), "3:35: `0.3` where `;` after 2 numbers belongs"),
        ("probability ( a ) { table 1.5, -0.5; }".into(), "3:32: `-0.5` where a number from 0 up belongs"),
        ("probability ( a ) { table nan, inf; }".into(), "3:27: `nan` where a number from 0 up belongs"),
        (of_b("(no) 0.5, 0.5;"), "4:15: `b` lacks the row (yes)"),
        (of_b("(no) 0.5, 0.5; (no) 0.5, 0.5;"), "4:40: a row that is there already"),
        (of_b("(maybe) 0.5, 0.5;"), "4:26: `a` has no state `maybe`"),
        (of_b("(no) 0.5, 0.5; (yes) 0.5, 0.4;"), "4:15: the row (yes) of `b` adds up to 0.9, not to 1"),
        (of_b("(no, no) 0.5, 0.5;"), "4:30: `no` where `)` belongs"),
        ("probability ( a | b ) { default 0.5 0.5; }\nprobability ( b | a ) { default 0.5 0.5; }".into(), "4:15: these depend on each other in a circle: b, a"),
        ("\"open".into(), "3:1: a quoted text that does not end"),
        ("/* open".into(), "3:1: a comment that does not end"),
    ];
    for (text, expected) in cases {
        let fault = bif::read(format!("{AB}{text}").as_bytes()).unwrap_err();
        assert_eq!(fault.to_string(), expected, "{text}");
    }
    let fault = bif::read(b"network \xff").unwrap_err();
    assert_eq!(
        fault.to_string(),
        "1:9: this is not a text: a byte that is no UTF-8"
    );
}

/// A short text that would unfold to four thousand million numbers.
#[test]
fn a_table_over_the_limit_is_refused_before_it_is_made() {
    let vars: String = (0..32)
        .map(|i| format!("variable v{i} {{ type discrete [ 2 ] {{ a, b }}; }} "))
        .collect();
    let parents: Vec<String> = (1..32).map(|i| format!("v{i}")).collect();
    let text = format!(
        "{vars}\nprobability ( v0 | {} ) {{ default 0.5, 0.5; }}",
        parents.join(", ")
    );
    let fault = bif::read(text.as_bytes()).unwrap_err();
    assert_eq!(
        fault.to_string(),
        "2:15: with the table of `v0` there are more than 4194304 numbers"
    );
    let scope: Vec<String> = (0..32).map(|i| i.to_string()).collect();
    let text = format!(
        "MARKOV 32 {} 1 32 {} 4294967296",
        "2 ".repeat(32),
        scope.join(" ")
    );
    let fault = uai::read(text.as_bytes()).unwrap_err();
    assert!(
        fault
            .what
            .starts_with("4294967296 numbers; at most 4194304 are read"),
        "{fault}"
    );
    let fault = uai::read(b"MARKOV 1 99999999999 0").unwrap_err();
    assert!(fault.what.contains("at most"), "{fault}");
}

#[test]
fn faults_of_a_uai_file_are_named_with_their_place() {
    let cases = [
        ("", "1:1: the file ends where `BAYES` or `MARKOV` belongs"),
        ("bayes", "1:1: `bayes` where `BAYES` or `MARKOV` belongs"),
        ("BAYES x", "1:7: `x` where the number of variables belongs"),
        (
            "BAYES\n-1",
            "2:1: `-1` where the number of variables belongs",
        ),
        (
            "BAYES\n99999\n",
            "2:1: 99999 variables; at most 4096 are read",
        ),
        ("BAYES 1 0", "1:9: variable 0 has no state"),
        ("BAYES 1 2 1 1 7", "1:15: variable 7, and there are 0 to 0"),
        (
            "BAYES 1 2 1 2 0 0",
            "1:17: variable 0 is twice in the function",
        ),
        (
            "BAYES 1 2 1 0",
            "1:13: a function of no variable in a `BAYES` network",
        ),
        ("BAYES 2 2 2 2 1 0 1 0", "1:19: variable 0 has two tables"),
        ("BAYES 2 2 2 1 1 0", "1:17: variable 1 has no table"),
        (
            "BAYES 2 2 2 2\n2 1 0\n2 0 1",
            "3:1: these depend on each other in a circle: 1, 0",
        ),
        (
            "BAYES 1 2 1 1 0 3 0.5 0.5",
            "1:17: 3 numbers for a function over 2 states",
        ),
        (
            "BAYES 1 2 1 1 0 2 0.5",
            "1:22: the file ends where a number belongs",
        ),
        (
            "BAYES 1 2 1 1 0 2 0.5 x",
            "1:23: `x` where a number from 0 up belongs",
        ),
        (
            "BAYES 1 2 1 1 0 2 0.5 0.4",
            "1:23: a row of variable 0 adds up to 0.9, not to 1",
        ),
        (
            "MARKOV 1 2 1 1 0 2 0 0",
            "1:22: function 0 is nothing but zeros",
        ),
        (
            "MARKOV 1 2 1 1 0 2 1 1 1",
            "1:24: `1` where the file should end",
        ),
    ];
    for (text, expected) in cases {
        assert_eq!(
            uai::read(text.as_bytes()).unwrap_err().to_string(),
            expected,
            "{text}"
        );
    }
    let mut tables = uai::read(b"BAYES 1 2 1 1 0 2 0.5 0.5").unwrap();
    for (text, expected) in [
        ("2 0 1", "1:6: the file ends where a variable belongs"),
        ("2 1 0 1", "1:1: 2 samples; at most 1 are read"),
        ("1 1 0", "1:3: variable 1, and there are 0 to 0"),
        ("1 0 2", "1:5: variable 0 has no state 2"),
        ("1 1 0 5", "1:7: variable 0 has no state 5"),
    ] {
        let fault = uai::read_evidence(text.as_bytes(), &mut tables).unwrap_err();
        assert_eq!(fault.to_string(), expected, "{text}");
    }
}

/// Texts made of the words of the formats, to get deeper than random bytes.
fn of_words() -> impl Strategy<Value = String> {
    let words = "network variable probability table default property type discrete a b no yes \
        { } ( ) [ ] ; , | 0 1 2 0.5 1e999 -1 \" // /* */ BAYES MARKOV c é \n";
    let words: Vec<&str> = words.split(' ').collect();
    prop::collection::vec(prop::sample::select(words), 0..60).prop_map(|w| w.join(" "))
}

proptest! {
    #[test]
    fn no_bytes_bring_the_readers_down(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        let _ = bif::read(&bytes);
        let _ = uai::read(&bytes);
    }

    #[test]
    fn no_words_bring_the_readers_down(text in of_words(), numbers in "(BAYES|MARKOV)( [0-3]){0,40}") {
        let _ = bif::read(text.as_bytes());
        let _ = bif::read(format!("{AB}{text}").as_bytes());
        for text in [text, numbers] {
            if let Ok(mut tables) = uai::read(text.as_bytes()) {
                let _ = uai::read_evidence(b"1 0 1", &mut tables);
                let it = tables.solvable().unwrap();
                let _ = Solved::new(&it.network, &it.evidence);
            }
        }
    }
}

#[test]
fn a_job_is_exported_and_solved_from_its_file() {
    let shop = Shop::new();
    let out = shop.run(&["rank", "pump.yaml", "--most", "1", "--export", "pump.uai"]);
    assert!(
        out.ends_with("wrote pump.uai\nwrote pump.uai.evid\nwrote pump.uai.json\nstatus 0\n"),
        "{out}"
    );
    let names: serde_json::Value = serde_json::from_str(&shop.read("pump.uai.json")).unwrap();
    let variables = names["variables"].as_array().unwrap();
    let at = variables
        .iter()
        .position(|v| v["name"] == "rings-worn@3")
        .unwrap();
    let json = |out: String| -> serde_json::Value {
        serde_json::from_str(
            out.strip_suffix("status 0\n")
                .unwrap_or_else(|| panic!("{out}")),
        )
        .unwrap()
    };
    let own = json(shop.run(&["solve", "pump.yaml", "--of", "rings-worn@3"]));
    let at = at.to_string();
    let read = json(shop.run(&[
        "solve",
        "pump.uai",
        "--evidence",
        "pump.uai.evid",
        "--of",
        &at,
    ]));
    let of = |v: &serde_json::Value, name: &str, state: &str| {
        v["posteriors"][name][state].as_f64().unwrap()
    };
    assert!((of(&own, "rings-worn@3", "yes") - of(&read, &at, "1")).abs() < 1e-10);
    shop.run(&["rank", "pump.yaml", "--export", "pump.bif"]);
    let bif = json(shop.run(&["solve", "pump.bif", "--of", "rings-worn_at_3"]));
    assert!((of(&own, "rings-worn@3", "yes") - of(&bif, "rings-worn_at_3", "yes")).abs() < 1e-10);
    let out = shop.run(&["rank", "pump.yaml", "--export", "pump.txt"]);
    assert_eq!(
        out,
        "error: `pump.txt` does not say the format\n   = let its name end in `.bif` or `.uai`\nstatus 2\n"
    );
}

#[test]
fn a_family_is_exported_and_faults_of_files_have_their_place() {
    let shop = Shop::new();
    let out = shop.run(&["rules", "export", "utility-single", "single.bif"]);
    assert_eq!(out, "wrote single.bif\nstatus 0\n");
    assert!(bif::read(shop.read("single.bif").as_bytes()).is_ok());
    let out = shop.run(&["rules", "export", "utility-singel", "single.bif"]);
    assert!(out.contains("did you mean `utility-single`?"), "{out}");
    shop.write("bad.bif", "network n { }\nvariable a { typ }");
    let out = shop.run(&["solve", "bad.bif"]);
    assert_eq!(
        out,
        "error: bad.bif:2:14: `typ` where `type`, `property` or `}` belongs\nstatus 2\n"
    );
    shop.write(
        "one.bif",
        "variable a { type discrete [ 2 ] { no, yes }; } probability ( a ) { table 1, 0; }",
    );
    assert!(
        shop.run(&["solve", "one.bif", "a=yse"])
            .contains("did you mean `yes`?")
    );
    let out = shop.run(&["solve", "one.bif", "a=yes"]);
    assert!(
        out.contains("`a` as observed is impossible") && out.ends_with("status 2\n"),
        "{out}"
    );
}
