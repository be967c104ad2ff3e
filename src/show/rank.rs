//! The ranking as a page.

use super::table::{figures, table, words};
use super::{ALARM, FAINT, STRONG, bar, likelihood, percent, styled, wrapped};
use crate::diagnose::doubt::Doubt;
use crate::diagnose::rank::{RankedKind, Ranking};
use crate::diagnose::surprise::Surprise;
use crate::engine::Place;

/// Kinds below this probability are left out of the table, unless asked for.
const WORTH_A_LINE: f64 = 0.02;

/// What is present without being behind anything is named from this on.
const BESIDE_FROM: f64 = 0.15;

/// A root is named from this probability on, when the readings raised it.
const ROOT_FROM: f64 = 0.10;

/// Dangers, ranking, roots, surprises and warnings; `most` rows.
pub fn page(
    ranking: &Ranking,
    surprises: &[Surprise],
    warnings: &[String],
    doubt: Option<&Doubt>,
    most: usize,
    width: usize,
) -> String {
    let mut parts = Vec::new();
    for danger in &ranking.dangers {
        let text = format!(
            "Danger: {} ({}). {}",
            danger.title,
            percent(danger.probability),
            danger.text
        );
        parts.push(styled(ALARM, wrapped(&text, width, 2)));
    }
    parts.push(kinds(ranking, doubt, most, width));
    if let Some(doubt) = doubt {
        let text = format!(
            "Doubt: all numbers of the rules redrawn {} times (seed {}); the first stays first in {}.",
            doubt.redraws,
            doubt.seed,
            percent(doubt.first_stays)
        );
        parts.push(wrapped(&text, width, 2));
    }
    parts.extend(beside(ranking, width));
    parts.extend(roots(ranking, width));
    parts.extend(bounded(ranking, width));
    for s in surprises {
        let text = format!(
            "Does not fit: {} - the other readings leave it a chance of {}. Take it again.",
            s.said,
            percent(s.probability)
        );
        parts.push(wrapped(&text, width, 2));
    }
    parts.extend(
        warnings
            .iter()
            .map(|w| wrapped(&format!("Note: {w}"), width, 2)),
    );
    parts.join("\n\n")
}

fn kinds(ranking: &Ranking, doubt: Option<&Doubt>, most: usize, width: usize) -> String {
    let shown: Vec<&RankedKind> = ranking
        .kinds
        .iter()
        .enumerate()
        .filter(|(i, k)| *i < most && (*i < 3 || k.behind >= WORTH_A_LINE))
        .map(|(_, k)| k)
        .collect();
    let mut columns = vec![
        words("Probably behind it"),
        words("where"),
        words(""),
        figures("now"),
    ];
    columns.push(if doubt.is_some() {
        figures("5-95 %")
    } else {
        figures("at first")
    });
    let rows = shown
        .iter()
        .map(|k| {
            let last = match doubt.and_then(|d| d.kinds.get(&k.id)) {
                Some((low, high)) => range(*low, *high),
                None => styled(FAINT, percent(k.prior)),
            };
            let cells = if width >= 100 { 20 } else { 10 };
            vec![
                k.title.clone(),
                places(ranking, k),
                bar(k.behind, cells),
                styled(STRONG, percent(k.behind)),
                last,
            ]
        })
        .collect();
    let mut text = table(&columns, rows, width);
    if let Some(first) = shown.first() {
        text += &format!(
            "\n{}",
            styled(FAINT, format!("First: {}.", likelihood(first.behind)))
        );
    }
    text
}

fn range(low: f64, high: f64) -> String {
    format!(
        "{} - {}",
        percent(low).trim_end_matches(" %"),
        percent(high)
    )
}

/// The places that carry most of a kind, in order.
fn places(ranking: &Ranking, kind: &RankedKind) -> String {
    let at: Vec<_> = ranking
        .causes
        .iter()
        .filter(|c| c.kind == kind.id)
        .collect();
    let most = at.iter().map(|c| c.behind).fold(0.0, f64::max);
    let mut likely: Vec<Place> = at
        .iter()
        .filter(|c| c.behind >= most / 2.0)
        .map(|c| c.place)
        .collect();
    likely.sort();
    match likely[..] {
        [Place::Engine] | [] => String::new(),
        [one] => one.to_string(),
        _ if likely.len() == at.len() => "any".into(),
        _ => likely
            .iter()
            .map(Place::to_string)
            .collect::<Vec<_>>()
            .join(" "),
    }
}

/// Probably there, whether or not it has to do with what was seen.
fn beside(ranking: &Ranking, width: usize) -> Option<String> {
    let also: Vec<String> = (ranking.kinds.iter())
        .filter(|k| k.probability >= BESIDE_FROM && k.behind < k.probability / 2.0)
        .map(|k| format!("{} ({})", k.title, percent(k.probability)))
        .collect();
    (!also.is_empty()).then(|| {
        let text = format!(
            "Also likely, whether or not it has to do with it: {}.",
            also.join(", ")
        );
        wrapped(&text, width, 2)
    })
}

/// A proved interval wider than this tells a mechanic nothing.
const TELLING: f64 = 0.5;

/// What is not exact, and how far off the first cause may be.
fn bounded(ranking: &Ranking, width: usize) -> Option<String> {
    let first = ranking.causes.first()?;
    let (low, high) = first.between?;
    let seen: Vec<&str> = ranking.relaxed.iter().map(String::as_str).collect();
    let seen = crate::words::listed(&seen, "and");
    let proved = match high - low <= TELLING {
        true => format!(
            "Proved: {} is there with {}.",
            first.title,
            range(low, high)
        ),
        false => "The bound proved for the first cause is too wide to tell anything.".to_string(),
    };
    let text = format!("Not exact: so much was seen that an estimate stands for {seen}. {proved}");
    Some(wrapped(&text, width, 2))
}

fn roots(ranking: &Ranking, width: usize) -> Option<String> {
    let roots: Vec<String> = ranking
        .roots
        .iter()
        .filter(|r| r.behind >= ROOT_FROM && r.probability > r.prior)
        .map(|r| format!("{} ({})", r.title, percent(r.behind)))
        .collect();
    (!roots.is_empty()).then(|| {
        wrapped(
            &format!(
                "Behind it, and left in place it ruins the next one: {}.",
                roots.join(", ")
            ),
            width,
            2,
        )
    })
}
