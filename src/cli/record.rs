//! `record`: writes down what was seen and measured.

use super::{Answer, no_such};
use crate::disk;
use crate::job::file::Act;
use crate::job::{Moment, Said, table};
use crate::problem::{Problem, Problems};
use crate::session::Session;
use crate::shell::recorded;
use clap::Args;
use std::io::Write;
use std::path::{Path, PathBuf};

/// Arguments of `record`.
#[derive(Debug, Args)]
pub struct Record {
    /// What was seen or read, such as `oil-use=high`, `leak-down@3=38%`, `plug-oil-wet@all=no`
    #[arg(required_unless_present = "csv", value_name = "FINDING[@WHERE]=VALUE")]
    pub readings: Vec<String>,
    /// A CSV table of readings, as `gauge template` writes it empty; `-` reads it from standard input
    #[arg(long, value_name = "FILE", conflicts_with = "readings")]
    pub csv: Option<PathBuf>,
    /// These are the complaint: what the engine was brought in with
    #[arg(long)]
    pub complaint: bool,
    /// They tell of a time before: kept and shown, no evidence of how it runs now
    #[arg(long, conflicts_with = "complaint")]
    pub earlier: bool,
    /// How it was taken.
    #[command(flatten)]
    pub how: How,
}

/// How readings were taken, for every word that records some.
#[derive(Debug, Clone, Default, Args)]
pub struct How {
    /// A remark; `note:"..."` among the readings does the same
    #[arg(long, value_name = "TEXT")]
    pub note: Option<String>,
    /// The instrument used
    #[arg(long, value_name = "TEXT")]
    pub instrument: Option<String>,
    /// When it was taken, if not now, such as `2026-11-25T08:10:00+13:00`
    #[arg(long, value_name = "TIME")]
    pub taken: Option<Moment>,
    /// The test that it was part of
    #[arg(long, value_name = "TEST")]
    pub test: Option<String>,
}

impl Record {
    /// Records the readings, all or none.
    ///
    /// # Errors
    /// Every reading that is not understood, or the job cannot be saved.
    pub fn run(self, session: &mut Session, out: &mut dyn Write) -> Answer {
        let (said, note) = match &self.csv {
            Some(path) => (table_of(path, session)?, None),
            None => read(&self.readings)?,
        };
        let note = self.how.note.clone().or(note);
        let act = Act {
            complaint: self.complaint,
            earlier: self.earlier,
            ..How { note, ..self.how }.act(session)?
        };
        write_down(session, &said, act, out)
    }
}

/// The name of a file, or of standard input (`-`), and all that it holds.
pub(super) fn whole(path: &Path) -> Result<(String, Vec<u8>), Problems> {
    let name = path.display().to_string();
    let read = match path.as_os_str() == "-" {
        true => disk::read_from(std::io::stdin(), disk::MOST_TEXT),
        false => disk::read(path, disk::MOST_TEXT),
    };
    let unread = |e| Problem::new(format!("{name} cannot be read: {}", disk::plain(&e)));
    let bytes = read.map_err(|e| vec![unread(e)])?;
    Ok((name, bytes))
}

/// The readings of a CSV table.
fn table_of(path: &Path, session: &Session) -> Result<Vec<Said>, Problems> {
    let (name, bytes) = whole(path)?;
    let said = table::read(&bytes, &name, &session.reader())?;
    match said.is_empty() {
        true => Err(vec![Problem::new(format!(
            "{name} holds no readings: every cell is empty"
        ))]),
        false => Ok(said),
    }
}

impl How {
    /// An act that says so, still without readings.
    ///
    /// # Errors
    /// A test that the rules do not know.
    pub fn act(self, session: &Session) -> Result<Act, Problem> {
        let known = &session.rules.tests;
        if let Some(test) = &self.test
            && !known.contains_key(test)
        {
            let list = "`sootsayer rules list tests` lists them";
            return Err(no_such("test", test, known.keys(), list));
        }
        Ok(Act {
            test: self.test,
            instrument: self.instrument,
            note: self.note,
            taken: self.taken,
            ..Act::now()
        })
    }
}

/// Writes lines into the diary, all or none, and says what was understood.
///
/// # Errors
/// Every line that is not understood, an unknown test, or the job cannot be saved.
pub fn record(session: &mut Session, said: &[Said], how: How, out: &mut dyn Write) -> Answer {
    write_down(session, said, how.act(session)?, out)
}

fn write_down(session: &mut Session, said: &[Said], act: Act, out: &mut dyn Write) -> Answer {
    let new = session.record(said, act)?;
    for line in recorded::lines(session, new) {
        writeln!(out, "{line}")?;
    }
    Ok(())
}

/// Reads the words of a line of readings: a value may hold blanks (`95 psi`),
/// and `note:"..."` may stand among them.
///
/// # Errors
/// Words that belong to no reading, or a reading that leaves a part empty.
pub fn read(words: &[String]) -> Result<(Vec<Said>, Option<String>), Problem> {
    let mut note = None;
    let mut line = String::new();
    for word in words {
        match word.strip_prefix("note:") {
            Some(text) => note = Some(text.trim_matches('"').to_string()),
            None => {
                line.push(' ');
                line.push_str(word);
            }
        }
    }
    let line = line.trim();
    if line.is_empty() && note.is_some() {
        return Err(
            Problem::new("a note goes with a reading, and there is none")
                .hint("write both: `oil-use=high note:\"...\"`"),
        );
    }
    // Each `=` has its name on the left, back to the blank before it.
    let mut starts = vec![];
    for (at, _) in line.match_indices('=') {
        let left = line[..at].trim_end();
        starts.push(left.rfind(' ').map_or(0, |blank| blank + 1));
    }
    if starts.first() != Some(&0) {
        let lost = &line[..starts.first().copied().unwrap_or(line.len())];
        return lost.trim().parse::<Said>().map(|said| (vec![said], note));
    }
    let ends = starts.iter().skip(1).copied().chain([line.len()]);
    let said: Result<Vec<Said>, Problem> = (starts.iter().zip(ends))
        .map(|(&start, end)| line[start..end].parse())
        .collect();
    Ok((said?, note))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(words: &[&str]) -> String {
        let words: Vec<String> = words.iter().map(|w| w.to_string()).collect();
        match read(&words) {
            Ok((said, note)) => {
                let said: Vec<String> = said.iter().map(|s| format!("[{s}]")).collect();
                format!(
                    "{}{}",
                    said.concat(),
                    note.map_or(String::new(), |n| format!(" ({n})"))
                )
            }
            Err(problem) => problem.what,
        }
    }

    #[test]
    fn values_may_hold_blanks() {
        assert_eq!(shown(&["a@1=95", "psi", "b=yes"]), "[a@1=95 psi][b=yes]");
        assert_eq!(shown(&["a@1", "=", "95 psi"]), "[a@1=95 psi]");
        assert_eq!(shown(&["a=can't", "tell"]), "[a=can't tell]");
    }

    #[test]
    fn a_note_may_stand_anywhere() {
        assert_eq!(
            shown(&["a=yes", "note:hot, 9:30", "b=no"]),
            "[a=yes][b=no] (hot, 9:30)"
        );
    }

    #[test]
    fn words_that_belong_nowhere_are_named() {
        assert_eq!(shown(&["leak", "a=yes"]), "`leak` says no value");
        assert_eq!(
            shown(&["note:x"]),
            "a note goes with a reading, and there is none"
        );
        assert_eq!(shown(&["a=", "b=yes"]), "`a=` leaves a part empty");
    }
}
