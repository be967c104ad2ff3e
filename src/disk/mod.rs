//! Files on disk: read up to a limit, replaced whole or not at all.
//!
//! A new file is written beside the old one, forced to the disk and put in its
//! place in one step. While it is written its name is that of the file with a dot
//! before it and `.new` behind; whoever holds the [`Lock`] of a file clears what a
//! killed writer left there.

mod lock;
mod own;

pub use lock::{Lock, NotLocked};
pub use own::{Kept, MARK, put};

use std::fs::{self, File};
use std::io::{self, ErrorKind, Read, Write};
use std::path::{Path, PathBuf};

/// Largest text file that is read or written, in bytes: rules, jobs, shops, tables.
pub const MOST_TEXT: u64 = 4_000_000;

/// Reads a plain file of at most `most` bytes.
///
/// # Errors
/// It cannot be read, is larger, or is no plain file: a pipe or a device has no end
/// that can be waited for.
pub fn read(path: &Path, most: u64) -> io::Result<Vec<u8>> {
    let about = fs::metadata(path)?;
    if about.is_dir() {
        return Err(ErrorKind::IsADirectory.into());
    }
    if !about.is_file() {
        let what = "it is a pipe or a device, not a file";
        return Err(io::Error::new(ErrorKind::InvalidInput, what));
    }
    read_from(File::open(path)?, most)
}

/// Reads all that `from` gives, at most `most` bytes.
///
/// # Errors
/// It cannot be read or gives more.
pub fn read_from(from: impl Read, most: u64) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    from.take(most + 1).read_to_end(&mut bytes)?;
    match bytes.len() as u64 > most {
        true => {
            let what = format!("it is larger than {} MB", most / 1_000_000);
            Err(io::Error::new(ErrorKind::FileTooLarge, what))
        }
        false => Ok(bytes),
    }
}

/// Reads a text file of at most [`MOST_TEXT`] bytes.
///
/// # Errors
/// As [`read`], and bytes that are not UTF-8.
pub fn read_text(path: &Path) -> io::Result<String> {
    let bytes = read(path, MOST_TEXT)?;
    String::from_utf8(bytes).map_err(|_| ErrorKind::InvalidData.into())
}

/// Puts bytes in the place of a file, or leaves it as it was; on return they are on
/// the disk. Owner and permissions of the old file are kept. Hold its [`Lock`].
///
/// # Errors
/// The disk is full, the folder cannot be written.
pub fn replace(path: &Path, bytes: &[u8]) -> io::Result<()> {
    placed(path, bytes, |new, path| fs::rename(new, path))
}

/// As [`replace`] for a file that must not exist yet. Hold its [`Lock`].
///
/// # Errors
/// As [`replace`], and a file of that name.
pub fn create(path: &Path, bytes: &[u8]) -> io::Result<()> {
    placed(path, bytes, |new, path| match fs::hard_link(new, path) {
        Ok(()) => fs::remove_file(new),
        Err(e) if e.kind() == ErrorKind::AlreadyExists => Err(e),
        // a disk without links
        Err(_) if !path.exists() => fs::rename(new, path),
        Err(e) => Err(e),
    })
}

fn placed(
    path: &Path,
    bytes: &[u8],
    place: impl FnOnce(&Path, &Path) -> io::Result<()>,
) -> io::Result<()> {
    let new = beside(path, "new");
    clear(&new)?;
    let placed = fill(&new, path, bytes).and_then(|()| place(&new, path));
    match placed {
        Ok(()) => settle(path),
        Err(e) => {
            let _ = fs::remove_file(&new);
            Err(e)
        }
    }
}

fn fill(new: &Path, old: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut file = File::create_new(new)?;
    if let Ok(old) = fs::metadata(old) {
        keep_owner(&file, &old);
        file.set_permissions(old.permissions())?;
    }
    file.write_all(bytes)?;
    file.sync_all()
}

/// Removes what a killed writer may have left.
fn clear(path: &Path) -> io::Result<()> {
    match fs::remove_file(path) {
        Err(e) if e.kind() != ErrorKind::NotFound => Err(e),
        _ => Ok(()),
    }
}

/// The owner of the old file, where the system lets him be kept.
#[cfg(unix)]
fn keep_owner(file: &File, old: &fs::Metadata) {
    use std::os::unix::fs::{MetadataExt, fchown};
    let _ = fchown(file, Some(old.uid()), Some(old.gid()));
}

#[cfg(not(unix))]
fn keep_owner(_: &File, _: &fs::Metadata) {}

/// Why a file should not be replaced though the folder allows it: it is
/// write-protected, or has a second name that would part from it.
pub fn protected(path: &Path) -> Option<&'static str> {
    let about = fs::metadata(path).ok()?;
    if about.permissions().readonly() {
        return Some("the file is write-protected");
    }
    (names(&about) > 1)
        .then_some("the file has a second name (a hard link), which would keep the old text")
}

#[cfg(unix)]
fn names(about: &fs::Metadata) -> u64 {
    std::os::unix::fs::MetadataExt::nlink(about)
}

#[cfg(not(unix))]
fn names(_: &fs::Metadata) -> u64 {
    1
}

/// Forces the folder's entry to the disk, where folders can be opened.
fn settle(path: &Path) -> io::Result<()> {
    match File::open(folder(path)) {
        Ok(dir) if cfg!(unix) => dir.sync_all(),
        _ => Ok(()),
    }
}

/// The hidden file beside a file: `.pump.yaml.new`.
fn beside(path: &Path, end: &str) -> PathBuf {
    let own = path.file_name().unwrap_or_default().to_string_lossy();
    folder(path).join(format!(".{own}.{end}"))
}

fn folder(path: &Path) -> &Path {
    match path.parent() {
        Some(dir) if !dir.as_os_str().is_empty() => dir,
        _ => Path::new("."),
    }
}

/// What went wrong in plain words, without the system's number.
pub fn plain(error: &io::Error) -> String {
    let known = match error.kind() {
        ErrorKind::NotFound => "there is no such file or folder",
        ErrorKind::PermissionDenied => "permission is refused",
        ErrorKind::StorageFull => "the disk is full",
        ErrorKind::ReadOnlyFilesystem => "the disk or folder is read-only",
        ErrorKind::InvalidData => "it is not text in UTF-8",
        ErrorKind::IsADirectory => "it is a folder",
        ErrorKind::Unsupported => "this disk keeps no locks; copy the file to one that does",
        _ => "",
    };
    if !known.is_empty() {
        return known.into();
    }
    let text = error.to_string();
    text.split(" (os error").next().unwrap_or(&text).to_string()
}
