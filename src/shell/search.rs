//! Finds an observation or a fact by what one would say: "blue smoke after
//! idling", "milky cap", "oil in the airbox".
//!
//! Every finding, fact and look of a plug of this engine is a handful of phrases (title,
//! question, what people type). Words are compared by their stems, slips of the
//! pen forgiven, rare words counting more than common ones.

use crate::engine::Engine;
use crate::plug::Chart;
use crate::rules::Rules;
use crate::rules::file::Scope;
use crate::words::lower;
use rust_stemmers::{Algorithm, Stemmer};
use std::collections::{BTreeMap, BTreeSet};

/// Words that say nothing of an engine.
const IDLE: &str = "a an and are as be been by can did do does for from had has have i in is it \
                    its me my of or some that the there this to was were when while with you";

/// Likeness of two stems that counts as a slip of the pen.
const SLIP: f64 = 0.8;

/// What is seen on the engine as a whole is meant before what is seen at a cylinder.
const FINER: f64 = 0.98;

/// A word for several findings is meant before any one of them that fits as well.
const VAGUE: f64 = 1.01;

/// A look of a plug is meant after what is seen of the engine.
const LOOK: f64 = 0.9;

/// Stems of a question that are looked for; the rest of it is passed over.
const MOST_WORDS: usize = 40;

/// What sort of thing was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Sort {
    /// Something to observe.
    Finding,
    /// A vague or summary word for several findings.
    Sign,
    /// A fact of the engine's past.
    Fact,
    /// A look of a spark plug, `colour:brown`.
    Look,
}

/// Something found.
#[derive(Debug, Clone, PartialEq)]
pub struct Hit {
    /// Its id.
    pub id: String,
    /// Finding or fact.
    pub sort: Sort,
    /// Its title.
    pub title: String,
    /// How well it fits: 1 when every word of the query is in one of its phrases.
    pub fit: f64,
}

/// A phrase as stems, and how much it speaks for its entry.
struct Phrase {
    stems: Vec<String>,
    weight: f64,
}

/// Everything of one engine that can be found.
pub struct Index {
    stemmer: Stemmer,
    entries: Vec<(Hit, Vec<Phrase>)>,
    /// In how many entries a stem stands.
    common: BTreeMap<String, usize>,
}

impl Index {
    /// Reads the findings and facts that apply to an engine.
    pub fn of(rules: &Rules, engine: &Engine) -> Self {
        let mut index = Index {
            stemmer: Stemmer::create(Algorithm::English),
            entries: vec![],
            common: BTreeMap::new(),
        };
        let says = |finding: &str| -> Vec<&String> {
            let known = rules.conditions.values();
            let of = known.filter(|c| c.finding.as_deref() == Some(finding));
            of.flat_map(|c| [&c.title, &c.says]).collect()
        };
        for (id, f) in &rules.findings {
            if rules.applies(&engine.traits, &f.on, &f.not_on) {
                let known = if f.scope == Scope::Engine { 1.0 } else { FINER };
                index.add(
                    Sort::Finding,
                    id,
                    &f.title,
                    &[vec![&f.ask, &f.help], says(id)].concat(),
                    &f.words,
                    known,
                );
            }
        }
        for (id, sign) in &rules.signs {
            if rules.has_sign(id, &engine.traits) {
                let prose = [&sign.ask, &sign.help];
                index.add(Sort::Sign, id, &sign.title, &prose, &sign.words, VAGUE);
            }
        }
        for (id, f) in &rules.facts {
            if rules.applies(&engine.traits, &f.on, &[]) {
                index.add(Sort::Fact, id, &f.title, &[&f.ask], &f.words, 1.0);
            }
        }
        let chart = Chart::of(rules, engine);
        for look in chart.iter().flat_map(|chart| &chart.looks) {
            for value in &look.values {
                let id = format!("{}:{}", look.look, value.value);
                let title = format!("{}: {}", look.title, lower(&value.title));
                let prose = [&look.title, &value.help];
                index.add(Sort::Look, &id, &title, &prose, &value.words, LOOK);
            }
        }
        index
    }

    fn add(
        &mut self,
        sort: Sort,
        id: &str,
        title: &str,
        prose: &[&String],
        words: &[String],
        known: f64,
    ) {
        let mut phrases = vec![(title, 1.0), (id, 0.95)];
        phrases.extend(words.iter().map(|w| (w.as_str(), 1.0)));
        phrases.extend(prose.iter().map(|p| (p.as_str(), 0.7)));
        let phrases: Vec<Phrase> = phrases
            .into_iter()
            .map(|(text, weight)| Phrase {
                stems: self.stems(text),
                weight: weight * known,
            })
            .collect();
        let all: BTreeSet<&String> = phrases.iter().flat_map(|p| &p.stems).collect();
        for stem in all {
            *self.common.entry(stem.clone()).or_default() += 1;
        }
        let hit = Hit {
            id: id.into(),
            sort,
            title: title.into(),
            fit: 0.0,
        };
        self.entries.push((hit, phrases));
    }

    /// The stems of a text, idle words left out.
    fn stems(&self, text: &str) -> Vec<String> {
        text.to_lowercase()
            .replace(['\'', '’'], "")
            .split(|c: char| !c.is_alphanumeric())
            .filter(|w| !w.is_empty() && !IDLE.split_whitespace().any(|idle| idle == *w))
            .map(|w| self.stemmer.stem(w).into_owned())
            .collect()
    }

    /// How much a stem tells: more when it stands in few entries.
    fn worth(&self, stem: &str) -> f64 {
        let in_how_many = self.common.get(stem).copied().unwrap_or(0) as f64;
        (1.0 + self.entries.len() as f64 / (0.5 + in_how_many)).ln()
    }

    /// What fits the words best, at most `most` of them; ties by id.
    pub fn find(&self, words: &str, most: usize) -> Vec<Hit> {
        let mut query = self.stems(words);
        query.truncate(MOST_WORDS);
        let asked: f64 = query.iter().map(|q| self.worth(q)).sum();
        if asked <= 0.0 {
            return vec![];
        }
        let mut hits: Vec<Hit> = (self.entries.iter())
            .map(|(hit, phrases)| Hit {
                fit: self.fit(&query, phrases) / asked,
                ..hit.clone()
            })
            .filter(|hit| hit.fit >= 0.3)
            .collect();
        hits.sort_by(|a, b| b.fit.total_cmp(&a.fit).then(a.id.cmp(&b.id)));
        let best = hits.first().map_or(0.0, |h| h.fit);
        hits.retain(|hit| hit.fit >= 0.5 * best);
        hits.truncate(most);
        hits
    }

    /// The worth of the query's stems found: mostly in the one phrase that holds
    /// most of them, a little anywhere in the entry.
    fn fit(&self, query: &[String], phrases: &[Phrase]) -> f64 {
        let in_one = phrases.iter().map(|phrase| {
            let mut used = 0.0;
            let mut found = 0.0;
            for stem in query {
                let alike = best_likeness(stem, &phrase.stems);
                found += alike * self.worth(stem);
                used += alike;
            }
            // Of two phrases that hold the same words the shorter is meant.
            let filled = used / phrase.stems.len().max(1) as f64;
            phrase.weight * found * (0.85 + 0.15 * filled.min(1.0))
        });
        let anywhere = query.iter().map(|stem| {
            let alike = phrases.iter().map(|p| best_likeness(stem, &p.stems));
            alike.fold(0.0, f64::max) * self.worth(stem)
        });
        0.75 * in_one.fold(0.0, f64::max) + 0.25 * anywhere.sum::<f64>()
    }
}

/// How like a stem the nearest of a phrase is: 1 the same, less for its beginning or a slip.
fn best_likeness(stem: &str, phrase: &[String]) -> f64 {
    phrase
        .iter()
        .map(|other| likeness(stem, other))
        .fold(0.0, f64::max)
}

fn likeness(a: &str, b: &str) -> f64 {
    if a == b {
        return 1.0;
    }
    let (short, long) = if a.len() < b.len() { (a, b) } else { (b, a) };
    if short.len() < 4 {
        return 0.0;
    }
    if long.starts_with(short) {
        return 0.8;
    }
    let alike = strsim::normalized_damerau_levenshtein(a, b);
    match alike >= SLIP || (short.len() <= 5 && alike >= 0.75) {
        true => 0.7 * alike,
        false => 0.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules;

    fn index(family: &str) -> Index {
        let rules = rules::load_whole(None).rules;
        let it = &rules.families[family];
        let engine = Engine {
            name: String::new(),
            family: family.into(),
            traits: rules.family_traits(it),
            banks: Engine::deal(it.cylinders, it.banks),
            dimensions: it.dimensions.clone(),
        };
        Index::of(&rules, &engine)
    }

    fn first(index: &Index, words: &str) -> String {
        index
            .find(words, 1)
            .first()
            .map_or(String::new(), |hit| hit.id.clone())
    }

    #[test]
    fn an_observation_is_found_by_what_one_would_say() {
        let index = index("industrial-petrol");
        for (words, id) in [
            ("blue smoke after idling", "blue-smoke-at-idle"),
            (
                "smokes blue when i start it in the morning",
                "blue-smoke-on-start",
            ),
            ("milky cap", "oil-milky"),
            ("oil in the airbox", "oil-in-airbox"),
            ("stood all winter", "long-lay-up"),
            ("bubbles in the radiator", "coolant-bubbles"),
            ("plug wet with oil", "plug-oil-wet"),
            ("leakdown", "leak-down"),
            ("plug electrode melted", "plug-preignition"),
            ("velvet black soot wipes off", "plug-dry-carbon"),
            ("turquoise", "colour:green"),
            ("plug sandy", "plug-silicon-dirt"),
        ] {
            assert_eq!(first(&index, words), id, "{words}");
        }
    }

    #[test]
    fn what_the_engine_has_not_is_not_found() {
        assert_ne!(
            first(&index("industrial-petrol"), "turbo shaft play"),
            "turbo-shaft-play"
        );
        assert_eq!(
            first(&index("light-diesel-turbo"), "turbo shaft play"),
            "turbo-shaft-play"
        );
    }

    #[test]
    fn nonsense_finds_nothing() {
        let index = index("industrial-petrol");
        assert_eq!(index.find("xyzzy qwfp", 5), vec![]);
        assert_eq!(index.find("", 5), vec![]);
        assert_eq!(index.find("the and of", 5), vec![]);
    }
}
