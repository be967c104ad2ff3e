//! The estimate: every choice priced, its chance of a cure, what it costs in
//! the end and what it leaves; which pays best; what to watch meanwhile.

use super::case::{self, LineCase, RuledOut};
use super::choices::{Way, both, title, ways};
use super::cost::Cost;
use super::desk::{BLAMED, DangerLeft, Desk, Stake};
use super::package::{Package, applies, reached};
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
/// What comes to its second stage more often than this is not worth its first.
const HARDLY_TRIED: f64 = 0.85;
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

/// What is done after the first, if that does not cure it.
#[derive(Debug, Clone, PartialEq)]
pub struct Stage {
    /// Title.
    pub title: String,
    /// The repairs.
    pub package: Package,
    /// What it costs when it comes to it.
    pub cost: Cost,
    /// Exact chance that it comes to it.
    pub reached: f64,
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
    /// The repairs, of all stages.
    pub package: Package,
    /// What it costs; of a choice in stages, the first.
    pub cost: Cost,
    /// What comes behind the first; none where all is done at once.
    pub then: Option<Stage>,
    /// Mean of what is paid for the work, later stages as often as it comes to them.
    pub paid: f64,
    /// Exact probability that nothing behind the complaint is left unmended.
    pub cures: f64,
    /// Exact probability that every fault of the rules is mended, behind the
    /// complaint or not; of the best choice, where the network can answer exactly.
    pub cures_all: Option<f64>,
    /// As `cures`, with the root causes dealt with too.
    pub lasts: f64,
    /// Expected cost of comebacks for what is left.
    pub comebacks: f64,
    /// The part of it that is labour.
    pub comebacks_labour: f64,
    /// Mean of what is paid and comebacks, in hours where there are no prices.
    pub expected: f64,
    /// The same with unpriced parts at a judged worth: what is decided by.
    pub weighed: f64,
    /// What it leaves, most probable first.
    pub left: Vec<LeftOver>,
    /// A fault that it leaves and with which the engine must not be run.
    pub danger: Option<String>,
    /// Repairs that no cause with blame needs: ids.
    pub unsupported: Vec<String>,
}

/// Something present that has no part in the complaint and is easily done while
/// the engine is open.
#[derive(Debug, Clone, PartialEq)]
pub struct WhileOpen {
    /// Repair id.
    pub repair: String,
    /// The repair with its cylinders.
    pub title: String,
    /// The cause that it answers, with its place.
    pub cause: String,
    /// Probability that the cause is present.
    pub present: f64,
    /// What it adds: 10 and 90 % points.
    pub adds: [i64; 2],
}

/// A kind of cause and its part in the complaint.
#[derive(Debug, Clone, PartialEq)]
pub struct Behind {
    /// Kind.
    pub kind: String,
    /// Title, with its place where that is most of it.
    pub title: String,
    /// Fault, root or measurement.
    pub sort: CauseSort,
    /// Probability that it is present anywhere.
    pub present: f64,
    /// Probability that it is present and behind the complaint.
    pub behind: f64,
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
    /// What is behind the complaint, by kind, most blame first.
    pub behind: Vec<Behind>,
    /// What could be done with the best choice, though nothing in the complaint asks for it.
    pub while_open: Vec<WhileOpen>,
    /// What must not be done as things stand: dangers, most probable first.
    pub meanwhile: Option<DangerLeft>,
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
    /// The choices worth showing, by index: the best, what was asked for, and
    /// those that may cure it, what costs least in the end first; then doing nothing.
    pub fn shown(&self) -> Vec<usize> {
        const CURES: f64 = 0.05;
        const MOST: usize = 8;
        let choice = |i: &usize| &self.choices[*i];
        let doing = (0..self.choices.len()).filter(|i| !choice(i).package.is_empty());
        let mut shown: Vec<usize> = doing
            .filter(|i| self.best == Some(*i) || choice(i).id == "own" || choice(i).cures >= CURES)
            .collect();
        shown.sort_by(|a, b| {
            let key = |i: &usize| (self.best != Some(*i), choice(i).danger.is_some());
            let by_cost = || choice(a).weighed.total_cmp(&choice(b).weighed);
            key(a).cmp(&key(b)).then_with(by_cost).then(a.cmp(b))
        });
        let mut kept = 0;
        shown.retain(|i| {
            kept += 1;
            kept <= MOST || choice(i).id == "own"
        });
        shown.extend((0..self.choices.len()).filter(|i| choice(i).package.is_empty()));
        shown
    }

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
        let own = Way {
            title: "As asked".into(),
            says: "The repairs asked for.".into(),
            ..Way::named(desk, "own", own.clone())
        };
        found.push(own);
    }
    let mut choices = Vec::new();
    for way in found.iter().filter(|way| may_cure(desk, way)) {
        choices.push(choice(desk, way)?);
    }
    let tried = |c: &Choice| {
        c.then
            .as_ref()
            .is_none_or(|then| then.reached < HARDLY_TRIED)
    };
    choices.retain(tried);
    come_back(desk, &mut choices);
    let observed = observed(desk);
    let best = if observed {
        preferred(desk, &choices)
    } else {
        None
    };
    if let Some(best) = best {
        choices[best].cures_all = every_fault(desk, &choices[best])?;
    }
    let (tests, _) = options(desk.d, asked.at_hand);
    let stands = match best {
        Some(best) => Some(Stands::of(&search, &choices, best, &tests)?),
        None => None,
    };
    let case = match best {
        Some(best) => case::lines(desk, &choices[best].package, asked.doubt)?,
        None => vec![],
    };
    let unpriced = choices.iter().flat_map(|c| c.cost.unpriced());
    Ok(Estimate {
        watch: watch(desk),
        case,
        ruled_out: case::ruled_out(desk),
        behind: behind(desk),
        while_open: best.map_or(vec![], |best| while_open(desk, &choices[best].package)),
        meanwhile: desk.danger_left(&vec![0.0; desk.stakes.len()])?,
        begin_with: if observed { None } else { quickest(&tests) },
        open: open(desk, &tests),
        unpriced: unpriced.map(String::from).collect(),
        observed,
        choices,
        best,
        stands,
    })
}

/// Whether a way is worth an exact answer: to do nothing, what was asked for, and
/// what does not leave a cause that is nearly certainly behind the complaint.
fn may_cure(desk: &Desk, way: &Way) -> bool {
    const SURELY_LEFT: f64 = 0.97;
    let mut mended = desk.mended(&way.package);
    if let Some(then) = &way.then {
        let more = desk.mended(then);
        mended
            .iter_mut()
            .zip(more)
            .for_each(|(m, more)| *m = m.max(more));
    }
    let stakes = desk.stakes.iter().zip(mended);
    let mut faults = stakes.filter(|(s, _)| s.sort != CauseSort::Root);
    let left = faults.any(|(s, m)| s.behind * (1.0 - m) > SURELY_LEFT);
    !left || way.package.is_empty() || way.id == "own"
}

/// What is not cured comes back and is looked at again: to go on until it is
/// cured costs no less than the visit and the least cost for a cure, which is
/// that of a choice over its chance. So nothing that cures little is cheap.
fn come_back(desk: &Desk, choices: &mut [Choice]) {
    const MAY_CURE: f64 = 0.1;
    let may = |c: &&Choice| c.then.is_none() && c.danger.is_none() && c.cures >= MAY_CURE;
    let rates = (choices.iter().filter(may)).map(|c| {
        let decided = (c.weighed - c.comebacks) / c.cures;
        (decided, c.paid / c.cures)
    });
    let Some((weighed, paid)) = rates.min_by(|a, b| a.0.total_cmp(&b.0)) else {
        return;
    };
    let fee = desk.fee();
    for c in choices {
        let uncured = 1.0 - c.cures;
        c.weighed = c
            .weighed
            .max(c.weighed - c.comebacks + uncured * (weighed + fee));
        c.expected = c.expected.max(c.paid + uncured * (paid + fee));
    }
}

/// The least expected total among the choices that leave no danger and not what
/// is most probably behind the complaint; where all do, among those that do
/// something. To run on with a danger is never advised.
fn preferred(desk: &Desk, choices: &[Choice]) -> Option<usize> {
    let leads = leading(desk);
    let leaves = |c: &Choice| leads.is_some_and(|i| desk.mended(&c.package)[i] < LEADING_MENDED);
    let key = |i: &usize| {
        let c = &choices[*i];
        (c.danger.is_some(), leaves(c))
    };
    (0..choices.len())
        .filter(|i| choices[*i].id != "own")
        .filter(|i| choices[*i].danger.is_none() || !choices[*i].package.is_empty())
        .min_by(|a, b| {
            let by_cost = || choices[*a].weighed.total_cmp(&choices[*b].weighed);
            key(a).cmp(&key(b)).then_with(by_cost)
        })
}

/// What is proposed mends the leading cause so surely, in one of its stages.
const LEADING_MENDED: f64 = 0.25;

/// The kind of fault that is most probably behind the complaint, at its leading
/// place, if one stands out and anything mends it.
fn leading(desk: &Desk) -> Option<usize> {
    const STANDS_OUT: f64 = 0.3;
    let mendable = |kind: &str| {
        desk.d.rules.mended_by(kind).iter().any(|id| {
            let repair = &desk.d.rules.repairs[*id];
            let chance = desk.d.rules.chance(&repair.mends[kind].chance);
            chance >= LEADING_MENDED && applies(desk.d.rules, desk.d.engine, repair)
        })
    };
    let faults = behind(desk).into_iter();
    let mut faults = faults.filter(|b| b.sort != CauseSort::Root && b.behind >= STANDS_OUT);
    let kind = faults.next().filter(|b| mendable(&b.kind))?.kind;
    let places = desk.by_kind.get(&kind)?.iter().copied();
    places.reduce(|a, b| {
        if desk.stakes[b].behind > desk.stakes[a].behind {
            b
        } else {
            a
        }
    })
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
            .filter(|s| s.blamed())
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
    let first = desk.mended(&way.package);
    let cost = desk.pricer.cost(&way.package);
    let package = match &way.then {
        Some(then) => both(&way.package, then),
        None => way.package.clone(),
    };
    let mended = desk.mended(&package);
    let (mut weighed, mut paid) = (desk.pricer.mean(&way.package), cost.mean);
    let then = match &way.then {
        Some(then) => {
            let stage = Stage {
                title: title(desk, then),
                cost: desk.pricer.cost(then),
                reached: 1.0 - desk.cures(&first, false)?,
                package: then.clone(),
            };
            weighed += stage.reached * (desk.pricer.mean(then) + desk.fee());
            paid += stage.reached * (stage.cost.mean + desk.fee());
            Some(stage)
        }
        None => None,
    };
    let comebacks = desk.left(&mended);
    let comebacks_labour = desk.left_labour(&mended);
    let money = desk.pricer.pricing.currency.is_money();
    let cures = desk.cures(&mended, false)?;
    let rooted = desk.stakes.iter().zip(&mended);
    let rooted = rooted.filter(|(s, m)| s.sort == CauseSort::Root && s.blamed() && **m < 1.0);
    let lasts = match rooted.count() {
        0 => cures,
        _ => desk.cures(&mended, true)?,
    };
    let unsupported = (package.work.iter()).filter(|(id, at)| !desk.supported(id, at));
    Ok(Choice {
        id: way.id.clone(),
        title: way.title.clone(),
        says: way.says.clone(),
        cures_all: None,
        cures,
        lasts,
        expected: paid + if money { comebacks } else { comebacks_labour },
        weighed: weighed + comebacks,
        paid,
        comebacks,
        comebacks_labour,
        left: left(desk, &mended),
        danger: desk.danger_left(&first)?.map(|danger| danger.title),
        unsupported: unsupported.map(|(id, _)| id.clone()).collect(),
        then,
        package,
        cost,
    })
}

/// The chance that every fault of the rules is mended; none where that is too much to answer.
fn every_fault(desk: &Desk, choice: &Choice) -> Result<Option<f64>, Problem> {
    let mended = desk.mended(&choice.package);
    let faults = desk.stakes.iter().zip(&mended);
    let faults = faults.filter(|(s, m)| s.sort == CauseSort::Fault && **m < 1.0);
    let left: Vec<_> = faults.map(|(s, m)| (s.var, vec![1.0, *m])).collect();
    match desk.d.solved.probability_of(&left) {
        Ok(p) => Ok(Some(p)),
        Err(Error::TooLarge { .. }) => Ok(None),
        Err(other) => Err(other.into()),
    }
}

/// The kinds with blame; those of many places exactly by presence, and the same share of it.
fn behind(desk: &Desk) -> Vec<Behind> {
    let mut all = Vec::new();
    for (kind, at) in &desk.by_kind {
        let stakes = || at.iter().map(|&i| (&desk.stakes[i], desk.once[i]));
        let sum = |of: &dyn Fn(&Stake) -> f64| stakes().map(|(s, once)| of(s) * once).sum::<f64>();
        let behind = sum(&|s| s.behind).min(1.0);
        if behind < BLAMED {
            continue;
        }
        let leading = stakes()
            .map(|(s, _)| s)
            .reduce(|a, b| if b.behind > a.behind { b } else { a });
        let Some(leading) = leading else { continue };
        let place = match leading.behind > behind / 2.0 {
            true => leading.place,
            false => Place::Engine,
        };
        all.push(Behind {
            title: desk.d.title(kind, place),
            kind: kind.clone(),
            sort: leading.sort,
            present: sum(&|s| s.present).min(1.0),
            behind,
        });
    }
    all.sort_by(|a, b| b.behind.total_cmp(&a.behind).then(a.kind.cmp(&b.kind)));
    all
}

/// What is probably present beside the complaint and can be reached with what
/// the package opens, each at the least that it adds.
fn while_open(desk: &Desk, package: &Package) -> Vec<WhileOpen> {
    const FROM: f64 = 0.3;
    const MOST: usize = 4;
    let open: BTreeSet<&str> = desk.pricer.accesses(package).into_keys().collect();
    let done = desk.mended(package);
    let cost = desk.pricer.cost(package);
    let mut all: Vec<WhileOpen> = Vec::new();
    for (i, stake) in desk.stakes.iter().enumerate() {
        let aside = stake.present - stake.behind;
        if open.is_empty() || aside < FROM || done[i] > 0.0 || stake.sort != CauseSort::Fault {
            continue;
        }
        let mut least: Option<(i64, WhileOpen)> = None;
        for id in desk.d.rules.mended_by(&stake.kind) {
            let repair = &desk.d.rules.repairs[id];
            let at = reached(desk.d.engine, repair, stake.place);
            let alone = Package::default().with(id, &at);
            let reaches = desk
                .pricer
                .accesses(&alone)
                .keys()
                .all(|a| open.contains(a));
            if !reaches || !applies(desk.d.rules, desk.d.engine, repair) {
                continue;
            }
            let with = desk.pricer.cost(&package.with(id, &at));
            let adds = [0, 2].map(|k| (with.points[k] - cost.points[k]).max(0));
            if least.as_ref().is_none_or(|(known, _)| adds[1] < *known) {
                let it = WhileOpen {
                    repair: id.to_string(),
                    title: title(desk, &alone),
                    cause: desk.d.title(&stake.kind, stake.place),
                    present: stake.present,
                    adds,
                };
                least = Some((adds[1], it));
            }
        }
        all.extend(least.map(|(_, it)| it));
    }
    all.sort_by(|a, b| b.present.total_cmp(&a.present).then(a.cause.cmp(&b.cause)));
    all.truncate(MOST);
    all
}

/// What stays, by kind: exact where all places of a kind are mended alike.
fn left(desk: &Desk, mended: &[f64]) -> Vec<LeftOver> {
    let mut kinds: BTreeMap<&str, (f64, f64, &Stake)> = BTreeMap::new();
    for (i, stake) in desk.stakes.iter().enumerate().filter(|(_, s)| s.blamed()) {
        let here = stake.behind * (1.0 - mended[i]);
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
    for stake in desk.stakes.iter().filter(|s| s.blamed()) {
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
