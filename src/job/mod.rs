//! One engine on the bench: what it is, what was seen and measured, and the
//! file that keeps it.
//!
//! The file holds a head and a diary that only grows ([`file`]); a [`Job`] is
//! the diary replayed: which readings stand, which facts are known, what is
//! set up. [`store`] keeps it on disk, safe against a second writer and a full
//! disk.

mod answered;
mod aside;
pub mod closed;
mod evidence;
pub mod figures;
pub mod file;
mod joint;
mod known;
pub mod layout;
pub mod meaning;
mod moment;
pub mod oil;
pub mod opened;
mod place;
pub mod plugs;
pub mod pricing;
mod said;
pub mod shop;
pub mod store;
pub mod table;
mod together;
mod vague;
pub mod written;

use crate::problem::Problem;
pub use aside::set_aside;
use closed::{BenchLine, Closure};
pub use evidence::{Observation, Warning, evidence};
use file::{Act, JobFile};
pub use known::{Came, tried};
pub use moment::Moment;
pub use opened::measured;
pub use place::places;
pub use said::Said;
use std::collections::{BTreeMap, BTreeSet};

/// Every tool: `all=no` with a few others said `yes` is a shop that has only those.
pub const ALL: &str = "all";

/// Set-ups in which the engine is at running heat.
const WARM: [&str; 2] = ["engine-warm", "engine-running-warm"];
/// The set-up in which it is cold through.
const COLD: &str = "engine-cold";

/// Why and when a reading left the evidence.
#[derive(Debug, Clone, PartialEq)]
pub struct Gone {
    /// When.
    pub time: Moment,
    /// Why, where it was said; `undone` when its act was undone.
    pub why: Option<String>,
}

/// One reading or observation of the record.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// Number in the record, from 1; never used again.
    pub number: usize,
    /// The act that it was recorded in, from 1.
    pub act: usize,
    /// The engine was warm (`true`) or cold through, as it stood on the bench when it was taken.
    pub warm: Option<bool>,
    /// What was typed.
    pub said: Said,
    /// When it was taken.
    pub time: Moment,
    /// The test that it was part of.
    pub test: Option<String>,
    /// The instrument used.
    pub instrument: Option<String>,
    /// A remark.
    pub note: Option<String>,
    /// It is the complaint: what the engine was brought in with.
    pub complaint: bool,
    /// It tells of a time before, not of today.
    pub earlier: bool,
    /// Set when it was retracted or undone.
    pub gone: Option<Gone>,
}

impl Reading {
    /// Whether it is evidence of today: neither taken back nor of a time before.
    pub fn counts(&self) -> bool {
        self.gone.is_none() && !self.earlier
    }
}

/// Whether something holds: a fact of the engine's past, a set-up, a tool at hand.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Holds {
    /// It does.
    Yes,
    /// It does not.
    No,
    /// Perhaps: only of a fact.
    Perhaps,
}

impl Holds {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Holds::Yes => "yes",
            Holds::No => "no",
            Holds::Perhaps => "perhaps",
        }
    }
}

/// An act of the diary that cannot be followed.
#[derive(Debug, Clone, PartialEq)]
pub struct Stuck {
    /// Its number, from 1.
    pub act: usize,
    /// What is wrong.
    pub what: String,
    /// A way out.
    pub hint: Option<String>,
}

impl From<Stuck> for Problem {
    fn from(it: Stuck) -> Problem {
        Problem {
            hint: it.hint,
            ..Problem::new(format!("act {} of the diary: {}", it.act, it.what))
        }
    }
}

/// A job file with its diary replayed.
#[derive(Debug, Clone, PartialEq)]
pub struct Job {
    /// What stands in the file.
    pub file: JobFile,
    /// Every reading ever recorded, in order; those with `gone` are no evidence.
    pub readings: Vec<Reading>,
    /// History facts known, by id; what is unknown is not in the map.
    pub facts: BTreeMap<String, Holds>,
    /// Set-ups that the engine is in now.
    pub set_up: BTreeSet<String>,
    /// What was tried and what came of it, the last of each repair at a place.
    pub tried: Vec<Said>,
    /// Tools said to be at hand or not, [`ALL`] for those not named.
    pub tools: BTreeMap<String, Holds>,
    /// Figures of the opened engine that stand, in order.
    pub bench: Vec<BenchLine>,
    /// The maker's own limits, in order.
    pub limits: Vec<Said>,
    /// How it stands closed, if it does.
    pub closed: Option<Closure>,
}

impl Job {
    /// Replays the diary of a file.
    ///
    /// # Errors
    /// An act that retracts a reading, or undoes an act, that is not before it;
    /// a fact, set-up or tool that says neither `yes`, `no` nor `unknown`.
    pub fn replay(file: JobFile) -> Result<Self, Stuck> {
        let mut job = Job {
            readings: vec![],
            facts: BTreeMap::new(),
            set_up: BTreeSet::new(),
            tried: vec![],
            tools: BTreeMap::new(),
            bench: vec![],
            limits: vec![],
            closed: None,
            file,
        };
        let undone = job.undone()?;
        for (index, act) in job.file.diary.clone().iter().enumerate() {
            job.follow(index + 1, act, undone.get(&(index + 1)).copied())
                .map_err(|problem| Stuck {
                    act: index + 1,
                    what: problem.what,
                    hint: problem.hint,
                })?;
        }
        Ok(job)
    }

    /// The acts that were undone, by number, and when.
    fn undone(&self) -> Result<BTreeMap<usize, Moment>, Stuck> {
        let mut undone = BTreeMap::new();
        for (index, act) in self.file.diary.iter().enumerate() {
            let Some(number) = act.undo else { continue };
            let earlier = number.checked_sub(1).filter(|&n| n < index);
            let target = earlier.and_then(|n| self.file.diary.get(n));
            if target.is_none_or(|t| t.undo.is_some()) || undone.contains_key(&number) {
                return Err(Stuck {
                    act: index + 1,
                    what: format!("it undoes act {number}, which cannot be undone there"),
                    hint: None,
                });
            }
            undone.insert(number, act.time);
        }
        Ok(undone)
    }

    /// Takes one act in; its readings are kept even when it was undone.
    fn follow(&mut self, number: usize, act: &Act, undone: Option<Moment>) -> Result<(), Problem> {
        let warm = self.warm_at(act);
        for said in &act.readings {
            self.readings.push(Reading {
                number: self.readings.len() + 1,
                act: number,
                warm,
                said: said.clone(),
                time: act.taken.unwrap_or(act.time),
                test: act.test.clone(),
                instrument: act.instrument.clone(),
                note: act.note.clone(),
                complaint: act.complaint,
                earlier: act.earlier,
                gone: undone.map(|time| Gone {
                    time,
                    why: Some("undone".into()),
                }),
            });
        }
        for &number in &act.complaint_of {
            let reading = self.before(number)?;
            reading.complaint |= undone.is_none();
        }
        for &number in &act.retract {
            let reading = self.before(number)?;
            if undone.is_none() && reading.gone.is_none() {
                reading.gone = Some(Gone {
                    time: act.time,
                    why: act.note.clone(),
                });
            }
        }
        if undone.is_some() {
            return Ok(());
        }
        self.ended(number, act)?;
        for said in &act.facts {
            match said.value.as_str() {
                "perhaps" => drop(self.facts.insert(said.of.clone(), Holds::Perhaps)),
                _ => note(&mut self.facts, said)?,
            }
        }
        for said in &act.tried {
            (self.tried).retain(|before| (&before.of, &before.at) != (&said.of, &said.at));
            if said.value != "unknown" {
                self.tried.push(said.clone());
            }
        }
        for said in &act.tools {
            if said.of == ALL {
                self.tools.clear();
            }
            note(&mut self.tools, said)?;
        }
        for said in &act.set_up {
            match holds(said)? {
                Some(Holds::Yes) => self.set_up.insert(said.of.clone()),
                _ => self.set_up.remove(&said.of),
            };
        }
        Ok(())
    }

    /// A reading that an act speaks of, by its number.
    fn before(&mut self, number: usize) -> Result<&mut Reading, Problem> {
        let reading = number.checked_sub(1).and_then(|i| self.readings.get_mut(i));
        reading.ok_or_else(|| Problem::new(format!("there is no reading {number} before it")))
    }

    /// Takes in what opens and closes a job; a closed job takes nothing else.
    fn ended(&mut self, number: usize, act: &Act) -> Result<(), Problem> {
        let is_open = self.closed.is_none();
        if let Some(why) = &act.reopened {
            let hint = if why.is_empty() {
                "it is open already"
            } else {
                why
            };
            self.closed = match is_open {
                true => return Err(Problem::new("the job is not closed").hint(hint)),
                false => None,
            };
        }
        if let Some(closed) = &act.closed {
            if self.closed.is_some() {
                return Err(Problem::new("the job is closed already")
                    .hint("`close --reopen WHY` opens it again, `undo` takes the closing back"));
            }
            self.closed = Some(Closure {
                act: number,
                time: act.taken.unwrap_or(act.time),
                retest: closed.retest.clone(),
                it: closed.clone(),
                comebacks: vec![],
            });
            return Ok(());
        }
        let later = act.comeback.is_some() || !act.retest.is_empty();
        match &mut self.closed {
            Some(closure) => {
                let time = act.taken.unwrap_or(act.time);
                closure
                    .comebacks
                    .extend(act.comeback.iter().map(|with| (time, with.clone())));
                closure.retest.extend(act.retest.iter().cloned());
            }
            None if later => {
                return Err(Problem::new("the job is not closed").hint(
                    "what came after the repair is said of a closed job: `close --found CAUSE`",
                ));
            }
            None => {}
        }
        let adds = !act.readings.is_empty() || !act.bench.is_empty() || !act.limits.is_empty();
        if self.closed.is_some() && (adds || !act.facts.is_empty() || !act.retract.is_empty()) {
            return Err(Problem::new("the job is closed").hint(
                "`close --reopen WHY` opens it again; readings after the repair are `close --retest`",
            ));
        }
        for said in &act.bench {
            self.bench
                .retain(|old| (&old.said.of, &old.said.at) != (&said.of, &said.at));
            self.bench.push(BenchLine {
                act: number,
                said: said.clone(),
                time: act.taken.unwrap_or(act.time),
                instrument: act.instrument.clone(),
            });
        }
        self.limits.extend(act.limits.iter().cloned());
        Ok(())
    }

    /// Whether the engine was warm at an act, by the set-ups that held then; what
    /// the act itself says goes first.
    fn warm_at(&self, act: &Act) -> Option<bool> {
        let stands = |id: &str| {
            let own = act.set_up.iter().rfind(|said| said.of == id);
            own.map_or(self.set_up.contains(id), |said| said.value == "yes")
        };
        match (WARM.iter().any(|id| stands(id)), stands(COLD)) {
            (true, false) => Some(true),
            (false, true) => Some(false),
            _ => None,
        }
    }

    /// Whether a tool is at hand; one that was never spoken of is taken to be.
    pub fn has_tool(&self, id: &str) -> bool {
        let said = self.tools.get(id).or(self.tools.get(ALL));
        said.is_none_or(|holds| *holds == Holds::Yes)
    }

    /// Whether the job itself says that a tool is at hand or not.
    pub fn speaks_of_tool(&self, id: &str) -> bool {
        self.tools.contains_key(id) || self.tools.contains_key(ALL)
    }

    /// The number of the last act that can be undone: the latest that is
    /// neither undone nor itself an undoing.
    pub fn last_act(&self) -> Option<usize> {
        let undone: BTreeSet<usize> = self.file.diary.iter().filter_map(|a| a.undo).collect();
        (1..=self.file.diary.len())
            .rev()
            .find(|n| self.file.diary[n - 1].undo.is_none() && !undone.contains(n))
    }

    /// The readings that are evidence.
    pub fn standing(&self) -> impl Iterator<Item = &Reading> {
        self.readings.iter().filter(|r| r.counts())
    }
}

/// `yes`, `no`, or nothing for `unknown`.
fn holds(said: &Said) -> Result<Option<Holds>, Problem> {
    match said.value.as_str() {
        "yes" => Ok(Some(Holds::Yes)),
        "no" => Ok(Some(Holds::No)),
        "unknown" => Ok(None),
        other => Err(Problem::new(format!("`{}` cannot be `{other}`", said.of))
            .hint("say `yes`, `no` or `unknown`")),
    }
}

fn note(known: &mut BTreeMap<String, Holds>, said: &Said) -> Result<(), Problem> {
    match holds(said)? {
        Some(it) => known.insert(said.of.clone(), it),
        None => known.remove(&said.of),
    };
    Ok(())
}
