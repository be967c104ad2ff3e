//! One rule file into raw entries: its system, its lists, the ids.
//!
//! Where a user's entry meets a built-in one they are merged here, as trees,
//! before anything is typed.

use super::load::{Loaded, Raw};
use super::node::{Data, Node};
use super::text::Text;
use super::typing::Placed;
use super::{Kind, check, yaml};
use crate::words::nearest;

impl Loaded {
    /// Reads one file into raw entries; `over` when it is a user's.
    pub(super) fn add(&mut self, name: &str, bytes: Vec<u8>, over: bool) {
        let (text, faults) = Text::decode(name, bytes);
        let file = self.texts.len();
        let unread = !faults.is_empty();
        for fault in faults {
            self.problems.push(text.problem(fault));
        }
        let (root, faults) = yaml::parse(file, &text.text);
        self.texts.push(text);
        if !faults.is_empty() {
            self.note_ids_of(file);
        }
        for fault in faults {
            let problem = self.problem(Placed { file, fault });
            self.problems.push(problem);
        }
        let Data::Map(pairs) = root.data else {
            // an empty file says nothing; a file that could not be decoded was already told
            if root.data != Data::Nothing && !unread {
                self.refuse(&root, "a rule file is a map of lists", Some(
                    "begin with `system: some-id`, `title: Some words` and a list such as `causes:`".into(),
                ));
            }
            return;
        };
        self.sections(pairs, over);
    }

    fn sections(&mut self, pairs: Vec<(Node, Node)>, over: bool) {
        let mut system = if over { "own" } else { "" }.to_string();
        let mut title = if over { "Own rules" } else { "" }.to_string();
        for (key, value) in &pairs {
            match (key.text(), value.text()) {
                (Some("system"), Some(text)) => {
                    system = text.into();
                    if !check::is_id(text) {
                        self.refuse(value, format!("`{text}` is no id"), Some(check::ID.into()));
                    }
                }
                (Some("title"), Some(text)) => title = text.into(),
                (Some(word @ ("system" | "title")), None) => {
                    self.refuse(value, format!("`{word}` must be text"), None);
                }
                _ => {}
            }
        }
        let causes = pairs.iter().any(|(k, _)| k.text() == Some("causes"));
        if let Some((key, _)) = pairs.first()
            && system.is_empty()
        {
            let hint = Some("write `system: some-id` at the top".into());
            self.refuse(key, "the file does not say which system it is of", hint);
        }
        if !system.is_empty() && (causes || !self.rules.systems.contains_key(&system)) {
            let title = if title.is_empty() {
                system.clone()
            } else {
                title
            };
            self.rules.systems.insert(system.clone(), title);
        }
        for (key, value) in pairs {
            let name = key.text().unwrap_or("").to_string();
            match (name.as_str(), Kind::of_list(&name)) {
                ("system" | "title", _) => {}
                ("words", _) => self.add_words(value, over),
                (_, Some(kind)) => self.add_list(kind, value, &system, over),
                _ => {
                    let lists = Kind::ALL.map(Kind::list);
                    let known = lists.into_iter().chain(["system", "title", "words"]);
                    let hint = match nearest(&name, known) {
                        Some(near) => format!("did you mean `{near}`?"),
                        None => format!("a rule file may hold {}, words", lists.join(", ")),
                    };
                    let what = format!("`{name}` is no list of a rule file");
                    self.refuse(&key, what, Some(hint));
                }
            }
        }
    }

    fn add_words(&mut self, value: Node, over: bool) {
        let Data::Map(pairs) = &value.data else {
            let hint = Some("write `words: {often: 0.6}`".into());
            self.refuse(&value, "`words` must be a map from word to number", hint);
            return;
        };
        for (key, value) in pairs {
            let word = key.text().unwrap_or("").to_string();
            match value.data {
                _ if over && value.is_null() => self.remove_word(&word, key),
                Data::Number(p) if (0.0..=1.0).contains(&p) => {
                    self.rules.words.insert(word.clone(), p);
                    self.word_nodes.insert(word, key.clone());
                }
                _ => {
                    let what = format!("`{word}` must be a number from 0 to 1");
                    self.refuse(value, what, None);
                }
            }
        }
    }

    fn add_list(&mut self, kind: Kind, value: Node, system: &str, over: bool) {
        let items = match value.data {
            Data::List(items) => items,
            Data::Nothing => return,
            _ => {
                let hint = format!("begin each entry with `- {}: some-id`", kind.key());
                let what = format!("`{}` must be a list", kind.list());
                self.refuse(&value, what, Some(hint));
                return;
            }
        };
        for node in items {
            self.add_entry(kind, node, system, over);
        }
    }

    fn add_entry(&mut self, kind: Kind, node: Node, system: &str, over: bool) {
        let Some(id) = node.get(kind.key()).cloned() else {
            let what = format!("this entry of `{}` has no `{}`", kind.list(), kind.key());
            let hint = format!("begin it with `- {}: some-id`", kind.key());
            self.refuse(&node, what, Some(hint));
            return;
        };
        let Some(name) = id.text().filter(|text| check::is_id(text)) else {
            let what = match id.as_written() {
                Some(text) => format!("`{text}` is no id"),
                None => format!("`{}` must be an id", kind.key()),
            };
            self.refuse(&id, what, Some(check::ID.into()));
            return;
        };
        let key = (kind, name.to_string());
        if over && node.get("remove").is_some() {
            self.remove(kind, &node, &id, &key.1);
            return;
        }
        if let Some(removed) = self.removed(kind, name) {
            let what = format!("the {kind} `{name}` is removed at {}", removed.at);
            let hint = "keep one of them; to replace an entry, change it key by key".to_string();
            self.refuse(&id, what, Some(hint));
            return;
        }
        match self.raw.get(&key).map(|old| (self.spot(&old.id), old.over)) {
            Some((below, false)) if over => {
                self.keeps_system(&key, system, &id, &below);
                self.change(&key, node, id, below);
            }
            Some((first, _)) => {
                let what = format!("the {kind} `{name}` is given twice");
                let hint = format!("first at {first}; keep one of them");
                self.refuse(&id, what, Some(hint));
            }
            None => {
                let raw = Raw {
                    node,
                    id,
                    system: system.into(),
                    overrides: None,
                    over,
                };
                self.raw.insert(key, raw);
            }
        }
    }

    /// The ids in a file that could not be read to its end: they exist, so
    /// nobody need be told that they do not.
    fn note_ids_of(&mut self, file: usize) {
        let Some(text) = self.texts.get(file) else {
            return;
        };
        for line in text.text.lines() {
            let line = line.trim_start().trim_start_matches("- ");
            let Some((key, id)) = line.split_once(':') else {
                continue;
            };
            if let Some(kind) = Kind::ALL.into_iter().find(|kind| kind.key() == key.trim()) {
                self.broken
                    .entry((kind, id.trim().to_string()))
                    .or_default();
            }
        }
    }
}
