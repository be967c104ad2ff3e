//! The case for each line of a choice: which causes it answers, what was
//! observed for and against them, what was ruled out and by what.

use super::desk::{Desk, Stake};
use super::package::{Package, on_cylinders};
use crate::diagnose::doubt::Doubt;
use crate::engine::Place;
use crate::network::Var;
use crate::problem::Problem;
use crate::rules::file::{CauseSort, Footing};
use std::collections::{BTreeMap, BTreeSet};

/// Causes named for one line.
const MOST_NAMED: usize = 4;
/// A reading is named from this weight on, in decibans.
const FELT: f64 = 1.0;
/// A cause was in question from this probability on, by what speaks for it alone.
const IN_QUESTION: f64 = 0.12;
/// It is ruled out when it is less probable than this now.
const RULED_OUT: f64 = 0.04;
/// And so much speaks against it, in decibans.
const AGAINST: f64 = 3.0;

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
    /// What it would be by what speaks for it alone.
    pub was: f64,
    /// Its probability now.
    pub now: f64,
    /// The reading that speaks most against it.
    pub by: String,
}

/// The case for every repair of a package. A reading's weight is what it says of
/// the cause by itself, set against a sound engine; so it is the same in
/// whatever order the readings were taken.
///
/// # Errors
/// When the network refuses.
pub fn lines(
    desk: &Desk,
    package: &Package,
    doubt: Option<&Doubt>,
) -> Result<Vec<LineCase>, Problem> {
    let mut cases = Vec::new();
    for (id, cylinders) in &package.work {
        let alone = Package::default().with(id, cylinders);
        let (answers, first) = answered(desk, id, &alone, doubt)?;
        let weighed = first.map_or(vec![], |first| weights(desk, &desk.stakes[first]));
        let (mut speaks_for, mut speaks_against): (Vec<Weighed>, Vec<Weighed>) = (weighed
            .into_iter())
        .filter(|(_, x)| x.abs() >= FELT)
        .partition(|(_, x)| *x > 0.0);
        speaks_for.sort_by(|a, b| b.1.total_cmp(&a.1).then_with(|| a.0.cmp(&b.0)));
        speaks_against.sort_by(|a, b| a.1.total_cmp(&b.1).then_with(|| a.0.cmp(&b.0)));
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

/// What each reading says of a cause by itself, in decibans: how much better it
/// is explained with the cause there and nothing else wrong than on a sound engine.
fn weights(desk: &Desk, stake: &Stake) -> Vec<Weighed> {
    let unrolled = desk.d.unrolled;
    let mut weights = Vec::new();
    for o in desk.d.observations {
        let instance = unrolled.finding(&o.finding, o.place);
        let Some(kind) = instance.map(|i| unrolled.finding_kind(i)) else {
            continue;
        };
        let link = (kind.links.iter()).find(|(cause, _)| {
            unrolled.kinds.causes[*cause].id == stake.kind && stake.place.touches(o.place)
        });
        let Some((_, link)) = link else { continue };
        let (sound, alone) = (kind.sound.grades(), link.grades());
        let (mut with, mut without) = (0.0, 0.0);
        let (mut at_most_sound, mut at_most_alone, mut below) = (0.0, 0.0, 0.0);
        for (k, likelihood) in o.likelihood.iter().enumerate() {
            at_most_sound += sound.get(k).copied().unwrap_or(0.0);
            at_most_alone += alone.get(k).copied().unwrap_or(0.0);
            let at_most = at_most_sound * at_most_alone;
            with += likelihood * (at_most - below);
            without += likelihood * sound.get(k).copied().unwrap_or(0.0);
            below = at_most;
        }
        const LEAST: f64 = 1e-12;
        let decibans = 10.0 * (with.max(LEAST) / without.max(LEAST)).log10();
        weights.push((o.said.clone(), decibans));
    }
    weights
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
        .filter(|(i, s)| mended[*i] > 0.0 && s.blamed())
    {
        kinds.entry(&stake.kind).or_default().push(i);
    }
    let mut answers: Vec<(Answered, usize)> = Vec::new();
    for (kind, at) in kinds {
        let more = |a: usize, b: usize| desk.stakes[b].behind > desk.stakes[a].behind;
        let leading = at.iter().copied();
        let Some(leading) = leading.reduce(|a, b| if more(a, b) { b } else { a }) else {
            continue;
        };
        let first = &desk.stakes[leading];
        let vars: Vec<Var> = at.iter().map(|&i| desk.stakes[i].var).collect();
        let probability = desk.d.any(&vars)?;
        let apart: f64 = at.iter().map(|&i| 1.0 - desk.stakes[i].prior).product();
        let spread = first.present < probability / 2.0;
        let surely = at.iter().map(|&i| mended[i]).fold(0.0, f64::max);
        let own = desk.d.rules.repairs[repair].mends.get(kind);
        let named = if spread { Place::Engine } else { first.place };
        let answered = Answered {
            kind: kind.into(),
            title: desk.d.title(kind, named),
            probability,
            prior: 1.0 - apart,
            range: doubt.and_then(|d| d.kinds.get(kind)).copied(),
            mended: surely,
            footing: own.map_or(Footing::Practice, |link| link.basis.footing),
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

/// Kinds of cause that what speaks for them would put in question and that are
/// nowhere probable now, because of what speaks against them; those that were
/// most in question first.
pub fn ruled_out(desk: &Desk) -> Vec<RuledOut> {
    let mut out = Vec::new();
    for (kind, at) in &desk.by_kind {
        let now = at
            .iter()
            .map(|&i| desk.stakes[i].present)
            .fold(0.0, f64::max);
        if now > RULED_OUT || desk.stakes[at[0]].sort == CauseSort::Root {
            continue;
        }
        let mut most: Option<RuledOut> = None;
        let mut places = BTreeSet::new();
        for stake in at.iter().map(|&i| &desk.stakes[i]) {
            let weights = weights(desk, stake);
            let sum = |sign: f64| -> f64 {
                let some = weights.iter().filter(|(_, x)| x * sign > 0.0);
                some.map(|(_, x)| x).sum()
            };
            let odds = stake.prior / (1.0 - stake.prior) * 10f64.powf(sum(1.0) / 10.0);
            let was = odds / (1.0 + odds);
            let against = weights
                .iter()
                .min_by(|a, b| a.1.total_cmp(&b.1).then_with(|| a.0.cmp(&b.0)));
            let Some((by, _)) = against.filter(|_| was >= IN_QUESTION && sum(-1.0) <= -AGAINST)
            else {
                continue;
            };
            places.extend(stake.place.cylinders());
            if most.as_ref().is_none_or(|m| was > m.was) {
                most = Some(RuledOut {
                    title: desk.d.title(kind, stake.place),
                    was,
                    now,
                    by: by.clone(),
                });
            }
        }
        if let Some(mut most) = most {
            if places.len() > 1 {
                most.title = desk.d.title(kind, Place::Engine);
                most.title += &on_cylinders(&places, desk.d.engine.cylinders());
            }
            out.push(most);
        }
    }
    out.sort_by(|a, b| b.was.total_cmp(&a.was).then_with(|| a.title.cmp(&b.title)));
    out.truncate(8);
    out
}
