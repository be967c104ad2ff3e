//! Words typed of a plug: its looks, the chart's conditions by name, or both;
//! `normal` when none holds.

use crate::engine::Engine;
use crate::job::Said;
use crate::job::meaning::{is_not_out, is_unknown};
use crate::plug::{Chart, Looks, PLUG, looks};
use crate::problem::{Problem, Problems};
use crate::rules::Rules;
use crate::rules::file::Scope;
use crate::words::nearest;
use std::collections::BTreeMap;

/// The plug findings of an engine by short name: `oil-wet` is `plug-oil-wet`.
pub fn names(rules: &Rules, engine: &Engine) -> BTreeMap<String, String> {
    (rules.findings.values())
        .filter(|f| f.scope == Scope::Plug)
        .filter(|f| rules.applies(&engine.traits, &f.on, &f.not_on))
        .map(|f| (short(&f.finding), f.finding.clone()))
        .collect()
}

/// The name of a condition at the bench, without its value.
fn short(word: &str) -> String {
    let name = word.split('=').next().unwrap_or(word).to_lowercase();
    name.trim_start_matches("plug-").to_string()
}

fn line(of: &str, at: &str, value: &str) -> Said {
    Said {
        of: of.into(),
        at: Some(at.into()),
        value: value.into(),
    }
}

/// That none of the conditions that are told by eye is on a plug.
pub fn normal(rules: &Rules, engine: &Engine, at: &str) -> Vec<Said> {
    let names = names(rules, engine);
    let by_eye = names
        .values()
        .filter(|f| rules.findings[f.as_str()].measured.is_none());
    by_eye.map(|f| line(f, at, "no")).collect()
}

/// One line for each condition named, and one with the looks.
///
/// # Errors
/// Every word that is neither, every contradiction; looks and names together are
/// refused when either is wrong.
pub fn said(
    rules: &Rules,
    engine: &Engine,
    at: &str,
    words: &[String],
) -> Result<Vec<Said>, Problems> {
    let Some(chart) = Chart::of(rules, engine) else {
        return Err(vec![Problem::new("this engine has no spark plugs")]);
    };
    if words == ["normal"] {
        return Ok(normal(rules, engine, at));
    }
    let whole = words.join(" ");
    if is_not_seen(&whole) {
        return Ok(vec![line(PLUG, at, &whole)]);
    }
    let names = names(rules, engine);
    let known = looks::known_words(&chart);
    let is_look = |word: &str| known.contains_key(&word.to_lowercase());
    // Where every word is a condition's name they are names; among looks a word
    // that is both is a look.
    let all_names = words.iter().all(|w| names.contains_key(&short(w)));
    let (mut said, mut looks) = (vec![], vec![]);
    let mut problems = Problems::new();
    for word in words {
        let bare = word.trim_end_matches(',');
        match names.get(&short(bare)) {
            Some(finding) if all_names || word.contains('=') || !is_look(bare) => {
                let value = bare.split_once('=').map_or("yes", |(_, value)| value);
                said.push(line(finding, at, value));
            }
            None if word.contains('=') => problems.push(no_condition(&short(bare), &names)),
            _ => looks.push(word.as_str()),
        }
    }
    if !looks.is_empty() {
        let looks = looks.join(" ");
        match Looks::read(&chart, &looks) {
            Ok(_) => said.push(line(PLUG, at, &looks)),
            Err(wrong) => problems.extend(wrong),
        }
    }
    match problems.is_empty() {
        true => Ok(said),
        false => Err(problems),
    }
}

/// Whether the words say that the plug was not taken out, or could not be read.
pub fn is_not_seen(typed: &str) -> bool {
    let plain = typed.trim().to_lowercase().replace('’', "'");
    is_unknown(&plain) || is_not_out(&plain)
}

fn no_condition(name: &str, names: &BTreeMap<String, String>) -> Problem {
    let problem = Problem::new(format!("no condition is called `{name}`"));
    match nearest(name, names.keys().map(String::as_str)) {
        Some(near) => problem.hint(format!("did you mean `{near}`?")),
        None => problem.hint("`plug --list` lists the names of the chart"),
    }
}
