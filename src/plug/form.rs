//! Asking for the looks of one plug: which question is next, what an answer
//! says, and the way back. Knows nothing of where the answers come from.

use super::chart::Chart;
use super::looks::Looks;
use super::matched::Matched;
use super::next::{circumstance, next};
use super::vocabulary::plain;
use crate::problem::{Problem, Problems};
use crate::rules::Rules;
use crate::rules::chart::Look;

/// What an answer says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Reply {
    /// Looks, of the one that was asked for or of others.
    Looks(Looks),
    /// Go on without it.
    Skip,
    /// Say more about the question.
    Help,
    /// Ask the question before this one again.
    Back,
    /// That is all of this plug.
    Enough,
    /// Leave; what was answered stays.
    Leave,
    /// None of the chart's conditions holds.
    Normal,
    /// The plug was not taken out.
    NotOut,
    /// It looks as the plug before it.
    Same,
}

/// A question that was put, and what was known before.
#[derive(Debug, Clone)]
struct Step {
    look: usize,
    before: Looks,
    answered: bool,
}

/// The questions about one plug, the most telling first, until the rest cannot matter.
#[derive(Debug, Clone, Default)]
pub struct Form {
    /// What is known of the plug.
    pub looks: Looks,
    steps: Vec<Step>,
}

impl Form {
    /// Starts from looks that are known already.
    pub fn new(looks: Looks) -> Self {
        Form {
            looks,
            steps: vec![],
        }
    }

    /// Whether no question was answered or passed over yet.
    pub fn is_new(&self) -> bool {
        self.steps.is_empty()
    }

    /// Takes over from the plug before how the engine was stopped and the like,
    /// where nothing is known of it.
    pub fn carry(&mut self, chart: &Chart, last: &Looks) {
        for (look, values) in &last.seen {
            if chart.looks[*look].circumstance {
                let known = self.looks.seen.entry(*look);
                known.or_insert_with(|| values.clone());
            }
        }
    }

    /// The next question, by the index of its look; none when no answer to any of
    /// those left is likely to change what is called.
    pub fn question(&self, rules: &Rules, chart: &Chart) -> Option<usize> {
        let matched = Matched::of(rules, chart, self.looks.clone());
        if !matched.is_possible() {
            return None;
        }
        let asked: Vec<usize> = self.steps.iter().map(|s| s.look).collect();
        match next(&matched, &asked) {
            Some(question) => Some(question.index),
            None => circumstance(rules, &matched, &asked),
        }
    }

    /// What an answer to the question about a look says: a number of its list, its
    /// words or those of any look, or one of the answers that are always possible.
    ///
    /// # Errors
    /// Words that the chart has not, and looks that contradict what was said before.
    pub fn understand(&self, chart: &Chart, look: usize, line: &str) -> Result<Reply, Problems> {
        let plain = plain(line.trim()).replace('’', "'");
        match plain.as_str() {
            "" | "skip" | "can't" | "cant" | "cannot tell" | "can't tell" | "unknown" => {
                return Ok(Reply::Skip);
            }
            "?" | "help" => return Ok(Reply::Help),
            "undo" | "back" => return Ok(Reply::Back),
            "enough" | "next" | "done" => return Ok(Reply::Enough),
            "stop" | "leave" | "quit" | "exit" => return Ok(Reply::Leave),
            "normal" => return Ok(Reply::Normal),
            "not out" | "still in" | "not removed" => return Ok(Reply::NotOut),
            "same" => return Ok(Reply::Same),
            _ => {}
        }
        let values = &chart.looks[look].values;
        let looks = match plain.parse::<usize>() {
            Ok(number) if (1..=values.len()).contains(&number) => {
                let only = (1..=values.len()).map(|k| k == number).collect();
                Looks {
                    seen: [(look, only)].into(),
                }
            }
            Ok(_) => {
                let what = format!("the list goes from 1 to {}", values.len());
                return Err(vec![Problem::new(what)]);
            }
            Err(_) => Looks::answer(chart, Some(look), line)?,
        };
        if !self.looks.clone().and(&looks) {
            let was = self.looks.words(chart);
            let problem = Problem::new(format!(
                "that contradicts what is known of this plug: {was}"
            ));
            return Err(vec![
                problem.hint("`undo` goes back to the question before"),
            ]);
        }
        Ok(Reply::Looks(looks))
    }

    /// Takes looks as the answer to the question about a look.
    pub fn take(&mut self, look: usize, looks: &Looks) {
        self.put(look, true);
        self.looks.and(looks);
    }

    /// Goes on without an answer.
    pub fn skip(&mut self, look: usize) {
        self.put(look, false);
    }

    fn put(&mut self, look: usize, answered: bool) {
        self.steps.push(Step {
            look,
            before: self.looks.clone(),
            answered,
        });
    }

    /// Goes back to the question before; says whether it had been answered, or
    /// nothing when none was put yet.
    pub fn back(&mut self) -> Option<bool> {
        let step = self.steps.pop()?;
        self.looks = step.before;
        Some(step.answered)
    }
}

/// A question in full: what is asked, the values by number, how to tell them.
pub fn help(look: &Look) -> Vec<String> {
    let values = look.values.iter().filter(|v| !v.help.is_empty());
    let mut lines: Vec<String> = values.map(|v| format!("{}: {}", v.title, v.help)).collect();
    if !look.help.is_empty() {
        lines.insert(0, look.help.clone());
    }
    for (number, value) in (1..).zip(&look.values) {
        if !value.words.is_empty() {
            lines.push(format!("{number} is also {}", value.words.join(", ")));
        }
    }
    lines
}
