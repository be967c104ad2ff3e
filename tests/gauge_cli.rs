//! The calculators and the figures of a job, as typed.

use std::fs;
use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};

struct Out {
    status: i32,
    said: String,
    wrong: String,
}

fn run_in(folder: &Path, args: &[&str], stdin: &[u8]) -> Out {
    let mut child = Command::new(env!("CARGO_BIN_EXE_sootsayer"))
        .args(args)
        .current_dir(folder)
        .env("TZ", "UTC")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(stdin).unwrap();
    let out = child.wait_with_output().unwrap();
    Out {
        status: out.status.code().unwrap(),
        said: String::from_utf8(out.stdout).unwrap(),
        wrong: String::from_utf8(out.stderr).unwrap(),
    }
}

fn gauge(words: &str) -> Out {
    let args: Vec<&str> = std::iter::once("gauge").chain(words.split(' ')).collect();
    run_in(Path::new("."), &args, b"")
}

fn json(words: &str) -> serde_json::Value {
    let out = gauge(&format!("{words} --json"));
    assert_eq!(out.status, 0, "{}", out.wrong);
    serde_json::from_str(&out.said).unwrap()
}

fn near(value: &serde_json::Value, wanted: f64, within: f64) {
    let found = value["value"].as_f64().unwrap_or_else(|| panic!("{value}"));
    assert!((found - wanted).abs() <= within, "{found} against {wanted}");
}

#[test]
fn leakdown_tells_area_and_the_other_tester() {
    let sheet = json("leakdown 60/80psi --restrictor 0.040in --bore 100mm --to-restrictor 0.060in");
    let row = &sheet["rows"][0];
    // The worked 60/80: 1.059 of the restrictor, 0.00133 in2.
    near(&row["ratio"], 1.0586, 2e-4);
    near(&row["area"], 0.00133 * 645.16, 2e-3);
    // And back: what the other tester shows is this leak again.
    let back = json(&format!(
        "leakdown {}% --restrictor 0.060in --to-restrictor 0.040in",
        row["lost_on_other"]["value"]
    ));
    near(&back["rows"][0]["lost_on_other"], 25.0, 1e-6);
}

#[test]
fn every_calculator_says_formula_and_source() {
    for words in [
        "leakdown 38%",
        "compression --ratio 9",
        "oil-use 0.4qt/h --for aircraft --power 160hp",
        "vacuum 18inHg --altitude 3000ft",
        "blow-by 38L/min --power 75kW",
        "oil-pressure 40psi --for outboard",
        "coolant --cap 15psi",
        "balance 100 300",
        "oil-sample iron=60 --life 100h --sump 4L",
        "convert 95psi bar",
    ] {
        let out = gauge(&format!("{words} --why"));
        assert_eq!(out.status, 0, "{words}: {}", out.wrong);
        assert!(
            out.said.contains("\nFormula\n") && out.said.contains("\nSources\n"),
            "{words}: {}",
            out.said
        );
        assert!(
            out.said.lines().all(|line| line.chars().count() <= 80),
            "{words}: {}",
            out.said
        );
        assert!(!out.said.contains('\u{1b}'), "{words}");
        let sheet = json(words);
        assert!(sheet["formula"].as_str().unwrap().len() > 10);
        assert!(!sheet["sources"].as_array().unwrap().is_empty());
    }
}

#[test]
fn a_unit_may_stand_apart_and_one_at_the_end_is_for_all() {
    for (apart, together) in [
        (
            "compression 150 9 160 psi",
            "compression 150psi 9psi 160psi",
        ),
        ("compression 150 psi 9 bar", "compression 150psi 9bar"),
        ("leakdown 60psi/80psi", "leakdown 60/80psi"),
        ("balance 50 60 rpm", "balance 50rpm 60rpm"),
        ("convert 95 psi bar", "convert 95psi bar"),
    ] {
        assert_eq!(json(apart), json(together), "{apart}");
    }
}

#[test]
fn what_cannot_be_is_refused_with_value_range_and_unit() {
    for (words, says) in [
        (
            "leakdown -- -5psi",
            "write both gauges, cylinder over supply",
        ),
        ("leakdown 60psi", "write both gauges, cylinder over supply"),
        (
            "leakdown 85/80psi",
            "cylinder 1: the cylinder's gauge shows 85 psi, above the supply's 80 psi",
        ),
        (
            "leakdown -5/80psi",
            "cylinder 1: cylinder pressure -5 psi is outside 0 to 152 psi",
        ),
        ("leakdown 94psia/80psi", "is an absolute pressure"),
        ("leakdown 60psi/5bar", "has its two gauges in two units"),
        ("leakdown 60/0psi", "supply 0 psi is outside"),
        ("leakdown 120%", "leakage 120% is outside 0 to 100%"),
        (
            "leakdown 38% --restrictor 0mm",
            "restrictor 0 mm is outside 0.2 to 5 mm",
        ),
        (
            "leakdown 38% --supply -80psi",
            "supply -80 psi is outside 5.08 to 152 psi",
        ),
        ("leakdown 38% --supply 94.7psia", "is an absolute pressure"),
        (
            "leakdown 38% --bore 1mm",
            "bore 1 mm is outside 15 to 400 mm",
        ),
        (
            "leakdown 38% --barometer 0kPa",
            "barometer 0 kPa abs is outside 45 to 110 kPa abs",
        ),
        (
            "leakdown 38% --altitude 40000ft",
            "altitude 40000 ft is outside",
        ),
        ("leakdown", "there is no reading"),
        (
            "compression --ratio 100",
            "compression ratio 100 is outside 3 to 30",
        ),
        ("compression 94psia", "is an absolute pressure"),
        ("compression -94psi", "compression -94 psi is outside"),
        (
            "compression --stroke 80mm --rod 40mm",
            "rod to stroke 0.5 is outside 1.05 to 4",
        ),
        (
            "oil-use --used 1qt --over 0h",
            "hours 0 h is outside 0.1 to 10000 h",
        ),
        ("oil-use 0h/qt", "oil use 0 h/qt cannot be"),
        ("oil-use -1qt/h", "oil use -1 qt/h is below 0"),
        (
            "oil-use --checks 10h:0 10h:1qt --sump 8qt",
            "the interval from 10 to 10 is 0",
        ),
        (
            "oil-use --checks 10h:0 5h:1qt --sump 8qt",
            "the meter runs back from 10 to 5",
        ),
        (
            "oil-use --checks 10h:0 -15h:1qt --sump 8qt",
            "the meter cannot stand at -15 h",
        ),
        (
            "oil-use --checks 10h:0 15h:1qt:-9qt --sump 8qt",
            "a level 8.52 L below the mark at 15, in a sump of 7.57 L",
        ),
        (
            "oil-use --checks 10h:0 15h:90qt --sump 8qt",
            "more than three sumps",
        ),
        ("vacuum 40inHg", "vacuum 40 inHg is outside 0 to 29.8 inHg"),
        ("vacuum 28inHg --altitude 15000ft", "is deeper than"),
        (
            "blow-by 38L/min",
            "there is nothing to tell the flow against",
        ),
        (
            "coolant --from 90kPa --to 100kPa --minutes 2min",
            "the pressure rises",
        ),
        ("oil-pressure 30psi --for tractr", "did you mean `tractor`?"),
        ("balance 100", "one cylinder cannot be balanced"),
        (
            "oil-sample irn=60 --life 100h --sump 4L",
            "did you mean `iron`?",
        ),
        (
            "oil-sample iron=-60 --life 100h --sump 4L",
            "iron: concentration -60 ppm is outside 0 to 50000 ppm",
        ),
        (
            "oil-sample iron=60 --life 0h --sump 4L",
            "hours on the oil 0 h is outside 0.1 to 5000 h",
        ),
        (
            "convert 95psi mm",
            "95 psi is a pressure; `mm` is a unit of a length",
        ),
        ("convert 95", "`95` has no unit"),
    ] {
        let out = gauge(words);
        assert_eq!(out.status, 2, "{words}: {}", out.said);
        assert!(out.wrong.contains(says), "{words}: {}", out.wrong);
    }
}

#[test]
fn oil_trend_catches_overfill_and_dilution() {
    let out =
        gauge("oil-use --checks 1200h:2L 1215h:1L 1240h:1.6L 1250h:0:0.5L 1260h:1L --sump 8L");
    assert_eq!(out.status, 0, "{}", out.wrong);
    assert!(out.said.contains("the level rose by 0.5 L"), "{}", out.said);
    let out = gauge("oil-use --checks 1200h:1L:0.2L 1215h:1L 1240h:1.6L 1265h:1.6L --sump 8L");
    assert!(
        out.said.contains("stood 1.2 L above the mark"),
        "{}",
        out.said
    );
}

const JOB: &str = "sootsayer: 1
engine:
  name: Hill pump
  family: car-petrol-carburettor
  cylinders: 4
complaint: burns oil
opened: 2026-11-02T09:00:00+00:00
units: us
diary: []
";

fn job() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("pump.yaml"), JOB).unwrap();
    folder
}

#[test]
fn a_whole_engine_in_one_line_with_where_the_air_goes() {
    let folder = job();
    let out = run_in(
        folder.path(),
        &[
            "leakdown",
            "pump.yaml",
            "72/80",
            "75/80",
            "48/80",
            "74/80",
            "psi",
            "--air",
            "3=breather,exhaust",
            "--note",
            "warm",
        ],
        b"",
    );
    assert_eq!(out.status, 0, "{}", out.wrong);
    assert!(
        out.said.contains("Cylinder 3 stands out from the others."),
        "{}",
        out.said
    );
    let text = fs::read_to_string(folder.path().join("pump.yaml")).unwrap();
    for line in [
        "leak-down@3=48/80 psi",
        "air-at-breather@3=yes",
        "air-at-exhaust@3=yes",
        "note: warm",
    ] {
        assert!(text.contains(line), "{line}: {text}");
    }
}

#[test]
fn figures_are_shown_and_go_out_and_in_again() {
    let folder = job();
    let at = folder.path();
    run_in(
        at,
        &[
            "compression",
            "pump.yaml",
            "150",
            "148",
            "95",
            "151",
            "--note",
            "cold",
        ],
        b"",
    );
    run_in(
        at,
        &[
            "compression",
            "pump.yaml",
            "152",
            "150",
            "138",
            "151",
            "--note",
            "after a soak",
        ],
        b"",
    );
    let out = run_in(at, &["figures", "pump.yaml"], b"");
    assert!(
        out.said.contains("Lowest over highest: 0.908"),
        "{}",
        out.said
    );
    let told: Vec<&str> = out.said.split_whitespace().collect();
    let moved = "Cylinder 3: 95 psi (cold) at reading 3, then 138 psi (after a soak) at reading 7.";
    assert!(told.join(" ").contains(moved), "{}", out.said);
    assert!(
        out.said.lines().all(|line| line.chars().count() <= 80),
        "{}",
        out.said
    );
    let csv = run_in(at, &["figures", "pump.yaml", "--csv"], b"").said;
    assert!(csv.contains("3,138 psi"), "{csv}");
    let other = job();
    let out = run_in(
        other.path(),
        &["record", "pump.yaml", "--csv", "-"],
        csv.as_bytes(),
    );
    assert_eq!(out.status, 0, "{}", out.wrong);
    let again = run_in(other.path(), &["figures", "pump.yaml", "--csv"], b"").said;
    assert_eq!(again, csv);
}

#[test]
fn the_first_stroke_tells_rings_from_valves() {
    // A service manual: low on the first stroke and building is rings, low and not building valves.
    let folder = job();
    let at = folder.path();
    let last = ["compression", "pump.yaml", "150", "95", "95", "151"];
    run_in(at, &last, b"");
    let first = [
        "compression",
        "pump.yaml",
        "105",
        "30",
        "88",
        "108",
        "--first-stroke",
    ];
    let out = run_in(at, &first, b"");
    let told: Vec<&str> = out.said.split_whitespace().collect();
    let told = told.join(" ");
    assert!(
        told.contains(
            "Cylinder 2: first stroke 31.6 % of the last; it builds slowly, as leaking rings do."
        ),
        "{told}"
    );
    assert!(told.contains("Cylinder 3: first stroke 92.6 % of the last; it hardly builds, as a leaking valve does."), "{told}");
    assert!(
        !told.contains("Cylinder 1: first") && !told.contains("Cylinder 4: first"),
        "{told}"
    );
}

fn csv(bytes: &[u8]) -> Out {
    let folder = job();
    run_in(folder.path(), &["record", "pump.yaml", "--csv", "-"], bytes)
}

#[test]
fn a_table_as_spreadsheets_write_it() {
    let template = gauge("template --units us").said;
    assert!(template.starts_with("where,compression psi,"), "{template}");
    assert!(
        csv(template.as_bytes())
            .wrong
            .contains("every cell is empty")
    );
    // Byte-order mark, semicolons, decimal commas, blank lines, quoted cells.
    let out = csv("\u{feff}cylinder;compression bar;leak-down %\r\n1;10,3;\"8,5\"\r\n2;10,2;12\r\n\r\n3;6,6;38\r\n4;10,4;\r\n".as_bytes());
    assert_eq!(out.status, 0, "{}", out.wrong);
    assert!(out.said.contains("6.6 bar, cylinder 3"), "{}", out.said);
    assert!(out.said.contains("8.5%, cylinder 1"), "{}", out.said);
}

#[test]
fn every_fault_of_a_table_names_its_cell() {
    let wide = format!("where,{}\n1,\n", vec!["leak-down"; 1000].join(","));
    for (table, says) in [
        (
            "where;compression kPa\n1;1,034\n2;1000\n3;1000\n4;1000\n",
            "row 2, column 2 (`compression kPa`): `1,034`: thousands or decimals?",
        ),
        (
            "where,compression psi\n1,150\n2,-5\n3,95\n4,151\n",
            "row 3, column 2 (`compression psi`): Cranking compression, dry -5 psi is outside",
        ),
        (
            "where,compression psi\n1,150\n2,abc\n3,95\n4,151\n",
            "row 3, column 2",
        ),
        (
            "where,compression psi\n1,150\n2,148\n4,151\n",
            "cylinder 3 has no row",
        ),
        (
            "where,compression psi\n1,150\n2,148\n3,95\n4,151\n5,150\n",
            "row 6, column 1 (`where`): the engine has no cylinder 5: it has 4",
        ),
        (
            "where,compression psi\n1,150\n2,148\n3,95\n3,95\n4,151\n",
            "row 5, column 1 (`where`): `3` stands in row 4 already",
        ),
        (
            "where,compresion psi\n1,150\n2,1\n3,1\n4,1\n",
            "row 1, column 2 (`compresion psi`): no reading or finding is called `compresion`",
        ),
        (
            "where,compression mm\n1,150\n2,1\n3,1\n4,1\n",
            "row 1, column 2 (`compression mm`): `mm` is no unit of a pressure",
        ),
        (
            "where,compression,compression\n1,150,1\n2,1,\n3,1,\n4,1,\n",
            "`compression` has two columns",
        ),
        (
            "where,compression psi\n1,150,7\n2,1\n3,1\n4,1\n",
            "row 2, column 3 (``): `7` stands beyond the last heading",
        ),
        (
            "where,vacuum inHg\n1,15\n2,\n3,\n4,\n",
            "`vacuum` belongs in the row `engine`",
        ),
        ("where,compression psi\nx,150\n", "`x` is no place"),
        ("", "the table is empty"),
        (&wide, "has 1001 columns; at most 400 are read"),
    ] {
        let out = csv(table.as_bytes());
        assert_eq!(out.status, 2, "{table}: {}", out.said);
        assert!(out.wrong.contains(says), "{table}\n{says}\n{}", out.wrong);
    }
    let out = csv(&[0xFF, 0xFE, b'w', 0]);
    assert!(
        out.wrong.contains("the table is not UTF-8"),
        "{}",
        out.wrong
    );
}
