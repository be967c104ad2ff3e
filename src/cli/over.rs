//! `--force`: what a document may be written over.

use super::Answer;
use crate::disk::{self, Kept};
use crate::problem::Problem;
use crate::visible::visible;
use clap::Args;
use std::io::Write;
use std::path::Path;

/// Whether a file that this program did not make may go.
#[derive(Debug, Clone, Copy, Default, Args)]
pub struct Over {
    /// Write over an existing file that is no page of this program; never over a job or a shop file
    #[arg(long)]
    pub force: bool,
}

impl Over {
    /// Writes a document whole, or leaves what was there.
    ///
    /// # Errors
    /// As [`disk::put`].
    pub fn put(self, file: &Path, text: &str) -> Result<(), Problem> {
        let kept = match self.force {
            true => Kept::Records,
            false => Kept::Foreign,
        };
        disk::put(file, text, kept)
    }

    /// As [`Over::put`], and says so.
    ///
    /// # Errors
    /// As [`Over::put`], or the answer cannot be written.
    pub fn write(self, file: &Path, text: &str, out: &mut dyn Write) -> Answer {
        self.put(file, text)?;
        writeln!(out, "wrote {}", visible(&file.display().to_string()))?;
        Ok(())
    }
}
