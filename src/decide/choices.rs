//! The choices every job is compared on, as far as they are for this engine:
//! run and watch, what is mended from outside, top end, rings, rebuild, exchange.

use super::desk::Desk;
use super::package::{Package, all, applies};
use super::search::Search;
use crate::rules::file::Scope;
use std::collections::BTreeSet;

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

/// A way to go on, before it is priced.
#[derive(Debug, Clone, PartialEq)]
pub struct Way {
    /// Short id, for machines.
    pub id: &'static str,
    /// Title.
    pub title: &'static str,
    /// What it is, in a sentence.
    pub says: &'static str,
    /// The repairs.
    pub package: Package,
}

/// The ways that this engine allows, smallest first; the best combination last.
/// To each that opens the engine the outside work is added that pays beside it:
/// nobody rebuilds an engine and leaves its breather blocked.
pub fn ways(desk: &Desk, search: &Search) -> Vec<Way> {
    let present = desk.present();
    let mut ways = vec![Way {
        id: "watch",
        title: "Run and watch",
        says: "Nothing is opened now; the engine is watched and what shows is dealt with then.",
        package: Package::default(),
    }];
    let outside = |package: &Package| {
        let open = desk.pricer.accesses(package);
        !DEEP.iter().any(|deep| open.contains_key(deep))
    };
    let found = search.best(&present, &[Package::default()], &outside);
    if !found.is_empty() {
        ways.push(Way {
            id: "outside",
            title: "Outside work only",
            says: "What can be put right without opening the engine, as far as it pays.",
            package: found.clone(),
        });
    }
    for way in canned(desk) {
        let package = search.beside(&present, &way.package, &outside);
        ways.push(Way { package, ..way });
    }
    let supported = |way: &Way| {
        let mut package = way.package.clone();
        package.work.retain(|id, at| desk.supported(id, at));
        package
    };
    let starts: Vec<Package> = ways.iter().map(supported).collect();
    let best = search.best(&present, &starts, &|_| true);
    if ways.iter().all(|way| way.package != best) {
        ways.push(Way {
            id: "best",
            title: "Made to measure",
            says: "The combination of repairs with the least expected total.",
            package: best,
        });
    }
    ways
}

fn canned(desk: &Desk) -> Vec<Way> {
    let top: &[&[&str]] = &[
        &["valve-job"],
        &["renew-head-gasket"],
        &["decarbonise-head-off"],
    ];
    let bores: &[&str] = &["new-liner-and-piston", "new-barrel-and-piston", "rebore"];
    let mut ways = vec![
        Way {
            id: "top-end",
            title: "Top end",
            says: "Head off: valves and seats ground, guides and seals looked to, carbon off, new gasket; and the outside work that pays.",
            package: package(desk, top, "valve-job"),
        },
        Way {
            id: "rings",
            title: "Rings and hone",
            says: "Pistons out, bores honed, new rings everywhere, new head gasket; and the outside work that pays.",
            package: package(
                desk,
                &[&["hone-and-ring"], &["renew-head-gasket"]],
                "hone-and-ring",
            ),
        },
        Way {
            id: "rebuild",
            title: "Full rebuild",
            says: "Everything apart: bores, pistons, rings, bearings, valves, gaskets; and the outside work that pays.",
            package: package(
                desk,
                &[
                    &["overhaul-worn-engine"],
                    bores,
                    &["valve-job", "exchange-cylinder"],
                    &["renew-head-gasket"],
                ],
                "overhaul-worn-engine",
            ),
        },
        Way {
            id: "exchange",
            title: "Exchange engine",
            says: "A short engine in exchange; head and accessories are changed over, and what is wrong on those is put right as far as it pays.",
            package: package(desk, &[&["exchange-short-engine"]], "exchange-short-engine"),
        },
    ];
    ways.retain(|way| !way.package.is_empty());
    ways
}

/// Of each group the first repair that is for this engine, on all cylinders;
/// nothing when the one that makes it is not.
fn package(desk: &Desk, groups: &[&[&str]], makes_it: &str) -> Package {
    let mut package = Package::default();
    for group in groups {
        let repairs = group.iter().filter_map(|id| desk.d.rules.repairs.get(*id));
        let Some(repair) = repairs
            .into_iter()
            .find(|r| applies(desk.d.rules, desk.d.engine, r))
        else {
            continue;
        };
        let cylinders = match repair.scope {
            Scope::Engine => BTreeSet::new(),
            _ => all(desk.d.engine),
        };
        package = package.with(&repair.repair, &cylinders);
    }
    match package.work.contains_key(makes_it) {
        true => package,
        false => Package::default(),
    }
}
