//! Documents written for the user: never over a job or a shop file, and over
//! another file only if this program made it or the user insists.

use super::{Lock, NotLocked, plain, protected, replace};
use crate::problem::Problem;
use std::fs::{self, File, Metadata};
use std::io::{Read, Write};
use std::path::Path;

/// Stands in every page of this program, which may be written over.
pub const MARK: &str = "<meta name=\"generator\" content=\"sootsayer\">";

/// Bytes of a file that are looked at to tell what it is.
const LOOKED_AT: u64 = 64 * 1024;

/// Whether files that this program did not make are kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kept {
    /// They are.
    Foreign,
    /// Only jobs and shop files are.
    Records,
}

/// Writes a document, whole or not at all.
///
/// # Errors
/// The file holds a job or a shop, or is foreign and to be kept, or cannot be written.
pub fn put(path: &Path, text: &str, kept: Kept) -> Result<(), Problem> {
    let name = path.display().to_string();
    let failed =
        |e: &std::io::Error| Problem::new(format!("`{name}` cannot be written: {}", plain(e)));
    match fs::metadata(path) {
        Ok(about) if !about.is_file() => return aside(path, &about, text).map_err(|e| failed(&e)),
        Ok(_) => may_go(path, &name, kept)?,
        Err(_) => {}
    }
    // links are followed, so that they stay
    let real = fs::canonicalize(path).unwrap_or_else(|_| path.to_path_buf());
    let lock = Lock::take(&real, "another sootsayer");
    match lock {
        Ok(_held) => replace(&real, text.as_bytes()).map_err(|e| failed(&e)),
        Err(NotLocked::Failed(e)) => Err(failed(&e)),
        Err(NotLocked::Held(_)) => Err(Problem::new(format!(
            "`{name}` is being written by another sootsayer"
        ))),
    }
}

/// Into a pipe or a device, such as `/dev/stdout`, there is nothing to replace.
fn aside(path: &Path, about: &Metadata, text: &str) -> std::io::Result<()> {
    match about.is_dir() {
        true => Err(std::io::ErrorKind::IsADirectory.into()),
        false => (File::options().write(true).open(path)?).write_all(text.as_bytes()),
    }
}

/// Whether the file that stands there may be written over.
fn may_go(path: &Path, name: &str, kept: Kept) -> Result<(), Problem> {
    if let Some(why) = protected(path) {
        return Err(Problem::new(format!("`{name}` cannot be written: {why}")));
    }
    let mut head = Vec::new();
    let read = File::open(path).and_then(|file| file.take(LOOKED_AT).read_to_end(&mut head));
    let head = String::from_utf8_lossy(&head);
    if read.is_ok() && head.contains(MARK) {
        return Ok(());
    }
    if let Some(kind) = record(&head) {
        return Err(
            Problem::new(format!("`{name}` is {kind}, which is never written over"))
                .hint("choose another file name"),
        );
    }
    match kept {
        Kept::Records => Ok(()),
        Kept::Foreign => Err(Problem::new(format!(
            "`{name}` exists already and is no page of this program"
        ))
        .hint("choose another file name, or add `--force` to write over it")),
    }
}

/// What record a text is the beginning of, if it is one.
fn record(head: &str) -> Option<&'static str> {
    let head = head.trim_start_matches('\u{feff}');
    let key = |line: &str, word: &str| {
        let line = line.trim_start_matches(['{', '"', '\'', ' ']);
        (line.strip_prefix(word))
            .is_some_and(|rest| rest.trim_start_matches(['"', '\'', ' ']).starts_with(':'))
    };
    head.lines().find_map(|line| match () {
        () if key(line, "sootsayer") => Some("a job file"),
        () if key(line, "shop") => Some("a shop file"),
        () => None,
    })
}
