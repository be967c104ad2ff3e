//! A whole engine's figures in one line, as a table, and out again.

mod common;

use common::gauge::{Out, gauge, run_in};
use std::fs;

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
