//! What was looked for and could not be told, so that it is not asked again.

use super::Job;
use super::meaning::{Meaning, Reader, Says};
use super::vague::members;
use crate::engine::{Engine, Place};
use crate::plug::PLUG;
use crate::rules::Rules;
use std::collections::BTreeSet;

/// Findings answered with `unknown`, with their place; a raw reading that could
/// not be taken sets aside every finding that is measured from it.
pub fn set_aside(rules: &Rules, engine: &Engine, job: &Job) -> BTreeSet<(String, Place)> {
    let reader = Reader {
        rules,
        engine,
        units: job.file.units,
    };
    let standing = job.standing();
    let understood = standing
        .filter_map(|r| reader.understand(&r.said).ok())
        .flatten();
    let charted: BTreeSet<_> = (rules.conditions.values())
        .map(|c| c.finding.clone())
        .collect();
    let mut aside = BTreeSet::new();
    for it in understood {
        let of = match &it.meaning {
            // none of these: known, though not one by one
            Meaning::Vague {
                of,
                says: Says::None,
                ..
            } => {
                aside.extend(members(rules, engine, of, it.place));
                continue;
            }
            Meaning::Unknown { of } if rules.signs.contains_key(of) => {
                aside.extend(members(rules, engine, of, it.place));
                continue;
            }
            Meaning::Unknown { of } => of,
            _ => continue,
        };
        for finding in rules.findings.values() {
            let measured = finding.measured.as_ref().is_some_and(|m| m.reading == *of);
            let on_plug = *of == PLUG && charted.contains(&Some(finding.finding.clone()));
            if measured || on_plug || finding.finding == *of {
                aside.insert((finding.finding.clone(), it.place));
            }
        }
    }
    aside
}
