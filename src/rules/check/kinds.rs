//! Kinds of engines: a list with one value for each, of which at most one may
//! hold for any, and the traits that follow from the layout.

use super::{Checker, Who, to};
use crate::rules::file::{Axis, ByEngine, MOST_CYLINDERS, OnSome};
use crate::rules::node::Step;
use crate::rules::{Kind, Rules};
use crate::words::{listed, nearest};
use std::collections::BTreeSet;

/// An `on` list and a `not_on` list.
type Met<'r> = (&'r [String], &'r [String]);

impl Checker<'_> {
    /// Refuses what holds on no engine that meets `within` as well, two of a list
    /// that hold for one such engine, and an empty list.
    pub(super) fn one_holds<T: OnSome>(
        &mut self,
        who: Who,
        at: &[Step],
        values: &ByEngine<T>,
        within: &[Met],
    ) {
        let placed = values.placed(at);
        if placed.is_empty() {
            let what = "the list is empty".to_string();
            let hint = "one entry for each kind of engine, or leave the key out".to_string();
            self.refuse(who, at, what, Some(hint));
        }
        for (i, (place, second)) in placed.iter().enumerate() {
            let own = (second.on(), second.not_on());
            if meets_all(self.rules, &[within, &[own]].concat()).is_none()
                && self.all_known(own)
                && within.iter().all(|met| self.all_known(*met))
            {
                let what = "no engine can meet this: what it stands under rules it out".to_string();
                let hint =
                    "compare its `on` and `not_on` with those of the cause and of what is shown";
                self.refuse(who, place, what, Some(hint.into()));
                continue;
            }
            for (n, (_, first)) in placed[..i].iter().enumerate() {
                let two = [(first.on(), first.not_on()), (second.on(), second.not_on())];
                if !two.iter().all(|met| self.all_known(*met)) {
                    continue;
                }
                let Some(engine) = meets_all(self.rules, &[within, &two].concat()) else {
                    continue;
                };
                let (which, hint) = match engine.as_slice() {
                    [] => ("every engine".to_string(), "`on` and `not_on`".to_string()),
                    traits => (
                        format!("an engine that is {}", listed(traits, "and")),
                        format!("`on` and `not_on`, such as `not_on: [{}]`", traits[0]),
                    ),
                };
                let (n, i) = (n + 1, i + 1);
                let what = format!("the entries {n} and {i} of this list both hold on {which}");
                self.refuse(who, place, what, Some(format!("part them by {hint}")));
                break;
            }
        }
    }

    /// Words that follow from the number of cylinders: of the axis, in a range
    /// that an engine can have, and one at a time unless the axis allows several.
    pub(super) fn counted(&mut self, id: &str, axis: &Axis) {
        let who = (Kind::Axis, id);
        let mut before: Vec<(&str, [usize; 2])> = Vec::new();
        for (word, [from, to]) in &axis.cylinders {
            let at = to!["cylinders", word.as_str()];
            if !axis.traits.contains(word) {
                let what = format!("`{word}` is no trait of the axis `{id}`");
                let near = nearest(word, axis.traits.iter().map(String::as_str));
                let hint = near.map(|near| format!("did you mean `{near}`?"));
                self.refuse(who, at, what, hint);
            }
            if !(1 <= *from && from <= to && *to <= MOST_CYLINDERS) {
                let what = format!("{from} to {to} cylinders is no range of them");
                let hint = format!("the smaller first, within 1 to {MOST_CYLINDERS}");
                self.refuse(who, at, what, Some(hint));
                continue;
            }
            let met = |(_, [a, b]): &&(&str, [usize; 2])| a <= to && from <= b;
            if !axis.many
                && let Some((other, _)) = before.iter().find(met)
            {
                let what = format!("`{word}` and `{other}` hold for the same number");
                let hint = "an engine has one word of this axis: part the ranges".to_string();
                self.refuse(who, at, what, Some(hint));
            }
            before.push((word, [*from, *to]));
        }
    }

    /// Whether an axis knows each word; one that none knows is refused elsewhere.
    fn all_known(&self, (on, not_on): Met) -> bool {
        let known = |word: &String| self.rules.axis_of(word).is_some();
        on.iter().chain(not_on).all(known)
    }
}

/// The fewest traits of an engine that meets all of these, or none when no
/// engine can: its word of each axis must satisfy every list.
fn meets_all(rules: &Rules, all: &[Met]) -> Option<Vec<String>> {
    let mut engine = BTreeSet::new();
    for axis in rules.axes.values() {
        let expanded = |words: &[String]| -> BTreeSet<String> {
            let of = |word: &String| match axis.groups.get(word) {
                Some(group) => group.clone(),
                None if axis.traits.contains(word) => vec![word.clone()],
                None => Vec::new(),
            };
            words.iter().flat_map(of).collect()
        };
        let barred = expanded(
            &all.iter()
                .flat_map(|met| met.1)
                .cloned()
                .collect::<Vec<_>>(),
        );
        let wanted: Vec<BTreeSet<String>> = (all.iter())
            .map(|(on, _)| expanded(on))
            .filter(|words| !words.is_empty())
            .map(|words| words.difference(&barred).cloned().collect())
            .collect();
        if axis.many {
            for words in &wanted {
                engine.insert(words.first()?.clone());
            }
        } else if let Some((first, rest)) = wanted.split_first() {
            let word = first
                .iter()
                .find(|word| rest.iter().all(|w| w.contains(*word)))?;
            engine.insert(word.clone());
        }
    }
    Some(engine.into_iter().collect())
}

#[cfg(test)]
mod tests {
    use super::meets_all;
    use crate::rules::load;

    #[test]
    fn two_lists_are_met_by_one_engine_or_by_none() {
        let (rules, _) = load(None);
        let words =
            |text: &str| -> Vec<String> { text.split_whitespace().map(str::to_string).collect() };
        for (first, second, engine) in [
            (("petrol", ""), ("diesel", ""), None),
            (("petrol", ""), ("", "petrol"), None),
            (("spark", ""), ("", "petrol gas"), None),
            (("spark", ""), ("", "petrol"), Some("gas")),
            (
                ("petrol", ""),
                ("turbocharged", ""),
                Some("petrol turbocharged"),
            ),
            (("marine", ""), ("road inboard", "car"), Some("inboard")),
            (("egr", ""), ("decompressor", ""), Some("decompressor egr")),
            (("egr", ""), ("decompressor", "egr"), None),
            (("", ""), ("", "diesel"), Some("")),
            (("", "diesel"), ("diesel car", ""), None),
        ] {
            let lists = [first.0, first.1, second.0, second.1].map(words);
            let [a, not_a, b, not_b] = &lists;
            let met = meets_all(&rules, &[(a, not_a), (b, not_b)]);
            assert_eq!(met, engine.map(words), "{first:?} {second:?}");
        }
    }
}
