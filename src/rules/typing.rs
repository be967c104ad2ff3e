//! From a tree to a typed entry, with *every* fault of the entry.
//!
//! serde stops at its first complaint. Here the complaint is noted at its place,
//! the faulty value is replaced by a neutral one, and serde is asked again until
//! it is content. An entry that had a fault is never used: what serde makes of
//! it then only tells that there is nothing more to complain about.

use super::node::{Data, Node, Step};
use super::plain;
use super::text::Fault;
use serde::de::DeserializeOwned;
use serde_json::{Value, json};
use serde_path_to_error::Segment;

/// More faults than this in one entry are not looked for.
const MOST: usize = 40;

/// An entry as far as it could be read.
pub struct Typed<T> {
    /// The entry, neutral values in the place of faulty ones; none when there are none that fit.
    pub it: Option<T>,
    /// Every fault.
    pub faults: Vec<Placed>,
    /// Where a neutral value stands.
    pub neutral: Vec<Vec<Step>>,
}

/// Reads an entry or a whole file; with faults there is none.
pub fn typed<T: DeserializeOwned>(node: &Node) -> Result<T, Vec<Placed>> {
    let read = as_far_as_read(node);
    match (read.it, read.faults.is_empty()) {
        (Some(it), true) => Ok(it),
        _ => Err(read.faults),
    }
}

/// Reads a whole file up to its first fault.
pub fn at_once<T: DeserializeOwned>(node: &Node) -> Result<T, Placed> {
    complaint(&node.value()).map_err(|(path, said)| placed(node, &path, &said))
}

/// Reads an entry as far as it can be.
pub fn as_far_as_read<T: DeserializeOwned>(node: &Node) -> Typed<T> {
    let mut value = node.value();
    if let Ok(it) = T::deserialize(&value) {
        return Typed {
            it: Some(it),
            faults: Vec::new(),
            neutral: Vec::new(),
        };
    }
    let mut faults: Vec<Placed> = Vec::new();
    let mut neutral: Vec<Vec<Step>> = Vec::new();
    while faults.len() < MOST && neutral.len() < 2 * MOST {
        let Err((path, said)) = complaint::<T>(&value) else {
            break;
        };
        // what follows from a value that was already replaced is no news
        if !neutral.contains(&path) {
            faults.push(placed(node, &path, &said));
        }
        let replaced = replace::<T>(&mut value, &path);
        neutral.push(path);
        if !replaced {
            break;
        }
    }
    Typed {
        it: serde_json::from_value(value).ok(),
        faults,
        neutral,
    }
}

/// A fault and the file it is in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Placed {
    /// Index of the file.
    pub file: usize,
    /// What and where.
    pub fault: Fault,
}

impl Placed {
    /// A fault at a node.
    pub fn at(node: &Node, what: impl Into<String>, hint: Option<String>) -> Placed {
        Placed {
            file: node.file,
            fault: Fault {
                what: what.into(),
                line: node.line,
                column: node.column,
                width: node.width,
                hint,
            },
        }
    }
}

fn read<T: DeserializeOwned>(value: &Value) -> Result<T, (Vec<Step>, String)> {
    serde_path_to_error::deserialize(value).map_err(|error| {
        let steps = error.path().iter().filter_map(|segment| match segment {
            Segment::Seq { index } => Some(Step::Item(*index)),
            Segment::Map { key } => Some(Step::Key(key.clone())),
            Segment::Enum { .. } | Segment::Unknown => None,
        });
        (steps.collect(), error.inner().to_string())
    })
}

/// As [`read`], the path leading to the very key that is missing or unknown.
fn complaint<T: DeserializeOwned>(value: &Value) -> Result<T, (Vec<Step>, String)> {
    read(value).map_err(|(mut path, said)| {
        if let Some(field) = plain::missing(&said) {
            path.push(Step::Key(field.into()));
        } else if let Some(field) = plain::unknown_field(&said)
            && path.last() != Some(&Step::Key(field.into()))
        {
            path.push(Step::Key(field.into()));
        }
        (path, said)
    })
}

fn placed(node: &Node, path: &[Step], said: &str) -> Placed {
    let mut at = node.follow(path.iter().cloned());
    let name = path.iter().rev().find_map(|step| match step {
        Step::Key(key) | Step::Name(key) => Some(key.as_str()),
        Step::Item(_) => None,
    });
    if plain::missing(said).is_some() {
        // the struct that lacks it: its name if it has one
        let parent = &path[..path.len() - 1];
        at = match parent {
            [] => first_value(node),
            _ => named(node, parent),
        };
    } else if plain::unknown_field(said).is_some() {
        at = named(node, path);
    }
    let found = &node.follow(path.iter().cloned()).data;
    let (what, hint) = plain::say(said, name.unwrap_or("the entry"), found);
    Placed::at(at, what, hint)
}

/// The key at the end of a path, or the value where it is a list item.
fn named<'n>(node: &'n Node, path: &[Step]) -> &'n Node {
    let mut path = path.to_vec();
    if let Some(last) = path.last_mut()
        && let Step::Key(key) = last
    {
        *last = Step::Name(key.clone());
    }
    node.follow(path)
}

/// The value of the first key: where an entry is recognised.
fn first_value(node: &Node) -> &Node {
    match &node.data {
        Data::Map(pairs) => pairs.first().map_or(node, |(_, value)| value),
        _ => node,
    }
}

/// Puts a value in the place of a faulty or missing one that serde accepts there.
fn replace<T: DeserializeOwned>(value: &mut Value, path: &[Step]) -> bool {
    let neutral = [
        json!("judgement"),
        json!(1),
        json!({}),
        json!([]),
        json!("engine"),
        json!("fault"),
        json!(false),
        json!([0, 1]),
        json!({"chance": 1, "basis": "judgement"}),
        json!({"times": 1, "basis": "judgement"}),
        json!({"per_1000": 1, "basis": "judgement"}),
        json!({"fixed": 1}),
        json!({"low": 1, "likely": 1, "high": 1}),
        json!({"part": "x"}),
        json!({"says": "x"}),
        json!({"on": [], "times": 1, "basis": "judgement"}),
        json!({"reading": "x", "bounds": [], "basis": "judgement"}),
    ];
    let before = value.clone();
    remove(value, path);
    if accepted::<T>(value, path) {
        return true;
    }
    for candidate in neutral {
        *value = before.clone();
        if !set(value, path, candidate) {
            return false;
        }
        if accepted::<T>(value, path) {
            return true;
        }
    }
    false
}

/// Whether serde no longer complains at a path or within it.
fn accepted<T: DeserializeOwned>(value: &Value, path: &[Step]) -> bool {
    match read::<T>(value) {
        Ok(_) => true,
        Err((mut at, said)) => {
            if let Some(field) = plain::missing(&said) {
                at.push(Step::Key(field.into()));
            }
            !at.starts_with(path)
        }
    }
}

fn parent<'v>(value: &'v mut Value, path: &[Step]) -> Option<&'v mut Value> {
    path.iter().try_fold(value, |value, step| match step {
        Step::Key(key) | Step::Name(key) => value.get_mut(key),
        Step::Item(i) => value.get_mut(i),
    })
}

fn remove(value: &mut Value, path: &[Step]) {
    if let Some((Step::Key(key), rest)) = path.split_last()
        && let Some(Value::Object(map)) = parent(value, rest)
    {
        map.remove(key);
    }
}

fn set(value: &mut Value, path: &[Step], to: Value) -> bool {
    let Some((last, rest)) = path.split_last() else {
        return false;
    };
    match (parent(value, rest), last) {
        (Some(Value::Object(map)), Step::Key(key)) => {
            map.insert(key.clone(), to);
            true
        }
        (Some(Value::Array(items)), Step::Item(i)) if *i < items.len() => {
            items[*i] = to;
            true
        }
        _ => false,
    }
}
