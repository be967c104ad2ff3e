//! Every id that an entry names must exist.

use super::{Checker, Who, name, to};
use crate::rules::Kind;
use crate::rules::file::{Basis, Cause, PartUse, Scope};
use crate::rules::node::Step;
use crate::words::{listed, nearest};

impl Checker<'_> {
    /// Unknown ids anywhere.
    pub(super) fn links(&mut self) {
        let rules = self.rules;
        for (id, cause) in &rules.causes {
            let who = (Kind::Cause, id.as_str());
            self.traits(who, &[], &cause.on, &cause.not_on);
            self.basis(who, to!["base_rate", "basis"], &cause.base_rate.basis);
            for (i, odds) in cause.more_common.iter().enumerate() {
                self.traits(who, to!["more_common", i], &odds.on, &odds.not_on);
                self.basis(who, to!["more_common", i, "basis"], &odds.basis);
            }
            for (fact, odds) in &cause.history {
                self.wants_key(who, "history", Kind::Fact, fact);
                self.basis(who, to!["history", fact.as_str(), "basis"], &odds.basis);
            }
            for (root, link) in &cause.brought_on_by {
                self.wants_key(who, "brought_on_by", Kind::Cause, root);
                self.root_runs_down(who, root, cause);
                let at = to!["brought_on_by", root.as_str(), "basis"];
                self.basis(who, at, &link.basis);
            }
            for (finding, links) in &cause.shows {
                self.wants_key(who, "shows", Kind::Finding, finding);
                let at = to!["shows", finding.as_str()];
                let mut within = vec![(cause.on.as_slice(), cause.not_on.as_slice())];
                within.extend(
                    rules
                        .findings
                        .get(finding)
                        .map(|f| (&f.on[..], &f.not_on[..])),
                );
                self.one_holds(who, at, links, &within);
                for (at, link) in links.placed(at) {
                    self.traits(who, &at, &link.on, &link.not_on);
                    self.basis(who, &[at.as_slice(), to!["basis"]].concat(), &link.basis);
                }
            }
            if let Some(dangers) = &cause.danger {
                let within = [(cause.on.as_slice(), cause.not_on.as_slice())];
                self.one_holds(who, to!["danger"], dangers, &within);
                for (at, danger) in dangers.placed(to!["danger"]) {
                    self.traits(who, &at, &danger.on, &danger.not_on);
                }
            }
            for other in cause.told_from.keys() {
                self.wants_key(who, "told_from", Kind::Cause, other);
                if other == id {
                    let what = format!("`{id}` is told from itself");
                    self.refuse(who, &name("told_from", other), what, None);
                }
            }
        }
        self.finding_links();
        self.test_links();
        self.repair_links();
        self.family_links();
    }

    /// A root acts on its own place or on what lies within it: the engine on
    /// everything, a cylinder on itself and its plugs, never upward.
    fn root_runs_down(&mut self, who: Who, root: &str, effect: &Cause) {
        let Some(from) = self.rules.causes.get(root).map(|cause| cause.scope) else {
            return;
        };
        let unread = |id| self.unread((Kind::Cause, id), to!["scope"]);
        if unread(root) || unread(who.1) {
            return;
        }
        if from != Scope::Engine && effect.scope == Scope::Engine {
            let scope = format!("{from:?}").to_lowercase();
            let what = format!(
                "`{root}` belongs to one {scope}, `{}` to the whole engine",
                who.1
            );
            let hint = "root links run from the engine down: link the engine's finding instead";
            self.refuse(who, &name("brought_on_by", root), what, Some(hint.into()));
        }
    }

    fn finding_links(&mut self) {
        let rules = self.rules;
        for (id, finding) in &rules.findings {
            let who = (Kind::Finding, id.as_str());
            self.traits(who, &[], &finding.on, &finding.not_on);
            let sound = &finding.sound;
            if !(sound.on.is_empty() && sound.not_on.is_empty()) {
                let what = "what a sound engine shows holds on every engine".to_string();
                let hint = "leave `on` and `not_on` out here".to_string();
                self.refuse(who, to!["sound"], what, Some(hint));
            }
            self.basis(who, to!["sound", "basis"], &finding.sound.basis);
            for (i, hidden) in finding.hides.iter().enumerate() {
                self.wants(who, to!["hides", i], Kind::Finding, hidden);
                if hidden == id {
                    let what = format!("`{id}` hides itself");
                    self.refuse(who, to!["hides", i], what, None);
                }
            }
            if let Some(measured) = &finding.measured {
                let at = to!["measured", "reading"];
                self.wants(who, at, Kind::Reading, &measured.reading);
                self.basis(who, to!["measured", "basis"], &measured.basis);
                for (i, other) in measured.instead.iter().enumerate() {
                    self.traits(who, to!["measured", "instead", i], &other.on, &[]);
                    let at = to!["measured", "instead", i, "basis"];
                    self.basis(who, at, &other.basis);
                }
                if let Some(reading) = rules.readings.get(&measured.reading)
                    && reading.scope != finding.scope
                    && !self.unread(who, to!["scope"])
                    && !self.unread((Kind::Reading, &measured.reading), to!["scope"])
                {
                    let what = format!(
                        "`{id}` belongs to the {:?}, but the reading `{}` to the {:?}",
                        finding.scope, measured.reading, reading.scope
                    )
                    .to_lowercase();
                    self.refuse(who, at, what, Some("give both the same `scope`".into()));
                }
            }
        }
        for (id, reading) in &rules.readings {
            self.basis((Kind::Reading, id), to!["basis"], &reading.basis);
        }
        for (id, limit) in &rules.limits {
            let who = (Kind::Limit, id.as_str());
            self.traits(who, &[], &limit.on, &limit.not_on);
            self.wants(who, to!["of"], Kind::Reading, &limit.of);
            self.basis(who, to!["basis"], &limit.basis);
        }
        for (id, fact) in &rules.facts {
            self.traits((Kind::Fact, id), &[], &fact.on, &[]);
        }
    }

    fn test_links(&mut self) {
        let rules = self.rules;
        for (id, test) in &rules.tests {
            let who = (Kind::Test, id.as_str());
            self.traits(who, &[], &test.on, &test.not_on);
            self.basis(who, to!["basis"], &test.basis);
            self.wants_all(who, "set_up", Kind::SetUp, &test.set_up);
            self.wants_all(who, "equipment", Kind::Equipment, &test.equipment);
            self.wants_all(who, "yields", Kind::Finding, &test.yields);
        }
        for (id, set_up) in &rules.set_ups {
            self.wants_all((Kind::SetUp, id), "ends", Kind::SetUp, &set_up.ends);
        }
    }

    fn repair_links(&mut self) {
        let rules = self.rules;
        for (id, repair) in &rules.repairs {
            let who = (Kind::Repair, id.as_str());
            self.traits(who, &[], &repair.on, &repair.not_on);
            self.basis(who, to!["basis"], &repair.basis);
            self.wants_all(who, "needs", Kind::Access, &repair.needs);
            self.wants_all(who, "includes", Kind::Repair, &repair.includes);
            self.parts(who, "parts", &repair.parts);
            self.parts(who, "machine_work", &repair.machine_work);
            for (cause, link) in &repair.mends {
                self.wants_key(who, "mends", Kind::Cause, cause);
                self.basis(who, to!["mends", cause.as_str(), "basis"], &link.basis);
            }
        }
        for (id, access) in &rules.accesses {
            let who = (Kind::Access, id.as_str());
            self.traits(who, &[], &access.on, &[]);
            self.basis(who, to!["basis"], &access.basis);
            self.wants_all(who, "needs", Kind::Access, &access.needs);
            self.wants_all(who, "includes", Kind::Repair, &access.includes);
            self.parts(who, "renews", &access.renews);
        }
    }

    fn family_links(&mut self) {
        let rules = self.rules;
        for (id, family) in &rules.families {
            let who = (Kind::Family, id.as_str());
            for (i, word) in family.traits.iter().enumerate() {
                let Some(axis) = rules.axis_of(word) else {
                    self.no_trait(who, to!["traits", i], word);
                    continue;
                };
                let others: Vec<&str> = family.traits[..i]
                    .iter()
                    .filter(|w| axis.traits.contains(w))
                    .map(String::as_str)
                    .collect();
                if rules.is_counted(word) {
                    let what = format!("`{word}` follows from the number of cylinders");
                    let hint = "leave it out: `cylinders` gives it".to_string();
                    self.refuse(who, to!["traits", i], what, Some(hint));
                } else if axis.groups.contains_key(word) {
                    let what = format!("`{word}` is a group of traits, not one of them");
                    let hint = format!("one of {}", listed(&axis.groups[word], "or"));
                    self.refuse(who, to!["traits", i], what, Some(hint));
                } else if others.contains(&word.as_str()) {
                    let what = format!("`{word}` is given twice");
                    self.refuse(who, to!["traits", i], what, None);
                } else if !axis.many && !others.is_empty() {
                    let what = format!("`{word}` and `{}` exclude each other", others[0]);
                    let hint = format!("both are words for: {}", axis.title.to_lowercase());
                    self.refuse(who, to!["traits", i], what, Some(hint));
                }
            }
        }
        for (id, axis) in &rules.axes {
            self.counted(id, axis);
            for (group, members) in &axis.groups {
                for (i, member) in members.iter().enumerate() {
                    if !axis.traits.contains(member) {
                        let what = format!("`{member}` is no trait of the axis `{id}`");
                        let who = (Kind::Axis, id.as_str());
                        self.refuse(who, to!["groups", group.as_str(), i], what, None);
                    }
                }
            }
        }
    }

    /// Refuses a key of a map that names no entry of a kind.
    pub(super) fn wants_key(&mut self, who: Who, map: &str, kind: Kind, id: &str) {
        self.wants(who, &name(map, id), kind, id);
    }

    pub(super) fn wants_all(&mut self, who: Who, list: &str, kind: Kind, ids: &[String]) {
        for (i, id) in ids.iter().enumerate() {
            self.wants(who, to![list, i], kind, id);
            if ids[..i].contains(id) {
                let what = format!("`{id}` is given twice");
                self.refuse(who, to![list, i], what, None);
            }
        }
    }

    fn parts(&mut self, who: Who, list: &str, uses: &[PartUse]) {
        for (i, part) in uses.iter().enumerate() {
            self.wants(who, to![list, i, "part"], Kind::Part, &part.part);
        }
    }

    pub(super) fn basis(&mut self, who: Who, at: &[Step], basis: &Basis) {
        for source in &basis.sources {
            let mut place = at.to_vec();
            let node = self.node(who, at);
            if let Some(i) = node.and_then(|n| n.position(source)) {
                place.push(Step::Item(i));
            }
            self.wants(who, &place, Kind::Source, source);
        }
    }

    /// Traits of `on` and `not_on` lists within a map at a path.
    pub(super) fn traits(&mut self, who: Who, at: &[Step], on: &[String], not_on: &[String]) {
        for (key, words) in [("on", on), ("not_on", not_on)] {
            for (i, word) in words.iter().enumerate() {
                let place = [at, to![key, i]].concat();
                if self.rules.axis_of(word).is_none() {
                    self.no_trait(who, &place, word);
                } else if key == "not_on" && on.contains(word) {
                    let what = format!("`{word}` stands in `on` and in `not_on`");
                    self.refuse(who, &place, what, None);
                }
            }
        }
    }

    fn no_trait(&mut self, who: Who, at: &[Step], word: &str) {
        if self.any_broken(Kind::Axis) {
            return;
        }
        let axes = self.rules.axes.values();
        let known = axes.flat_map(|axis| axis.traits.iter().chain(axis.groups.keys()));
        let hint = match nearest(word, known.map(String::as_str)) {
            Some(near) => format!("did you mean `{near}`?"),
            None => "see `rules list axes` for the words".into(),
        };
        let what = format!("no trait is called `{word}`");
        self.refuse(who, at, what, Some(hint));
    }
}
