//! Whether the rules hang together: every check that needs more than one value.
//!
//! Each part looks at one matter and adds problems with their places; nothing
//! stops at the first. Cycles are found by the rule graph.

mod chart;
mod kinds;
mod links;
mod numbers;
mod opened;
mod reach;
mod signs;
mod wording;

use super::load::Loaded;
use super::node::{Node, Step};
use super::typing::Placed;
use super::{Kind, Rules};
use crate::problem::{Problems, Severity};
use crate::words::{nearest, plural};

/// How an id is written.
pub(super) const ID: &str = "an id is lower-case words joined by hyphens, such as `rings-stuck`";

/// Whether a text is an id: lower-case words and figures joined by hyphens.
pub fn is_id(text: &str) -> bool {
    let word = |w: &str| !w.is_empty() && w.chars().all(|c| matches!(c, 'a'..='z' | '0'..='9'));
    text.split('-').all(word)
}

/// Every problem of rules that could be read.
pub fn check(loaded: &Loaded) -> Problems {
    let mut checker = Checker {
        loaded,
        rules: &loaded.rules,
        problems: Vec::new(),
    };
    checker.links();
    checker.chart();
    checker.signs();
    checker.numbers();
    checker.wording();
    checker.reach();
    checker.opened();
    checker.problems
}

struct Checker<'l> {
    loaded: &'l Loaded,
    rules: &'l Rules,
    problems: Problems,
}

/// The entry that is being looked at.
type Who<'i> = (Kind, &'i str);

/// A path into an entry, from words and positions.
macro_rules! to {
    ($($step:expr),* $(,)?) => {
        &[$($crate::rules::node::Step::from($step)),*]
    };
}
use to;

impl Checker<'_> {
    /// The node at a path of an entry.
    fn node(&self, (kind, id): Who, path: &[Step]) -> Option<&Node> {
        let raw = self.loaded.raw.get(&(kind, id.to_string()))?;
        Some(match path {
            [] => &raw.id,
            _ => raw.node.follow(path.iter().cloned()),
        })
    }

    /// Whether a neutral value stands at a path of an entry, since what is
    /// written there could not be read; of the whole, whether any does.
    fn unread(&self, who: Who, path: &[Step]) -> bool {
        let neutral = self.loaded.broken.get(&(who.0, who.1.to_string()));
        neutral.is_some_and(|all| path.is_empty() || all.iter().any(|n| starts_with(path, n)))
    }

    /// Adds an error at a path of an entry.
    fn refuse(&mut self, who: Who, path: &[Step], what: String, hint: Option<String>) {
        self.note(Severity::Error, who, path, what, hint);
    }

    /// Adds a warning at a path of an entry.
    fn warn(&mut self, who: Who, path: &[Step], what: String, hint: Option<String>) {
        self.note(Severity::Warning, who, path, what, hint);
    }

    fn note(
        &mut self,
        severity: Severity,
        who: Who,
        path: &[Step],
        what: String,
        hint: Option<String>,
    ) {
        if self.unread(who, path) {
            return;
        }
        let Some(node) = self.node(who, path) else {
            return;
        };
        let mut problem = self.loaded.problem(Placed::at(node, what, hint));
        problem.severity = severity;
        self.problems.push(problem);
    }

    /// Whether an entry exists, read or not.
    fn exists(&self, kind: Kind, id: &str) -> bool {
        self.rules.entry(kind, id).is_some()
            || self.loaded.broken.contains_key(&(kind, id.to_string()))
    }

    /// Refuses an id that no entry of a kind has, with the nearest that there is.
    fn wants(&mut self, who: Who, path: &[Step], kind: Kind, id: &str) {
        if self.exists(kind, id) {
            return;
        }
        let what = format!("no {kind} is called `{id}`");
        if let Some(removed) = self.loaded.removed(kind, id) {
            let hint = format!(
                "it is removed at {}: let what names it go there too",
                removed.at
            );
            self.refuse(who, path, what, Some(hint));
            return;
        }
        let entries = self.rules.entries(kind);
        let near = nearest(id, entries.iter().map(|e| e.id));
        let hint = match near.and_then(|near| self.rules.entry(kind, near)) {
            Some(near) => Some(format!(
                "did you mean `{}` ({}:{})?",
                near.id, near.at.file, near.at.line
            )),
            None => self.elsewhere(kind, id),
        };
        self.refuse(who, path, what, hint);
    }

    /// An id that exists, but as something else.
    fn elsewhere(&self, kind: Kind, id: &str) -> Option<String> {
        match self.rules.called(id).first() {
            Some(other) => Some(format!(
                "`{id}` stands among the {} ({}:{}), not among the {}",
                plural(&other.kind.to_string()),
                other.at.file,
                other.at.line,
                plural(&kind.to_string())
            )),
            None => Some(format!(
                "add it to the list `{}` of a rule file, or see `rules list {}`",
                kind.list(),
                kind.list()
            )),
        }
    }
}

/// The key itself of a map within an entry.
fn name(map: &str, key: &str) -> Vec<Step> {
    vec![Step::Key(map.into()), Step::Name(key.into())]
}

/// Whether a path leads to a place or into it.
fn starts_with(path: &[Step], place: &[Step]) -> bool {
    let name = |step: &Step| match step {
        Step::Key(key) | Step::Name(key) => key.clone(),
        Step::Item(i) => i.to_string(),
    };
    path.len() >= place.len() && path.iter().zip(place).all(|(a, b)| name(a) == name(b))
}

#[cfg(test)]
mod tests {
    use super::is_id;

    #[test]
    fn ids_are_words_joined_by_hyphens() {
        for good in ["rings-stuck", "a", "faa-h-8083-32"] {
            assert!(is_id(good), "{good}");
        }
        for bad in ["", "-", "a-", "a--b", "Rings", "a b", "a_b", "é"] {
            assert!(!is_id(bad), "{bad}");
        }
    }
}
