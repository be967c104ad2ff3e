//! A cylinder against the middle one of the others.

use super::{Bench, Raw, Reduced, said, settled};
use crate::problem::Problem;

/// Scatter between sound cylinders, as a share (judgement).
const SCATTER: f64 = 0.08;

/// The figure over the middle one of the others. With a single other the
/// greater of the two is the measure, so that the weak one of a twin shows.
pub(super) fn share(
    reading: &str,
    raws: &[Raw],
    bench: &Bench,
    problems: &mut Vec<Problem>,
) -> Vec<Reduced> {
    against(reading, raws, bench, problems, |own, other| {
        let deviation = (own.deviation / other.0).hypot(own.value * other.1 / (other.0 * other.0));
        let share = own.value / other.0;
        (share, deviation.hypot(SCATTER * share))
    })
}

/// The figure less the middle one of the others.
pub(super) fn above(
    reading: &str,
    raws: &[Raw],
    bench: &Bench,
    problems: &mut Vec<Problem>,
) -> Vec<Reduced> {
    against(reading, raws, bench, problems, |own, other| {
        (own.value - other.0, own.deviation.hypot(other.1))
    })
}

/// The middle one of the others less the figure.
pub(super) fn below(
    reading: &str,
    raws: &[Raw],
    bench: &Bench,
    problems: &mut Vec<Problem>,
) -> Vec<Reduced> {
    against(reading, raws, bench, problems, |own, other| {
        (other.0 - own.value, own.deviation.hypot(other.1))
    })
}

fn against(
    reading: &str,
    raws: &[Raw],
    bench: &Bench,
    problems: &mut Vec<Problem>,
    compare: impl Fn(&Reduced, (f64, f64)) -> (f64, f64),
) -> Vec<Reduced> {
    let all = settled(reading, raws, bench, problems);
    let mut found = Vec::new();
    for (at, own) in all.iter().enumerate() {
        let mut others: Vec<(f64, f64)> = all
            .iter()
            .enumerate()
            .filter(|(other, _)| *other != at)
            .map(|(_, it)| (it.value, it.deviation))
            .collect();
        if others.is_empty() {
            problems.push(
                Problem::new(format!(
                    "{} on {} alone cannot be compared",
                    title(reading, raws),
                    own.place
                ))
                .hint("take it on the other cylinders too"),
            );
            continue;
        }
        others.sort_by(|a, b| a.0.total_cmp(&b.0));
        let other = match others.as_slice() {
            [only] if only.0 < own.value => (own.value, own.deviation),
            _ => others[others.len() / 2],
        };
        if other.0 == 0.0 {
            problems.push(Problem::new(format!(
                "{} is 0 on the other cylinders: there is nothing to compare with",
                title(reading, raws)
            )));
            continue;
        }
        let (value, deviation) = compare(own, other);
        found.push(Reduced {
            value,
            deviation,
            from: all.iter().flat_map(|it| it.from.clone()).collect(),
            how: format!(
                "{} against {} on the others",
                said(own.value),
                said(other.0)
            ),
            place: own.place,
        });
    }
    found
}

fn title<'a>(reading: &'a str, raws: &'a [Raw]) -> &'a str {
    raws.iter()
        .find(|raw| raw.reading.reading == reading)
        .map_or(reading, |raw| raw.reading.title.as_str())
}
