//! One engine on the bench, open: what both doors, the command line and the
//! shell, hand to every word.

use crate::engine::Engine;
use crate::gauge::shop::Workbench;
use crate::job::meaning::Reader;
use crate::job::store::Store;
use crate::job::{self, Observation, Warning, layout};
use crate::problem::{Problem, Problems, Severity};
use crate::rules::{self, Rules};
use std::path::Path;

/// An open job with the knowledge and its engine.
#[derive(Debug)]
pub struct Session {
    /// The knowledge.
    pub rules: Rules,
    /// The engine on the bench.
    pub engine: Engine,
    /// The job and the file that keeps it.
    pub store: Store,
    /// The shop's air and instruments.
    pub shop: Workbench,
}

impl Session {
    /// Opens a job with a folder of rules over the built-in ones; for writing,
    /// the job is kept from other writers until the session is dropped.
    ///
    /// # Errors
    /// Every fault of the rules folder; a job that [`Store::read`] or
    /// [`Store::open`] refuses; an engine that the rules do not know.
    pub fn open(job: &Path, rules: Option<&Path>, for_writing: bool) -> Result<Self, Problems> {
        let store = match for_writing {
            true => Store::open(job),
            false => Store::read(job),
        };
        Session::with(known(rules)?, store.map_err(|p| vec![p])?)
    }

    /// A session on a job that is open already.
    ///
    /// # Errors
    /// An engine that the rules do not know.
    pub fn with(rules: Rules, store: Store) -> Result<Self, Problems> {
        let in_file = |p: Problem| Problem {
            what: format!("{}: {}", store.name(), p.what),
            ..p
        };
        let engine = layout::engine(&rules, &store.job.file.engine)
            .map_err(|faults| faults.into_iter().map(in_file).collect::<Problems>())?;
        Ok(Session {
            rules,
            engine,
            store,
            shop: Workbench::default(),
        })
    }

    /// Reads lines such as `leak-down@3=38%` for this engine.
    pub fn reader(&self) -> Reader<'_> {
        Reader {
            rules: &self.rules,
            engine: &self.engine,
            units: self.store.job.file.units,
        }
    }

    /// What the readings that stand tell the network, and what is wrong with them.
    pub fn evidence(&self) -> (Vec<Observation>, Vec<Warning>) {
        job::evidence(&self.rules, &self.engine, &self.store.job, &self.shop)
    }
}

/// The built-in rules, with a user's folder over them.
///
/// The built-in rules are proved sound when the program is made; the check is
/// run again only when a folder changes them.
///
/// # Errors
/// Every fault that the folder brings.
pub fn known(folder: Option<&Path>) -> Result<Rules, Problems> {
    if folder.is_none() {
        return Ok(rules::load_whole(None).rules);
    }
    let (rules, problems) = rules::load(folder);
    let faults: Problems = (problems.into_iter())
        .filter(|p| p.severity == Severity::Error)
        .collect();
    match faults.is_empty() {
        true => Ok(rules),
        false => Err(faults),
    }
}
