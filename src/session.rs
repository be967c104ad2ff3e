//! One engine on the bench, open: what both doors, the command line and the
//! shell, hand to every word.

use crate::job::store::Store;
use crate::problem::Problem;
use std::path::Path;

/// An open job.
#[derive(Debug)]
pub struct Session {
    /// The job and the file that keeps it.
    pub store: Store,
}

impl Session {
    /// Opens a job; for writing, it is kept from other writers until dropped.
    ///
    /// # Errors
    /// As [`Store::read`] and [`Store::open`].
    pub fn open(job: &Path, for_writing: bool) -> Result<Self, Problem> {
        let store = match for_writing {
            true => Store::open(job)?,
            false => Store::read(job)?,
        };
        Ok(Session { store })
    }
}
