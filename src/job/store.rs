//! Keeps a job on disk so that nothing is lost.
//!
//! Every act is saved by writing a new file beside the old one, forcing it to
//! the disk and putting it in the old one's place in one step; whatever fails
//! on the way leaves the old file as it was. A writer holds a lock beside the
//! file, and a file that changed under its hands is not written over.

use super::file::{Act, JobFile};
use super::written::Written;
use super::{Job, Moment};
use crate::problem::Problem;
use std::fs::{self, File, TryLockError};
use std::io::{self, Read, Seek, Write};
use std::path::{Path, PathBuf};

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
        let text = fs::read_to_string(&real).map_err(|e| unreadable(&name, &e))?;
        let file = JobFile::parse(&text, &name)?;
        let job = Job::replay(file).map_err(|stuck| {
            Written::of(&text, &name).point(Written::act(stuck.act), stuck.into())
        })?;
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
    /// As [`Store::read`], and a job that another process has open for writing.
    pub fn open(path: &Path) -> Result<Self, Problem> {
        let name = path.display().to_string();
        let real = fs::canonicalize(path).map_err(|e| unreadable(&name, &e))?;
        let lock = Lock::take(&real, &name)?;
        let mut store = Store::read(path)?;
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
        let lock = Lock::take(path, &name)?;
        let text = file.text()?;
        let job = Job::replay(file)?;
        let made = written_beside(path, &text)
            .and_then(|new| new.persist_noclobber(path).map_err(|e| e.error))
            .and_then(|_| settle(path));
        match made {
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
        let mut grown = self.job.file.clone();
        grown.diary.push(act);
        let job = Job::replay(grown)?;
        let text = match job.file.diary.last() {
            Some(act) => self.job.file.text_after(&self.text, act)?,
            None => return Ok(()),
        };
        let now = fs::read_to_string(&self.path).map_err(|e| unreadable(&self.name, &e))?;
        if now != self.text {
            return Err(
                Problem::new(format!("`{}` was changed by another program", self.name))
                    .hint("nothing was written; leave and open the job again to go on from what it says now"),
            );
        }
        written_beside(&self.path, &text)
            .and_then(|new| new.persist(&self.path).map_err(|e| e.error))
            .and_then(|_| settle(&self.path))
            .map_err(|e| unsaved(&self.name, &e))?;
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

/// A new file beside `path` with the text on the disk, and the old file's permissions.
fn written_beside(path: &Path, text: &str) -> io::Result<tempfile::NamedTempFile> {
    let mut new = tempfile::Builder::new()
        .prefix(".sootsayer-")
        .tempfile_in(folder(path))?;
    if let Ok(old) = fs::metadata(path) {
        new.as_file().set_permissions(old.permissions())?;
    } else {
        readable_as_usual(new.as_file())?;
    }
    new.write_all(text.as_bytes())?;
    new.as_file().sync_all()?;
    Ok(new)
}

/// Temporary files are private; a job file is a file like any other.
#[cfg(unix)]
fn readable_as_usual(file: &File) -> io::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    file.set_permissions(fs::Permissions::from_mode(0o644))
}

#[cfg(not(unix))]
fn readable_as_usual(_: &File) -> io::Result<()> {
    Ok(())
}

/// Forces the folder's entry to the disk, where folders can be opened.
fn settle(path: &Path) -> io::Result<()> {
    match File::open(folder(path)) {
        Ok(dir) if cfg!(unix) => dir.sync_all(),
        _ => Ok(()),
    }
}

fn folder(path: &Path) -> &Path {
    match path.parent() {
        Some(dir) if dir.as_os_str().is_empty() => Path::new("."),
        Some(dir) => dir,
        None => Path::new("."),
    }
}

fn unreadable(name: &str, error: &io::Error) -> Problem {
    let problem = Problem::new(format!("the job `{name}` cannot be read: {}", plain(error)));
    match error.kind() {
        io::ErrorKind::NotFound => problem.hint("start a job with `sootsayer new`"),
        _ => problem,
    }
}

fn unsaved(name: &str, error: &io::Error) -> Problem {
    Problem::new(format!(
        "the job `{name}` cannot be saved: {}",
        plain(error)
    ))
    .hint("what the file held before is untouched; this last entry was not kept")
}

/// The system's message without its number.
fn plain(error: &io::Error) -> String {
    let text = match error.kind() {
        io::ErrorKind::NotFound => "there is no such file or folder".into(),
        io::ErrorKind::PermissionDenied => "permission is refused".into(),
        io::ErrorKind::StorageFull => "the disk is full".into(),
        io::ErrorKind::ReadOnlyFilesystem => "the disk or folder is read-only".into(),
        io::ErrorKind::InvalidData => "it is not text".into(),
        io::ErrorKind::IsADirectory => "it is a folder".into(),
        _ => error.to_string(),
    };
    text.split(" (os error").next().unwrap_or(&text).to_string()
}

/// A lock held on a small file beside the job; it goes away with the store.
#[derive(Debug)]
struct Lock {
    file: File,
    path: PathBuf,
}

impl Lock {
    fn take(job: &Path, name: &str) -> Result<Self, Problem> {
        let own = job.file_name().unwrap_or_default().to_string_lossy();
        let path = folder(job).join(format!(".{own}.lock"));
        loop {
            let mut file = File::options()
                .read(true)
                .write(true)
                .create(true)
                .truncate(false)
                .open(&path)
                .map_err(|e| unsaved(name, &e))?;
            match file.try_lock() {
                // The one before us may have removed the file between our opening and locking it.
                Ok(()) if still_there(&file, &path) => {
                    let who = format!(
                        "process {} since {}",
                        std::process::id(),
                        Moment::now().short()
                    );
                    let _ = file
                        .set_len(0)
                        .and_then(|()| file.write_all(who.as_bytes()));
                    return Ok(Lock { file, path });
                }
                Ok(()) => {}
                Err(TryLockError::WouldBlock) => {
                    let mut who = String::new();
                    let _ = file.rewind().and_then(|()| file.read_to_string(&mut who));
                    let who = if who.is_empty() {
                        "another process".into()
                    } else {
                        who
                    };
                    return Err(Problem::new(format!(
                        "the job `{name}` is open for writing in another sootsayer ({who})"
                    ))
                    .hint("leave that one first; words that only ask (`rank`, `next`, `show`) work meanwhile"));
                }
                Err(TryLockError::Error(e)) => return Err(unsaved(name, &e)),
            }
        }
    }
}

impl Drop for Lock {
    /// Removed while still held, so that no one can lock a file that is about to go.
    fn drop(&mut self) {
        if cfg!(unix) {
            let _ = fs::remove_file(&self.path);
        }
        let _ = self.file.unlock();
    }
}

#[cfg(unix)]
fn still_there(file: &File, path: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    match (file.metadata(), fs::metadata(path)) {
        (Ok(ours), Ok(there)) => (ours.dev(), ours.ino()) == (there.dev(), there.ino()),
        _ => false,
    }
}

#[cfg(not(unix))]
fn still_there(_: &File, _: &Path) -> bool {
    true
}
