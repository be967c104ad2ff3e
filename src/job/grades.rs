//! The words of grades: what they mean, how they are written, and the refusal
//! of one that a finding does not have.

use super::vague::Says;
use crate::engine::Engine;
use crate::problem::Problem;
use crate::rules::Rules;
use crate::rules::file::{Finding, Reading};
use crate::words::{listed, nearest};

/// The word for what is said of several findings.
pub(super) fn vague_word(rules: &Rules, of: &str, says: &Says) -> String {
    let well = rules.signs.get(of).is_some_and(|s| s.is_summary());
    match says {
        Says::Grade(grade) => grade.clone(),
        Says::Any if well => "no".into(),
        Says::None if well => "yes".into(),
        Says::Any => "yes".into(),
        Says::None => "no".into(),
    }
}

/// The word for the grades meant: the grade's own, `yes` for any above the first,
/// `at least` for any from one on.
pub(super) fn grade_words(rules: &Rules, finding: &str, grades: &[bool]) -> String {
    let meant: Vec<usize> = (0..grades.len()).filter(|&k| grades[k]).collect();
    match (rules.findings.get(finding), meant.as_slice()) {
        (Some(f), [one]) => f.grades.get(*one).cloned().unwrap_or_default(),
        (Some(f), [least, ..]) if *least > 1 => {
            format!("at least {}", f.grades.get(*least).map_or("", |g| g))
        }
        _ => "yes".into(),
    }
}

/// The grades that a word means: one of them, `no` for the first, `yes` for any other,
/// `at least` one of them for it and those beyond.
pub(super) fn graded(finding: &Finding, word: &str) -> Option<Vec<bool>> {
    let grades = &finding.grades;
    let word = word.replace([' ', '_'], "-");
    let one = |k: usize| (0..grades.len()).map(|i| i == k).collect();
    if let Some(k) = grades.iter().position(|g| *g == word) {
        return Some(one(k));
    }
    let least = ["at-least-", ">=", "≥"].into_iter();
    if let Some(least) = least.filter_map(|p| word.strip_prefix(p)).next() {
        let k = grades.iter().position(|g| g == least)?;
        return Some((0..grades.len()).map(|i| i >= k.max(1)).collect());
    }
    match word.as_str() {
        "no" | "n" => Some(one(0)),
        "yes" | "y" => Some((0..grades.len()).map(|i| i > 0).collect()),
        _ => None,
    }
}

pub(super) fn no_grade(finding: &Finding, value: &str, reading: Option<&Reading>) -> Problem {
    let id = &finding.finding;
    let mut grades: Vec<String> = finding.grades.iter().map(|g| format!("`{g}`")).collect();
    if finding.grades.len() > 2 {
        grades.push("`yes` (seen, degree not said)".into());
    }
    if finding.grades.len() > 3 {
        grades.push(format!("`at least {}`", finding.grades[2]));
    }
    let mut hint = match nearest(value, finding.grades.iter().map(String::as_str)) {
        Some(near) => format!("did you mean `{near}`? It can be {}", listed(&grades, "or")),
        None => format!("it can be {}", listed(&grades, "or")),
    };
    if let Some(reading) = reading {
        let unit = &reading.unit;
        hint += &format!(", or a figure in {unit}");
    }
    hint += ", or `unknown`";
    Problem::new(format!("`{id}` cannot be `{value}`")).hint(hint)
}

/// Why a finding is not of an engine, in the words of its traits.
pub(super) fn why_not(rules: &Rules, engine: &Engine, finding: &Finding) -> String {
    let has = |word: &String| rules.applies(&engine.traits, std::slice::from_ref(word), &[]);
    if let Some(barred) = finding.not_on.iter().find(|w| has(w)) {
        return format!("it is for engines that are not {barred}");
    }
    let axis = |word: &str| rules.axis_of(word);
    let lacking = finding.on.iter().find(|word| {
        let same = axis(word).map(|a| &a.axis);
        !finding
            .on
            .iter()
            .any(|w| axis(w).map(|a| &a.axis) == same && has(w))
    });
    let Some(lacking) = lacking else {
        return "its traits do not fit".into();
    };
    let of_axis = axis(lacking);
    let wanted: Vec<&str> = (finding.on.iter())
        .filter(|w| axis(w).map(|a| &a.axis) == of_axis.map(|a| &a.axis))
        .map(String::as_str)
        .collect();
    let own: Vec<&str> = (of_axis.iter().flat_map(|a| &a.traits))
        .filter(|t| engine.traits.contains(*t))
        .map(String::as_str)
        .collect();
    match own.is_empty() {
        true => format!("it is for engines with {}", listed(&wanted, "or")),
        false => format!(
            "it is for engines with {}; this one has {}",
            listed(&wanted, "or"),
            listed(&own, "and")
        ),
    }
}
