//! One engine on the bench, open: what both doors, the command line and the
//! shell, hand to every word.

use crate::diagnose::next::AtHand;
use crate::engine::Engine;
use crate::graph::Graph;
use crate::job::file::Act;
use crate::job::meaning::Reader;
use crate::job::shop::Shop;
use crate::job::store::Store;
use crate::job::{self, Holds, Job, Observation, Said, Warning, layout};
use crate::problem::{Problem, Problems, Severity};
use crate::rules::{self, Rules};
use crate::unroll::{Past, Tailored, Unrolled, tried};
use crate::words::nearest;
use std::collections::BTreeSet;
use std::ops::Range;
use std::path::Path;

/// An open job with the knowledge and its engine.
#[derive(Debug)]
pub struct Session {
    /// The knowledge.
    pub rules: Rules,
    /// The engine on the bench.
    pub engine: Engine,
    /// The job and the file that keeps it.
    pub store: Store,
    /// The shop: its air, instruments and equipment.
    pub shop: Shop,
}

impl Session {
    /// Opens a job with a folder of rules over the built-in ones; for writing,
    /// the job is kept from other writers until the session is dropped.
    ///
    /// # Errors
    /// Every fault of the rules folder and of the shop file beside the job; a job that [`Store::read`] or
    /// [`Store::open`] refuses; an engine that the rules do not know.
    pub fn open(job: &Path, rules: Option<&Path>, for_writing: bool) -> Result<Self, Problems> {
        let store = match for_writing {
            true => Store::open(job),
            false => Store::read(job),
        };
        let rules = known(rules)?;
        let shop = Shop::beside(job, &rules)?;
        Ok(Session {
            shop,
            ..Session::with(rules, store.map_err(|p| vec![p])?)?
        })
    }

    /// A session on a job that is open already.
    ///
    /// # Errors
    /// An engine that the rules do not know.
    pub fn with(rules: Rules, store: Store) -> Result<Self, Problems> {
        let engine = layout::engine(&rules, &store.job.file.engine).map_err(|misfits| {
            let file = store.written();
            let placed = misfits
                .into_iter()
                .map(|it| file.point(it.path, it.problem));
            placed.collect::<Problems>()
        })?;
        Ok(Session {
            rules,
            engine,
            store,
            shop: Shop::default(),
        })
    }

    /// Reads lines such as `leak-down@3=38%` for this engine.
    pub fn reader(&self) -> Reader<'_> {
        Reader {
            rules: &self.rules,
            engine: &self.engine,
            units: self.store.job.file.units,
        }
    }

    /// The rules unrolled for this engine, what is known of its past, and what was observed.
    ///
    /// # Errors
    /// When the network refuses a number; checked rules never cause one.
    pub fn unrolled(&self) -> Result<Unrolled, Problem> {
        self.unrolled_for(&self.evidence().0)
    }

    /// The same for other observations: the network has a finding for each
    /// answer about several findings and for each repair that was tried.
    ///
    /// # Errors
    /// As [`Session::unrolled`].
    pub fn unrolled_for(&self, seen: &[Observation]) -> Result<Unrolled, Problem> {
        let past = Past {
            so: self.facts(),
            perhaps: self.facts_that(Holds::Perhaps),
        };
        let joints = seen.iter().filter_map(|o| o.joint.clone()).collect();
        let repairs = self.rules.repairs.keys();
        let repairs = repairs.flat_map(|id| {
            let of = tried(id);
            let at = seen.iter().filter(move |o| o.finding == of);
            at.map(|o| (id.clone(), o.place))
        });
        let kinds = Tailored::after(&self.rules, &self.engine, &past);
        let kinds = kinds.with(&self.rules, joints, &repairs.collect());
        Ok(Unrolled::of(kinds, &self.engine)?)
    }

    /// History facts known to hold.
    pub fn facts(&self) -> BTreeSet<String> {
        self.facts_that(Holds::Yes)
    }

    fn facts_that(&self, hold: Holds) -> BTreeSet<String> {
        let facts = self.store.job.facts.iter();
        facts
            .filter(|(_, holds)| **holds == hold)
            .map(|(fact, _)| fact.clone())
            .collect()
    }

    /// What the shop lacks, how the engine stands, and what could not be told.
    pub fn at_hand(&self) -> AtHand {
        let job = &self.store.job;
        let tools = self.rules.equipment.keys();
        AtHand {
            lacking: tools.filter(|id| !self.has_tool(id)).cloned().collect(),
            in_place: job.set_up.clone(),
            set_aside: job::set_aside(&self.rules, &self.engine, job),
        }
    }

    /// The evidence as it would be with more readings, which are not recorded.
    ///
    /// # Errors
    /// Every line that is not understood.
    pub fn evidence_with(
        &self,
        said: &[Said],
    ) -> Result<(Vec<Observation>, Vec<Warning>), Problems> {
        let readings = self.understood(said)?;
        let mut file = self.store.job.file.clone();
        file.diary.push(Act {
            readings,
            ..Act::now()
        });
        let job = Job::replay(file).map_err(|stuck| vec![stuck.into()])?;
        Ok(self.told(&job))
    }

    /// What a job tells the network; a reading that is passed over is said with its line.
    fn told(&self, job: &Job) -> (Vec<Observation>, Vec<Warning>) {
        let (seen, mut warnings) =
            job::evidence(&self.rules, &self.engine, job, &self.shop.workbench);
        warnings.extend(self.unknown_ids(job));
        if warnings.iter().any(|it| it.passed_over) {
            let file = self.store.written();
            for it in warnings.iter_mut().filter(|it| it.passed_over) {
                let Some(index) = it.readings.first() else {
                    continue;
                };
                if let Some(spot) = file.reading(index + 1) {
                    it.says = format!("{spot}: {}", it.says);
                }
            }
        }
        (seen, warnings)
    }

    /// Facts and set-ups of a job that the rules do not know: they count for nothing.
    fn unknown_ids(&self, job: &Job) -> Vec<Warning> {
        let facts = (job.facts.keys())
            .filter(|id| !self.rules.facts.contains_key(*id))
            .map(|id| ("facts", "fact", id, nearest_of(id, self.rules.facts.keys())));
        let set_ups = (job.set_up.iter())
            .filter(|id| !self.rules.set_ups.contains_key(*id))
            .map(|id| {
                let near = nearest_of(id, self.rules.set_ups.keys());
                ("set_up", "set-up", id, near)
            });
        let unknown: Vec<_> = facts.chain(set_ups).collect();
        if unknown.is_empty() {
            return vec![];
        }
        let file = self.store.written();
        let says = |(list, kind, id, near): (&str, &str, &String, Option<&str>)| {
            let spot = file
                .first(list, id)
                .map_or(String::new(), |s| format!("{s}: "));
            let hint = near.map_or(String::new(), |near| format!("; did you mean `{near}`?"));
            format!("{spot}no {kind} is called `{id}`, so it is not used{hint}")
        };
        (unknown.into_iter())
            .map(|it| Warning {
                says: says(it),
                readings: vec![],
                passed_over: true,
            })
            .collect()
    }

    /// Whether a tool is at hand: as the job says, else as the shop file says, else it is.
    pub fn has_tool(&self, id: &str) -> bool {
        let job = &self.store.job;
        match self.shop.has(id) {
            Some(has) if !job.speaks_of_tool(id) => has,
            _ => job.has_tool(id),
        }
    }

    /// Lines as the job file keeps them, each place on its own.
    ///
    /// # Errors
    /// Every line that is not understood, each problem once.
    pub fn understood(&self, said: &[Said]) -> Result<Vec<Said>, Problems> {
        let mut problems = Problems::new();
        let mut lines = vec![];
        for line in said {
            match self.reader().understand(line) {
                Ok(it) => lines.extend(it.iter().map(|u| u.said(&self.rules))),
                Err(problem) => problems.push(problem),
            }
        }
        problems.dedup();
        match problems.is_empty() {
            true => Ok(lines),
            false => Err(problems),
        }
    }

    /// Writes lines into the diary, all or none, as part of an act that says how
    /// they were taken; gives the new readings' indices.
    ///
    /// # Errors
    /// Every line that is not understood, or the job cannot be saved.
    pub fn record(&mut self, said: &[Said], act: Act) -> Result<Range<usize>, Problems> {
        let readings = self.understood(said)?;
        let before = self.store.job.readings.len();
        let act = Act { readings, ..act };
        self.store.add(act).map_err(|p| vec![p])?;
        Ok(before..self.store.job.readings.len())
    }

    /// Writes down that the engine now stands so; set-ups that these end are taken off.
    ///
    /// # Errors
    /// The job cannot be saved.
    pub fn stand(&mut self, set_ups: &[String]) -> Result<(), Problem> {
        let said = set_ups.iter().map(|id| Said::plain(id, "yes")).collect();
        self.stand_as(said)
    }

    /// As [`Session::stand`], with set-ups that hold no more among them.
    ///
    /// # Errors
    /// The job cannot be saved.
    pub fn stand_as(&mut self, mut set_up: Vec<Said>) -> Result<(), Problem> {
        let begun = set_up.iter().filter(|s| s.value == "yes");
        let ends: Vec<&String> = begun
            .filter_map(|s| self.rules.set_ups.get(&s.of))
            .flat_map(|s| &s.ends)
            .collect();
        let ended = (self.store.job.set_up.iter())
            .filter(|id| ends.contains(id) && !set_up.iter().any(|s| s.of == **id))
            .map(|id| Said::plain(id, "no"));
        let ended: Vec<Said> = ended.collect();
        set_up.extend(ended);
        self.store.add(Act {
            set_up,
            ..Act::now()
        })
    }

    /// Takes back the last act that stands; gives what it said.
    ///
    /// # Errors
    /// There is none, or the job cannot be saved.
    pub fn undo(&mut self) -> Result<String, Problem> {
        let job = &self.store.job;
        let number = job
            .last_act()
            .ok_or_else(|| Problem::new("there is nothing to undo"))?;
        let said = job.file.diary[number - 1].says();
        self.store.add(Act {
            undo: Some(number),
            ..Act::now()
        })?;
        Ok(said)
    }

    /// What the readings that stand tell the network, and what is wrong with them.
    pub fn evidence(&self) -> (Vec<Observation>, Vec<Warning>) {
        self.told(&self.store.job)
    }
}

/// The known id that is spelt most like it.
fn nearest_of<'a>(id: &str, known: impl Iterator<Item = &'a String>) -> Option<&'a str> {
    nearest(id, known.map(String::as_str))
}

/// The built-in rules, with a user's folder over them.
///
/// The built-in rules are proved sound when the program is made; the check is
/// run again only when a folder changes them.
///
/// # Errors
/// Every fault that the folder brings.
pub fn known(folder: Option<&Path>) -> Result<Rules, Problems> {
    if folder.is_none() {
        return Ok(rules::load_whole(None).rules);
    }
    let (rules, mut problems) = rules::load(folder);
    problems.extend(Graph::of(&rules).1);
    let faults: Problems = (problems.into_iter())
        .filter(|p| p.severity == Severity::Error)
        .collect();
    match faults.is_empty() {
        true => Ok(rules),
        false => Err(faults),
    }
}
