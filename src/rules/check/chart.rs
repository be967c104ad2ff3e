//! The spark plug chart: every id it names exists, chances add up to at most
//! one, each plug finding has its condition, and no word means two looks.

use super::{Checker, Who, to};
use crate::rules::Kind;
use crate::rules::chart::Shows;
use crate::rules::file::{Basis, Scope};
use crate::rules::node::Step;
use crate::words::nearest;
use std::collections::BTreeMap;

impl Checker<'_> {
    /// Faults of the chart.
    pub(super) fn chart(&mut self) {
        self.looks_hold();
        self.conditions_hold();
        self.words_are_single();
    }

    fn looks_hold(&mut self) {
        let rules = self.rules;
        for (id, look) in &rules.looks {
            let who = (Kind::Look, id.as_str());
            self.sentence(who, to!["ask"], &look.ask);
            for (i, value) in look.values.iter().enumerate() {
                if look.values[..i].iter().any(|v| v.value == value.value) {
                    let what = format!("`{}` is given twice", value.value);
                    self.refuse(who, to!["values", i, "value"], what, None);
                }
                for condition in value.odds.keys() {
                    self.wants(who, to!["values", i, "odds"], Kind::Condition, condition);
                }
                if value
                    .odds
                    .values()
                    .any(|times| !(*times > 0.0 && times.is_finite()))
                {
                    let what = "a factor on odds must be above 0".to_string();
                    self.refuse(who, to!["values", i, "odds"], what, None);
                }
                if !(0.0..=1.0).contains(&value.tells) {
                    let what = format!("`tells` is {}", value.tells);
                    let hint = Some("from 0 to 1".to_string());
                    self.refuse(who, to!["values", i, "tells"], what, hint);
                }
                if value.colour.as_deref().is_some_and(|c| !is_colour(c)) {
                    self.no_colour(who, to!["values", i, "colour"]);
                }
                self.shows(who, to!["values", i, "sound"], &value.sound);
                if let Some(basis) = &value.basis {
                    self.basis(who, to!["values", i, "basis"], basis);
                }
            }
            for (group, members) in &look.groups {
                for (i, member) in members.iter().enumerate() {
                    if !look.values.iter().any(|v| v.value == *member) {
                        let what = format!("`{member}` is no value of the look `{id}`");
                        self.refuse(who, to!["groups", group.as_str(), i], what, None);
                    }
                }
            }
        }
    }

    fn conditions_hold(&mut self) {
        let rules = self.rules;
        for (id, condition) in &rules.conditions {
            let who = (Kind::Condition, id.as_str());
            self.sentence(who, to!["says"], &condition.says);
            self.sentence(who, to!["means"], &condition.means);
            self.shows(who, to!["shows"], &condition.shows);
            self.basis(who, to!["basis"], &condition.basis);
            if let Some(finding) = &condition.finding {
                self.wants(who, to!["finding"], Kind::Finding, finding);
                if rules
                    .findings
                    .get(finding)
                    .is_some_and(|f| f.scope != Scope::Plug)
                {
                    let what = format!("the finding `{finding}` is not of a spark plug");
                    self.refuse(who, to!["finding"], what, None);
                }
                if condition.seen.is_none() {
                    let what = format!("`{id}` does not say how often it is `seen`");
                    self.refuse(who, &[], what, None);
                }
            }
            if let Some(seen) = &condition.seen {
                let chance = rules.known_chance(&seen.chance);
                if !chance.is_some_and(|p| p > 0.0 && p < 1.0) {
                    let what = "this is no chance between 0 and 1".to_string();
                    self.refuse(who, to!["seen", "chance"], what, None);
                }
                self.basis(who, to!["seen", "basis"], &seen.basis);
            }
            for (i, odds) in condition.more_common.iter().enumerate() {
                self.traits(who, to!["more_common", i], &odds.on, &odds.not_on);
                self.basis(who, to!["more_common", i, "basis"], &odds.basis);
            }
            for (i, other) in condition.other_engines.iter().enumerate() {
                self.traits(who, to!["other_engines", i], &other.on, &[]);
                self.sentence(who, to!["other_engines", i, "says"], &other.says);
                self.shows(who, to!["other_engines", i, "shows"], &other.shows);
                self.basis(who, to!["other_engines", i, "basis"], &other.basis);
            }
            for (other, text) in &condition.like {
                self.wants_key(who, "like", Kind::Condition, other);
                self.sentence(who, to!["like", other.as_str()], text);
            }
            if let Some(heat) = &condition.runs {
                let bounds = [heat.from, heat.to].into_iter().flatten();
                let in_order = bounds.clone().is_sorted() && bounds.clone().count() > 0;
                if !in_order || bounds.clone().any(|t| !(0.0..=2000.0).contains(&t)) {
                    let what = "`runs` goes from one temperature to a higher one, in degrees C";
                    self.refuse(who, to!["runs"], what.to_string(), None);
                }
                self.basis(who, to!["runs", "basis"], &heat.basis);
            }
            let colours = &condition.colours;
            let named = [
                ("deposit", &colours.deposit),
                ("nose", &colours.nose),
                ("metal", &colours.metal),
            ];
            for (key, colour) in named {
                if !is_colour(colour) {
                    self.no_colour(who, to!["colours", key]);
                }
            }
        }
    }

    fn no_colour(&mut self, who: Who, at: &[Step]) {
        let hint = Some("six hexadecimal figures, such as `'#b8946a'`".to_string());
        self.refuse(who, at, "this is no colour".into(), hint);
    }

    /// Looks, values and chances at a path.
    fn shows(&mut self, who: Who, at: &[Step], shows: &Shows) {
        let rules = self.rules;
        for (look, values) in shows {
            let place = [at, to![look.as_str()]].concat();
            self.wants(who, &place, Kind::Look, look);
            let Some(known) = rules.looks.get(look) else {
                continue;
            };
            let mut sum = 0.0;
            for (value, chance) in values {
                let place = [at, to![look.as_str(), value.as_str()]].concat();
                let ids = || known.values.iter().map(|v| v.value.as_str());
                if !ids().any(|id| id == value) {
                    let what = format!("the look `{look}` has no value `{value}`");
                    let hint = nearest(value, ids()).map(|near| format!("did you mean `{near}`?"));
                    self.refuse(who, &place, what, hint);
                }
                match rules.known_chance(chance) {
                    Some(p) => sum += p,
                    None => {
                        let what = "this is no chance".to_string();
                        let hint = "a word of `words.yaml` or a number from 0 to 1".to_string();
                        self.refuse(who, &place, what, Some(hint));
                    }
                }
            }
            if sum > 1.0 + 1e-9 {
                let what = format!("the chances of the look `{look}` add up to {sum:.2}");
                self.refuse(who, &place, what, Some("at most 1".into()));
            }
        }
    }

    /// A word typed at the bench must not mean two looks.
    fn words_are_single(&mut self) {
        let mut meant: BTreeMap<String, String> = BTreeMap::new();
        let rules = self.rules;
        for (id, look) in &rules.looks {
            let values = look.values.iter().flat_map(|v| v.words.iter());
            for word in values.chain(look.groups.keys()) {
                let plain = word.to_lowercase().replace('-', " ");
                if let Some(other) = meant.insert(plain, id.clone())
                    && other != *id
                {
                    let what = format!("`{word}` is a word for the look `{other}` as well");
                    self.refuse((Kind::Look, id), to!["values"], what, None);
                }
            }
        }
    }
}

/// Whether a text is `#rrggbb`.
fn is_colour(text: &str) -> bool {
    text.strip_prefix('#')
        .is_some_and(|hex| hex.len() == 6 && hex.chars().all(|c| c.is_ascii_hexdigit()))
}

impl crate::rules::Rules {
    /// Every statement of a basis in the chart.
    pub(super) fn chart_bases(&self) -> impl Iterator<Item = &Basis> {
        let looks = (self.looks.values())
            .flat_map(|look| &look.values)
            .filter_map(|value| value.basis.as_ref());
        let conditions = self.conditions.values().flat_map(|condition| {
            std::iter::once(&condition.basis)
                .chain(condition.seen.iter().map(|s| &s.basis))
                .chain(condition.runs.iter().map(|r| &r.basis))
                .chain(condition.more_common.iter().map(|o| &o.basis))
                .chain(condition.other_engines.iter().map(|o| &o.basis))
        });
        looks.chain(conditions)
    }
}
