//! Words and figures as a reader wants them: the nearest known word, plurals,
//! percentages, three significant figures.
//!
//! Used wherever text is made for people; knows nothing of engines.

/// The known word nearest to what was typed, if one is near enough to be meant.
///
/// Near enough: at most a third of the letters differ, or one word is the start
/// of the other. Ties go to the first in the order given.
///
/// ```
/// use sootsayer::words::nearest;
/// assert_eq!(nearest("leakdown", ["leak-down", "vacuum-low"]), Some("leak-down"));
/// assert_eq!(nearest("qqq", ["leak-down", "vacuum-low"]), None);
/// ```
pub fn nearest<'a>(typed: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let plain = typed.to_lowercase().replace(['_', ' '], "-");
    let mut best: Option<(f64, &str)> = None;
    for word in known {
        let mut likeness = strsim::normalized_damerau_levenshtein(&plain, word);
        if plain.len() >= 4 && (word.starts_with(&plain) || plain.starts_with(word)) {
            likeness = likeness.max(0.70);
        }
        if likeness >= 0.66 && best.is_none_or(|(b, _)| likeness > b) {
            best = Some((likeness, word));
        }
    }
    best.map(|(_, word)| word)
}

/// `1 cause`, `2 causes`.
///
/// ```
/// use sootsayer::words::count;
/// assert_eq!(count(1, "cause"), "1 cause");
/// assert_eq!(count(0, "fact"), "0 facts");
/// assert_eq!(count(3, "family"), "3 families");
/// ```
pub fn count(n: usize, word: &str) -> String {
    if n == 1 {
        format!("1 {word}")
    } else {
        format!("{n} {}", plural(word))
    }
}

/// The plural of a plain English noun.
///
/// ```
/// use sootsayer::words::plural;
/// assert_eq!(plural("access"), "accesses");
/// assert_eq!(plural("axis"), "axes");
/// ```
pub fn plural(word: &str) -> String {
    match word {
        "axis" => "axes".into(),
        "equipment" => "equipment".into(),
        _ if word.ends_with("ss") || word.ends_with('x') || word.ends_with("ch") => {
            format!("{word}es")
        }
        _ if word.ends_with('y') && !word.ends_with("ay") => {
            format!("{}ies", &word[..word.len() - 1])
        }
        _ => format!("{word}s"),
    }
}

/// With a small first letter, for a title inside a sentence.
///
/// ```
/// assert_eq!(sootsayer::words::lower("Wet with oil"), "wet with oil");
/// ```
pub fn lower(title: &str) -> String {
    let mut letters = title.chars();
    letters.next().map_or(String::new(), |first| {
        first.to_lowercase().chain(letters).collect()
    })
}

/// With a capital first letter, for the start of a sentence.
///
/// ```
/// assert_eq!(sootsayer::words::capital("on 2 plugs"), "On 2 plugs");
/// ```
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

/// A number to three significant figures, without needless zeros.
///
/// ```
/// use sootsayer::words::three_figures;
/// assert_eq!(three_figures(1234.6), "1235");
/// assert_eq!(three_figures(12.3456), "12.3");
/// assert_eq!(three_figures(0.0123456), "0.0123");
/// assert_eq!(three_figures(1.5), "1.5");
/// assert_eq!(three_figures(0.0), "0");
/// ```
pub fn three_figures(value: f64) -> String {
    if value == 0.0 || !value.is_finite() {
        return if value == 0.0 {
            "0".into()
        } else {
            value.to_string()
        };
    }
    let figures = |v: f64| (2 - v.abs().log10().floor() as i32).clamp(0, 12) as usize;
    let mut decimals = figures(value);
    // 0.9996 rounds to 1.00: one figure before the point more than thought
    let scale = 10f64.powi(decimals as i32);
    let rounded = (value * scale).round() / scale;
    if rounded != 0.0 {
        decimals = figures(rounded);
    }
    let text = format!("{value:.decimals$}");
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').into()
    } else {
        text
    }
}

/// Words in a list: `a`, `a and b`, `a, b and c`.
///
/// ```
/// use sootsayer::words::listed;
/// assert_eq!(listed(&["a", "b", "c"], "or"), "a, b or c");
/// ```
pub fn listed<S: AsRef<str>>(words: &[S], last: &str) -> String {
    match words {
        [] => String::new(),
        [one] => one.as_ref().into(),
        [first @ .., end] => {
            let first: Vec<&str> = first.iter().map(AsRef::as_ref).collect();
            format!("{} {last} {}", first.join(", "), end.as_ref())
        }
    }
}

/// Text broken at spaces into lines of at most `width` characters; a longer word stays whole.
///
/// ```
/// use sootsayer::words::wrap;
/// assert_eq!(wrap("one two three", 8), ["one two", "three"]);
/// ```
pub fn wrap(text: &str, width: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    let mut used = 0;
    for word in text.split_whitespace() {
        let long = word.chars().count();
        if used > 0 && used + 1 + long > width {
            lines.push(String::new());
            used = 0;
        }
        if let Some(line) = lines.last_mut() {
            if used > 0 {
                line.push(' ');
                used += 1;
            }
            line.push_str(word);
            used += long;
        }
    }
    lines
}
