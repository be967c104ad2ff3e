//! What a half-typed line can become.

use super::vocabulary::{Subject, Vocabulary};

/// A way to go on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Candidate {
    /// What takes the place of the half-typed part.
    pub text: String,
    /// What the list shows.
    pub shown: String,
}

/// The ways to go on from the end of `line`: where the part that they replace
/// starts, and the ways, in the order of the vocabulary.
pub fn complete(vocabulary: &Vocabulary, line: &str) -> (usize, Vec<Candidate>) {
    let start = line.rfind(char::is_whitespace).map_or(0, |blank| blank + 1);
    let (before, part) = line.split_at(start);
    let mut typed = before.split_whitespace();
    let Some(first) = typed.next() else {
        let words = vocabulary
            .words
            .iter()
            .map(|w| (w.name.clone(), w.about.clone()));
        let mut ways = fitting(words.collect(), part, " ");
        let (from, more) = subject(vocabulary, part);
        if ways.is_empty() || !more.is_empty() && from > 0 {
            return (from, more);
        }
        ways.extend(more);
        return (0, ways);
    };
    if part.starts_with('-') {
        let word = vocabulary.words.iter().find(|w| w.name == first);
        let options = word.map_or(vec![], |w| w.options.clone());
        let options = options.into_iter().map(|o| (o, String::new())).collect();
        return (start, fitting(options, part, " "));
    }
    let argument = typed.count();
    match first {
        "record" | "whatif" => reading(vocabulary, before, part, start),
        "plug" if argument == 0 => {
            let places = vocabulary.plugs.iter().cloned().chain(["all".to_string()]);
            let places = places.map(|p| (p, String::new())).collect();
            (start, fitting(places, part, " "))
        }
        word => match vocabulary.ids.get(word) {
            Some(ids) => (start, fitting(ids.clone(), part, " ")),
            None if first.contains('=') => reading(vocabulary, before, part, start),
            None => (start, vec![]),
        },
    }
}

/// A reading, or the unit of the one before it.
fn reading(
    vocabulary: &Vocabulary,
    before: &str,
    part: &str,
    start: usize,
) -> (usize, Vec<Candidate>) {
    if let Some((left, value)) = before
        .split_whitespace()
        .last()
        .and_then(|w| w.split_once('='))
        && value.ends_with(|c: char| c.is_ascii_digit())
        && let Some(of) = left
            .split('@')
            .next()
            .and_then(|id| vocabulary.subjects.get(id))
    {
        let units = of
            .units
            .iter()
            .map(|u| (u.clone(), String::new()))
            .collect();
        let ways = fitting(units, part, " ");
        if !part.is_empty() && !ways.is_empty() {
            return (start, ways);
        }
    }
    let (from, ways) = subject(vocabulary, part);
    (start + from, ways)
}

/// A finding or raw reading, its place, or its value.
fn subject(vocabulary: &Vocabulary, part: &str) -> (usize, Vec<Candidate>) {
    if let Some((left, value)) = part.split_once('=') {
        let id = left.split('@').next().unwrap_or(left);
        let values = vocabulary
            .subjects
            .get(id)
            .map_or(vec![], |s| values(s, value));
        let values = values.into_iter().map(|v| (v, String::new())).collect();
        return (left.len() + 1, fitting(values, value, " "));
    }
    if let Some((id, place)) = part.split_once('@') {
        let places = vocabulary
            .subjects
            .get(id)
            .map_or(vec![], |s| s.places.clone());
        let places = places.into_iter().chain(["all", "one"].map(String::from));
        let places = places.map(|p| (p, String::new())).collect();
        return (id.len() + 1, fitting(places, place, "="));
    }
    let ways = |needs_place: bool| {
        let ids = vocabulary
            .subjects
            .iter()
            .filter(|(_, s)| s.places.is_empty() != needs_place);
        let ids = ids.map(|(id, s)| (id.clone(), s.title.clone())).collect();
        fitting(ids, part, if needs_place { "@" } else { "=" })
    };
    let mut all = ways(true);
    all.extend(ways(false));
    all.sort_by(|a, b| a.text.cmp(&b.text));
    (0, all)
}

/// What a value can be: grades and the like, or the figure typed with each unit.
fn values(subject: &Subject, typed: &str) -> Vec<String> {
    if typed.ends_with(|c: char| c.is_ascii_digit()) {
        let unit = |u: &String| match u.as_str() {
            "%" => format!("{typed}%"),
            unit => format!("{typed} {unit}"),
        };
        return subject.units.iter().map(unit).collect();
    }
    let mut values = subject.grades.clone();
    if subject.degrees {
        values.push("yes".into());
    }
    values.push("unknown".into());
    values
}

/// Those that start with what was typed, or else those that hold it.
fn fitting(known: Vec<(String, String)>, part: &str, end: &str) -> Vec<Candidate> {
    let part = part.to_lowercase();
    let pick = |fits: &dyn Fn(&str) -> bool| -> Vec<Candidate> {
        (known.iter().filter(|(text, _)| fits(text)))
            .map(|(text, title)| Candidate {
                text: format!("{text}{end}"),
                shown: match title.is_empty() {
                    true => text.clone(),
                    false => format!("{text}  ({title})"),
                },
            })
            .collect()
    };
    let starting = pick(&|text| text.to_lowercase().starts_with(&part));
    match starting.is_empty() && part.len() >= 3 {
        true => pick(&|text| text.to_lowercase().contains(&part)),
        false => starting,
    }
}

#[cfg(test)]
mod tests {
    use super::super::vocabulary::Word;
    use super::*;
    use std::collections::BTreeMap;

    fn some() -> Vocabulary {
        let word = |name: &str| Word {
            name: name.into(),
            about: String::new(),
            options: vec!["--json".into(), "--most".into()],
        };
        let words = |text: &str| text.split(' ').map(String::from).collect::<Vec<_>>();
        let subjects = BTreeMap::from([
            (
                "leak-down".to_string(),
                Subject {
                    title: "Leak-down".into(),
                    places: words("1 2 3"),
                    grades: words("good fair poor gone"),
                    degrees: true,
                    units: words("%"),
                },
            ),
            (
                "oil-use".to_string(),
                Subject {
                    title: "Oil use".into(),
                    places: vec![],
                    grades: words("normal high"),
                    degrees: false,
                    units: words("L/h qt/h"),
                },
            ),
        ]);
        Vocabulary {
            words: vec![word("rank"), word("record"), word("plug")],
            subjects,
            ids: BTreeMap::from([("plug", vec![("oil-wet".to_string(), String::new())])]),
            plugs: words("1 2 3"),
        }
    }

    fn ways(line: &str) -> String {
        let (start, ways) = complete(&some(), line);
        let ways: Vec<String> = ways
            .iter()
            .map(|w| format!("{}{}", &line[..start], w.text))
            .collect();
        ways.join("|")
    }

    #[test]
    fn the_first_word_is_a_word_or_a_finding() {
        assert_eq!(ways("r"), "rank |record ");
        assert_eq!(ways("lea"), "leak-down@");
        assert_eq!(
            ways("leak-down@"),
            "leak-down@1=|leak-down@2=|leak-down@3=|leak-down@all=|leak-down@one="
        );
    }

    #[test]
    fn a_reading_is_completed_part_by_part() {
        assert_eq!(ways("record oil"), "record oil-use=");
        assert_eq!(ways("record leak-down@2=p"), "record leak-down@2=poor ");
        assert_eq!(ways("record leak-down@2=38"), "record leak-down@2=38% ");
        assert_eq!(ways("record oil-use=0.2 q"), "record oil-use=0.2 qt/h ");
        assert_eq!(
            ways("record oil-use=0.2 L/h lea"),
            "record oil-use=0.2 L/h leak-down@"
        );
        assert_eq!(ways("record down"), "record leak-down@");
    }

    #[test]
    fn other_words_take_their_own_names() {
        assert_eq!(ways("plug "), "plug 1 |plug 2 |plug 3 |plug all ");
        assert_eq!(ways("plug 2 oi"), "plug 2 oil-wet ");
        assert_eq!(ways("rank --j"), "rank --json ");
        assert_eq!(ways("rank x"), "");
    }
}
