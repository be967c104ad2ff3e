//! A bench for tests of the command line: a folder of its own and a job in it.

// Each test binary uses a part of it.
#![allow(dead_code)]

pub mod gauge;
pub mod ranking;
pub mod scene;

use std::io::Write;
use std::path::PathBuf;
use std::process::{Command, Output, Stdio};

/// A folder with a job file `pump.yaml` of a four-cylinder petrol engine.
pub struct Shop {
    folder: tempfile::TempDir,
}

/// The job file that every shop starts with.
pub const PUMP: &str = "\
sootsayer: 1
engine:
  name: Hill pump
  family: industrial-petrol
  cylinders: 4
complaint: Uses a litre of oil a day
opened: 2026-11-25T08:00:00+13:00
# a remark of the owner
diary:
- time: 2026-11-25T08:10:00+13:00
  readings:
  - oil-use=high
  - plug-oil-wet@3=yes
";

impl Shop {
    pub fn new() -> Self {
        let shop = Shop {
            folder: tempfile::tempdir().unwrap(),
        };
        shop.write("pump.yaml", PUMP);
        shop
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub fn write(&self, name: &str, text: &str) {
        std::fs::write(self.path(name), text).unwrap();
    }

    pub fn read(&self, name: &str) -> String {
        std::fs::read_to_string(self.path(name)).unwrap()
    }

    /// Files in the folder, hidden ones too.
    pub fn files(&self) -> Vec<String> {
        let names = std::fs::read_dir(self.folder.path()).unwrap();
        let mut names: Vec<String> = names
            .map(|e| e.unwrap().file_name().into_string().unwrap())
            .collect();
        names.sort();
        names
    }

    pub fn command(&self, words: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_sootsayer"));
        command
            .args(words)
            .current_dir(self.folder.path())
            .env("TZ", "UTC");
        command
    }

    /// Runs words and gives everything that was said: exit status, answer, errors.
    pub fn run(&self, words: &[&str]) -> String {
        said(self.command(words).stdin(Stdio::null()).output().unwrap())
    }

    /// As `run`, with a text on standard input.
    pub fn fed(&self, words: &[&str], input: &str) -> String {
        let mut child = self
            .command(words)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        child
            .stdin
            .take()
            .unwrap()
            .write_all(input.as_bytes())
            .unwrap();
        said(child.wait_with_output().unwrap())
    }
}

/// An output as one text.
pub fn said(output: Output) -> String {
    format!(
        "{}{}status {}\n",
        String::from_utf8(output.stdout).unwrap(),
        String::from_utf8(output.stderr).unwrap(),
        output.status.code().unwrap_or(-1)
    )
}

/// A text with the times written by the clock of this machine taken out.
pub fn without_clock(text: &str) -> String {
    let lines = text.lines().map(|line| match line.split_once("time: 2") {
        Some((left, rest)) if !rest.starts_with("026-11-25T08:1") => format!("{left}time: NOW"),
        _ => line.to_string(),
    });
    lines.map(|l| l + "\n").collect()
}
