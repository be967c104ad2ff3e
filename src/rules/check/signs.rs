//! Signs, circumstances, implied answers and facts that report a cause: what
//! they name must exist and hang together.

use super::{Checker, Who, name, to};
use crate::rules::file::{CauseSort, Finding, Scope};
use crate::rules::node::Step;
use crate::rules::signs::circumstance;
use crate::rules::{Kind, Rules};
use crate::words::{listed, nearest};
use std::collections::BTreeSet;

impl Checker<'_> {
    /// Everything of this file.
    pub(super) fn signs(&mut self) {
        let rules = self.rules;
        for (id, sign) in &rules.signs {
            let who = (Kind::Sign, id.as_str());
            self.sentence(who, to!["ask"], &sign.ask);
            self.one_id(who, id);
            let list = if sign.is_summary() { "none_of" } else { "of" };
            if sign.members().is_empty() {
                let what = format!("the sign `{id}` has no findings");
                let hint = "name them under `of`, or under `none_of` when it says that all is well";
                self.refuse(who, &[], what, Some(hint.into()));
            }
            if !sign.of.is_empty() && !sign.none_of.is_empty() {
                let what = "a sign is either one of these or none of these".to_string();
                let hint = "keep `of` or `none_of`".to_string();
                self.refuse(who, to!["none_of"], what, Some(hint));
            }
            for (i, member) in sign.members().iter().enumerate() {
                self.member(who, &[Step::from(list), Step::from(i)], member, sign.scope);
                if sign.members()[..i].contains(member) {
                    let what = format!("`{member}` is given twice");
                    self.refuse(who, to![list, i], what, None);
                }
            }
            if let Some(way) = circle(rules, id) {
                let what = format!("signs stand for each other in a circle: {way}");
                let hint = "take out the one that is least true".to_string();
                self.refuse(who, to![list], what, Some(hint));
            }
        }
        self.circumstances();
        self.reports();
    }

    /// A member of a sign: a finding, or a sign that is itself one of several.
    fn member(&mut self, who: Who, at: &[Step], member: &str, scope: Scope) {
        let rules = self.rules;
        let inner = rules.signs.get(member);
        if inner.is_some_and(|s| s.is_summary()) {
            let what = format!("`{member}` says that all is well, so it can be no part of a sign");
            let hint = "name the findings that it rules out".to_string();
            return self.refuse(who, at, what, Some(hint));
        }
        let of = match (rules.findings.get(member), inner) {
            (Some(finding), _) => finding.scope,
            (None, Some(sign)) => sign.scope,
            (None, None) => {
                if !self.exists(Kind::Sign, member) {
                    self.wants(who, at, Kind::Finding, member);
                }
                return;
            }
        };
        let fits = matches!(
            (scope, of),
            (Scope::Engine, _) | (Scope::Cylinder, Scope::Pair | Scope::Plug)
        );
        if !(fits || scope == of) {
            let what = format!("the sign belongs to one {scope:?}, `{member}` to the {of:?}");
            let hint = "give the sign the wider `scope`, or leave this out".to_string();
            self.refuse(who, at, what.to_lowercase(), Some(hint));
        }
    }

    /// An id that is written where a finding's could be must not be one.
    fn one_id(&mut self, who: Who, id: &str) {
        for kind in [Kind::Finding, Kind::Cause, Kind::Reading, Kind::Fact] {
            if kind != who.0 && self.rules.entry(kind, id).is_some() {
                let what = format!("a {kind} is called `{id}` too");
                let hint = "give one of them another id: a line could mean either".to_string();
                self.refuse(who, &[], what, Some(hint));
            }
        }
    }

    fn circumstances(&mut self) {
        let rules = self.rules;
        for (id, finding) in &rules.findings {
            let who = (Kind::Finding, id.as_str());
            if let Some(of) = &finding.value_of {
                self.value(who, finding, of);
            }
            for (i, other) in finding.excludes.iter().enumerate() {
                self.wants(who, to!["excludes", i], Kind::Finding, other);
                let theirs = rules.findings.get(other).map(|f| &f.value_of);
                let same = theirs.is_none_or(|of| of.is_some() && *of == finding.value_of);
                if other == id || !same {
                    let what = format!("`{id}` cannot exclude `{other}`");
                    let hint = "only another value of the same circumstance".to_string();
                    self.refuse(who, to!["excludes", i], what, Some(hint));
                }
            }
            for (other, grade) in &finding.implies {
                self.wants_key(who, "implies", Kind::Finding, other);
                let at = to!["implies", other.as_str()];
                let Some(implied) = rules.findings.get(other) else {
                    continue;
                };
                if other == id || implied.scope != finding.scope {
                    let what = format!("`{id}` cannot imply `{other}`");
                    let hint = "only another finding of the same scope".to_string();
                    self.refuse(who, &name("implies", other), what, Some(hint));
                }
                if !implied.grades.iter().skip(1).any(|g| g == grade) {
                    let above = implied.grades.get(1..).unwrap_or_default();
                    let what = format!("`{grade}` is no grade of `{other}` above the first");
                    self.refuse(
                        who,
                        at,
                        what,
                        Some(format!("one of {}", listed(above, "or"))),
                    );
                }
            }
        }
        for (id, cause) in &rules.causes {
            let who = (Kind::Cause, id.as_str());
            for (circumstance, manner) in cause.manners() {
                self.basis(who, to![circumstance, "basis"], &manner.basis);
                for (value, chance) in &manner.values {
                    let at = to![circumstance, value.as_str()];
                    self.chance(who, at, chance);
                    let values = rules.values_of(circumstance);
                    let Some(finding) = values.get(value.as_str()) else {
                        let what = format!("`{circumstance}` has no value `{value}`");
                        let hint = match nearest(value, values.keys().copied()) {
                            Some(near) => format!("did you mean `{near}`?"),
                            None => format!(
                                "it can be {}",
                                listed(&values.keys().copied().collect::<Vec<_>>(), "or")
                            ),
                        };
                        if !self.any_broken(Kind::Finding) {
                            self.refuse(who, &name(circumstance, value), what, Some(hint));
                        }
                        continue;
                    };
                    let usual = rules.chance(&finding.sound.chance);
                    if rules.known_chance(chance).is_some_and(|p| p <= usual) {
                        let what = format!(
                            "a chance no higher than any complaint's ({usual}) tells nothing"
                        );
                        let hint = "say what it does show; other values then count against it";
                        self.refuse(who, at, what, Some(hint.into()));
                    }
                }
            }
        }
    }

    /// A value of a circumstance: named after it, yes or no, of the engine, not sure.
    fn value(&mut self, who: Who, finding: &Finding, of: &str) {
        if circumstance(of).is_none() {
            let what = format!("no circumstance is called `{of}`");
            let hint = "`onset` (how it came on) or `when` (when it shows)".to_string();
            return self.refuse(who, to!["value_of"], what, Some(hint));
        }
        let named = finding.finding.strip_prefix(of);
        if named.and_then(|rest| rest.strip_prefix('-')).is_none() {
            let what = format!("a value of `{of}` is named after it");
            let hint = format!("call it `{of}-{}`", finding.finding);
            self.refuse(who, to!["value_of"], what, Some(hint));
        }
        if finding.grades.len() != 2 || finding.scope != Scope::Engine {
            let what = "a value of a circumstance is so or not, of the whole engine".to_string();
            let hint = "leave `grades` and `scope` out".to_string();
            self.refuse(who, to!["value_of"], what, Some(hint));
        }
    }

    fn reports(&mut self) {
        let rules = self.rules;
        for (id, fact) in &rules.facts {
            let who = (Kind::Fact, id.as_str());
            if !fact.reports.is_empty() {
                self.one_id(who, id);
            }
            for (cause, link) in &fact.reports {
                self.wants_key(who, "reports", Kind::Cause, cause);
                self.chance(who, to!["reports", cause.as_str(), "chance"], &link.chance);
                self.basis(who, to!["reports", cause.as_str(), "basis"], &link.basis);
                let shifts = rules.causes.get(cause);
                if shifts.is_some_and(|c| c.history.contains_key(id)) {
                    let what = format!("`{id}` reports `{cause}` and shifts its odds too");
                    let hint = "one thing counts once: take it out of the cause's `history`";
                    self.refuse(who, &name("reports", cause), what, Some(hint.into()));
                }
                if shifts.is_some_and(|c| c.sort == CauseSort::Measurement) {
                    let what = format!("`{cause}` is how it was measured, no state to report");
                    self.refuse(who, &name("reports", cause), what, None);
                }
            }
            match (&fact.falsely, fact.reports.is_empty()) {
                (None, false) => {
                    let what = format!("how often `{id}` is said falsely is not given");
                    let hint = "`falsely: {chance: 3%, basis: judgement}`".to_string();
                    self.refuse(who, to!["reports"], what, Some(hint));
                }
                (Some(link), false) => {
                    self.chance(who, to!["falsely", "chance"], &link.chance);
                    self.basis(who, to!["falsely", "basis"], &link.basis);
                }
                (Some(_), true) => {
                    let what = "`falsely` belongs to a fact that `reports` causes".to_string();
                    self.refuse(who, to!["falsely"], what, None);
                }
                (None, true) => {}
            }
        }
    }
}

/// The way from a sign back to itself, if there is one.
fn circle(rules: &Rules, start: &str) -> Option<String> {
    let mut seen = BTreeSet::new();
    let mut open = vec![vec![start]];
    while let Some(way) = open.pop() {
        let Some(sign) = way.last().and_then(|id| rules.signs.get(*id)) else {
            continue;
        };
        for member in sign.members().iter().rev() {
            if member == start {
                let ids = way.iter().chain([&start]).map(|id| format!("`{id}`"));
                return Some(ids.collect::<Vec<_>>().join(" -> "));
            }
            if rules.signs.contains_key(member) && seen.insert(member.as_str()) {
                open.push([way.as_slice(), &[member.as_str()]].concat());
            }
        }
    }
    None
}
