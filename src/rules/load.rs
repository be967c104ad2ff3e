//! Loading: the rules in the binary, then a user's folder over them.
//!
//! Files may have any name in any subfolder; an entry is known by its id. A
//! user's entry with a known id is merged over the built-in one (see
//! [`overlay`](super::overlay)); a new id adds an entry. Loading never stops at
//! a problem.

use super::lookup::{Item, of_kind};
use super::node::{Node, Step};
use super::text::Text;
use super::typing::{Placed, as_far_as_read};
use super::{Entry, Kind, Rules, check, folder, packed};
use crate::problem::{Problem, Problems, Spot};
use serde::de::DeserializeOwned;
use std::collections::BTreeMap;
use std::path::Path;

/// The rules, with what is needed to point into their text.
#[derive(Debug, Default)]
pub struct Loaded {
    /// What could be read; entries with faults hold neutral values where the faults were.
    pub rules: Rules,
    /// Every file.
    pub texts: Vec<Text>,
    /// Every entry as written, overlays merged.
    pub(super) raw: BTreeMap<(Kind, String), Raw>,
    /// Entries with faults of their own, and the places of their neutral values.
    pub(super) broken: BTreeMap<(Kind, String), Vec<Vec<Step>>>,
    /// Where each chance word is written.
    pub(super) word_nodes: BTreeMap<String, Node>,
    /// Everything wrong with the files themselves.
    pub problems: Problems,
}

/// An entry as written.
#[derive(Debug, Clone)]
pub(super) struct Raw {
    /// The tree, overlays merged.
    pub node: Node,
    /// Its id, where it was last written.
    pub id: Node,
    /// System of the file.
    pub system: String,
    /// The built-in entry under it.
    pub overrides: Option<Spot>,
    /// Written or changed by a user's folder.
    pub over: bool,
}

/// Loads the built-in rules and, over them, a user's folder, with every problem
/// of the files and of how the rules hang together.
///
/// Without a folder the rules come as packed when the program was built, in a
/// few milliseconds, and are not checked again.
///
/// ```
/// let (rules, problems) = sootsayer::rules::load(None);
/// assert!(rules.findings.contains_key("leak-down"));
/// # let _ = problems;
/// ```
pub fn load(extra: Option<&Path>) -> (Rules, Problems) {
    if extra.is_none()
        && let Some(rules) = packed::built_in()
    {
        return (rules, Vec::new());
    }
    let loaded = load_whole(extra);
    let problems = loaded.all_problems();
    (loaded.sound_rules(), problems)
}

/// Reads the rules from their YAML and keeps the texts; the check is the caller's.
pub fn load_whole(extra: Option<&Path>) -> Loaded {
    let (over, problems) = match extra {
        Some(path) => folder::on_disk(path),
        None => Default::default(),
    };
    let mut loaded = load_files(folder::built_in(), over);
    loaded.problems.splice(0..0, problems);
    loaded
}

/// Loads files given by name and bytes, and others over them as a user's.
pub fn load_files(
    files: impl IntoIterator<Item = (String, Vec<u8>)>,
    over: impl IntoIterator<Item = (String, Vec<u8>)>,
) -> Loaded {
    let mut loaded = Loaded::default();
    for (name, bytes) in files {
        loaded.add(&name, bytes, false);
    }
    for (name, bytes) in over {
        loaded.add(&name, bytes, true);
    }
    loaded.type_all();
    loaded
}

impl Loaded {
    /// Every problem of the files and of how the rules hang together, by place.
    pub fn all_problems(&self) -> Problems {
        let mut problems = self.problems.clone();
        problems.extend(check::check(self));
        problems.sort_by(|a, b| (&a.at, &a.what).cmp(&(&b.at, &b.what)));
        problems
    }

    /// The rules without the entries that had faults of their own.
    pub fn sound_rules(mut self) -> Rules {
        for (kind, id) in self.broken.keys() {
            of_kind!(*kind, T => drop(T::shelf_mut(&mut self.rules).remove(id)));
        }
        self.rules
    }

    /// Quotes the line that a problem points to, if it quotes none yet.
    pub fn quote(&self, problem: Problem) -> Problem {
        let text = |at: &Spot| self.texts.iter().find(|text| text.name == at.file);
        match (&problem.at, &problem.excerpt) {
            (Some(at), None) if at.line > 0 => match text(at) {
                Some(text) => text.quoted(problem),
                None => problem,
            },
            _ => problem,
        }
    }

    /// The place of a node.
    pub fn spot(&self, node: &Node) -> Spot {
        Spot {
            file: self
                .texts
                .get(node.file)
                .map_or(String::new(), |t| t.name.clone()),
            line: node.line,
            column: node.column,
        }
    }

    /// A placed fault as a problem.
    pub(super) fn problem(&self, placed: Placed) -> Problem {
        match self.texts.get(placed.file) {
            Some(text) => text.problem(placed.fault),
            None => Problem::new(placed.fault.what),
        }
    }

    /// Notes a problem at a node.
    pub(super) fn refuse(&mut self, node: &Node, what: impl Into<String>, hint: Option<String>) {
        let problem = self.problem(Placed::at(node, what, hint));
        self.problems.push(problem);
    }

    /// Types every entry.
    fn type_all(&mut self) {
        for kind in Kind::ALL {
            of_kind!(kind, T => self.shelve::<T>());
        }
        self.rules.link_manners();
    }

    fn shelve<T: Item + DeserializeOwned>(&mut self) {
        let mut entries = BTreeMap::new();
        for ((kind, id), raw) in &self.raw {
            if *kind != T::KIND {
                continue;
            }
            let typed = as_far_as_read::<T>(&raw.node);
            if let Some(it) = typed.it {
                let entry = Entry {
                    it,
                    at: self.spot(&raw.id),
                    system: raw.system.clone(),
                    overrides: raw.overrides.clone(),
                };
                entries.insert(id.clone(), entry);
            }
            if !typed.faults.is_empty() {
                self.broken.insert((*kind, id.clone()), typed.neutral);
                let new = typed.faults.into_iter().map(|fault| self.problem(fault));
                let new: Problems = new.collect();
                self.problems.extend(new);
            }
        }
        *T::shelf_mut(&mut self.rules) = entries;
    }
}
