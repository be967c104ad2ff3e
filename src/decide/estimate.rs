//! The estimate: every choice priced, its chance of a cure, what it costs in
//! the end and what it leaves; which pays best; what to watch meanwhile.

use super::case::{self, LineCase, RuledOut};
use super::choices::{Way, ways};
use super::cost::Cost;
use super::desk::{Desk, Stake};
use super::package::Package;
use super::search::Search;
use super::stands::Stands;
use crate::diagnose::doubt::Doubt;
use crate::diagnose::next::{AtHand, TestOption, options};
use crate::engine::Place;
use crate::network::Error;
use crate::problem::Problem;
use crate::rules::file::CauseSort;
use std::collections::{BTreeMap, BTreeSet};

/// What is left in place is named from this probability on.
const LEFT_FROM: f64 = 0.04;
/// Most that is named as left.
const MOST_LEFT: usize = 5;
/// Topics of findings that whoever runs the engine can watch.
const WATCHED: &[&str] = &[
    "coolant",
    "oil-condition",
    "oil-use-and-pressure",
    "running",
    "smoke",
];

/// Something that a choice leaves in place.
#[derive(Debug, Clone, PartialEq)]
pub struct LeftOver {
    /// Title with place.
    pub title: String,
    /// Fault or root.
    pub sort: CauseSort,
    /// Probability that it is there and stays.
    pub probability: f64,
}

/// One choice.
#[derive(Debug, Clone, PartialEq)]
pub struct Choice {
    /// Short id.
    pub id: String,
    /// Title.
    pub title: String,
    /// What it is.
    pub says: String,
    /// The repairs.
    pub package: Package,
    /// What it costs.
    pub cost: Cost,
    /// Exact probability that every fault that the readings speak of is mended.
    pub cures: f64,
    /// The same for every fault of the rules, spoken of or not; none where the
    /// network cannot answer exactly.
    pub cures_all: Option<f64>,
    /// As `cures`, with the root causes dealt with too.
    pub lasts: f64,
    /// Expected cost of comebacks for what is left.
    pub comebacks: f64,
    /// The part of it that is labour.
    pub comebacks_labour: f64,
    /// Mean cost and comebacks.
    pub expected: f64,
    /// What it leaves, most probable first.
    pub left: Vec<LeftOver>,
    /// A fault that it leaves and with which the engine must not be run.
    pub danger: Option<String>,
    /// Repairs that no observation speaks for: ids.
    pub unsupported: Vec<String>,
}

/// What to watch when the engine is run on.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Watch {
    /// Findings that would show it getting worse: titles.
    pub look_at: Vec<String>,
    /// When to stop at once.
    pub stop_when: Vec<String>,
}

/// The whole estimate.
#[derive(Debug, Clone, PartialEq)]
pub struct Estimate {
    /// The choices, smallest first.
    pub choices: Vec<Choice>,
    /// Index of the one that pays best; none when nothing was observed.
    pub best: Option<usize>,
    /// Something was observed that tells one engine from another.
    pub observed: bool,
    /// What to watch.
    pub watch: Watch,
    /// The case for each repair of the best choice.
    pub case: Vec<LineCase>,
    /// What is no longer in question.
    pub ruled_out: Vec<RuledOut>,
    /// Probabilities of the desk's stakes before any reading and after each.
    pub course: Vec<Vec<f64>>,
    /// Tests that bear on what is in question and have not been done: titles.
    pub open: Vec<String>,
    /// Without evidence: the test to begin with.
    pub begin_with: Option<TestOption>,
    /// Parts without a price, ids.
    pub unpriced: BTreeSet<String>,
    /// What the best choice stands on; none when there is none.
    pub stands: Option<Stands>,
}

impl Estimate {
    /// The most that any choice is likely to come to (90 % point, minor units):
    /// the end of the scale that they are drawn to.
    pub fn dearest(&self) -> i64 {
        let points = self.choices.iter().map(|c| c.cost.points[2]);
        points.max().unwrap_or(0)
    }
}

/// What an estimate is asked with, beside the desk.
#[derive(Debug, Clone, Copy)]
pub struct Asked<'a> {
    /// History facts known.
    pub facts: &'a BTreeSet<String>,
    /// What the shop has.
    pub at_hand: &'a AtHand,
    /// A package of the user's own.
    pub own: Option<&'a Package>,
    /// How far the numbers lean on judgement.
    pub doubt: Option<&'a Doubt>,
}

/// Compares the choices.
///
/// # Errors
/// When an exact answer is out of reach.
pub fn estimate(desk: &Desk, asked: Asked) -> Result<Estimate, Problem> {
    let search = Search::on(desk);
    let mut found = ways(desk, &search);
    if let Some(own) = asked.own {
        found.push(Way {
            id: "own",
            title: "As asked",
            says: "The repairs asked for.",
            package: own.clone(),
        });
    }
    let mut choices = Vec::new();
    for way in &found {
        choices.push(choice(desk, way)?);
    }
    let evidence = observed(desk);
    let best = match evidence {
        true => preferred(&choices),
        false => None,
    };
    let (tests, _) = options(desk.d, asked.at_hand);
    let stands = match best {
        Some(best) => {
            let packages: Vec<Package> = choices.iter().map(|c| c.package.clone()).collect();
            Some(Stands::of(&search, &packages, best, &tests)?)
        }
        None => None,
    };
    let begin_with = match evidence {
        true => None,
        false => quickest(&tests),
    };
    let course = case::course(desk)?;
    Ok(Estimate {
        watch: watch(desk),
        case: match best {
            Some(best) => case::lines(
                desk,
                asked.facts,
                &course,
                &choices[best].package,
                asked.doubt,
            )?,
            None => vec![],
        },
        ruled_out: case::ruled_out(desk, &course),
        course,
        begin_with,
        open: open(desk, &tests),
        unpriced: choices
            .iter()
            .flat_map(|c| c.cost.unpriced().map(String::from))
            .collect(),
        observed: evidence,
        choices,
        best,
        stands,
    })
}

/// The least expected total among the choices that leave no danger; where all
/// do, among those that do something. To run on with a danger is never advised.
fn preferred(choices: &[Choice]) -> Option<usize> {
    let least = |a: &usize, b: &usize| {
        let key = |i: &usize| (choices[*i].danger.is_some(), choices[*i].expected);
        let (a, b) = (key(a), key(b));
        a.0.cmp(&b.0).then_with(|| a.1.total_cmp(&b.1))
    };
    (0..choices.len())
        .filter(|i| choices[*i].danger.is_none() || !choices[*i].package.is_empty())
        .min_by(least)
}

/// Whether anything was observed that tells one engine from another.
fn observed(desk: &Desk) -> bool {
    let tells = |l: &[f64]| l.iter().any(|x| (x - l[0]).abs() > 1e-12);
    desk.d.observations.iter().any(|o| tells(&o.likelihood))
}

/// The test that takes least time; asking and looking come first by that.
fn quickest(tests: &[TestOption]) -> Option<TestOption> {
    let whole = tests.iter().filter(|t| t.place == Place::Engine);
    let by_time = |a: &&TestOption, b: &&TestOption| {
        let time = a.minutes.total_cmp(&b.minutes);
        time.then_with(|| a.id().cmp(&b.id()))
    };
    whole.min_by(by_time).cloned()
}

/// The tests that yield most of what the causes in question would show.
fn open(desk: &Desk, tests: &[TestOption]) -> Vec<String> {
    let unrolled = desk.d.unrolled;
    let doubtful: BTreeMap<&str, f64> =
        desk.stakes
            .iter()
            .filter(|s| s.in_play())
            .fold(BTreeMap::new(), |mut map, stake| {
                *map.entry(stake.kind.as_str()).or_default() +=
                    stake.present * (1.0 - stake.present);
                map
            });
    let weight = |finding: &str| -> f64 {
        let kind = unrolled.kinds.findings.iter().find(|f| f.id == finding);
        let links = kind.into_iter().flat_map(|kind| &kind.links);
        let of = |(cause, spread): &(usize, crate::unroll::Spread)| {
            let kind = &unrolled.kinds.causes[*cause].id;
            doubtful
                .get(kind.as_str())
                .map_or(0.0, |p| p * spread.chance.p)
        };
        links.map(of).sum()
    };
    let whole = tests.iter().filter(|t| t.place == Place::Engine);
    let mut open: Vec<(f64, &TestOption)> = whole
        .map(|test| {
            let findings: BTreeSet<&str> = test.yields.iter().map(|(f, _)| f.as_str()).collect();
            (findings.into_iter().map(weight).sum(), test)
        })
        .filter(|(weight, _)| *weight > 0.02)
        .collect();
    open.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| a.1.id().cmp(&b.1.id())));
    open.truncate(3);
    open.into_iter()
        .map(|(_, test)| test.title.clone())
        .collect()
}

fn choice(desk: &Desk, way: &Way) -> Result<Choice, Problem> {
    let mended = desk.mended(&way.package);
    let cost = desk.pricer.cost(&way.package);
    let comebacks = desk.left(&mended);
    let labour = desk.stakes.iter().zip(&mended);
    let labour = labour.filter(|(s, _)| s.in_play());
    let unsupported = (way.package.work.iter()).filter(|(id, at)| !desk.supported(id, at));
    Ok(Choice {
        id: way.id.into(),
        title: way.title.into(),
        says: way.says.into(),
        cures: desk.joint(&mended, |s| s.sort == CauseSort::Fault && s.in_play())?,
        cures_all: match desk.cures(&mended, false) {
            Ok(p) => Some(p),
            Err(Error::TooLarge { .. }) => None,
            Err(other) => return Err(other.into()),
        },
        lasts: desk.joint(&mended, Stake::in_play)?,
        comebacks_labour: labour
            .map(|(s, m)| s.present * (1.0 - m) * s.later_labour)
            .sum(),
        expected: cost.mean + comebacks,
        comebacks,
        left: left(desk, &mended),
        danger: desk.danger_left(&mended)?,
        unsupported: unsupported.map(|(id, _)| id.clone()).collect(),
        package: way.package.clone(),
        cost,
    })
}

/// What stays, by kind: exact where all places of a kind are mended alike.
fn left(desk: &Desk, mended: &[f64]) -> Vec<LeftOver> {
    let mut kinds: BTreeMap<&str, (f64, f64, &Stake)> = BTreeMap::new();
    for (i, stake) in desk.stakes.iter().enumerate().filter(|(_, s)| s.in_play()) {
        let here = stake.present * (1.0 - mended[i]);
        let kind = kinds.entry(&stake.kind).or_insert((0.0, here, stake));
        kind.0 += here * desk.once[i];
        if here > kind.1 {
            (kind.1, kind.2) = (here, stake);
        }
    }
    let over = |(any, most, stake): (f64, f64, &Stake)| LeftOver {
        title: match most > any / 2.0 {
            true => desk.d.title(&stake.kind, stake.place),
            false => desk.d.title(&stake.kind, Place::Engine),
        },
        sort: stake.sort,
        probability: any,
    };
    let mut left: Vec<LeftOver> = kinds.into_values().map(over).collect();
    left.retain(|l| l.probability >= LEFT_FROM);
    left.sort_by(|a, b| {
        b.probability
            .total_cmp(&a.probability)
            .then_with(|| a.title.cmp(&b.title))
    });
    left.truncate(MOST_LEFT);
    left
}

/// What would show that it gets worse, from what the probable causes show; and the dangers.
fn watch(desk: &Desk) -> Watch {
    let (rules, unrolled) = (desk.d.rules, desk.d.unrolled);
    let mut present: BTreeMap<&str, f64> = BTreeMap::new();
    for stake in desk.stakes.iter().filter(|s| s.in_play()) {
        let most = present.entry(&stake.kind).or_default();
        *most = most.max(stake.present);
    }
    let mut shown: Vec<(f64, &str)> = Vec::new();
    for finding in &unrolled.kinds.findings {
        let Some(rule) = rules.findings.get(&finding.id) else {
            continue;
        };
        if !WATCHED.contains(&rule.system.as_str()) {
            continue;
        }
        let weight = |(cause, spread): &(usize, crate::unroll::Spread)| {
            let kind = &unrolled.kinds.causes[*cause].id;
            present
                .get(kind.as_str())
                .map_or(0.0, |p| p * spread.chance.p)
        };
        shown.push((finding.links.iter().map(weight).sum(), &rule.title));
    }
    shown.retain(|(weight, _)| *weight > 0.05);
    shown.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| a.1.cmp(b.1)));
    let mut dangers: Vec<(f64, &str)> = present
        .iter()
        .filter_map(|(kind, p)| Some((*p, rules.danger(kind, &desk.d.engine.traits)?)))
        .collect();
    dangers.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| a.1.cmp(b.1)));
    Watch {
        look_at: shown
            .iter()
            .take(5)
            .map(|(_, title)| title.to_string())
            .collect(),
        stop_when: dangers
            .iter()
            .take(3)
            .map(|(_, text)| text.to_string())
            .collect(),
    }
}
