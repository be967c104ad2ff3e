//! Titles and sentences: length, capitals, nothing empty.

use super::{Checker, Who, to};
use crate::rules::Kind;
use crate::rules::node::Step;

/// Longest title, in characters.
pub const TITLE: usize = 60;
/// Longest sentence, in characters.
pub const SENTENCE: usize = 240;

impl Checker<'_> {
    /// Wording over length, titles without a capital, empty texts.
    pub(super) fn wording(&mut self) {
        let rules = self.rules;
        for kind in Kind::ALL {
            for entry in rules.entries(kind) {
                self.title((kind, entry.id), entry.title, kind);
            }
        }
        for (id, cause) in &rules.causes {
            let who = (Kind::Cause, id.as_str());
            self.sentence(who, to!["says"], &cause.says);
            self.sentence(who, to!["look_for"], &cause.look_for);
            for (other, text) in &cause.told_from {
                self.sentence(who, to!["told_from", other.as_str()], text);
            }
            let dangers = cause.danger.iter();
            for (at, danger) in dangers.flat_map(|d| d.placed(to!["danger"])) {
                // a text alone ends the path before `says`
                let at = [at.as_slice(), to!["says"]].concat();
                self.sentence(who, &at, &danger.says);
            }
        }
        for (id, finding) in &rules.findings {
            let who = (Kind::Finding, id.as_str());
            self.sentence(who, to!["ask"], &finding.ask);
        }
        for (id, fact) in &rules.facts {
            self.sentence((Kind::Fact, id), to!["ask"], &fact.ask);
        }
        for (id, test) in &rules.tests {
            let who = (Kind::Test, id.as_str());
            self.sentence(who, to!["says"], &test.says);
            self.lines(who, "cautions", &test.cautions, true);
            self.lines(who, "steps", &test.steps, true);
            self.lines(who, "misleads", &test.misleads, false);
            self.lines(who, "consumables", &test.consumables, false);
        }
        for (id, repair) in &rules.repairs {
            let who = (Kind::Repair, id.as_str());
            self.sentence(who, to!["says"], &repair.says);
            self.lines(who, "cautions", &repair.cautions, false);
            self.lines(who, "leaves", &repair.leaves, false);
        }
        for (id, source) in &rules.sources {
            let who = (Kind::Source, id.as_str());
            if !["read", "excerpt", "memory"].contains(&source.seen.as_str()) {
                let what = format!("`{}` does not say how the source was seen", source.seen);
                let hint = "`read`, `excerpt` or `memory`".to_string();
                self.refuse(who, to!["seen"], what, Some(hint));
            }
        }
    }

    fn title(&mut self, who: Who, title: &str, kind: Kind) {
        let at = to!["title"];
        let length = title.chars().count();
        // the title of a source is its own
        if length > TITLE && kind != Kind::Source {
            let what = format!("the title has {length} characters");
            self.refuse(who, at, what, Some(format!("at most {TITLE}")));
        }
        match title.chars().next() {
            None => self.refuse(who, at, "the title is empty".into(), None),
            Some(first) if first.is_lowercase() => {
                let what = "the title does not begin with a capital letter".to_string();
                let capital: String = first.to_uppercase().chain(title.chars().skip(1)).collect();
                self.refuse(who, at, what, Some(format!("write `{capital}`")));
            }
            Some(_) => {}
        }
    }

    pub(super) fn sentence(&mut self, who: Who, at: &[Step], text: &str) {
        let length = text.chars().count();
        if text.trim().is_empty() {
            self.refuse(who, at, "nothing is said here".into(), None);
        } else if length > SENTENCE {
            let what = format!("the text has {length} characters");
            let hint = format!("at most {SENTENCE}: one or two plain sentences");
            self.refuse(who, at, what, Some(hint));
        }
    }

    pub(super) fn lines(&mut self, who: Who, list: &str, lines: &[String], some: bool) {
        if some && lines.is_empty() {
            let what = match list {
                "cautions" => "a test without a caution".to_string(),
                _ => format!("`{list}` is empty"),
            };
            let hint = match list {
                "cautions" => Some("say what can hurt whoever does it, or the engine".to_string()),
                _ => None,
            };
            self.refuse(who, to![list], what, hint);
        }
        for (i, line) in lines.iter().enumerate() {
            self.sentence(who, to![list, i], line);
            // `[Keep clear of belts, fan and blade.]` is two entries in YAML
            if list != "consumables" && line.starts_with(char::is_lowercase) {
                let what = format!("`{line}` begins small, as if a comma had cut a sentence");
                let hint = "put a sentence with a comma in quotes".to_string();
                self.warn(who, to![list, i], what, Some(hint));
            }
        }
    }
}
