//! What was just recorded, in lines.

use crate::job::Said;
use crate::session::Session;
use crate::words::listed;
use std::ops::Range;

/// What was recorded, the same value at several places in one line, and what is
/// wrong with it.
pub fn lines(session: &Session, new: Range<usize>) -> Vec<String> {
    let readings = &session.store.job.readings[new.clone()];
    let alike = readings
        .chunk_by(|a, b| (&a.said.of, &a.said.value) == (&b.said.of, &b.said.value))
        .filter_map(|alike| Some((alike, alike.first()?, alike.last()?)));
    let mut lines: Vec<String> = alike
        .map(|(alike, first, last)| {
            if alike.len() == 1 {
                let said = session.reader().in_words(&first.said);
                return format!("recorded {}: {said}", first.number);
            }
            let at: Vec<&str> = alike.iter().filter_map(|r| r.said.at.as_deref()).collect();
            let said = Said {
                at: None,
                ..first.said.clone()
            };
            format!(
                "recorded {} to {}: {}, at {}",
                first.number,
                last.number,
                session.reader().in_words(&said),
                listed(&at, "and")
            )
        })
        .collect();
    lines.extend(warnings(session, new));
    lines
}

/// What is wrong with new readings.
pub fn warnings(session: &Session, new: Range<usize>) -> Vec<String> {
    let warnings = session.evidence().1.into_iter();
    warnings
        .filter(|w| w.readings.iter().any(|r| new.contains(r)))
        .map(|w| format!("warning: {}", w.says))
        .collect()
}
