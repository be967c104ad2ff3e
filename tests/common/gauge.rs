//! The calculators from the command line.

// Each test binary uses a part of it.
#![allow(dead_code)]

use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};

pub struct Out {
    pub status: i32,
    pub said: String,
    pub wrong: String,
}

pub fn run_in(folder: &Path, args: &[&str], stdin: &[u8]) -> Out {
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

pub fn gauge(words: &str) -> Out {
    let args: Vec<&str> = std::iter::once("gauge").chain(words.split(' ')).collect();
    run_in(Path::new("."), &args, b"")
}

pub fn json(words: &str) -> serde_json::Value {
    let out = gauge(&format!("{words} --json"));
    assert_eq!(out.status, 0, "{}", out.wrong);
    serde_json::from_str(&out.said).unwrap()
}

pub fn near(value: &serde_json::Value, wanted: f64, within: f64) {
    let found = value["value"].as_f64().unwrap_or_else(|| panic!("{value}"));
    assert!((found - wanted).abs() <= within, "{found} against {wanted}");
}
