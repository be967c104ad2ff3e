//! What one answer means for others: it hides them, it excludes them, or it
//! answers them too.

use super::evidence::{Observation, Warning};
use crate::rules::Rules;
use crate::words::lower;

/// Takes out what cannot be judged because of something else seen at the same
/// place. Two findings that hide each other are both kept.
pub(super) fn unmask(rules: &Rules, seen: &mut Vec<Observation>, warnings: &mut Vec<Warning>) {
    let hides = |by: &Observation, it: &Observation| {
        let list = rules.findings.get(&by.finding).map(|f| &f.hides);
        by.place == it.place && is_seen(by) && list.is_some_and(|l| l.contains(&it.finding))
    };
    let hidden: Vec<Option<String>> = (seen.iter())
        .map(|it| {
            let by = seen.iter().find(|by| hides(by, it) && !hides(it, by))?;
            Some(format!(
                "{}: this cannot be judged and is not counted, because of {}",
                it.said, by.said
            ))
        })
        .collect();
    let mut hidden = hidden.into_iter();
    seen.retain(|it| match hidden.next().flatten() {
        Some(says) => {
            warnings.push(Warning {
                says,
                readings: it.readings.clone(),
                passed_over: false,
            });
            false
        }
        None => true,
    });
}

/// Grade 0 at most this likely, the best grade being 1, is as good as seen.
const AS_GOOD_AS_SEEN: f64 = 0.1;

/// Whether it shows more than a sound engine does, beyond what a look may hint at.
pub(super) fn is_seen(it: &Observation) -> bool {
    (it.likelihood.first()).is_some_and(|&first| first <= AS_GOOD_AS_SEEN)
}

/// Values of a circumstance that were seen: what they exclude is not seen. Two
/// that exclude each other say nothing.
pub(super) fn exclude(rules: &Rules, seen: &mut Vec<Observation>, warnings: &mut Vec<Warning>) {
    let against = |a: &Observation, b: &Observation| {
        is_seen(a) && is_seen(b) && rules.excluded_by(&a.finding).contains(b.finding.as_str())
    };
    let contradicted: Vec<bool> = (seen.iter())
        .map(|a| seen.iter().any(|b| against(a, b)))
        .collect();
    let mut apart = contradicted.into_iter();
    seen.retain(|it| {
        let contradicted = apart.next() == Some(true);
        if contradicted {
            warnings.push(Warning {
                says: format!(
                    "{}: another answer excludes this and neither is counted; retract the one that is wrong",
                    it.said
                ),
                readings: it.readings.clone(),
                passed_over: false,
            });
        }
        !contradicted
    });
    let mut excluded: Vec<Observation> = vec![];
    for it in seen.iter().filter(|it| is_seen(it)) {
        for other in rules.excluded_by(&it.finding) {
            let known = |o: &&Observation| o.finding == other && o.place == it.place;
            if seen.iter().chain(&excluded).any(|o| known(&o)) {
                continue;
            }
            let title = |id: &str| rules.findings.get(id).map_or("", |f| f.title.as_str());
            excluded.push(Observation {
                finding: other.to_string(),
                said: format!("{}: no ({})", title(other), lower(title(&it.finding))),
                likelihood: vec![1.0, 0.0],
                complaint: false,
                joint: None,
                ..it.clone()
            });
        }
    }
    seen.extend(excluded);
}

/// Takes out answers that another gave already: blue smoke all the time is also
/// blue smoke at idle. A mark as the complaint goes over to the other.
pub(super) fn imply(rules: &Rules, seen: &mut Vec<Observation>) {
    let implies = |by: &Observation, it: &Observation| {
        let grade = (rules.findings.get(&by.finding)).and_then(|f| f.implies.get(&it.finding));
        let grades = rules.findings.get(&it.finding).map(|f| &f.grades);
        let (Some(grade), Some(grades)) = (grade, grades) else {
            return false;
        };
        let least = it.likelihood.iter().position(|&l| l > 0.0);
        let said = grades.iter().position(|g| g == grade);
        by.place == it.place
            && by.likelihood.first() == Some(&0.0)
            && least.is_some_and(|least| least > 0 && said.is_some_and(|said| least <= said))
    };
    let by: Vec<Option<usize>> = (seen.iter())
        .map(|it| seen.iter().position(|by| implies(by, it)))
        .collect();
    for (it, by) in by.iter().enumerate() {
        if let (Some(by), true) = (by, seen[it].complaint) {
            seen[*by].complaint = true;
        }
    }
    let mut by = by.into_iter();
    seen.retain(|_| by.next().flatten().is_none());
}
