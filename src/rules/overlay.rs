//! A user's folder over the built-in rules: what it changes, and what it takes away.
//!
//! An entry is merged key by key: maps merged, all else replaced. `KEY: null`
//! takes a key away, `remove: true` an entry. Taking away what is not there is
//! an error, so that a slip of the pen is not mistaken for a removal.

use super::Kind;
use super::load::{Loaded, Raw};
use super::node::{Data, Node};
use super::typing::Placed;
use crate::problem::Spot;
use crate::words::nearest;

/// Something built in that a user's folder takes away.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Removed {
    /// The kind of entry; none for a chance word.
    pub kind: Option<Kind>,
    /// Its id, or the chance word.
    pub id: String,
    /// The keys that lead to what is taken away, joined by dots, such as
    /// `shows.leak-down`; none when it is the whole entry.
    pub key: Option<String>,
    /// Where the user's folder says so.
    pub at: Spot,
    /// Where it stood.
    pub under: Spot,
}

/// What a merge found besides the merged entry.
#[derive(Default)]
struct Merge {
    /// Keys on the way to the map that is being merged.
    path: Vec<String>,
    /// Path, key in the user's file, key that was taken away.
    taken: Vec<(String, Node, Node)>,
    faults: Vec<Placed>,
}

impl Merge {
    fn lay(&mut self, under: &mut Node, over: Node) {
        let (Data::Map(pairs), true) = (&mut under.data, matches!(over.data, Data::Map(_))) else {
            *under = over;
            return;
        };
        (under.file, under.line) = (over.file, over.line);
        (under.column, under.width) = (over.column, over.width);
        let Data::Map(news) = over.data else {
            return;
        };
        for (key, value) in news {
            let name = key.text().unwrap_or("").to_string();
            if value.data == Data::Nothing && !value.is_null() {
                let what = format!("nothing stands after `{name}`");
                let hint = format!("write `{name}: null` to take it away, or leave the line out");
                self.faults.push(Placed::at(&key, what, Some(hint)));
                continue;
            }
            let at = pairs.iter().position(|(k, _)| k.data == key.data);
            match (at, value.is_null()) {
                (Some(i), true) => {
                    let (old, _) = pairs.remove(i);
                    let path = [&self.path[..], &[name]].concat().join(".");
                    self.taken.push((path, key, old));
                }
                (Some(i), false) => {
                    self.path.push(name);
                    pairs[i].0 = key;
                    self.lay(&mut pairs[i].1, value);
                    self.path.pop();
                }
                (None, true) => {
                    let known = pairs.iter().filter_map(|(k, _)| k.text());
                    let hint = match nearest(&name, known) {
                        Some(near) => format!("did you mean `{near}`?"),
                        None => "`KEY: null` takes away a key that the built-in entry has; leave this line out".into(),
                    };
                    let what = format!("there is no `{name}` here to take away");
                    self.faults.push(Placed::at(&key, what, Some(hint)));
                }
                (None, false) => pairs.push((key, value)),
            }
        }
    }
}

impl Loaded {
    /// Merges a user's entry over the built-in one that it changes.
    pub(super) fn change(&mut self, key: &(Kind, String), node: Node, id: Node, under: Spot) {
        let Some(raw) = self.raw.get_mut(key) else {
            return;
        };
        let mut merge = Merge::default();
        merge.lay(&mut raw.node, node);
        raw.overrides = Some(under);
        raw.id = id;
        raw.over = true;
        for (path, at, old) in merge.taken {
            let removed = Removed {
                kind: Some(key.0),
                id: key.1.clone(),
                key: Some(path),
                at: self.spot(&at),
                under: self.spot(&old),
            };
            self.rules.removed.push(removed);
        }
        for fault in merge.faults {
            let problem = self.problem(fault);
            self.problems.push(problem);
        }
    }

    /// Refuses a change of an entry in a file that says another built-in system:
    /// a change cannot move it there.
    pub(super) fn keeps_system(
        &mut self,
        key: &(Kind, String),
        system: &str,
        id: &Node,
        under: &Spot,
    ) {
        let mut built_in = self
            .raw
            .values()
            .filter(|raw| !raw.over || raw.overrides.is_some());
        let known = built_in.any(|raw| raw.system == system);
        if let Some(own) = self.raw.get(key).map(|raw| raw.system.clone())
            && known
            && own != system
        {
            let (kind, name) = key;
            let what = format!("the {kind} `{name}` is of `{own}`, this file says `{system}`");
            let hint = format!(
                "a change leaves it at {under}: put it in a file that says `system: {own}`, or none"
            );
            self.refuse(id, what, Some(hint));
        }
    }

    /// Takes a built-in entry away: `- {cause: some-id, remove: true}` in a user's file.
    pub(super) fn remove(&mut self, kind: Kind, node: &Node, id: &Node, name: &str) {
        let Data::Map(pairs) = &node.data else {
            return;
        };
        for (key, value) in pairs {
            match key.text() {
                Some("remove") if value.data == Data::Truth(true) => {}
                Some("remove") => {
                    let what = "`remove` must be `true`";
                    let hint = "leave the line out to keep the entry".to_string();
                    self.refuse(value, what, Some(hint));
                    return;
                }
                Some(word) if word == kind.key() => {}
                _ => {
                    let word = key.text().unwrap_or("");
                    let what = format!("`{word}` is said of a {kind} that is removed");
                    let hint = "leave out `remove` to change it, or all else to remove it";
                    self.refuse(key, what, Some(hint.into()));
                    return;
                }
            }
        }
        let key = (kind, name.to_string());
        if let Some(Raw { id: under, .. }) = self.raw.get(&key).filter(|raw| !raw.over) {
            let removed = Removed {
                kind: Some(kind),
                id: name.into(),
                key: None,
                at: self.spot(id),
                under: self.spot(under),
            };
            self.raw.remove(&key);
            self.rules.removed.push(removed);
            return;
        }
        let (what, hint) = if let Some(raw) = self.raw.get(&key) {
            let first = self.spot(&raw.id);
            let what = format!("the {kind} `{name}` is removed here and given at {first}");
            (what, "keep one of them".to_string())
        } else if let Some(first) = self.removed(kind, name) {
            let what = format!("the {kind} `{name}` is removed twice");
            let hint = format!("first at {}; keep one of them", first.at);
            (what, hint)
        } else {
            let what = format!("no {kind} is called `{name}`, so there is none to remove");
            let of_kind = self.raw.keys().filter(|(k, _)| *k == kind);
            let hint = match nearest(name, of_kind.map(|(_, id)| id.as_str())) {
                Some(near) => format!("did you mean `{near}`?"),
                None => format!("see `rules list {}`, or leave the entry out", kind.list()),
            };
            (what, hint)
        };
        self.refuse(id, what, Some(hint));
    }

    /// Where a user's folder removes an entry, if it does.
    pub(super) fn removed(&self, kind: Kind, id: &str) -> Option<&Removed> {
        let whole = |r: &&Removed| r.key.is_none() && r.kind == Some(kind) && r.id == id;
        self.rules.removed.iter().find(whole)
    }

    /// Takes a built-in chance word away: `words: {often: null}` in a user's file.
    pub(super) fn remove_word(&mut self, word: &str, key: &Node) {
        match self.word_nodes.remove(word) {
            Some(under) => {
                self.rules.words.remove(word);
                let removed = Removed {
                    kind: None,
                    id: word.into(),
                    key: None,
                    at: self.spot(key),
                    under: self.spot(&under),
                };
                self.rules.removed.push(removed);
            }
            None => {
                let near = nearest(word, self.rules.words.keys().map(String::as_str));
                let hint = near.map(|near| format!("did you mean `{near}`?"));
                let what = format!("there is no word `{word}` to take away");
                self.refuse(key, what, hint);
            }
        }
    }
}
