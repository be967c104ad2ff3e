//! Answers about several findings at once, brought to what they add: a finding
//! that was answered itself is taken out of the group first.

use super::Job;
use super::evidence::{Observation, Warning};
use super::vague::{Says, members};
use crate::engine::{Engine, Place};
use crate::rules::Rules;
use crate::unroll::{Joint, Member};
use std::collections::{BTreeMap, BTreeSet};

/// A reading that speaks of several findings.
#[derive(Debug, Clone)]
pub(super) struct Heard {
    /// Index of the job's reading.
    pub reading: usize,
    /// Sign or finding.
    pub of: String,
    /// Where; the engine when it is at one of several places.
    pub place: Place,
    /// What is said of them.
    pub says: Says,
}

/// How a finding stands by its own answers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Stands {
    /// As on a sound engine.
    Sound,
    /// Above that.
    Seen,
    /// Answered, but not so that it tells.
    Open,
}

/// How each finding stands that was answered itself.
pub(super) fn standing(seen: &[Observation]) -> BTreeMap<(String, Place), Stands> {
    let stands = |it: &Observation| {
        let (first, above) = it.likelihood.split_first().unwrap_or((&1.0, &[]));
        let above = above.iter().copied().fold(0.0, f64::max);
        match first.total_cmp(&above) {
            std::cmp::Ordering::Greater => Stands::Sound,
            std::cmp::Ordering::Less => Stands::Seen,
            std::cmp::Ordering::Equal => Stands::Open,
        }
    };
    (seen.iter())
        .map(|it| ((it.finding.clone(), it.place), stands(it)))
        .collect()
}

/// A group with what is left of it.
struct Group {
    heard: Heard,
    open: BTreeSet<(String, Place)>,
    complaint: bool,
}

/// What answers about several findings add to those about one. A mark as the
/// complaint on an answer that adds nothing goes over to what stands for it.
pub(super) fn settle(
    rules: &Rules,
    engine: &Engine,
    job: &Job,
    heard: Vec<Heard>,
    stands: &BTreeMap<(String, Place), Stands>,
    seen: &mut Vec<Observation>,
    warnings: &mut Vec<Warning>,
) {
    let mut warn = |heard: &Heard, what: &str| {
        let said = said_of(rules, heard);
        warnings.push(Warning {
            says: format!("{said}: {what}"),
            readings: vec![heard.reading],
            passed_over: false,
        });
    };
    let opposed = |a: &Heard| {
        let other = |b: &Heard| (b.says == Says::None) != (a.says == Says::None);
        let same = |b: &Heard| a.of == b.of && a.place == b.place;
        heard.iter().any(|b| same(b) && other(b))
    };
    let mut groups: Vec<Group> = vec![];
    for it in &heard {
        if opposed(it) {
            warn(
                it,
                "another answer says the opposite and neither is counted; retract the one that is wrong",
            );
            continue;
        }
        let mut open: BTreeSet<_> = members(rules, engine, &it.of, it.place)
            .into_iter()
            .collect();
        if let Says::Grade(grade) = &it.says {
            open.retain(|(id, _)| graded(rules, id, grade).is_some());
        }
        groups.push(Group {
            heard: it.clone(),
            open,
            complaint: job.readings[it.reading].complaint,
        });
    }
    // what none shows first: it takes findings out of the others
    groups.sort_by_key(|g| g.heard.says != Says::None);
    let mut ruled_out: BTreeSet<(String, Place)> = BTreeSet::new();
    let mut kept: Vec<Group> = vec![];
    for mut group in groups {
        let is = |at: &(String, Place), what: Stands| stands.get(at) == Some(&what);
        let shown: Vec<_> = (group.open.iter())
            .filter(|at| is(at, Stands::Seen))
            .cloned()
            .collect();
        group
            .open
            .retain(|at| !is(at, Stands::Seen) && !is(at, Stands::Sound));
        group.open.retain(|at| !ruled_out.contains(at));
        if group.heard.says == Says::None {
            if !shown.is_empty() {
                warn(
                    &group.heard,
                    "one of these was recorded as seen, which stands; the others are taken as not seen",
                );
            }
            ruled_out.extend(group.open.iter().cloned());
        } else if !shown.is_empty() {
            for it in seen.iter_mut() {
                let one = shown.contains(&(it.finding.clone(), it.place));
                it.complaint |= one && group.complaint;
            }
            continue;
        } else if group.open.is_empty() {
            warn(
                &group.heard,
                "everything that it could be was recorded as not seen, so it is not counted; retract what is wrong",
            );
            continue;
        }
        if !group.open.is_empty() {
            kept.push(group);
        }
    }
    for group in narrowest(kept) {
        seen.push(observed(rules, group));
    }
}

/// Groups without those that a narrower one says already, and with a degree
/// only where no other group has a part in it.
fn narrowest(mut groups: Vec<Group>) -> Vec<Group> {
    let is_none = |g: &Group| g.heard.says == Says::None;
    let mut at = 0;
    while at < groups.len() {
        let wide = &groups[at];
        let by = (groups.iter().enumerate()).position(|(i, narrow)| {
            let degree = |g: &Group| matches!(g.heard.says, Says::Grade(_));
            i != at
                && !is_none(wide)
                && !is_none(narrow)
                && narrow.open.is_subset(&wide.open)
                // of two that say the same the first with the most to say
                && (narrow.open != wide.open || (degree(narrow), at) > (degree(wide), i))
                && (!degree(wide) || degree(narrow))
        });
        match by {
            Some(by) => {
                groups[by].complaint |= groups[at].complaint;
                groups.remove(at);
            }
            None => at += 1,
        }
    }
    for at in 0..groups.len() {
        let met = |other: &Group| !is_none(other) && !other.open.is_disjoint(&groups[at].open);
        if groups.iter().enumerate().any(|(i, g)| i != at && met(g)) && !is_none(&groups[at]) {
            groups[at].heard.says = Says::Any;
        }
    }
    groups
}

/// The index of a grade of a finding, 1 or more.
fn graded(rules: &Rules, finding: &str, grade: &str) -> Option<usize> {
    let grades = &rules.findings.get(finding)?.grades;
    grades.iter().position(|g| g == grade).filter(|&k| k > 0)
}

fn observed(rules: &Rules, group: Group) -> Observation {
    let Group {
        heard,
        open,
        complaint,
    } = group;
    let most = |id: &str| rules.findings.get(id).map_or(1, |f| f.grades.len() - 1);
    let members: Vec<Member> = (open.into_iter())
        .map(|(finding, place)| {
            let (from, to) = match &heard.says {
                Says::Grade(grade) => {
                    let k = graded(rules, &finding, grade).unwrap_or(1);
                    (k, k)
                }
                _ => (1, most(&finding)),
            };
            Member {
                finding,
                place,
                from,
                to,
            }
        })
        .collect();
    let graded = members.iter().any(|m| m.to < most(&m.finding));
    let likelihood = match (&heard.says, graded) {
        (Says::None, _) => vec![1.0, 0.0],
        (_, true) => vec![0.0, 1.0, 0.0],
        (_, false) => vec![0.0, 1.0],
    };
    Observation {
        said: said_of(rules, &heard),
        joint: Some(Joint {
            id: heard.of.clone(),
            place: heard.place,
            members,
            graded,
        }),
        finding: heard.of,
        place: heard.place,
        likelihood,
        complaint,
        readings: vec![heard.reading],
    }
}

/// In words: "Blue smoke: yes", "Plug wet with oil: yes, at one of them".
fn said_of(rules: &Rules, heard: &Heard) -> String {
    let sign = rules.signs.get(&heard.of);
    let finding = rules.findings.get(&heard.of);
    let title = sign
        .map(|s| s.title.as_str())
        .or(finding.map(|f| f.title.as_str()));
    let title = title.unwrap_or(&heard.of);
    let well = sign.is_some_and(|s| s.is_summary());
    let value = match &heard.says {
        Says::Grade(grade) => grade.as_str(),
        Says::Any if well => "no",
        Says::Any => "yes",
        Says::None if well => "yes",
        Says::None => "no",
    };
    let said = heard.place.after(&format!("{title}: {value}"));
    match finding.is_some() && heard.place == Place::Engine {
        true => format!("{said}, at one of them"),
        false => said,
    }
}
