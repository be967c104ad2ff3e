//! The case for each line of a choice: which causes it answers, what was
//! observed for and against them, what was ruled out and by what.

use super::desk::Desk;
use super::package::Package;
use crate::diagnose::doubt::Doubt;
use crate::diagnose::explain::{decibans, history};
use crate::diagnose::{Diagnosis, evidence};
use crate::engine::Place;
use crate::network::{Solved, Var};
use crate::problem::Problem;
use crate::rules::file::{CauseSort, Footing};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

/// A cause is named in the case for a line from this probability on.
pub const NAMED_FROM: f64 = 0.02;
/// Causes named for one line.
const MOST_NAMED: usize = 4;
/// A reading is named from this weight on, in decibans.
const FELT: f64 = 1.0;
/// A cause was in question from this probability on, and is ruled out below the other.
const IN_QUESTION: f64 = 0.12;
const RULED_OUT: f64 = 0.04;

/// A cause that a line answers.
#[derive(Debug, Clone, PartialEq)]
pub struct Answered {
    /// Kind of cause.
    pub kind: String,
    /// Title, with its most probable place.
    pub title: String,
    /// Probability that it is where the line reaches.
    pub probability: f64,
    /// The same before any reading.
    pub prior: f64,
    /// 5 % and 95 % points of the kind under redrawn rules, where asked for.
    pub range: Option<(f64, f64)>,
    /// How surely the line mends it.
    pub mended: f64,
    /// What that rests on.
    pub footing: Footing,
}

/// A reading with its weight in decibans.
pub type Weighed = (String, f64);

/// The case for one repair of a package.
#[derive(Debug, Clone, PartialEq)]
pub struct LineCase {
    /// Repair id.
    pub repair: String,
    /// Cylinders; none for the engine.
    pub cylinders: BTreeSet<usize>,
    /// Causes that it answers, most probable first.
    pub answers: Vec<Answered>,
    /// Readings for the first of them, weightiest first.
    pub speaks_for: Vec<Weighed>,
    /// Readings against it, weightiest first.
    pub speaks_against: Vec<Weighed>,
    /// What was observed raised at least one of them.
    pub supported: bool,
    /// What the hours rest on.
    pub hours: Footing,
}

/// A cause that was in question and is no longer.
#[derive(Debug, Clone, PartialEq)]
pub struct RuledOut {
    /// Title.
    pub title: String,
    /// Its highest probability on the way.
    pub was: f64,
    /// Its probability now.
    pub now: f64,
    /// The reading that took most of it away.
    pub by: String,
}

/// The case for every repair of a package.
///
/// # Errors
/// When the network refuses.
pub fn lines(
    desk: &Desk,
    facts: &BTreeSet<String>,
    course: &[Vec<f64>],
    package: &Package,
    doubt: Option<&Doubt>,
) -> Result<Vec<LineCase>, Problem> {
    let mut cases = Vec::new();
    for (id, cylinders) in &package.work {
        let alone = Package::default().with(id, cylinders);
        let (answers, first) = answered(desk, id, &alone, doubt)?;
        let mut weighed = Vec::new();
        if let Some(first) = first {
            let (_, history) = history(desk.d, facts, &[desk.stakes[first].var])?;
            weighed.extend(history.into_iter().map(|w| (w.said, w.in_order)));
            weighed.extend(
                course
                    .windows(2)
                    .zip(desk.d.observations)
                    .map(|(step, o)| (o.said.clone(), decibans(step[0][first], step[1][first]))),
            );
        }
        let (mut speaks_for, mut speaks_against): (Vec<Weighed>, Vec<Weighed>) = (weighed
            .into_iter())
        .filter(|(_, x)| x.abs() >= FELT)
        .partition(|(_, x)| *x > 0.0);
        speaks_for.sort_by(|a, b| b.1.total_cmp(&a.1));
        speaks_against.sort_by(|a, b| a.1.total_cmp(&b.1));
        cases.push(LineCase {
            repair: id.clone(),
            cylinders: cylinders.clone(),
            supported: desk.supported(id, cylinders),
            answers,
            speaks_for,
            speaks_against,
            hours: desk.d.rules.repairs[id].basis.footing,
        });
    }
    Ok(cases)
}

fn answered(
    desk: &Desk,
    repair: &str,
    alone: &Package,
    doubt: Option<&Doubt>,
) -> Result<(Vec<Answered>, Option<usize>), Problem> {
    let mended = desk.mended(alone);
    let mut kinds: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (i, stake) in desk
        .stakes
        .iter()
        .enumerate()
        .filter(|(i, _)| mended[*i] > 0.0)
    {
        kinds.entry(&stake.kind).or_default().push(i);
    }
    let mut answers: Vec<(Answered, usize)> = Vec::new();
    for (kind, at) in kinds {
        let more = |a: usize, b: usize| desk.stakes[b].present > desk.stakes[a].present;
        let leading = at.iter().copied();
        let Some(leading) = leading.reduce(|a, b| if more(a, b) { b } else { a }) else {
            continue;
        };
        let first = &desk.stakes[leading];
        let vars: Vec<Var> = at.iter().map(|&i| desk.stakes[i].var).collect();
        let probability = desk.d.any(&vars)?;
        if probability < NAMED_FROM {
            continue;
        }
        let apart: f64 = at.iter().map(|&i| 1.0 - desk.stakes[i].prior).product();
        let spread = first.present < probability / 2.0;
        let named = if spread { Place::Engine } else { first.place };
        let answered = Answered {
            kind: kind.into(),
            title: desk.d.title(kind, named),
            probability,
            prior: 1.0 - apart,
            range: doubt.and_then(|d| d.kinds.get(kind)).copied(),
            mended: mended[at[0]],
            footing: desk.d.rules.repairs[repair].mends[kind].basis.footing,
        };
        answers.push((answered, leading));
    }
    answers.sort_by(|a, b| {
        b.0.probability
            .total_cmp(&a.0.probability)
            .then_with(|| a.0.kind.cmp(&b.0.kind))
    });
    answers.truncate(MOST_NAMED);
    let first = answers.first().map(|(_, leading)| *leading);
    Ok((answers.into_iter().map(|(a, _)| a).collect(), first))
}

/// Probabilities of the stakes before any reading and after each, in the order recorded.
///
/// # Errors
/// When the network refuses.
pub fn course(desk: &Desk) -> Result<Vec<Vec<f64>>, Problem> {
    let d: &Diagnosis = desk.d;
    let vars: Vec<Var> = desk.stakes.iter().map(|s| s.var).collect();
    let after = |seen: usize| -> Result<Vec<f64>, Problem> {
        if seen == d.observations.len() {
            return Ok(desk.present());
        }
        let so_far = evidence(d.unrolled, &d.observations[..seen]);
        let solved = Solved::keeping(&d.unrolled.network, &so_far, &vars)?;
        Ok(solved.present(&vars)?)
    };
    let steps = (0..=d.observations.len()).into_par_iter();
    steps.map(after).collect()
}

/// Kinds of cause that were in question on the way and are no longer anywhere
/// they were, those that were most probable first.
pub fn ruled_out(desk: &Desk, course: &[Vec<f64>]) -> Vec<RuledOut> {
    let mut out: BTreeMap<&str, (f64, RuledOut, BTreeSet<usize>)> = BTreeMap::new();
    for (i, stake) in desk.stakes.iter().enumerate() {
        let was = course.iter().map(|step| step[i]).fold(0.0, f64::max);
        if stake.sort == CauseSort::Root || was < IN_QUESTION || stake.present > RULED_OUT {
            continue;
        }
        let drop = |step: usize| course[step][i] - course[step + 1][i];
        let most = (0..desk.d.observations.len()).max_by(|a, b| drop(*a).total_cmp(&drop(*b)));
        let Some(most) = most else { continue };
        let here = RuledOut {
            title: desk.d.title(&stake.kind, stake.place),
            was,
            now: stake.present,
            by: desk.d.observations[most].said.clone(),
        };
        let cylinders = stake.place.cylinders();
        match out.get_mut(stake.kind.as_str()) {
            None => {
                let at = cylinders.into_iter().collect();
                out.insert(&stake.kind, (drop(most), here, at));
            }
            Some((dropped, kind, at)) => {
                at.extend(cylinders);
                kind.title = desk.d.title(&stake.kind, Place::Engine);
                kind.was = kind.was.max(here.was);
                kind.now = kind.now.max(here.now);
                if drop(most) > *dropped {
                    (*dropped, kind.by) = (drop(most), here.by);
                }
            }
        }
    }
    let all = desk.d.engine.cylinders();
    let named = |(_, mut kind, at): (f64, RuledOut, BTreeSet<usize>)| {
        if at.len() > 1 {
            kind.title += &super::package::on_cylinders(&at, all);
        }
        kind
    };
    let mut out: Vec<RuledOut> = out.into_values().map(named).collect();
    out.sort_by(|a, b| b.was.total_cmp(&a.was).then_with(|| a.title.cmp(&b.title)));
    out.truncate(8);
    out
}
