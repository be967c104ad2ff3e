//! Nothing is lost: broken files, a second writer, a full disk, a closed pipe.

mod common;

use common::{PUMP, Shop, said};
use pretty_assertions::assert_eq;
use sootsayer::job::file::{Act, JobFile};
use sootsayer::job::store::Store;
use std::io::Read;
use std::process::Stdio;

#[test]
fn a_broken_job_file_is_placed_and_left_as_it_is() {
    let shop = Shop::new();
    for (from, to, error) in [
        (
            "  cylinders: 4",
            "  cylindres: 4",
            "error: pump.yaml:5:3: `cylindres` is no key that belongs here\n   |\n5  |   cylindres: 4\n   |   ^^^^^^^^^\n   = did you mean `cylinders`?\n",
        ),
        (
            "  - oil-use=high",
            "  - oil-use",
            "error: pump.yaml:12:5: `readings`: `oil-use` says no value\n   |\n12 |   - oil-use\n   |     ^^^^^^^\n",
        ),
        (
            "2026-11-25T08:10:00+13:00",
            "yesterday",
            "error: pump.yaml:10:9: `time`: `yesterday` is no time: write it like `2026-11-25T08:10:00+13:00`, with the offset from UTC\n   |\n10 | - time: yesterday\n   |         ^^^^^^^^^\n",
        ),
        (
            "sootsayer: 1",
            "sootsayer: 2",
            "error: pump.yaml: the job file has version 2; this program reads up to version 1\n   = a newer sootsayer wrote it; it is left as it is\n",
        ),
        (
            "sootsayer: 1\n",
            "",
            "error: pump.yaml: this is no job file: the key `sootsayer` is missing\n   = a job file is started with `sootsayer new`\n",
        ),
        (
            "  family: industrial-petrol",
            "  family: industrial-petrl",
            "error: pump.yaml:4:11: no family is called `industrial-petrl`\n   |\n4  |   family: industrial-petrl\n   |           ^^^^^^^^^^^^^^^^\n   = did you mean `industrial-petrol`?\n",
        ),
        (
            "  cylinders: 4",
            "  cylinders: 40",
            "error: pump.yaml:5:14: an engine of 40 cylinders\n   |\n5  |   cylinders: 40\n   |              ^^\n   = it can have 1 to 12\n",
        ),
    ] {
        let broken = PUMP.replacen(from, to, 1);
        assert_ne!(broken, PUMP);
        shop.write("pump.yaml", &broken);
        for words in [
            &["show", "pump.yaml"][..],
            &["record", "pump.yaml", "oil-use=high"],
        ] {
            assert_eq!(shop.run(words), format!("{error}status 2\n"), "{to}");
        }
        assert_eq!(shop.read("pump.yaml"), broken);
    }
}

#[test]
fn a_reading_that_the_rules_do_not_know_is_told_and_kept() {
    let shop = Shop::new();
    shop.write("pump.yaml", &PUMP.replace("oil-use=high", "oil-us=high"));
    let shown = shop.run(&["show", "pump.yaml"]);
    assert!(
        shown.contains(
            "warning: pump.yaml:12:5: reading 1 (`oil-us=high`) is not used: no finding is called `oil-us`"
        ),
        "{shown}"
    );
}

#[test]
fn a_job_is_never_written_over() {
    let shop = Shop::new();
    assert_eq!(
        shop.run(&[
            "new",
            "pump.yaml",
            "--name",
            "X",
            "--family",
            "industrial-petrol"
        ]),
        "error: `pump.yaml` exists already\n   = choose another file name; a job is never written over\nstatus 2\n"
    );
    assert_eq!(shop.read("pump.yaml"), PUMP);
}

#[test]
fn a_second_writer_is_kept_out_and_readers_are_not() {
    let shop = Shop::new();
    let first = Store::open(&shop.path("pump.yaml")).unwrap();
    let refused = shop.run(&["record", "pump.yaml", "oil-use=normal"]);
    let (what, hint) = refused.split_once('\n').unwrap();
    assert!(
        what.starts_with(
            "error: the job `pump.yaml` is open for writing in another sootsayer (process "
        ),
        "{what}"
    );
    assert_eq!(
        hint,
        "   = leave that one first; words that only ask (`rank`, `next`, `show`) work meanwhile\nstatus 2\n"
    );
    assert!(shop.run(&["show", "pump.yaml"]).ends_with("status 0\n"));
    drop(first);
    assert!(
        shop.run(&["record", "pump.yaml", "oil-use=high"])
            .ends_with("status 0\n")
    );
    assert_eq!(shop.files(), ["pump.yaml"]);
}

#[test]
fn a_file_that_another_hand_changed_is_not_written_over() {
    let shop = Shop::new();
    let mut store = Store::open(&shop.path("pump.yaml")).unwrap();
    let edited = PUMP.replace("a remark", "another remark");
    shop.write("pump.yaml", &edited);
    let act = Act {
        note: Some("x".into()),
        ..Act::now()
    };
    let problem = store.add(act).unwrap_err();
    assert!(
        problem.what.ends_with("was changed by another program"),
        "{problem}"
    );
    assert_eq!(shop.read("pump.yaml"), edited);
}

/// A limit on the size of files stands for a full disk: the write fails half way.
#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_loses_nothing() {
    let shop = Shop::new();
    let long = format!("note:{}", "x".repeat(9000));
    let program = env!("CARGO_BIN_EXE_sootsayer");
    let script =
        format!("ulimit -f 1; trap '' XFSZ; exec {program} record pump.yaml oil-use=high \"$1\"");
    let mut command = std::process::Command::new("bash");
    command
        .args(["-c", &script, "bash", &long])
        .current_dir(shop.path(""));
    let output = said(command.output().unwrap());
    assert!(
        output.starts_with("error: the job `pump.yaml` cannot be saved: "),
        "{output}"
    );
    assert!(
        output.ends_with(
            "   = what the file held before is untouched; this last entry was not kept\nstatus 2\n"
        ),
        "{output}"
    );
    assert_eq!(shop.read("pump.yaml"), PUMP);
    assert_eq!(shop.files(), ["pump.yaml"]);
}

#[cfg(target_os = "linux")]
#[test]
fn an_answer_that_cannot_be_written_is_an_error_and_a_closed_pipe_is_none() {
    let shop = Shop::new();
    let full = std::fs::File::options()
        .write(true)
        .open("/dev/full")
        .unwrap();
    let output = shop
        .command(&["show", "pump.yaml"])
        .stdout(full)
        .output()
        .unwrap();
    let output = said(output);
    assert!(
        output.starts_with("error: the answer cannot be written: "),
        "{output}"
    );
    assert!(output.ends_with("status 2\n"), "{output}");

    let mut child = shop
        .command(&["show", "pump.yaml", "--json"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let status = child.wait().unwrap();
    let mut errors = String::new();
    child
        .stderr
        .take()
        .unwrap()
        .read_to_string(&mut errors)
        .unwrap();
    assert_eq!((status.code(), errors.as_str()), (Some(0), ""));
}

#[test]
fn the_written_file_is_read_back_as_it_was() {
    let file = JobFile::parse(PUMP, "pump.yaml").unwrap();
    assert_eq!(
        JobFile::parse(&file.text().unwrap(), "again").unwrap(),
        file
    );
    // A diary that a person indented, ended without a line end, or wrote in one line.
    let act = Act {
        note: Some("x".into()),
        ..Act::now()
    };
    for text in [
        PUMP.replace("\n- ", "\n  - ")
            .replace("\n  readings:\n  -", "\n    readings:\n    -")
            .replace("\n  - plug", "\n    - plug"),
        PUMP.trim_end().to_string(),
        PUMP.split("diary").next().unwrap().to_string(),
        PUMP.split("diary").next().unwrap().to_string() + "diary: []\n",
    ] {
        let file = JobFile::parse(&text, "pump.yaml").unwrap_or_else(|p| panic!("{p}\n{text}"));
        let grown = JobFile::parse(&file.text_after(&text, &act).unwrap(), "grown").unwrap();
        assert_eq!(grown.diary.len(), file.diary.len() + 1);
        assert_eq!(grown.diary.last(), Some(&act));
        assert_eq!(grown.engine, file.engine);
    }
}
