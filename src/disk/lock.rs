//! The lock of a file: a small file beside it, held by one writer.

use std::fs::{self, File, TryLockError};
use std::io::{self, Read, Seek, Write};
use std::path::{Path, PathBuf};

/// A lock held on `.NAME.lock` beside a file; it goes away when dropped.
#[derive(Debug)]
pub struct Lock {
    file: File,
    path: PathBuf,
}

/// Why a lock was not had.
#[derive(Debug)]
pub enum NotLocked {
    /// Another process holds it, as it says of itself.
    Held(String),
    /// The folder cannot be written, or its disk keeps no locks.
    Failed(io::Error),
}

impl From<io::Error> for NotLocked {
    fn from(error: io::Error) -> Self {
        NotLocked::Failed(error)
    }
}

impl Lock {
    /// Locks a file and clears what a killed writer of it left; `who` is told to
    /// those who come after.
    ///
    /// # Errors
    /// Another holds it, or no lock can be kept there.
    pub fn take(of: &Path, who: &str) -> Result<Self, NotLocked> {
        let path = super::beside(of, "lock");
        loop {
            let mut file = File::options()
                .read(true)
                .write(true)
                .create(true)
                .truncate(false)
                .open(&path)?;
            match file.try_lock() {
                // The one before us may have removed the file between our opening and locking it.
                Ok(()) if still_there(&file, &path) => {
                    let _ = (file.set_len(0)).and_then(|()| file.write_all(who.as_bytes()));
                    super::clear(&super::beside(of, "new"))?;
                    return Ok(Lock { file, path });
                }
                Ok(()) => {}
                Err(TryLockError::WouldBlock) => {
                    let mut who = String::new();
                    let _ = (file.rewind()).and_then(|()| file.take(200).read_to_string(&mut who));
                    return Err(NotLocked::Held(who));
                }
                Err(TryLockError::Error(e)) => return Err(e.into()),
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
