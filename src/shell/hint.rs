//! What is said in faint letters after the cursor.

use super::vocabulary::{Subject, Vocabulary};

/// A hint: what it says, and whether the right arrow takes it into the line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hint {
    /// What it says.
    pub text: String,
    /// Whether it goes on with the line, or only tells.
    pub goes_on: bool,
}

fn tells(text: String) -> Option<Hint> {
    Some(Hint {
        text,
        goes_on: false,
    })
}

/// The hint after a line whose cursor stands at its end.
pub fn hint(vocabulary: &Vocabulary, line: &str, offered: &str) -> Option<Hint> {
    if line.is_empty() {
        return (!offered.is_empty()).then(|| Hint {
            text: offered.into(),
            goes_on: false,
        });
    }
    let start = line.rfind(char::is_whitespace).map_or(0, |blank| blank + 1);
    let part = &line[start..];
    let subject = |id: &str| vocabulary.subjects.get(id);
    if let Some((left, "")) = part.split_once('=') {
        let of = subject(left.split('@').next().unwrap_or(left))?;
        return tells(values(of));
    }
    if let Some((id, "")) = part.split_once('@') {
        let of = subject(id)?;
        return tells(format!("{}, all", of.places.join(", ")));
    }
    if part.is_empty() || part.contains(['=', '@']) {
        return None;
    }
    if let Some(of) = subject(part) {
        let next = if of.places.is_empty() { "=" } else { "@" };
        return tells(format!("{next}  {}", of.title));
    }
    if start > 0 {
        return None;
    }
    if let Some(word) = vocabulary.words.iter().find(|w| w.name == part) {
        return tells(format!("  {}", word.about));
    }
    let mut begun = vocabulary.words.iter().filter(|w| w.name.starts_with(part));
    match (begun.next(), begun.next()) {
        (Some(word), None) => Some(Hint {
            text: word.name[part.len()..].to_string(),
            goes_on: true,
        }),
        _ => None,
    }
}

/// What a value can be, in a few words.
fn values(of: &Subject) -> String {
    let mut values = of.grades.clone();
    values.extend(of.units.first().map(|unit| match unit.as_str() {
        "%" => "38%".to_string(),
        unit => format!("figure in {unit}"),
    }));
    values.push("unknown".into());
    values.join(" | ")
}

#[cfg(test)]
mod tests {
    use super::super::vocabulary::Word;
    use super::*;

    fn said(line: &str) -> Option<String> {
        let word = |name: &str| Word {
            name: name.into(),
            about: "Does it".into(),
            options: vec![],
        };
        let leak_down = Subject {
            title: "Leak-down".into(),
            places: vec!["1".into(), "2".into()],
            grades: vec!["good".into(), "poor".into()],
            degrees: true,
            units: vec!["%".into()],
        };
        let vocabulary = Vocabulary {
            words: vec![word("rank"), word("record"), word("undo")],
            subjects: [("leak-down".to_string(), leak_down)].into(),
            ..Vocabulary::default()
        };
        hint(&vocabulary, line, "Enter: next").map(|h| h.text)
    }

    #[test]
    fn a_hint_fits_what_is_typed() {
        assert_eq!(said("").as_deref(), Some("Enter: next"));
        assert_eq!(said("u").as_deref(), Some("ndo"));
        assert_eq!(said("r"), None);
        assert_eq!(said("rank").as_deref(), Some("  Does it"));
        assert_eq!(said("record leak-down").as_deref(), Some("@  Leak-down"));
        assert_eq!(said("leak-down@").as_deref(), Some("1, 2, all"));
        assert_eq!(
            said("leak-down@2=").as_deref(),
            Some("good | poor | 38% | unknown")
        );
        assert_eq!(said("leak-down@2=po"), None);
    }
}
