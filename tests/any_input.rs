//! Any bytes and any words: every reader answers or refuses, none panics. Seeded;
//! short here. For a long run set `INPUTS=1000000` (inputs for each reader) and run
//! `cargo test --release --test any_input -- --nocapture`.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};
use sootsayer::engine::Engine;
use sootsayer::job::file::{Act, JobFile};
use sootsayer::job::meaning::Reader;
use sootsayer::job::shop::Shop;
use sootsayer::job::{Job, Said, layout, table};
use sootsayer::measure::{Figure, Kind, UnitSet};
use sootsayer::network::exchange::{bif, uai};
use sootsayer::rules::{Rules, load, load_files};
use sootsayer::shell::split::split;
use std::time::Instant;

/// Inputs for each reader in the tests.
const FEW: usize = 400;

const JOB: &str = include_str!("jobs/version-1.yaml");
const CSV: &str = "reading,1,2,3,4,unit\ncompression,165,170,168,90,psi\nleak-down,8,9,7,38,%\n";
const BIF: &str = "network n { }\nvariable a { type discrete [ 2 ] { yes, no }; }\nvariable b { type discrete [ 2 ] { yes, no }; }\nprobability ( a ) { table 0.2, 0.8; }\nprobability ( b | a ) { (yes) 0.9, 0.1; (no) 0.3, 0.7; }\n";
const UAI: &str = "BAYES\n2\n2 2\n2\n1 0\n2 0 1\n\n2\n 0.2 0.8\n\n4\n 0.9 0.1\n 0.3 0.7\n";
const RULES: &str = "system: s\ntitle: S\ncauses:\n  - cause: mine\n    title: Mine\n    base_rate: {per_1000: 2, basis: judgement}\n    shows:\n      oil-use: {chance: often, as: {high: 1}, basis: judgement}\n";
const SHOP: &str = "shop: 1\nname: Hill\npricing: {currency: EUR, labour: 88, tax: 19%, parts: {head-gasket: 60-95}}\n";
const LINES: &str = "leak-down@3=60/80 psi compression@1=95psi oil-use=high plug@2=black wet oily note:\"a b\" --note 'x' 6.2bar -5 C 1e9 38% 0.9 qt/1000mi";

/// What breaks readers more often than chance would.
const ODD: &[&str] = &[
    "",
    "0",
    "-",
    "-0",
    "1e308",
    "99999999999999999999",
    "0x1f",
    "NaN",
    ".inf",
    "null",
    "~",
    "yes",
    "\u{0}",
    "\u{1b}[2J",
    "\u{202e}",
    "\u{feff}",
    "\r\n",
    "\n",
    "\t",
    "  ",
    "\"",
    "'",
    "#",
    ":",
    ": ",
    "- ",
    "[",
    "]",
    "{",
    "}",
    ",",
    "&a",
    "*a",
    "!!x",
    "|",
    ">",
    "%",
    "@",
    "=",
    "==",
    "@=",
    "/",
    "//",
    "é",
    "日本",
    "½",
    "−",
    "…",
    "---\n",
    "...\n",
    "<<: ",
];

/// A text changed here and there: pieces taken out, doubled, moved, or odd ones put in.
fn changed(rng: &mut ChaCha8Rng, text: &str) -> Vec<u8> {
    let mut bytes = text.as_bytes().to_vec();
    let mut below = |n: usize| rng.next_u32() as usize % n.max(1);
    for _ in 0..1 + below(6) {
        let (a, b) = (below(bytes.len() + 1), below(24));
        let end = (a + b).min(bytes.len());
        match below(6) {
            0 => drop(bytes.drain(a..end)),
            1 => {
                let piece = bytes[a..end].to_vec();
                let at = below(bytes.len() + 1);
                bytes.splice(at..at, piece);
            }
            2 if !bytes.is_empty() => {
                let at = below(bytes.len());
                bytes[at] = below(256) as u8;
            }
            3 => bytes.truncate(a),
            _ => drop(bytes.splice(a..end, ODD[below(ODD.len())].bytes())),
        }
    }
    bytes
}

/// Tries a reader with changed texts and says how fast it went.
fn tried(name: &str, seed: u64, text: &str, mut reader: impl FnMut(&[u8])) {
    let inputs = std::env::var("INPUTS").ok().and_then(|n| n.parse().ok());
    let inputs: usize = inputs.unwrap_or(FEW);
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    let begun = Instant::now();
    let mut slowest = 0.0f64;
    for _ in 0..inputs {
        let input = changed(&mut rng, text);
        let one = Instant::now();
        reader(&input);
        let took = one.elapsed().as_secs_f64();
        slowest = slowest.max(took);
        assert!(
            took < 10.0,
            "{name}: {took} s for {:?}",
            String::from_utf8_lossy(&input)
        );
    }
    let seconds = begun.elapsed().as_secs_f64();
    println!(
        "{name}: {inputs} inputs, {:.0} a second, slowest {slowest:.3} s",
        inputs as f64 / seconds
    );
}

fn rules() -> Rules {
    load(None).0
}

fn engine(rules: &Rules) -> Engine {
    let file = JobFile::parse(JOB, "j").unwrap();
    layout::engine(rules, &file.engine).unwrap()
}

#[test]
fn any_job() {
    let rules = rules();
    tried("job", 1, JOB, |bytes| {
        let text = String::from_utf8_lossy(bytes);
        let Ok(file) = JobFile::parse(&text, "j") else {
            return;
        };
        let act = Act {
            note: Some("x".into()),
            ..Act::now()
        };
        if let Ok(grown) = file.text_after(&text, &act) {
            let read = JobFile::parse(&grown, "j").unwrap();
            assert_eq!(read.diary.len(), file.diary.len() + 1, "{grown}");
        }
        let engine = layout::engine(&rules, &file.engine);
        if let (Ok(engine), Ok(job)) = (engine, Job::replay(file)) {
            sootsayer::job::evidence(&rules, &engine, &job, &Default::default());
        }
    });
}

#[test]
fn any_table() {
    let rules = rules();
    let engine = engine(&rules);
    let reader = Reader {
        rules: &rules,
        engine: &engine,
        units: UnitSet::Us,
    };
    tried("table", 2, CSV, |bytes| {
        drop(table::read(bytes, "t.csv", &reader))
    });
}

#[test]
fn any_line() {
    let rules = rules();
    let engine = engine(&rules);
    let reader = Reader {
        rules: &rules,
        engine: &engine,
        units: UnitSet::Metric,
    };
    tried("line", 3, LINES, |bytes| {
        let line = String::from_utf8_lossy(bytes);
        let words = split(&line);
        if let Ok((said, _)) = sootsayer::cli::record::read(&words) {
            for one in said {
                drop(reader.understand(&one));
            }
        }
        for word in words {
            if let Ok(said) = word.parse::<Said>() {
                assert_eq!(said.to_string().parse::<Said>(), Ok(said));
            }
            for &kind in Kind::ALL {
                if let Ok(figure) = Figure::parse(&word, kind, UnitSet::Metric) {
                    assert!(
                        Figure::parse(&figure.to_string(), kind, UnitSet::Metric).is_ok(),
                        "{figure}"
                    );
                }
            }
        }
    });
}

#[test]
fn any_network() {
    tried("bif", 4, BIF, |bytes| {
        if let Ok(tables) = bif::read(bytes) {
            drop(tables.solvable());
        }
    });
    tried("uai", 5, UAI, |bytes| {
        if let Ok(tables) = uai::read(bytes) {
            drop(tables.solvable());
        }
    });
}

#[test]
fn any_rules() {
    tried("rules", 6, RULES, |bytes| {
        // without the built-in rules, whose check takes most of the time
        let loaded = load_files([], [("mine.yaml".to_string(), bytes.to_vec())]);
        drop(sootsayer::graph::all_problems(&loaded));
    });
}

#[test]
fn any_shop() {
    let rules = rules();
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("shop.yaml");
    tried("shop", 7, SHOP, |bytes| {
        std::fs::write(&path, bytes).unwrap();
        drop(Shop::read(&path, &rules));
    });
}
