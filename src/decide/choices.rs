//! The choices that a job is compared on: each repair that answers a cause with
//! blame by its own name, the classes of work as far as they are for this
//! engine, the best combination found, and one thing first with another behind
//! it if that does not cure it.

use super::desk::{BLAMED, Desk, Stake};
use super::package::{Package, all, applies, on_cylinders, reached};
use super::search::Search;
use crate::rules::file::{CauseSort, Repair, Scope};
use crate::words::lower;
use std::collections::{BTreeMap, BTreeSet};

/// Stages of dismantling that open the engine.
pub const DEEP: &[&str] = &[
    "case-split",
    "cylinder-off",
    "engine-out",
    "head-off",
    "pistons-out",
    "sump-off",
    "timing-cover-off",
];

/// A kind of cause has a choice of its own from this blame on, over all its places.
pub const NAMED_FROM: f64 = 0.05;
/// A place is worked on from this share of the blame of the leading one on.
const WITH_LEADING: f64 = 1.0 / 3.0;
/// From this share of the cylinders on, the job is done on all.
const ALL_FROM: f64 = 0.7;
/// A repair that mends a cause less surely than this is not named for it.
const SURE_ENOUGH: f64 = 0.1;
/// Choices named for their repair.
const MOST_NAMED: usize = 5;
/// Jobs looked at for being tried first, those that answer most for their cost.
const MOST_FIRST: usize = 12;
/// The classes of work.
const CLASSES: [&str; 4] = ["top-end", "rings", "rebuild", "exchange"];
/// What is tried first costs at most this share of what comes behind it.
const CHEAPER: f64 = 0.5;
/// What is tried first cures at least so often.
const TRIED_FROM: f64 = 0.1;

/// A way to go on, before it is priced.
#[derive(Debug, Clone, PartialEq)]
pub struct Way {
    /// Short id, for machines.
    pub id: String,
    /// Title.
    pub title: String,
    /// What it is, in a sentence.
    pub says: String,
    /// The repairs; of a way in stages, those of the first.
    pub package: Package,
    /// What is done if the first does not cure it.
    pub then: Option<Package>,
}

impl Way {
    fn new(id: &str, title: &str, says: &str, package: Package) -> Self {
        Way {
            id: id.into(),
            title: title.into(),
            says: says.into(),
            package,
            then: None,
        }
    }

    /// A package by its repairs: by the only one, or the first two.
    pub fn named(desk: &Desk, id: &str, package: Package) -> Self {
        let says = match package.work.keys().next() {
            Some(only) if package.work.len() == 1 => desk.d.rules.repairs[only].says.clone(),
            _ => "These together, for what is behind the complaint.".into(),
        };
        Way::new(id, &title(desk, &package), &says, package)
    }
}

/// The title of a package: its repairs with their cylinders, the dearest to the
/// complaint first, at most three by name.
pub fn title(desk: &Desk, package: &Package) -> String {
    const BY_NAME: usize = 3;
    let gain = |id: &str, at: &BTreeSet<usize>| {
        let mended = desk.mended(&Package::default().with(id, at));
        let gains = desk.stakes.iter().zip(mended);
        gains.map(|(s, m)| s.behind * m).sum::<f64>()
    };
    let mut work: Vec<(f64, &String, &BTreeSet<usize>)> = (package.work.iter())
        .map(|(id, at)| (gain(id, at), id, at))
        .collect();
    work.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(b.1)));
    let cylinders = desk.d.engine.cylinders();
    let mut names: Vec<String> = (work.iter().take(BY_NAME))
        .filter_map(|(_, id, at)| {
            let repair = desk.d.rules.repairs.get(*id)?;
            let at = match at.len() == cylinders {
                true => String::new(),
                false => on_cylinders(at, cylinders),
            };
            Some(format!("{}{at}", repair.title))
        })
        .collect();
    names
        .iter_mut()
        .skip(1)
        .for_each(|name| *name = lower(name));
    if work.len() > BY_NAME {
        names.push(format!("{} more", work.len() - BY_NAME));
    }
    names.join(" + ")
}

/// The ways that this engine allows, smallest first; the best combination and
/// what is done in stages last.
pub fn ways(desk: &Desk, search: &Search) -> Vec<Way> {
    let present = desk.present();
    let mut ways = vec![Way::new(
        "watch",
        "Run and watch",
        "Nothing is opened now; the engine is watched and what shows is dealt with then.",
        Package::default(),
    )];
    let singles = singles(desk);
    for package in named(search, &singles) {
        let id = package.work.keys().next().cloned().unwrap_or_default();
        ways.push(Way::named(desk, &id, package));
    }
    let outside = |package: &Package| !is_deep(desk, package);
    let found = search.best(&present, &[Package::default()], &outside);
    if !found.is_empty() {
        ways.push(Way::new(
            "outside",
            "Outside work only",
            "What can be put right without opening the engine, as far as it pays.",
            found,
        ));
    }
    for way in classes(desk) {
        let package = search.beside(&present, &way.package, &outside);
        ways.push(Way { package, ..way });
    }
    let supported = |way: &Way| {
        let mut package = way.package.clone();
        package.work.retain(|id, at| desk.supported(id, at));
        package
    };
    let starts: BTreeSet<Package> = ways.iter().map(supported).collect();
    let starts: Vec<Package> = starts.into_iter().collect();
    let best = search.best(&present, &starts, &|_| true);
    ways.push(Way::named(desk, "best", desk.pricer.trimmed(&best)));
    for way in &mut ways {
        way.package = desk.pricer.trimmed(&way.package);
    }
    let mut seen = BTreeSet::new();
    ways.retain(|way| seen.insert(way.package.clone()));
    ways.extend(in_stages(search, &singles, &ways));
    ways
}

/// Whether a package opens the engine.
pub fn is_deep(desk: &Desk, package: &Package) -> bool {
    let open = desk.pricer.accesses(package);
    DEEP.iter().any(|deep| open.contains_key(deep))
}

/// Every repair that answers a kind of cause with blame, at the places that
/// have it: kind and package.
fn singles(desk: &Desk) -> Vec<(String, Package)> {
    let mut singles = Vec::new();
    for (kind, at) in &desk.by_kind {
        let stakes: Vec<&Stake> = at.iter().map(|&i| &desk.stakes[i]).collect();
        let leading = stakes.iter().map(|s| s.behind).fold(0.0, f64::max);
        if leading < BLAMED || stakes.iter().map(|s| s.behind).sum::<f64>() < NAMED_FROM {
            continue;
        }
        let places =
            (stakes.iter()).filter(|s| s.behind >= (leading * WITH_LEADING).max(BLAMED / 2.0));
        let places: Vec<_> = places.map(|s| s.place).collect();
        for id in desk.d.rules.mended_by(kind) {
            let repair = &desk.d.rules.repairs[id];
            let chance = desk.d.rules.chance(&repair.mends[kind].chance);
            if chance < SURE_ENOUGH || !applies(desk.d.rules, desk.d.engine, repair) {
                continue;
            }
            let reached = places.iter().map(|p| reached(desk.d.engine, repair, *p));
            let mut cylinders: BTreeSet<usize> = reached.flatten().collect();
            let count = desk.d.engine.cylinders();
            if cylinders.len() as f64 >= ALL_FROM * count as f64 {
                cylinders = all(desk.d.engine);
            }
            if repair.scope == Scope::Engine && !per_bank(desk, repair) {
                cylinders.clear();
            }
            singles.push((kind.clone(), Package::default().with(id, &cylinders)));
        }
    }
    singles
}

fn per_bank(desk: &Desk, repair: &Repair) -> bool {
    super::package::by_bank(desk.d.engine, repair.per_bank)
}

/// For each kind the repair that costs least in the end; those first that cost
/// least of all.
fn named(search: &Search, singles: &[(String, Package)]) -> Vec<Package> {
    let present = search.desk.present();
    let mut least: BTreeMap<&str, (f64, &Package)> = BTreeMap::new();
    for (kind, package) in singles {
        let total = search.total(package, &present);
        let known = least.entry(kind).or_insert((total, package));
        if total < known.0 {
            *known = (total, package);
        }
    }
    let mut named: Vec<(f64, &Package)> = least.into_values().collect();
    named.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(b.1)));
    named.dedup_by(|a, b| a.1 == b.1);
    named.truncate(MOST_NAMED);
    named
        .into_iter()
        .map(|(_, package)| package.clone())
        .collect()
}

/// The one thing to try first and what to do if it does not cure it, with the
/// least paid in the end, if any such pair is sensible. Blame is taken as that
/// of one cause, so that what a repair leaves is what does not cure.
fn in_stages(search: &Search, singles: &[(String, Package)], ways: &[Way]) -> Option<Way> {
    let desk = search.desk;
    let present = desk.present();
    let fee = desk.fee();
    let blame = |package: &Package, of: &dyn Fn(f64) -> f64| -> f64 {
        let priced = search.priced(package);
        let stakes = desk.stakes.iter().zip(&priced.mended);
        let faults = stakes.filter(|(s, _)| s.sort != CauseSort::Root);
        faults.map(|(s, m)| s.behind * of(*m)).sum()
    };
    let cured = |package: &Package| (1.0 - blame(package, &|m| 1.0 - m)).max(0.0);
    let all = blame(&Package::default(), &|_| 1.0).max(1.0);
    let mut best: Option<(f64, &Package, Package)> = None;
    let mut firsts: Vec<(f64, &Package)> = (singles.iter().map(|(_, p)| p))
        .chain(ways.iter().map(|w| &w.package))
        .map(|first| (blame(first, &|m| m) / all, first))
        .filter(|(share, _)| *share >= TRIED_FROM)
        .map(|(share, first)| (share / search.priced(first).mean.max(1.0), first))
        .collect();
    firsts.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(b.1)));
    firsts.dedup_by(|a, b| a.1 == b.1);
    firsts.truncate(MOST_FIRST);
    for (_, first) in firsts {
        let priced = search.priced(first);
        if desk.dangers_left(&priced.mended, &present) > 0 {
            continue;
        }
        for way in ways
            .iter()
            .filter(|way| !CLASSES.contains(&way.id.as_str()))
        {
            let mut then = way.package.clone();
            then.work.retain(|id, _| !first.work.contains_key(id));
            if then.is_empty() || search.priced(&then).mean * CHEAPER < priced.mean {
                continue;
            }
            let both = both(first, &then);
            if cured(&both) < cured(first) + TRIED_FROM / 2.0 {
                continue;
            }
            let paid = priced.mean + (1.0 - cured(first)) * (search.priced(&then).mean + fee);
            let total = paid + desk.left_if(&search.priced(&both).mended, &present);
            if best.as_ref().is_none_or(|(least, ..)| total < *least) {
                best = Some((total, first, then));
            }
        }
    }
    let (_, first, then) = best?;
    let ids: Vec<&String> = first.work.keys().chain(then.work.keys()).collect();
    let ids: Vec<&str> = ids.iter().map(|id| id.as_str()).collect();
    Some(Way {
        id: ids.join("-then-"),
        title: format!(
            "{} first; if not cured, {}",
            title(desk, first),
            lower(&title(desk, &then))
        ),
        says: "The lesser job first, the engine tried after it; the greater only if the complaint is still there.".into(),
        package: first.clone(),
        then: Some(then),
    })
}

/// The repairs of both.
pub fn both(first: &Package, then: &Package) -> Package {
    let mut both = first.clone();
    for (id, at) in &then.work {
        both.work.entry(id.clone()).or_default().extend(at);
    }
    both
}

/// The classes of work that this engine has. Rings open all that a top end
/// opens: the valves are ground while the head is off.
fn classes(desk: &Desk) -> Vec<Way> {
    let bores: &[&str] = &["new-liner-and-piston", "new-barrel-and-piston", "rebore"];
    let top: &[&str] = &["valve-job", "exchange-cylinder", "hone-and-ring"];
    let mut classes = vec![Way::new(
        "top-end",
        "Top end",
        "The top of the engine apart and put right: valves, seats, guides and seals where it has them, carbon off, new gasket; and the outside work that pays.",
        package(desk, &[top], &[]),
    )];
    let rings = package(
        desk,
        &[&["valve-job"], &["hone-and-ring"]],
        &["valve-job", "hone-and-ring"],
    );
    classes.push(Way::new(
        "rings",
        "Rings and hone, with the top end",
        "Pistons out, bores honed, new rings everywhere, valves ground while the head is off; and the outside work that pays.",
        rings,
    ));
    classes.push(Way::new(
        "rebuild",
        "Full rebuild",
        "Everything apart: bores, pistons, rings, bearings, valves, gaskets; and the outside work that pays.",
        package(desk, &[&["overhaul-worn-engine"], bores], &["overhaul-worn-engine"]),
    ));
    classes.push(Way::new(
        "exchange",
        "Exchange engine",
        "A short engine in exchange with its gaskets and oil; head and accessories are changed over, and what is wrong on those is put right as far as it pays.",
        package(desk, &[&["exchange-short-engine"]], &["exchange-short-engine"]),
    ));
    classes.retain(|way| !way.package.is_empty());
    classes
}

/// Of each group the first repair that is for this engine, on all cylinders;
/// nothing when one of those wanted is not.
fn package(desk: &Desk, groups: &[&[&str]], wanted: &[&str]) -> Package {
    let mut package = Package::default();
    for group in groups {
        let mut repairs = group.iter().filter_map(|id| desk.d.rules.repairs.get(*id));
        let Some(repair) = repairs.find(|r| applies(desk.d.rules, desk.d.engine, r)) else {
            continue;
        };
        let cylinders = match repair.scope {
            Scope::Engine => BTreeSet::new(),
            _ => all(desk.d.engine),
        };
        package = package.with(&repair.repair, &cylinders);
    }
    match wanted.iter().all(|id| package.work.contains_key(*id)) {
        true => package,
        false => Package::default(),
    }
}
