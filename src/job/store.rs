//! Keeps a job on disk so that nothing is lost.
//!
//! Every act is saved by writing a new file beside the old one, forcing it to
//! the disk and putting it in the old one's place in one step; whatever fails
//! on the way leaves the old file as it was. A writer holds a lock beside the
//! file, and a file that changed under its hands is not written over.

use super::file::{Act, JobFile};
use super::written::Written;
use super::{Job, Moment};
use crate::disk::{self, Lock, NotLocked};
use crate::problem::Problem;
use std::path::{Path, PathBuf};
use std::{fs, io};

/// A job and the file that keeps it.
#[derive(Debug)]
pub struct Store {
    /// The job, as the file has it.
    pub job: Job,
    /// As the user named the file.
    name: String,
    /// The file itself, links followed.
    path: PathBuf,
    /// The text last read or written.
    text: String,
    /// Held while writing is allowed.
    lock: Option<Lock>,
}

impl Store {
    /// Reads a job without locking it: for words that only ask.
    ///
    /// # Errors
    /// A file that is missing, cannot be read or is no sound job file.
    pub fn read(path: &Path) -> Result<Self, Problem> {
        let name = path.display().to_string();
        let real = fs::canonicalize(path).map_err(|e| unreadable(&name, &e))?;
        let text = disk::read_text(&real).map_err(|e| unreadable(&name, &e))?;
        let job = replayed(&text, &name)?;
        Ok(Store {
            job,
            name,
            path: real,
            text,
            lock: None,
        })
    }

    /// Reads a job and keeps other writers out until the store is dropped.
    ///
    /// # Errors
    /// As [`Store::read`], a job that another process has open for writing, and
    /// a file that is write-protected or has a second name.
    pub fn open(path: &Path) -> Result<Self, Problem> {
        let name = path.display().to_string();
        let real = fs::canonicalize(path).map_err(|e| unreadable(&name, &e))?;
        let lock = lock(&real, &name)?;
        let mut store = Store::read(path)?;
        if let Some(why) = disk::protected(&real) {
            return Err(not_kept(&name, why));
        }
        store.lock = Some(lock);
        Ok(store)
    }

    /// Starts a new job file and keeps it open for writing.
    ///
    /// # Errors
    /// A file of that name exists, or the folder cannot be written.
    pub fn create(path: &Path, file: JobFile) -> Result<Self, Problem> {
        let name = path.display().to_string();
        if path.symlink_metadata().is_ok() {
            return Err(Store::taken(path));
        }
        let lock = lock(path, &name)?;
        let text = fitting(file.text()?, &name)?;
        let job = replayed(&text, &name)?;
        match disk::create(path, text.as_bytes()) {
            Err(e) if e.kind() == io::ErrorKind::AlreadyExists => Err(Store::taken(path)),
            Err(e) => Err(unsaved(&name, &e)),
            Ok(()) => Ok(Store {
                job,
                path: fs::canonicalize(path).map_err(|e| unreadable(&name, &e))?,
                name,
                text,
                lock: Some(lock),
            }),
        }
    }

    /// The refusal to write over a file.
    pub fn taken(path: &Path) -> Problem {
        Problem::new(format!("`{}` exists already", path.display()))
            .hint("choose another file name; a job is never written over")
    }

    /// Adds an act to the diary and saves it; on return it is on the disk.
    ///
    /// # Errors
    /// The disk is full, the folder is read-only, the file was changed by
    /// another hand, or the store is not open for writing. The file and the
    /// job are then as they were.
    pub fn add(&mut self, act: Act) -> Result<(), Problem> {
        if self.lock.is_none() {
            return Err(Problem::new(format!(
                "`{}` is open for reading only",
                self.name
            )));
        }
        let text = fitting(self.job.file.text_after(&self.text, &act)?, &self.name)?;
        let job = Job::replay(JobFile::parse(&text, &self.name)?)?;
        let now = disk::read_text(&self.path).map_err(|e| match e.kind() {
            io::ErrorKind::NotFound => {
                not_kept(&self.name, "the file was moved or removed meanwhile")
            }
            _ => unsaved(&self.name, &e),
        })?;
        if now != self.text {
            return Err(
                Problem::new(format!("`{}` was changed by another program", self.name))
                    .hint("nothing was written; leave and open the job again to go on from what it says now"),
            );
        }
        disk::replace(&self.path, text.as_bytes()).map_err(|e| unsaved(&self.name, &e))?;
        self.job = job;
        self.text = text;
        Ok(())
    }

    /// The file's name without folder and ending, for prompts.
    pub fn short_name(&self) -> String {
        let stem = Path::new(&self.name).file_stem();
        stem.map_or(self.name.clone(), |s| s.to_string_lossy().into_owned())
    }

    /// As the user named the file.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The text of the file, so that a fault can point into it.
    pub fn written(&self) -> Written {
        Written::of(&self.text, &self.name)
    }
}

/// The job that a text holds.
fn replayed(text: &str, name: &str) -> Result<Job, Problem> {
    Job::replay(JobFile::parse(text, name)?)
        .map_err(|stuck| Written::of(text, name).point(Written::act(stuck.act), stuck.into()))
}

/// A text that can be read back.
fn fitting(text: String, name: &str) -> Result<String, Problem> {
    match text.len() as u64 > disk::MOST_TEXT {
        true => Err(not_kept(name, "it would be larger than 4 MB")),
        false => Ok(text),
    }
}

/// Keeps other writers out of a job.
fn lock(path: &Path, name: &str) -> Result<Lock, Problem> {
    let who = format!(
        "process {} since {}",
        std::process::id(),
        Moment::now().short()
    );
    Lock::take(path, &who).map_err(|e| match e {
        NotLocked::Failed(e) => unsaved(name, &e),
        NotLocked::Held(who) => Problem::new(format!(
            "the job `{name}` is open for writing in another sootsayer ({})",
            if who.is_empty() {
                "another process"
            } else {
                &who
            }
        ))
        .hint("leave that one first; words that only ask (`rank`, `next`, `show`) work meanwhile"),
    })
}

fn unreadable(name: &str, error: &io::Error) -> Problem {
    let what = format!("the job `{name}` cannot be read: {}", disk::plain(error));
    match error.kind() {
        io::ErrorKind::NotFound => Problem::new(what).hint("start a job with `sootsayer new`"),
        _ => Problem::new(what),
    }
}

fn unsaved(name: &str, error: &io::Error) -> Problem {
    not_kept(name, &disk::plain(error))
}

fn not_kept(name: &str, why: &str) -> Problem {
    Problem::new(format!("the job `{name}` cannot be saved: {why}"))
        .hint("what the file held before is untouched; this last entry was not kept")
}
