//! What the rules cover: by system, topic and family, on what footing their
//! numbers stand, and which causes no test can tell apart.
//!
//! Plain figures for `rules check`; nothing here is an error.

use super::file::{Basis, Cause, CauseSort, Finding, Footing, Link};
use super::{Entry, Rules};
use std::collections::{BTreeMap, BTreeSet};

/// Two causes are named alike when all findings together leave at least this
/// overlap (Bhattacharyya coefficient) between what they show: with every test
/// done, the better guess between the two is then still wrong in one case of
/// fifteen or more (Kailath 1967, (1 - sqrt(1 - overlap^2)) / 2; from memory).
pub const ALIKE: f64 = 0.5;

/// A finding that multiplies the odds of no cause by at least this much tells next to nothing.
pub const TELLING: f64 = 1.5;

/// What the rules cover.
#[derive(Debug, Clone, PartialEq)]
pub struct Coverage {
    /// Each system that has causes.
    pub systems: Vec<SystemCover>,
    /// Each topic that has findings or tests.
    pub topics: Vec<TopicCover>,
    /// Each family of engines.
    pub families: Vec<FamilyCover>,
    /// Numbers by footing.
    pub footing: BTreeMap<Footing, usize>,
    /// Numbers whose fact stands in a source, whatever the footing of the number.
    pub sourced: usize,
    /// Pairs of causes that no test tells apart well, the most alike first.
    pub alike: Vec<Alike>,
    /// Findings that tell next to nothing.
    pub quiet: Vec<String>,
}

/// Causes of one system.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SystemCover {
    /// Id.
    pub system: String,
    /// Title.
    pub title: String,
    /// Number of causes.
    pub causes: usize,
    /// Links from them to findings.
    pub links: usize,
    /// Repairs that mend one of them.
    pub repairs: usize,
}

/// Findings and tests of one topic.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TopicCover {
    /// Id.
    pub topic: String,
    /// Title.
    pub title: String,
    /// Number of findings.
    pub findings: usize,
    /// Tests that yield one of them.
    pub tests: usize,
}

/// What concerns one family of engines.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FamilyCover {
    /// Id.
    pub family: String,
    /// Title.
    pub title: String,
    /// Causes that such an engine can have.
    pub causes: usize,
    /// Findings that it can show.
    pub findings: usize,
    /// Tests that can be done on it.
    pub tests: usize,
    /// Causes that it can have and nothing that can be tested on it shows.
    pub blind: Vec<String>,
    /// The cause that shows the most findings of it, and how many: one that shows everything tells nothing.
    pub broadest: Option<(String, usize)>,
}

/// Two causes that look alike.
#[derive(Debug, Clone, PartialEq)]
pub struct Alike {
    /// The pair, by id.
    pub pair: (String, String),
    /// Overlap of what they show, 0 to 1: 1 is no difference at all.
    pub overlap: f64,
    /// The family on which they are most alike.
    pub family: String,
}

impl Coverage {
    /// Counts it all.
    pub fn of(rules: &Rules) -> Coverage {
        let mut footing = BTreeMap::new();
        let mut sourced = 0;
        for Basis {
            sources,
            footing: on,
        } in rules.bases()
        {
            *footing.entry(*on).or_default() += 1;
            sourced += usize::from(!sources.is_empty());
        }
        let benches: Vec<Bench> = rules
            .families
            .keys()
            .map(|id| Bench::of(rules, id))
            .collect();
        Coverage {
            systems: systems(rules),
            topics: topics(rules),
            families: benches.iter().map(Bench::cover).collect(),
            footing,
            sourced,
            alike: alike(&benches),
            quiet: quiet(rules),
        }
    }
}

fn systems(rules: &Rules) -> Vec<SystemCover> {
    let mut covers: BTreeMap<&str, SystemCover> = BTreeMap::new();
    for cause in rules.causes.values() {
        let cover = covers.entry(&cause.system).or_insert_with(|| SystemCover {
            system: cause.system.clone(),
            title: title(rules, &cause.system),
            causes: 0,
            links: 0,
            repairs: 0,
        });
        cover.causes += 1;
        cover.links += cause.shows.len();
    }
    for repair in rules.repairs.values() {
        let mended = repair.mends.keys().filter_map(|id| rules.causes.get(id));
        let systems: BTreeSet<&str> = mended.map(|cause| cause.system.as_str()).collect();
        for system in systems {
            if let Some(cover) = covers.get_mut(system) {
                cover.repairs += 1;
            }
        }
    }
    covers.into_values().collect()
}

fn topics(rules: &Rules) -> Vec<TopicCover> {
    let mut covers: BTreeMap<&str, TopicCover> = BTreeMap::new();
    for finding in rules.findings.values() {
        let cover = covers.entry(&finding.system).or_insert_with(|| TopicCover {
            topic: finding.system.clone(),
            title: title(rules, &finding.system),
            findings: 0,
            tests: 0,
        });
        cover.findings += 1;
    }
    for test in rules.tests.values() {
        let yielded = test.yields.iter().filter_map(|id| rules.findings.get(id));
        let topics: BTreeSet<&str> = yielded.map(|finding| finding.system.as_str()).collect();
        for topic in topics {
            if let Some(cover) = covers.get_mut(topic) {
                cover.tests += 1;
            }
        }
    }
    covers.into_values().collect()
}

fn title(rules: &Rules, system: &str) -> String {
    rules
        .systems
        .get(system)
        .cloned()
        .unwrap_or_else(|| system.into())
}

/// One family's engine and what concerns it.
struct Bench<'r> {
    rules: &'r Rules,
    family: &'r str,
    traits: BTreeSet<String>,
    causes: BTreeMap<&'r str, &'r Entry<Cause>>,
    /// Findings that a test on it yields.
    findings: BTreeMap<&'r str, &'r Entry<Finding>>,
    all_findings: usize,
    tests: usize,
}

impl<'r> Bench<'r> {
    fn of(rules: &'r Rules, family: &'r str) -> Bench<'r> {
        let traits: BTreeSet<String> = (rules.families.get(family))
            .map(|family| rules.family_traits(family))
            .unwrap_or_default();
        let causes = (rules.causes.iter())
            .filter(|(_, c)| rules.applies(&traits, &c.on, &c.not_on))
            .map(|(id, cause)| (id.as_str(), cause));
        let tests: Vec<_> = (rules.tests.values())
            .filter(|t| rules.applies(&traits, &t.on, &t.not_on))
            .collect();
        let yielded: BTreeSet<&str> = (tests.iter())
            .flat_map(|test| test.yields.iter().map(String::as_str))
            .collect();
        let findings: Vec<_> = (rules.findings.iter())
            .filter(|(_, f)| rules.applies(&traits, &f.on, &f.not_on))
            .map(|(id, finding)| (id.as_str(), finding))
            .collect();
        Bench {
            rules,
            family,
            causes: causes.collect(),
            tests: tests.len(),
            all_findings: findings.len(),
            findings: findings
                .into_iter()
                .filter(|(id, _)| yielded.contains(id))
                .collect(),
            traits,
        }
    }

    fn cover(&self) -> FamilyCover {
        let seen: Vec<(&str, CauseSort, usize)> = (self.causes.iter())
            .map(|(id, cause)| (*id, cause.sort, self.shown(cause).len()))
            .collect();
        let blind = (seen.iter()).filter(|(_, sort, n)| *sort != CauseSort::Root && *n == 0);
        // the first by id of those that show the most
        let broadest = seen.iter().rev().max_by_key(|(_, _, n)| *n);
        FamilyCover {
            family: self.family.into(),
            title: (self.rules.families.get(self.family))
                .map_or(String::new(), |f| f.title.clone()),
            causes: self.causes.len(),
            findings: self.all_findings,
            tests: self.tests,
            blind: blind.map(|(id, ..)| id.to_string()).collect(),
            broadest: broadest.map(|(id, _, n)| (id.to_string(), *n)),
        }
    }

    /// What a cause alone makes of each finding that it shows on this engine.
    fn shown(&self, cause: &Cause) -> Shown<'r> {
        let shown = cause.shows.iter().filter_map(|(id, links)| {
            let (id, finding) = self.findings.get_key_value(id.as_str())?;
            let link = links.held(self.rules, &self.traits)?;
            Some((*id, grades(self.rules, finding, Some(link))))
        });
        shown.collect()
    }

    /// What a sound engine makes of each finding.
    fn sound(&self) -> Shown<'r> {
        let sound = self.findings.iter();
        sound
            .map(|(id, finding)| (*id, grades(self.rules, finding, None)))
            .collect()
    }
}

/// Probabilities of the grades of findings.
type Shown<'r> = BTreeMap<&'r str, Vec<f64>>;

/// Overlap of what two causes show, over all findings; 0 once it is below [`ALIKE`].
fn overlap(a: &Shown, b: &Shown, sound: &Shown) -> f64 {
    let none = Vec::new();
    let of = |shown: &Shown, id: &str, p: &[f64]| {
        let q = shown.get(id).or_else(|| sound.get(id)).unwrap_or(&none);
        p.iter().zip(q).map(|(p, q)| (p * q).sqrt()).sum::<f64>()
    };
    let mut overlap = 1.0;
    let only_b = b.iter().filter(|(id, _)| !a.contains_key(*id));
    let pairs = a
        .iter()
        .map(|(id, p)| (b, id, p))
        .chain(only_b.map(|(id, q)| (a, id, q)));
    for (other, id, p) in pairs {
        overlap *= of(other, id, p);
        if overlap < ALIKE {
            return 0.0;
        }
    }
    overlap
}

/// Probabilities of a finding's grades when one cause alone is present, or none.
fn grades(rules: &Rules, finding: &Finding, link: Option<&Link>) -> Vec<f64> {
    let sound = cumulated(rules, finding, &finding.sound);
    let cause = link.map(|link| cumulated(rules, finding, link));
    let mut below = 0.0;
    (0..finding.grades.len())
        .map(|k| {
            let up_to = sound[k] * cause.as_ref().map_or(1.0, |cause| cause[k]);
            let here = up_to - below;
            below = up_to;
            here.max(0.0)
        })
        .collect()
}

/// P(grade <= k) that one link alone produces, for every grade.
fn cumulated(rules: &Rules, finding: &Finding, link: &Link) -> Vec<f64> {
    let chance = rules.chance(&link.chance);
    let above = finding.grades.get(1..).unwrap_or_default();
    let weight = |grade: &String| match above.len() {
        1 => 1.0,
        _ => link.grades.get(grade).copied().unwrap_or(0.0),
    };
    let total: f64 = above.iter().map(weight).sum();
    let mut up_to = 1.0 - chance;
    let mut all = vec![up_to];
    for grade in above {
        up_to += chance * weight(grade) / if total > 0.0 { total } else { 1.0 };
        all.push(up_to.min(1.0));
    }
    all
}

fn alike(benches: &[Bench]) -> Vec<Alike> {
    let mut worst: BTreeMap<(&str, &str), (f64, &str)> = BTreeMap::new();
    for bench in benches {
        let sound = bench.sound();
        let faults: Vec<_> = (bench.causes.iter())
            .filter(|(_, cause)| cause.sort != CauseSort::Root)
            .map(|(id, cause)| (*id, cause.scope, bench.shown(cause)))
            .collect();
        for (i, (a, scope, shows_a)) in faults.iter().enumerate() {
            for (b, _, shows_b) in faults[i + 1..].iter().filter(|(_, s, _)| s == scope) {
                let overlap = overlap(shows_a, shows_b, &sound);
                let known = worst.get(&(*a, *b)).map_or(ALIKE, |(o, _)| *o);
                if overlap > known {
                    worst.insert((*a, *b), (overlap, bench.family));
                }
            }
        }
    }
    let mut pairs: Vec<Alike> = (worst.into_iter())
        .map(|((a, b), (overlap, family))| Alike {
            pair: (a.into(), b.into()),
            overlap,
            family: family.into(),
        })
        .collect();
    pairs.sort_by(|a, b| b.overlap.total_cmp(&a.overlap).then(a.pair.cmp(&b.pair)));
    pairs
}

/// Findings that multiply no cause's odds by much, whatever grade is seen.
fn quiet(rules: &Rules) -> Vec<String> {
    let mut strongest: BTreeMap<&str, f64> = BTreeMap::new();
    for cause in rules.causes.values() {
        let links = (cause.shows.iter()).flat_map(|(id, links)| {
            let finding = rules.findings.get(id);
            finding
                .into_iter()
                .flat_map(move |finding| links.all().iter().map(move |link| (id, finding, link)))
        });
        for (id, finding, link) in links {
            let with = grades(rules, finding, Some(link));
            let without = grades(rules, finding, None);
            for (p, q) in with.iter().zip(&without).skip(1) {
                let times = if *q > 0.0 { p / q } else { f64::INFINITY };
                let most = strongest.entry(id).or_insert(0.0);
                *most = most.max(times);
            }
        }
    }
    let quiet = strongest.into_iter().filter(|(_, times)| *times < TELLING);
    quiet.map(|(id, _)| id.to_string()).collect()
}
