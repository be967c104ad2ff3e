//! Lines that are no word of the grammar: a finding named alone, or an
//! observation said in plain words.

use super::bench::Bench;
use super::input::{Typed, Wanted};
use super::questions;
use super::search::Sort;
use super::walk;
use crate::answer::{Answer, Ending};
use crate::engine::Place;
use crate::job::meaning::places;
use crate::rules::file::Scope;
use crate::rules::signs::circumstance;
use crate::show::{self, FAINT, styled};
use crate::words::nearest;

/// Observations listed for plain words.
const FOUND: usize = 6;

impl Bench<'_> {
    /// Asks about a finding or raw reading named alone, `leak-down` or `leak-down@3`.
    pub(super) fn ask_of(&mut self, named: &str) -> Result<bool, Ending> {
        let (id, at) = match named.split_once('@') {
            Some((id, at)) => (id, Some(at)),
            None => (named, None),
        };
        let rules = &self.session.rules;
        let scope = match (rules.findings.get(id), rules.readings.get(id)) {
            (Some(f), _) => f.scope,
            (None, Some(r)) => r.scope,
            (None, None) => match rules.signs.get(id) {
                Some(sign) => sign.scope,
                None if circumstance(id).is_some() => Scope::Engine,
                None => return Ok(false),
            },
        };
        let at = at.or((scope != Scope::Engine).then_some("all"));
        let places: Vec<Place> = places(&self.session.engine, scope, at, id)?;
        let asked = match rules.findings.get(id) {
            Some(f) if f.measured.is_none() => questions::of_finding(f, places),
            _ => {
                let of = id.to_string();
                places
                    .into_iter()
                    .map(|place| questions::Question::Each {
                        of: of.clone(),
                        place,
                    })
                    .collect()
            }
        };
        walk::ask(self, &asked, None)?;
        Ok(true)
    }

    /// Plain words: lists the observations that they may mean and asks about one.
    pub(super) fn look_up(&mut self, line: &str, first: &str, words: usize) -> Answer {
        let hits = self.index.find(line, FOUND);
        if let Some(near) = nearest(first, self.words.iter().map(|w| w.name.as_str()))
            && (words == 1 || line.contains("--"))
        {
            writeln!(
                self.out,
                "There is no word `{first}`; did you mean `{near}`?"
            )?;
        } else if hits.is_empty() {
            writeln!(
                self.out,
                "Nothing is known like `{line}`; try other words, or `help`."
            )?;
        }
        if hits.is_empty() {
            return Ok(());
        }
        for (number, hit) in (1..).zip(&hits) {
            let id = styled(FAINT, &hit.id);
            writeln!(self.out, "{number:3}  {}  {id}", hit.title)?;
        }
        let numbers = (1..=hits.len()).map(|n| n.to_string()).collect();
        let prompt = "Which one? (its number, or nothing) ";
        let Typed::Line(answer) = self.input.line(prompt, Wanted::Answer { usual: numbers })?
        else {
            return Ok(());
        };
        let picked = answer
            .trim()
            .parse::<usize>()
            .ok()
            .and_then(|n| n.checked_sub(1));
        match picked.and_then(|n| hits.get(n)) {
            Some(hit) if matches!(hit.sort, Sort::Finding | Sort::Sign) => {
                self.ask_of(&hit.id).map(|_| ())
            }
            Some(hit) if hit.sort == Sort::Look => self.ask_plug(&hit.id.clone()),
            Some(hit) => self.ask_fact(&hit.id.clone()),
            None => Ok(()),
        }
    }

    /// Asks which plug looks so.
    fn ask_plug(&mut self, look: &str) -> Answer {
        let places = self.session.engine.places(Scope::Plug);
        let usual = places.iter().map(ToString::to_string).collect();
        let prompt = "Which plug? (such as 3, or 1,4, or all) ";
        if let Typed::Line(at) = self.input.line(prompt, Wanted::Answer { usual })?
            && !at.trim().is_empty()
        {
            let words = ["plug".into(), at.trim().replace(' ', ""), look.to_string()];
            self.grammar
                .run(&words, self.session, self.input, self.out)?;
        }
        Ok(())
    }

    /// Asks whether a fact holds.
    fn ask_fact(&mut self, id: &str) -> Answer {
        let ask = self
            .session
            .rules
            .facts
            .get(id)
            .map_or(String::new(), |f| f.ask.clone());
        writeln!(self.out, "{}", show::wrapped(&ask, show::width(), 0))?;
        let usual = ["yes", "no", "perhaps", "unknown"]
            .map(String::from)
            .to_vec();
        if let Typed::Line(answer) = self
            .input
            .line("yes, no, perhaps or unknown> ", Wanted::Answer { usual })?
        {
            let answer = answer.trim();
            if !answer.is_empty() {
                let words = ["fact".to_string(), format!("{id}={answer}")];
                self.grammar
                    .run(&words, self.session, self.input, self.out)?;
            }
        }
        Ok(())
    }
}
