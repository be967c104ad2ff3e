//! What a test is worth in money before anything is repaired: the expected
//! value of sample information (H. Raiffa and R. Schlaifer, Applied Statistical
//! Decision Theory, 1961, from memory) less what the test costs.
//!
//! Over every joint outcome of what the test yields, exact in the network, the
//! package is taken that is then best ([`Rivals::best`]); what that costs in the
//! end on average, taken from what the package chosen now costs, is what the
//! test saves. All tests get a quick look, causes taken as independent; the
//! most promising are valued exactly, over their most telling findings, and so
//! save at least that.

use super::choices::{Way, ways};
use super::desk::Desk;
use super::package::Package;
use super::rivals::Rivals;
use super::search::Search;
use crate::diagnose::Diagnosis;
use crate::diagnose::next::{AtHand, Rough, TestOption, options};
use crate::engine::Place;
use crate::network::{Error, Var};
use crate::unroll::Instance;
use std::collections::BTreeSet;

/// Of what is reckoned here no more than this share of a unit of money is felt.
const FELT: f64 = 0.5;

/// A saving is believed when it is so many times its standard error.
const SURE: f64 = 2.0;

/// A test, what it costs and what it saves, in smallest units with tax.
#[derive(Debug, Clone, PartialEq)]
pub struct Worth {
    /// The test; its bits are not reckoned.
    pub test: TestOption,
    /// The findings that `saves` is counted over: all, or the most telling of them.
    pub telling: Vec<(String, Place)>,
    /// Its minutes at the labour rate, and what it uses.
    pub cost: f64,
    /// What knowing its outcome saves on average.
    pub saves: f64,
    /// Standard error of that; 0 where every outcome was gone through.
    pub error: f64,
}

impl Worth {
    /// What it saves above what it costs.
    pub fn net(&self) -> f64 {
        self.saves - self.cost
    }
}

/// How closely tests are looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Effort {
    /// Tests valued exactly.
    pub tests: usize,
    /// Joint outcomes of each at most.
    pub outcomes: usize,
}

/// One outcome of one finding that would change the choice.
#[derive(Debug, Clone, PartialEq)]
pub struct Turn {
    /// The finding.
    pub finding: String,
    /// Where.
    pub place: Place,
    /// The grade it would have to show.
    pub grade: usize,
    /// How probable that is.
    pub probability: f64,
    /// The rival that would then be best.
    pub into: usize,
    /// What that saves against staying with the choice.
    pub saves: f64,
}

/// How closely `next --by money` looks.
const CLOSELY: Effort = Effort {
    tests: 12,
    outcomes: 32,
};

/// The title of the choice that pays best now, and the tests that could change it.
///
/// # Errors
/// When an exact answer is out of reach.
pub fn next(desk: &Desk, at_hand: &AtHand) -> Result<(String, Vec<Worth>), Error> {
    let search = Search::on(desk);
    let mut ways = ways(desk, &search);
    ways.retain(|way| way.then.is_none());
    let present = desk.present();
    let total = |way: &&Way| search.total(&way.package, &present);
    let doing = ways.iter().filter(|way| !way.package.is_empty());
    let Some(best) = doing.min_by(|a, b| total(a).total_cmp(&total(b))) else {
        return Ok((String::new(), vec![]));
    };
    let packages: Vec<Package> = ways.iter().map(|way| way.package.clone()).collect();
    let rivals = Rivals::of(&search, &packages, &best.package);
    let (options, _) = options(desk.d, at_hand);
    Ok((best.title.clone(), tests(&rivals, &options, CLOSELY)?))
}

/// The tests that save most above what they cost, best first; ties by id.
///
/// # Errors
/// When an exact answer is out of reach.
pub fn tests(rivals: &Rivals, options: &[TestOption], effort: Effort) -> Result<Vec<Worth>, Error> {
    let rough = rough(rivals, options);
    let mut all: Vec<Worth> = (options.iter())
        .map(|option| {
            let telling = telling(rivals.desk.d, &option.yields, &rough, effort.outcomes);
            Worth {
                saves: telling.iter().filter_map(|y| rough.get(y)).sum(),
                error: 0.0,
                cost: cost(rivals.desk, option),
                test: option.clone(),
                telling,
            }
        })
        .filter(|worth| worth.saves > 0.0)
        .collect();
    all.sort_by(best_first);
    all.truncate(effort.tests);
    let findings: Vec<Vec<Var>> = all.iter().map(|w| vars(rivals.desk, &w.telling)).collect();
    let loss = |present: &[f64]| rivals.best(&rivals.beliefs(present)).1;
    let solved = &rivals.desk.d.solved;
    let values = solved.values_by(&findings, &rivals.vars(), &loss)?;
    for (worth, value) in all.iter_mut().zip(values) {
        (worth.saves, worth.error) = (value.bits, value.error);
    }
    let felt = FELT * rivals.desk.pricer.pricing.currency.unit() as f64;
    all.retain(|worth| worth.saves > felt && worth.saves > SURE * worth.error);
    all.sort_by(best_first);
    Ok(all)
}

/// The most telling of the findings by what each is worth, as many as have so
/// many joint outcomes at most.
fn telling(
    d: &Diagnosis,
    yields: &[(String, Place)],
    rough: &Rough,
    most: usize,
) -> Vec<(String, Place)> {
    let bits = |y: &(String, Place)| rough.get(y).copied().unwrap_or(0.0);
    let mut order: Vec<&(String, Place)> = yields.iter().collect();
    order.sort_by(|a, b| bits(b).total_cmp(&bits(a)).then_with(|| a.cmp(b)));
    let (mut kept, mut outcomes) = (Vec::new(), 1);
    for one in order {
        let grades = d.rules.findings.get(&one.0).map_or(2, |f| f.grades.len());
        if outcomes * grades <= most {
            outcomes *= grades;
            kept.push(one.clone());
        }
    }
    kept
}

/// The outcome of one of these findings that changes the choice and, by its
/// probability times what it saves, matters most.
///
/// # Errors
/// When an exact answer is out of reach.
pub fn turn(rivals: &Rivals, findings: &[(String, Place)]) -> Result<Option<Turn>, Error> {
    let d = rivals.desk.d;
    let mut most: Option<Turn> = None;
    for (finding, place) in findings {
        let Some(instance) = d.unrolled.finding(finding, *place) else {
            continue;
        };
        let chances = d.solved.marginal(instance.var)?;
        for (grade, probability) in chances.iter().copied().enumerate() {
            if probability < 1e-4 {
                continue;
            }
            let seen: Vec<f64> = (0..chances.len()).map(|k| f64::from(k == grade)).collect();
            let present = rivals.given(instance.var, &seen)?;
            let (into, total) = rivals.best(&present);
            let saves = rivals.total(rivals.chosen, &present) - total;
            let matters = |t: &Turn| t.probability * t.saves;
            let turn = Turn {
                finding: finding.clone(),
                place: *place,
                grade,
                probability,
                into,
                saves,
            };
            if into != rivals.chosen && most.as_ref().is_none_or(|m| matters(&turn) > matters(m)) {
                most = Some(turn);
            }
        }
    }
    Ok(most)
}

/// Minutes at the labour rate and the parts used, with tax, smallest units.
pub fn cost(desk: &Desk, option: &TestOption) -> f64 {
    let labour = desk.pricer.pricing.labour as f64 * option.minutes / 60.0;
    let test = desk.d.rules.tests.get(&option.test);
    let cylinders: BTreeSet<usize> = match option.place {
        Place::Engine => super::package::all(desk.d.engine),
        place => place.cylinders().into_iter().collect(),
    };
    let used = test.map_or(0.0, |test| desk.pricer.used(&test.parts, &cylinders));
    desk.pricer.taxed(labour) + used
}

fn best_first(a: &Worth, b: &Worth) -> std::cmp::Ordering {
    let net = b.net().total_cmp(&a.net());
    net.then_with(|| a.test.id().cmp(&b.test.id()))
}

fn vars(desk: &Desk, findings: &[(String, Place)]) -> Vec<Var> {
    let found = findings.iter();
    let found = found.filter_map(|(id, place)| desk.d.unrolled.finding(id, *place));
    found.map(|instance| instance.var).collect()
}

/// What each finding would save by itself, causes taken as independent: a
/// quick look that orders them, never shown.
fn rough(rivals: &Rivals, options: &[TestOption]) -> Rough {
    let now = rivals.desk.present();
    let asked: BTreeSet<&(String, Place)> = options.iter().flat_map(|o| &o.yields).collect();
    let (_, least) = rivals.best(&now);
    let mut rough = Rough::new();
    for asked in asked {
        if let Some(instance) = rivals.desk.d.unrolled.finding(&asked.0, asked.1) {
            let after = supposed(rivals, instance, &now);
            rough.insert(asked.clone(), (least - after).max(0.0));
        }
    }
    rough
}

/// Expected least total once it is known whether the finding shows.
fn supposed(rivals: &Rivals, finding: &Instance, now: &[f64]) -> f64 {
    let desk = rivals.desk;
    let kind = desk.d.unrolled.finding_kind(finding);
    let mut quiet = 1.0 - kind.sound.chance.p;
    let mut links: Vec<(usize, f64)> = Vec::new();
    for (cause, spread) in &kind.links {
        let id = &desk.d.unrolled.kinds.causes[*cause].id;
        for &i in desk.by_kind.get(id).into_iter().flatten() {
            if desk.stakes[i].place.touches(finding.place) {
                quiet *= 1.0 - now[i] * spread.chance.p;
                links.push((i, spread.chance.p));
            }
        }
    }
    let (mut shown, mut not) = (now.to_vec(), now.to_vec());
    for (i, strength) in links {
        let p = now[i];
        let others = quiet / (1.0 - p * strength).max(1e-12);
        not[i] = p * (1.0 - strength) * others / quiet.max(1e-12);
        shown[i] = p * (1.0 - (1.0 - strength) * others) / (1.0 - quiet).max(1e-12);
    }
    quiet * rivals.best(&not).1 + (1.0 - quiet) * rivals.best(&shown).1
}
