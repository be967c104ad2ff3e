//! The inspection sheet: stage by stage in the order in which the engine comes
//! apart, at each stage the most telling thing first.

use crate::diagnose::Diagnosis;
use crate::diagnose::next::targets;
use crate::diagnose::rank::{RankedCause, Ranking};
use crate::engine::Place;
use crate::network::{Error, Var};
use crate::rules::Rules;
use crate::rules::file::{Measure, Stage, StopPoint};
use std::collections::{BTreeMap, BTreeSet};

/// A cause is looked for from this probability on.
pub const LOOKED_FOR: f64 = 0.02;
/// It is worth going deeper for from this probability on.
pub const GO_DEEPER: f64 = 0.05;
/// Suspects told at one stage.
const MOST_SUSPECTS: usize = 6;
/// A look with more joint outcomes is valued from draws of the posterior: it is only an order.
const MOST_OUTCOMES: usize = 1;

/// A suspect: what it should look like.
#[derive(Debug, Clone, PartialEq)]
pub struct Suspect<'r> {
    /// Cause id.
    pub id: String,
    /// Title with its places, the most probable first.
    pub title: String,
    /// How probable at the first of them.
    pub probability: f64,
    /// What to look for.
    pub look_for: &'r str,
    /// Look-alikes that are suspected too: title, how to tell it from them.
    pub told_from: Vec<(&'r str, &'r str)>,
}

/// Something to look at.
#[derive(Debug, Clone, PartialEq)]
pub struct Look<'r> {
    /// Finding id.
    pub finding: &'r str,
    /// Title.
    pub title: &'r str,
    /// The question.
    pub ask: &'r str,
    /// Grades, the sound one first.
    pub grades: &'r [String],
    /// Where.
    pub places: Vec<Place>,
    /// What it would tell, in bits.
    pub bits: f64,
    /// Known already.
    pub done: bool,
}

/// Something to measure.
#[derive(Debug, Clone, PartialEq)]
pub struct ToMeasure<'r> {
    /// The measurement.
    pub measure: &'r Measure,
    /// Where.
    pub places: Vec<Place>,
    /// What it would tell, in bits.
    pub bits: f64,
}

/// One stage of the sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct Part<'r> {
    /// The stage.
    pub stage: &'r Stage,
    /// What is suspected and seen at this stage, most probable first.
    pub suspects: Vec<Suspect<'r>>,
    /// What to look at, most telling first.
    pub looks: Vec<Look<'r>>,
    /// What to measure, most telling first.
    pub measures: Vec<ToMeasure<'r>>,
    /// What is renewed because it was opened.
    pub renews: Vec<&'r str>,
    /// What changes the plan.
    pub stops: Vec<&'r StopPoint>,
}

/// The sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet<'r> {
    /// Stages that a suspect calls for, and those on the way to them.
    pub parts: Vec<Part<'r>>,
    /// Titles of the stages beyond, that nothing suspected calls for.
    pub beyond: Vec<&'r str>,
}

/// The sheet of an engine.
///
/// # Errors
/// When an exact answer is out of reach.
pub fn sheet<'r>(d: &Diagnosis<'r>, ranking: &Ranking) -> Result<Sheet<'r>, Error> {
    let rules = d.rules;
    let mut stages: Vec<&Stage> = (rules.stages.values().map(|s| &s.it))
        .filter(|s| rules.applies(&d.engine.traits, &s.on, &s.not_on))
        .collect();
    stages.sort_by_key(|s| (s.order, &s.stage));
    let suspects: Vec<&RankedCause> = (ranking.causes.iter().chain(&ranking.roots))
        .filter(|c| c.probability >= LOOKED_FOR)
        .collect();
    let at: Vec<usize> = suspects
        .iter()
        .map(|c| stage_of(rules, &stages, &c.kind))
        .collect();
    let deepest = (suspects.iter().zip(&at))
        .filter(|(c, _)| c.probability >= GO_DEEPER)
        .map(|(_, at)| *at)
        .max()
        .unwrap_or(0);
    let bits = bits(d, &stages[..stages.len().min(deepest + 1)], &suspects)?;
    let mut parts = vec![];
    for (index, stage) in stages.iter().enumerate().take(deepest + 1) {
        let here = suspects.iter().zip(&at).filter(|(_, at)| **at == index);
        let here: Vec<&RankedCause> = here.map(|(c, _)| *c).collect();
        parts.push(Part {
            stage,
            suspects: by_kind(&here)
                .into_iter()
                .take(MOST_SUSPECTS)
                .filter_map(|places| suspect(rules, &places, &suspects))
                .collect(),
            looks: looks(d, stage, &bits),
            measures: measures(d, stage, &bits),
            renews: renews(d, stage),
            stops: (stage.stop.iter())
                .filter(|s| rules.applies(&d.engine.traits, &s.on, &[]))
                .collect(),
        });
    }
    Ok(Sheet {
        parts,
        beyond: stages
            .iter()
            .skip(deepest + 1)
            .map(|s| s.title.as_str())
            .collect(),
    })
}

/// The stage at which a cause is seen: where what it shows most surely is looked
/// at, else where the least repair of it has its access open, else before anything is off.
fn stage_of(rules: &Rules, stages: &[&Stage], cause: &str) -> usize {
    let Some(it) = rules.causes.get(cause) else {
        return 0;
    };
    let mut best: Option<(f64, usize)> = None;
    for (index, stage) in stages.iter().enumerate() {
        for finding in &stage.look {
            let chance = it.shows.get(finding).and_then(|links| {
                links
                    .all()
                    .iter()
                    .map(|l| rules.chance(&l.chance))
                    .reduce(f64::max)
            });
            if let Some(chance) = chance.filter(|c| best.is_none_or(|(b, _)| *c > b)) {
                best = Some((chance, index));
            }
        }
    }
    if let Some((_, index)) = best {
        return index;
    }
    let opened = |index: usize| -> BTreeSet<&String> {
        stages[..=index].iter().flat_map(|s| &s.opens).collect()
    };
    let reached = |repair: &str| {
        let needs = rules.repairs.get(repair).map(|r| &r.needs)?;
        (0..stages.len()).find(|i| needs.iter().all(|n| opened(*i).contains(n)))
    };
    let repairs = rules.mended_by(cause);
    repairs.into_iter().filter_map(reached).min().unwrap_or(0)
}

/// The suspects of one kind together, the most probable kind and place first.
fn by_kind<'c>(causes: &[&'c RankedCause]) -> Vec<Vec<&'c RankedCause>> {
    let mut kinds: Vec<Vec<&RankedCause>> = vec![];
    for cause in causes {
        match kinds.iter_mut().find(|k| k[0].kind == cause.kind) {
            Some(kind) => kind.push(cause),
            None => kinds.push(vec![cause]),
        }
    }
    kinds
}

fn suspect<'r>(
    rules: &'r Rules,
    places: &[&RankedCause],
    all: &[&RankedCause],
) -> Option<Suspect<'r>> {
    let cause = places.first()?;
    let it = rules.causes.get(&cause.kind)?;
    let others: Vec<String> = places[1..].iter().map(|c| c.place.to_string()).collect();
    let also = match others.is_empty() {
        true => String::new(),
        false => format!(", then {}", crate::words::listed(&others, "and")),
    };
    let rivals: BTreeSet<&str> = all.iter().map(|c| c.kind.as_str()).collect();
    let told = it
        .told_from
        .iter()
        .filter(|(other, _)| rivals.contains(other.as_str()));
    Some(Suspect {
        id: cause.kind.clone(),
        title: format!("{}{also}", cause.title),
        probability: cause.probability,
        look_for: &it.look_for,
        told_from: told
            .filter_map(|(other, text)| {
                Some((rules.causes.get(other)?.title.as_str(), text.as_str()))
            })
            .collect(),
    })
}

/// What each finding of the stages would tell over all its places, in bits;
/// those that no suspect shows tell next to nothing and are not asked.
fn bits(
    d: &Diagnosis,
    stages: &[&Stage],
    suspects: &[&RankedCause],
) -> Result<BTreeMap<String, f64>, Error> {
    let shown: BTreeSet<&String> = (suspects.iter())
        .filter_map(|c| d.rules.causes.get(&c.kind))
        .flat_map(|c| c.shows.keys())
        .collect();
    let asked: Vec<&String> = (stages.iter().flat_map(|s| &s.look))
        .filter(|f| shown.contains(f))
        .collect();
    let tests: Vec<Vec<Var>> = asked.iter().map(|finding| open_vars(d, finding)).collect();
    let values = d.solved.bits(&tests, &targets(d), MOST_OUTCOMES)?;
    Ok(asked
        .into_iter()
        .cloned()
        .zip(values.iter().map(|v| v.bits.max(0.0)))
        .collect())
}

/// The variables of a finding that are not known yet.
fn open_vars(d: &Diagnosis, finding: &str) -> Vec<Var> {
    let scope = d.rules.findings.get(finding).map(|f| f.scope);
    let places = scope.map_or(vec![], |s| d.engine.places(s));
    let known = |place: &Place| {
        d.observations
            .iter()
            .any(|o| o.finding == finding && o.place == *place)
    };
    places
        .into_iter()
        .filter(|p| !known(p))
        .filter_map(|p| Some(d.unrolled.finding(finding, p)?.var))
        .collect()
}

fn looks<'r>(d: &Diagnosis<'r>, stage: &'r Stage, bits: &BTreeMap<String, f64>) -> Vec<Look<'r>> {
    let rules = d.rules;
    let measured: BTreeSet<&String> = (rules.measures.values())
        .flat_map(|m| m.gives.iter().filter_map(|v| v.finding.as_ref()))
        .collect();
    let mut looks: Vec<Look> = (stage.look.iter())
        .filter(|id| !measured.contains(id))
        .filter_map(|id| Some((id, &rules.findings.get(id)?.it)))
        .filter(|(_, f)| rules.applies(&d.engine.traits, &f.on, &f.not_on))
        .map(|(id, finding)| Look {
            finding: id,
            title: &finding.title,
            ask: &finding.ask,
            grades: &finding.grades,
            places: d.engine.places(finding.scope),
            bits: bits.get(id).copied().unwrap_or(0.0),
            done: open_vars(d, id).is_empty(),
        })
        .filter(|look| !look.places.is_empty())
        .collect();
    looks.sort_by(|a, b| b.bits.total_cmp(&a.bits));
    looks
}

fn measures<'r>(
    d: &Diagnosis<'r>,
    stage: &'r Stage,
    bits: &BTreeMap<String, f64>,
) -> Vec<ToMeasure<'r>> {
    let rules = d.rules;
    let mut measures: Vec<ToMeasure> = (stage.measure.iter())
        .filter_map(|id| Some(&rules.measures.get(id)?.it))
        .filter(|m| rules.applies(&d.engine.traits, &m.on, &m.not_on))
        .map(|measure| ToMeasure {
            measure,
            places: d.engine.places(measure.scope),
            bits: (measure
                .gives
                .iter()
                .filter_map(|v| bits.get(v.finding.as_ref()?)))
            .fold(0.0, |most, b| f64::max(most, *b)),
        })
        .collect();
    measures.sort_by(|a, b| b.bits.total_cmp(&a.bits));
    measures
}

fn renews<'r>(d: &Diagnosis<'r>, stage: &'r Stage) -> Vec<&'r str> {
    let accesses = stage.opens.iter().filter_map(|id| d.rules.accesses.get(id));
    let open = accesses.filter(|a| d.rules.applies(&d.engine.traits, &a.on, &[]));
    let parts: BTreeSet<&String> = open
        .flat_map(|a| a.renews.iter().map(|u| &u.part))
        .collect();
    parts
        .into_iter()
        .filter_map(|id| Some(d.rules.parts.get(id)?.title.as_str()))
        .collect()
}
