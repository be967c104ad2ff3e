//! Looks as typed: `black wet oily`, `white or grey, nose cracked`, `not wet`,
//! `seat:oily`.

use super::chart::Chart;
use super::vocabulary::{Meant, Vocabulary, plain};
use crate::problem::{Problem, Problems};
use crate::words::{listed, lower};
use std::collections::BTreeMap;

/// Words that say nothing by themselves.
const FILLERS: [&str; 27] = [
    "as",
    "like",
    "looks",
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

impl Looks {
    /// Reads looks. Values of one look that exclude each other are refused,
    /// unless `or` stands between them.
    ///
    /// # Errors
    /// Every unknown word with the nearest ones, every contradiction.
    pub fn read(chart: &Chart, typed: &str) -> Result<Self, Problems> {
        Looks::answer(chart, None, typed)
    }

    /// As [`Looks::read`], the words of the look that was asked for going before
    /// all others: `oil` is what it smells of when that was the question.
    ///
    /// # Errors
    /// As [`Looks::read`].
    pub fn answer(chart: &Chart, asked: Option<usize>, typed: &str) -> Result<Self, Problems> {
        let words = Vocabulary::of(chart);
        let plain = plain(typed).replace(',', " , ");
        let tokens: Vec<&str> = plain.split_whitespace().collect();
        let mut looks = Looks::default();
        let mut before: Option<&str> = None;
        let mut problems = Problems::new();
        let (mut at, mut not, mut or) = (0, false, false);
        while at < tokens.len() {
            let (taken, meant) = words.longest(asked, &tokens[at..]);
            let token = tokens[at];
            at += taken;
            let Some(mut meant) = meant else {
                match token {
                    "not" | "no" | "un" => not = true,
                    "or" => or = true,
                    "," => not = false,
                    filler if FILLERS.contains(&filler) || chart.look(filler).is_some() => {}
                    _ => problems.push(words.unknown(token)),
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

    /// In words, look by look: "black, wet with oil, gap as set".
    pub fn words(&self, chart: &Chart) -> String {
        let said: Vec<String> = (self.seen.iter())
            .map(|(&i, values)| {
                let look = chart.looks[i];
                let titles = named(look, values);
                let mut shut = (0..values.len()).filter(|&k| !values[k]);
                let value = match (shut.next(), shut.next()) {
                    (Some(not), None) if titles.len() > 2 => {
                        format!("not {}", lower(&look.values[not].title))
                    }
                    _ => listed(&titles.iter().map(|t| lower(t)).collect::<Vec<_>>(), "or"),
                };
                match look.said.is_empty() {
                    true => value,
                    false => format!("{} {value}", look.said),
                }
            })
            .collect();
        said.join(", ")
    }

    /// As it can be typed again without doubt: `wetness:oil, colour:white or colour:grey`.
    pub fn typed(&self, chart: &Chart) -> String {
        let looks = self.seen.iter().map(|(&i, values)| {
            let look = chart.looks[i];
            let met = (look.values.iter().zip(values)).filter(|(_, met)| **met);
            let each = met.map(|(v, _)| format!("{}:{}", look.look, v.value));
            each.collect::<Vec<_>>().join(" or ")
        });
        looks.collect::<Vec<_>>().join(", ")
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

fn named<'r>(look: &'r crate::rules::chart::Look, values: &[bool]) -> Vec<&'r str> {
    (look.values.iter().zip(values))
        .filter(|(_, met)| **met)
        .map(|(v, _)| v.title.as_str())
        .collect()
}

/// The words that a person can type, hyphens for blanks, with what each means:
/// `light-brown` is "Colour of the firing end: tan to light brown".
pub fn known_words(chart: &Chart) -> BTreeMap<String, String> {
    let words = Vocabulary::of(chart);
    let means = |(word, meant): (&String, &Meant)| {
        let look = chart.looks[meant.look];
        let values: Vec<String> = (named(look, &meant.values).iter())
            .map(|title| lower(title))
            .collect();
        let means = format!("{}: {}", look.title, listed(&values, "or"));
        (word.replace(' ', "-"), means)
    };
    words.known().map(means).collect()
}
