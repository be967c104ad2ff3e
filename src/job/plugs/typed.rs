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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::{self, file::Dimensions};

    /// The lines that words typed of plug 3 mean, or what is wrong with them.
    fn lines(typed: &str) -> Vec<String> {
        let rules = rules::load_whole(None).rules;
        let traits = ["four-stroke", "petrol", "spark", "single-plug", "plugged"];
        let engine = Engine {
            name: String::new(),
            family: String::new(),
            traits: rules.with_groups(&traits.map(String::from).into()),
            banks: Engine::deal(4, 1),
            dimensions: Dimensions::default(),
        };
        let words: Vec<String> = typed.split_whitespace().map(String::from).collect();
        match said(&rules, &engine, "3", &words) {
            Ok(said) => said.iter().map(Said::to_string).collect(),
            Err(problems) => (problems.iter())
                .map(|p| format!("{} / {}", p.what, p.hint.as_deref().unwrap_or_default()))
                .collect(),
        }
    }

    #[test]
    fn words_are_looks_names_or_both() {
        assert_eq!(lines("black wet oily"), ["plug@3=black wet oily"]);
        assert_eq!(
            lines("oil-wet worn"),
            ["plug-oil-wet@3=yes", "plug-worn@3=yes"]
        );
        assert_eq!(lines("plug-oil-wet=no"), ["plug-oil-wet@3=no"]);
        assert_eq!(lines("oily, worn"), ["plug-worn@3=yes", "plug@3=oily,"]);
        // alone it is the condition, among looks how tight it was
        assert_eq!(lines("loose"), ["plug-loose@3=yes"]);
        assert_eq!(lines("tan loose"), ["plug@3=tan loose"]);
        assert_eq!(lines("not-out"), ["plug@3=not-out"]);
    }

    #[test]
    fn normal_says_no_to_every_condition_told_by_eye() {
        let lines = lines("normal");
        assert!(
            lines.len() >= 18 && lines.iter().all(|l| l.ends_with("=no")),
            "{lines:?}"
        );
        // wear is measured at the gap
        assert!(!lines.contains(&"plug-worn@3=no".to_string()));
    }

    #[test]
    fn a_look_is_never_taken_for_a_name_to_hide_a_contradiction() {
        let wrong = lines("dry fuel-wet");
        assert!(
            wrong[0].contains("contradicts") && wrong.len() == 1,
            "{wrong:?}"
        );
    }

    #[test]
    fn every_unknown_word_is_named_with_those_near_it() {
        let wrong = lines("blak sotty wornn");
        assert_eq!(wrong.len(), 3, "{wrong:?}");
        assert!(
            wrong[0].contains("`black`") && wrong[1].contains("`sooty`"),
            "{wrong:?}"
        );
        assert!(wrong[2].contains("the condition `worn`"), "{wrong:?}");
        assert!(lines("oil-wett=yes")[0].contains("did you mean `oil-wet`?"));
    }
}
