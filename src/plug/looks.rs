//! Looks as typed: `black wet oily`, `white or grey, nose cracked`, `not wet`,
//! `seat:oily`.

use super::chart::Chart;
use crate::problem::{Problem, Problems};
use crate::words::{listed, nearest};
use std::collections::BTreeMap;

/// Words that say nothing by themselves.
const FILLERS: [&str; 24] = [
    "and",
    "with",
    "the",
    "a",
    "an",
    "very",
    "is",
    "in",
    "it",
    "on",
    "of",
    "bit",
    "quite",
    "all",
    "soft",
    "hard",
    "plug",
    "insulator",
    "electrode",
    "deposit",
    "deposits",
    "coating",
    "firing",
    "end",
];

/// What was seen of a plug: for each look, by index, the values that it may be.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Looks {
    /// One flag for each value of the look.
    pub seen: BTreeMap<usize, Vec<bool>>,
}

/// A word of the chart and what it means.
struct Meant {
    look: usize,
    values: Vec<bool>,
}

impl Looks {
    /// Reads looks. Values of one look that exclude each other are refused,
    /// unless `or` stands between them.
    ///
    /// # Errors
    /// Every unknown word with the nearest ones, every contradiction.
    pub fn read(chart: &Chart, typed: &str) -> Result<Self, Problems> {
        let words = vocabulary(chart);
        let plain = typed
            .to_lowercase()
            .replace(['-', '_'], " ")
            .replace(',', " , ");
        let tokens: Vec<&str> = plain.split_whitespace().collect();
        let mut looks = Looks::default();
        let mut before: Option<&str> = None;
        let mut problems = Problems::new();
        let (mut at, mut not, mut or) = (0, false, false);
        while at < tokens.len() {
            let (taken, meant) = longest(&words, chart, &tokens[at..]);
            let token = tokens[at];
            at += taken;
            let Some(mut meant) = meant else {
                match token {
                    "not" | "no" | "un" => not = true,
                    "or" => or = true,
                    "," => not = false,
                    filler if FILLERS.contains(&filler) || chart.look(filler).is_some() => {}
                    _ => problems.push(unknown(&words, token)),
                }
                continue;
            };
            if not {
                meant.values.iter_mut().for_each(|v| *v = !*v);
            }
            let word = tokens[at - taken];
            looks.take(chart, meant, or, (before, word), &mut problems);
            before = Some(word);
            (not, or) = (false, false);
        }
        if looks.seen.is_empty() && problems.is_empty() {
            problems.push(
                Problem::new("no look is named")
                    .hint("say what you see, such as `black wet oily` or `white, nose blistered`"),
            );
        }
        match problems.is_empty() {
            true => Ok(looks),
            false => Err(problems),
        }
    }

    fn take(
        &mut self,
        chart: &Chart,
        meant: Meant,
        or: bool,
        (before, word): (Option<&str>, &str),
        problems: &mut Problems,
    ) {
        let Some(seen) = self.seen.get_mut(&meant.look) else {
            self.seen.insert(meant.look, meant.values);
            return;
        };
        let both: Vec<bool> = (seen.iter().zip(&meant.values))
            .map(|(a, b)| if or { *a || *b } else { *a && *b })
            .collect();
        if both.contains(&true) {
            *seen = both;
            return;
        }
        let look = chart.looks[meant.look];
        let was: Vec<&str> = named(look, seen);
        let now: Vec<&str> = named(look, &meant.values);
        let (was, now) = (
            was.join(" or ").to_lowercase(),
            now.join(" or ").to_lowercase(),
        );
        let before = before.unwrap_or("that");
        problems.push(
            Problem::new(format!(
                "{}: `{word}` contradicts what stands before it; a plug is {was}, or {now}",
                look.title
            ))
            .hint(format!(
                "say the one that holds, or `{before} or {word}` if it cannot be told"
            )),
        );
    }

    /// Two readings of one plug together; a look in which they contradict may be
    /// either. Says whether they agree.
    pub fn and(&mut self, other: &Looks) -> bool {
        let mut agree = true;
        for (look, values) in &other.seen {
            let Some(seen) = self.seen.get_mut(look) else {
                self.seen.insert(*look, values.clone());
                continue;
            };
            let both: Vec<bool> = seen.iter().zip(values).map(|(a, b)| *a && *b).collect();
            match both.contains(&true) {
                true => *seen = both,
                false => {
                    agree = false;
                    seen.iter_mut().zip(values).for_each(|(a, b)| *a |= b);
                }
            }
        }
        agree
    }

    /// In words, look by look: "Black, wet with oil".
    pub fn words(&self, chart: &Chart) -> String {
        let said: Vec<String> = (self.seen.iter())
            .map(|(&i, values)| {
                let titles = named(chart.looks[i], values);
                match values.iter().filter(|v| !**v).count() {
                    1 if titles.len() > 2 => {
                        let not = values.iter().position(|v| !v).unwrap_or(0);
                        format!("not {}", lower(&chart.looks[i].values[not].title))
                    }
                    _ => listed(&titles.iter().map(|t| lower(t)).collect::<Vec<_>>(), "or"),
                }
            })
            .collect();
        said.join(", ")
    }

    /// The single value of a look, where one is known.
    pub fn only<'r>(&self, chart: &Chart<'r>, look: &str) -> Option<&'r str> {
        let i = chart.look(look)?;
        let values = self.seen.get(&i)?;
        let mut met = values.iter().enumerate().filter(|(_, v)| **v);
        match (met.next(), met.next()) {
            (Some((k, _)), None) => Some(chart.looks[i].values[k].value.as_str()),
            _ => None,
        }
    }
}

fn lower(title: &str) -> String {
    let mut letters = title.chars();
    match letters.next() {
        Some(first) => first.to_lowercase().chain(letters).collect(),
        None => String::new(),
    }
}

fn named<'r>(look: &'r crate::rules::chart::Look, values: &[bool]) -> Vec<&'r str> {
    (look.values.iter().zip(values))
        .filter(|(_, met)| **met)
        .map(|(v, _)| v.title.as_str())
        .collect()
}

/// Every word of the chart: those spelt out and the groups first, then the ids
/// of values, the first look of the chart having them.
fn vocabulary(chart: &Chart) -> BTreeMap<String, Meant> {
    let mut words = BTreeMap::new();
    let plain = |word: &str| word.to_lowercase().replace('-', " ");
    let one = |look: &crate::rules::chart::Look, id: &str| -> Vec<bool> {
        look.values.iter().map(|v| v.value == id).collect()
    };
    for (look, it) in chart.looks.iter().enumerate() {
        for value in &it.values {
            for word in &value.words {
                let values = one(it, &value.value);
                words.entry(plain(word)).or_insert(Meant { look, values });
            }
        }
        for (group, members) in &it.groups {
            let values = it
                .values
                .iter()
                .map(|v| members.contains(&v.value))
                .collect();
            words.entry(plain(group)).or_insert(Meant { look, values });
        }
    }
    for (look, it) in chart.looks.iter().enumerate() {
        for value in &it.values {
            let values = one(it, &value.value);
            words
                .entry(plain(&value.value))
                .or_insert(Meant { look, values });
        }
    }
    words
}

/// The words that a person can type, in alphabetical order.
pub fn known_words(chart: &Chart) -> Vec<String> {
    vocabulary(chart).into_keys().collect()
}

/// The longest run of tokens, up to five, that is a word of the chart, or a look
/// with a word of its own after it: `nose cracked`, `seat:oily`. Gives how many
/// tokens were taken.
fn longest(
    words: &BTreeMap<String, Meant>,
    chart: &Chart,
    tokens: &[&str],
) -> (usize, Option<Meant>) {
    for length in (1..=tokens.len().min(5)).rev() {
        let run = tokens[..length].join(" ");
        let meant = of_look(chart, &run).or_else(|| {
            let meant = words.get(&run)?;
            Some((meant.look, meant.values.clone()))
        });
        if let Some((look, values)) = meant {
            return (length, Some(Meant { look, values }));
        }
    }
    (1, None)
}

/// A look by its id, then one of its own words.
fn of_look(chart: &Chart, run: &str) -> Option<(usize, Vec<bool>)> {
    let (look, word) = run.split_once([':', ' '])?;
    let look = chart.look(look)?;
    let it = chart.looks[look];
    let same = |known: &String| known.to_lowercase().replace('-', " ") == word.trim();
    if let Some((_, members)) = it.groups.iter().find(|(group, _)| same(group)) {
        let values = it.values.iter().map(|v| members.contains(&v.value));
        return Some((look, values.collect()));
    }
    let values: Vec<bool> = (it.values.iter())
        .map(|v| same(&v.value) || v.words.iter().any(same))
        .collect();
    values.contains(&true).then_some((look, values))
}

fn unknown(words: &BTreeMap<String, Meant>, token: &str) -> Problem {
    let near: Vec<String> = nearest_few(token, words.keys());
    let problem = Problem::new(format!("the chart has no look `{token}`"));
    match near.is_empty() {
        true => problem.hint("`plug --list` lists the looks and the conditions of the chart"),
        false => problem.hint(format!("did you mean {}?", listed(&near, "or"))),
    }
}

/// Up to three known words near a typed one, the nearest first.
fn nearest_few<'a>(token: &str, known: impl Iterator<Item = &'a String>) -> Vec<String> {
    let mut left: Vec<&str> = known.map(String::as_str).collect();
    let mut near = vec![];
    while near.len() < 3
        && let Some(word) = nearest(token, left.iter().copied())
    {
        near.push(format!("`{word}`"));
        left.retain(|w| *w != word);
    }
    near
}
