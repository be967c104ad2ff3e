//! Rules that an unlucky hand has spoilt: whatever happens to a file, loading
//! and checking do not panic, and what is said names the place.

use sootsayer::graph;
use sootsayer::problem::Problem;
use sootsayer::rules::{Kind, folder, load_files};
use std::collections::BTreeSet;

/// A seeded choice; the same on every machine (xorshift, Marsaglia 2003).
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % sides.max(1) as u64) as usize
    }

    fn pick<'a, T>(&mut self, of: &'a [T]) -> &'a T {
        &of[self.roll(of.len())]
    }
}

/// How a file is spoilt; each returns whether an error must follow.
type Spoil = fn(&mut Dice, &str) -> Option<(Vec<u8>, bool)>;

fn lines_with<'t>(text: &'t str, part: &str) -> Vec<(usize, &'t str)> {
    let found = |(_, line): &(usize, &str)| line.contains(part) && !line.trim().starts_with('#');
    text.lines().enumerate().filter(found).collect()
}

fn with_line(text: &str, number: usize, line: &str) -> Vec<u8> {
    let lines: Vec<&str> = text.lines().collect();
    let all = [&lines[..number], &[line], &lines[number + 1..]].concat();
    (all.join("\n") + "\n").into_bytes()
}

fn drop_line(dice: &mut Dice, text: &str) -> Option<(Vec<u8>, bool)> {
    let lines: Vec<&str> = text.lines().collect();
    let at = dice.roll(lines.len());
    let all = [&lines[..at], &lines[at + 1..]].concat();
    Some((all.join("\n").into_bytes(), false))
}

fn drop_needed_key(dice: &mut Dice, text: &str) -> Option<(Vec<u8>, bool)> {
    let lines = lines_with(text, "    title: ");
    let (at, _) = *lines.get(dice.roll(lines.len()))?;
    Some((with_line(text, at, ""), true))
}

fn wrong_id(dice: &mut Dice, text: &str) -> Option<(Vec<u8>, bool)> {
    let lines = lines_with(text, "basis: judgement");
    let (at, line) = *lines.get(dice.roll(lines.len()))?;
    let line = line.replacen("basis: judgement", "basis: judgment", 1);
    Some((with_line(text, at, &line), true))
}

fn wrong_word(dice: &mut Dice, text: &str) -> Option<(Vec<u8>, bool)> {
    let lines = lines_with(text, "chance: ");
    let (at, line) = *lines.get(dice.roll(lines.len()))?;
    let line = line.replacen("chance: ", "chance: zz", 1);
    Some((with_line(text, at, &line), true))
}

fn odd_number(dice: &mut Dice, text: &str) -> Option<(Vec<u8>, bool)> {
    let keys = ["{per_1000: ", "{times: ", "{fixed: ", "{low: "];
    let key = *dice.pick(&keys);
    let lines = lines_with(text, key);
    let (at, line) = *lines.get(dice.roll(lines.len()))?;
    let odd = *dice.pick(&[
        ".nan", "-.inf", "-7", "1e999", "\"\"", "0x", "{}", "~", "1e300",
    ]);
    let from = line.find(key)? + key.len();
    let end = line[from..]
        .find([',', '}'])
        .map_or(line.len(), |n| from + n);
    let line = format!("{}{odd}{}", &line[..from], &line[end..]);
    Some((with_line(text, at, &line), true))
}

fn unknown_key(dice: &mut Dice, text: &str) -> Option<(Vec<u8>, bool)> {
    let lines = lines_with(text, "    title: ");
    let (at, line) = *lines.get(dice.roll(lines.len()))?;
    let line = format!("{line}\n    colour: blue");
    Some((with_line(text, at, &line), true))
}

fn key_twice(dice: &mut Dice, text: &str) -> Option<(Vec<u8>, bool)> {
    let lines = lines_with(text, "    title: ");
    let (at, line) = *lines.get(dice.roll(lines.len()))?;
    Some((with_line(text, at, &format!("{line}\n{line}")), true))
}

fn cut(dice: &mut Dice, text: &str) -> Option<(Vec<u8>, bool)> {
    Some((text.as_bytes()[..dice.roll(text.len())].to_vec(), false))
}

fn cut_in_a_quote(dice: &mut Dice, text: &str) -> Option<(Vec<u8>, bool)> {
    let at = text.char_indices().nth(dice.roll(text.chars().count()))?.0;
    Some((format!("{}\n\"", &text[..at]).into_bytes(), true))
}

fn bad_byte(dice: &mut Dice, text: &str) -> Option<(Vec<u8>, bool)> {
    let mut bytes = text.as_bytes().to_vec();
    let at = dice.roll(bytes.len());
    bytes[at] = *dice.pick(&[0xFF, 0xC0, 0x00, 0x07, 0xB0]);
    Some((bytes, true))
}

fn utf16(_: &mut Dice, text: &str) -> Option<(Vec<u8>, bool)> {
    let units = text.encode_utf16().flat_map(u16::to_be_bytes);
    Some(([0xFE, 0xFF].into_iter().chain(units).collect(), true))
}

fn tab(dice: &mut Dice, text: &str) -> Option<(Vec<u8>, bool)> {
    let lines = lines_with(text, "    title: ");
    let (at, line) = *lines.get(dice.roll(lines.len()))?;
    Some((with_line(text, at, &line.replacen("    ", "\t", 1)), true))
}

fn punctuation(dice: &mut Dice, text: &str) -> Option<(Vec<u8>, bool)> {
    let mut chars: Vec<char> = text.chars().collect();
    for _ in 0..3 {
        let at = dice.roll(chars.len());
        chars[at] = *dice.pick(&[
            '{', '}', '[', ']', ':', '-', '"', '\'', '&', '*', '!', '|', '\n',
        ]);
    }
    Some((chars.into_iter().collect::<String>().into_bytes(), false))
}

fn indent(dice: &mut Dice, text: &str) -> Option<(Vec<u8>, bool)> {
    let lines: Vec<&str> = text.lines().collect();
    let at = dice.roll(lines.len());
    let line = match lines[at].strip_prefix("  ") {
        Some(less) => less.to_string(),
        None => format!("   {}", lines[at]),
    };
    Some((with_line(text, at, &line), false))
}

const SPOILS: [(&str, Spoil); 14] = [
    ("a line dropped", drop_line),
    ("a needed key dropped", drop_needed_key),
    ("a wrong id", wrong_id),
    ("a wrong chance word", wrong_word),
    ("an odd number", odd_number),
    ("an unknown key", unknown_key),
    ("a key twice", key_twice),
    ("a file cut", cut),
    ("a file cut within quotes", cut_in_a_quote),
    ("a bad byte", bad_byte),
    ("another encoding", utf16),
    ("a tab", tab),
    ("punctuation", punctuation),
    ("an indentation", indent),
];

type Files = Vec<(String, Vec<u8>)>;

/// What is said of rules, problem by problem.
fn said(files: Files) -> Vec<Problem> {
    graph::all_problems(&load_files(files, []))
}

/// Spoils one file of a set; false when there is nothing to spoil in this way.
fn hold(dice: &mut Dice, files: &Files, which: usize, way: usize, silent: &mut usize) -> bool {
    let (name, spoil) = SPOILS[way];
    let file = files[which].0.as_str();
    let text = std::str::from_utf8(&files[which].1).expect("the rules are UTF-8");
    let Some((bytes, must)) = spoil(dice, text) else {
        return false;
    };
    let before: BTreeSet<String> = said(files.clone()).iter().map(Problem::to_string).collect();
    let mut spoilt = files.clone();
    spoilt[which].1 = bytes;
    let problems = said(spoilt);
    let new: Vec<&Problem> = (problems.iter())
        .filter(|p| !before.contains(&p.to_string()))
        .collect();
    for problem in &new {
        let at = problem.at.as_ref();
        let at = at.unwrap_or_else(|| panic!("{name}: {problem}"));
        assert!(
            files.iter().any(|(f, _)| *f == at.file),
            "{name}: {problem}"
        );
        assert!(at.line >= 1 && at.column >= 1, "{name}: {problem}");
    }
    let here = new
        .iter()
        .any(|p| p.at.as_ref().is_some_and(|at| at.file == file));
    assert!(here || !must, "{name} in {file} was not told");
    *silent += usize::from(new.is_empty());
    true
}

#[test]
fn spoilt_files_never_panic_and_always_name_the_place() {
    let files = folder::built_in();
    let shared = |name: &str| name.ends_with("words.yaml") || name.ends_with("traits.yaml");
    let mut dice = Dice(0x5EED_CAFE);
    let (mut done, mut silent) = (0, 0);
    while done < 14 * 12 {
        // the file alone with the words that all use: the rest would only cost time
        let one = dice.pick(&files).clone();
        let others = files
            .iter()
            .filter(|(name, _)| shared(name) && *name != one.0);
        let set: Files = std::iter::once(&one).chain(others).cloned().collect();
        done += usize::from(hold(&mut dice, &set, 0, done % SPOILS.len(), &mut silent));
    }
    // what nobody notices: a comment or an optional line was hit
    assert!(silent < done / 3, "{silent} of {done} went unnoticed");
}

#[test]
fn a_spoilt_file_among_all_the_rules_is_named() {
    let files = folder::built_in();
    let mut dice = Dice(0x0DD_F11E);
    let mut done = 0;
    while done < 5 {
        let which = dice.roll(files.len());
        let way = dice.roll(SPOILS.len());
        done += usize::from(hold(&mut dice, &files, which, way, &mut 0));
    }
}

#[test]
fn every_kind_has_its_list() {
    for kind in Kind::ALL {
        assert_eq!(Kind::of_list(kind.list()), Some(kind));
    }
}
