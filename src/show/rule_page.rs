//! The page of one entry of the rules, for reading and disagreeing with.
//!
//! What it is comes first, then how common, what it has to do with, and at the
//! end where every statement comes from and where it is written.

use super::table::{Column, table};
use super::{FAINT, STRONG, percent, rule_cause, rule_finding, rule_other, rule_work};
use super::{styled, wrapped};
use crate::rules::file::{Basis, Chance, Footing, Scope};
use crate::rules::lookup::Named;
use crate::rules::{Kind, Rules};
use crate::words::listed;

/// The page of an entry, no wider than `width` columns.
pub fn page(rules: &Rules, entry: &Named, width: usize) -> String {
    let mut page = Page::begin(rules, entry, width);
    match entry.kind {
        Kind::Cause => rule_cause::write(&mut page, entry.id),
        Kind::Finding => rule_finding::write(&mut page, entry.id),
        Kind::Test => rule_work::test(&mut page, entry.id),
        Kind::Repair => rule_work::repair(&mut page, entry.id),
        Kind::Access => rule_work::access(&mut page, entry.id),
        _ => rule_other::write(&mut page, entry.kind, entry.id),
    }
    page.end(entry)
}

/// A space that no line is broken at.
pub(super) const HARD: &str = "\u{a0}";

/// A page in the making.
pub(super) struct Page<'r> {
    /// The rules.
    pub rules: &'r Rules,
    width: usize,
    parts: Vec<String>,
    /// Sources cited so far; the number of a source is its place.
    sources: Vec<String>,
}

impl<'r> Page<'r> {
    fn begin(rules: &'r Rules, entry: &Named, width: usize) -> Page<'r> {
        let system = rules.systems.get(entry.system).map_or(entry.system, |s| s);
        let under = format!("{}, {}: {system}", entry.id, entry.kind);
        let head = format!(
            "{}\n{}",
            styled(STRONG, wrapped(entry.title, width, 0)),
            styled(FAINT, wrapped(&under, width, 0))
        );
        Page {
            rules,
            width,
            parts: vec![head],
            sources: Vec::new(),
        }
    }

    /// A paragraph; nothing when there is nothing to say.
    pub fn say(&mut self, text: impl AsRef<str>) {
        let text = text.as_ref().trim();
        if !text.is_empty() {
            self.parts.push(wrapped(text, self.width, 0));
        }
    }

    /// A heading and a paragraph under it.
    pub fn head(&mut self, head: &str, text: impl AsRef<str>) {
        let text = text.as_ref().trim();
        if !text.is_empty() {
            let text = wrapped(text, self.width.saturating_sub(2), 0);
            self.parts
                .push(format!("{}\n{}", styled(STRONG, head), indented(&text)));
        }
    }

    /// A heading and lines under it; nothing when there are none.
    pub fn lines(&mut self, head: &str, lines: impl IntoIterator<Item = String>) {
        let room = self.width.saturating_sub(2);
        let lines: Vec<String> = (lines.into_iter())
            .map(|line| indented(&wrapped(&line, room, 2)))
            .collect();
        if !lines.is_empty() {
            let text = format!("{}\n{}", styled(STRONG, head), lines.join("\n"));
            self.parts.push(text);
        }
    }

    /// A heading and a table under it; nothing when it has no rows.
    pub fn table(&mut self, head: &str, columns: &[Column], rows: Vec<Vec<String>>) {
        if !rows.is_empty() {
            let text = table(columns, rows, self.width.saturating_sub(2));
            self.parts
                .push(format!("{}\n{}", styled(STRONG, head), indented(&text)));
        }
    }

    /// A basis in words; its sources get numbers and are listed at the end of the page.
    pub fn basis(&mut self, basis: &Basis) -> String {
        let mut text = match basis.footing {
            Footing::Published => "published",
            Footing::Practice => "practice",
            Footing::Judgement => "judgement",
        }
        .to_string();
        for source in &basis.sources {
            let known = self.sources.iter().position(|s| s == source);
            let number = known.unwrap_or_else(|| {
                self.sources.push(source.clone());
                self.sources.len() - 1
            });
            text.push_str(&format!(" [{}]", number + 1));
        }
        text
    }

    /// A chance as written, with its figure: `often 60 %`.
    pub fn chance(&self, chance: &Chance) -> String {
        let figure = percent(self.rules.chance(chance)).replace(' ', HARD);
        match chance {
            Chance::Word(word) if !word.ends_with('%') => format!("{word} {figure}"),
            _ => figure,
        }
    }

    /// The title of an entry; the id when there is no such entry.
    pub fn name(&self, kind: Kind, id: &str) -> String {
        (self.rules.entry(kind, id)).map_or(id.into(), |entry| entry.title.into())
    }

    /// The titles of entries.
    pub fn names(&self, kind: Kind, ids: &[String]) -> Vec<String> {
        ids.iter().map(|id| self.name(kind, id)).collect()
    }

    /// Which engines a thing concerns; nothing when all.
    pub fn engines(&mut self, on: &[String], not_on: &[String]) {
        self.head("On which engines", self.which(on, not_on));
    }

    /// `only petrol; never aircraft`, or nothing.
    pub fn which(&self, on: &[String], not_on: &[String]) -> String {
        let mut lines = Vec::new();
        if !on.is_empty() {
            lines.push(format!("only {}", self.by_axis(on)));
        }
        if !not_on.is_empty() {
            lines.push(format!("never {}", not_on.join(" or ")));
        }
        lines.join("; ")
    }

    /// Traits in words: any within an axis, all across.
    pub fn by_axis(&self, on: &[String]) -> String {
        let mut axes: Vec<(&str, Vec<&str>)> = Vec::new();
        for word in on {
            let axis = self.rules.axis_of(word).map_or("", |axis| &axis.axis);
            match axes.iter_mut().find(|(a, _)| *a == axis) {
                Some((_, words)) => words.push(word),
                None => axes.push((axis, vec![word])),
            }
        }
        let axes: Vec<String> = axes
            .into_iter()
            .map(|(_, words)| words.join(" or "))
            .collect();
        axes.join(", and ")
    }

    fn end(mut self, entry: &Named) -> String {
        let sources: Vec<String> = (self.sources.iter().enumerate())
            .filter_map(|(i, id)| {
                let source = self.rules.sources.get(id)?;
                Some(format!("[{}] {}", i + 1, source_line(source)))
            })
            .collect();
        self.lines("Sources", sources);
        let at = match entry.overrides {
            Some(under) => format!("{}, over {under}", entry.at),
            None => entry.at.to_string(),
        };
        let gone: Vec<String> = (self.rules.removed.iter())
            .filter(|r| r.kind == Some(entry.kind) && r.id == entry.id)
            .filter_map(|r| Some(format!("`{}`", r.key.as_ref()?)))
            .collect();
        let without = match gone.is_empty() {
            true => String::new(),
            false => format!(", without {}", listed(&gone, "and")),
        };
        let line = format!("Written in {at}{without}");
        self.parts.push(styled(FAINT, line));
        self.parts.join("\n\n")
    }
}

/// A source as one line of a list.
pub(super) fn source_line(source: &crate::rules::file::Source) -> String {
    let ident = match source.ident.as_str() {
        "" => String::new(),
        ident => format!(", {ident}"),
    };
    let seen = match source.seen.as_str() {
        "memory" => "from memory",
        "excerpt" => "seen in part",
        seen => seen,
    };
    let (title, publisher) = (&source.title, &source.publisher);
    format!("{title}. {publisher}{ident} ({seen})")
}

/// A scope in words.
pub(super) fn scope(scope: Scope) -> &'static str {
    match scope {
        Scope::Engine => "engine",
        Scope::Cylinder => "cylinder",
        Scope::Pair => "pair of neighbours",
        Scope::Plug => "spark plug",
    }
}

fn indented(text: &str) -> String {
    let lines: Vec<String> = text
        .lines()
        .map(|line| format!("  {line}").trim_end().into())
        .collect();
    lines.join("\n")
}
