//! The words of the chart: what each means, the longest at the start of a line,
//! the nearest to a slip.

use super::chart::Chart;
use crate::problem::Problem;
use crate::rules::chart::Look;
use crate::words::{listed, nearest};
use std::collections::BTreeMap;

/// Most tokens of a word.
const LONGEST: usize = 5;

/// What a word of the chart means.
#[derive(Debug, Clone)]
pub(super) struct Meant {
    /// Index of the look.
    pub look: usize,
    /// One flag for each of its values.
    pub values: Vec<bool>,
}

/// Every word of a chart.
pub(super) struct Vocabulary<'c, 'r> {
    chart: &'c Chart<'r>,
    /// Those spelt out and the groups first, then the ids of values, the first
    /// look of the chart having them.
    words: BTreeMap<String, Meant>,
}

/// A word as it is compared: small letters, blanks for hyphens.
pub(super) fn plain(word: &str) -> String {
    word.to_lowercase().replace(['-', '_'], " ")
}

impl<'c, 'r> Vocabulary<'c, 'r> {
    /// The words of a chart.
    pub fn of(chart: &'c Chart<'r>) -> Self {
        let mut words = BTreeMap::new();
        for (look, it) in chart.looks.iter().enumerate() {
            let spelt = it.values.iter().flat_map(|v| &v.words);
            for word in spelt.chain(it.groups.keys()) {
                if let Some(values) = meant(it, word) {
                    words.entry(plain(word)).or_insert(Meant { look, values });
                }
            }
        }
        for (look, it) in chart.looks.iter().enumerate() {
            for value in &it.values {
                let values = it.values.iter().map(|v| v.value == value.value).collect();
                words
                    .entry(plain(&value.value))
                    .or_insert(Meant { look, values });
            }
        }
        Vocabulary { chart, words }
    }

    /// The words with their meanings, in alphabetical order.
    pub fn known(&self) -> impl Iterator<Item = (&String, &Meant)> {
        self.words.iter()
    }

    /// The longest run of tokens that is a word: of the look asked for, of a look
    /// named before it (`nose cracked`, `seat:oily`), or of any. Gives how many
    /// tokens were taken.
    pub fn longest(&self, asked: Option<usize>, tokens: &[&str]) -> (usize, Option<Meant>) {
        for length in (1..=tokens.len().min(LONGEST)).rev() {
            let run = tokens[..length].join(" ");
            let of_asked = asked.and_then(|look| {
                let values = meant(self.chart.looks[look], &run)?;
                Some(Meant { look, values })
            });
            let meant = of_asked
                .or_else(|| self.of_look(&run))
                .or_else(|| self.words.get(&run).cloned());
            if meant.is_some() {
                return (length, meant);
            }
        }
        (1, None)
    }

    /// A look by its id, then one of its own words.
    fn of_look(&self, run: &str) -> Option<Meant> {
        let (look, word) = run.split_once([':', ' '])?;
        let look = self.chart.look(look)?;
        let values = meant(self.chart.looks[look], word)?;
        Some(Meant { look, values })
    }

    /// A token that is no word, with up to three near ones, or the condition of
    /// that name.
    pub fn unknown(&self, token: &str) -> Problem {
        let problem = Problem::new(format!("the chart has no look `{token}`"));
        let near = self.nearest_few(token);
        let names = self
            .chart
            .conditions
            .iter()
            .map(|c| c.it.condition.as_str());
        let name = nearest(token, names).map(|name| format!("the condition `{name}`"));
        let near: Vec<String> = near.into_iter().chain(name).collect();
        match near.is_empty() {
            true => problem.hint(format!(
                "nothing is near `{token}`; `plug --list` lists the looks and the conditions"
            )),
            false => problem.hint(format!(
                "for `{token}` did you mean {}?",
                listed(&near, "or")
            )),
        }
    }

    fn nearest_few(&self, token: &str) -> Vec<String> {
        let mut left: Vec<&str> = self.words.keys().map(String::as_str).collect();
        let mut near = vec![];
        while near.len() < 3
            && let Some(word) = nearest(token, left.iter().copied())
        {
            near.push(format!("`{word}`"));
            left.retain(|w| *w != word);
        }
        near
    }
}

/// The values of a look that one of its own words means.
fn meant(look: &Look, word: &str) -> Option<Vec<bool>> {
    let word = plain(word.trim());
    let same = |known: &String| plain(known) == word;
    if let Some((_, members)) = look.groups.iter().find(|(group, _)| same(group)) {
        let values = look.values.iter().map(|v| members.contains(&v.value));
        return Some(values.collect());
    }
    let values: Vec<bool> = (look.values.iter())
        .map(|v| same(&v.value) || v.words.iter().any(same))
        .collect();
    values.contains(&true).then_some(values)
}
