//! What a reading moved, up and down: a short table.

use super::table::{figures, table, words};
use super::{FAINT, FALL, RISE, percent, styled};
use crate::diagnose::explain::decibans;
use crate::diagnose::rank::{RankedKind, Ranking};

/// Least change of probability worth a line.
const FELT: f64 = 0.01;

/// The kinds that a reading moved most, at most `most` of them.
pub fn table_of(before: &Ranking, after: &Ranking, most: usize, width: usize) -> String {
    let was = |kind: &RankedKind| {
        before
            .kinds
            .iter()
            .find(|k| k.id == kind.id)
            .map_or(kind.prior, |k| k.probability)
    };
    let mut moved: Vec<(&RankedKind, f64)> = after
        .kinds
        .iter()
        .map(|k| (k, was(k)))
        .filter(|(k, was)| (k.probability - was).abs() >= FELT)
        .collect();
    moved.sort_by(|(a, x), (b, y)| {
        let by = |k: &RankedKind, was: &f64| (k.probability - was).abs();
        by(b, y).total_cmp(&by(a, x)).then_with(|| a.id.cmp(&b.id))
    });
    moved.truncate(most);
    if moved.is_empty() {
        return styled(FAINT, "Nothing moved by more than one in a hundred.");
    }
    let columns = [
        words("Moved"),
        words("where"),
        figures("was"),
        words(""),
        figures("now"),
        figures("decibans"),
    ];
    let rows = moved
        .into_iter()
        .map(|(k, was)| {
            let up = k.probability > was;
            vec![
                k.title.clone(),
                k.place.map_or(String::new(), |p| p.to_string()),
                percent(was),
                if up {
                    styled(RISE, "▲")
                } else {
                    styled(FALL, "▼")
                },
                percent(k.probability),
                super::explain::signed(decibans(was, k.probability)),
            ]
        })
        .collect();
    table(&columns, rows, width)
}
