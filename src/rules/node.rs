//! YAML as a tree that remembers where each value stands.
//!
//! The loader merges, types and quotes from this tree; typed entries no longer
//! carry places of single values.

use serde_json::Value;

/// A value and its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Node {
    /// Which file: an index into the loader's list.
    pub file: usize,
    /// Line from 1.
    pub line: usize,
    /// Column from 1, in characters.
    pub column: usize,
    /// Width in characters, within its first line.
    pub width: usize,
    /// The value.
    pub data: Data,
}

/// What a value is.
#[derive(Debug, Clone, PartialEq)]
pub enum Data {
    /// Nothing, `~` or `null`.
    Nothing,
    /// True or false.
    Truth(bool),
    /// A finite number.
    Number(f64),
    /// Text.
    Text(String),
    /// A list.
    List(Vec<Node>),
    /// Keys (always [`Data::Text`]) and values, in the order written.
    Map(Vec<(Node, Node)>),
}

impl Node {
    /// The value under a key of a map.
    pub fn get(&self, key: &str) -> Option<&Node> {
        self.pair(key).map(|(_, value)| value)
    }

    /// Key and value of a map.
    pub fn pair(&self, key: &str) -> Option<(&Node, &Node)> {
        let Data::Map(pairs) = &self.data else {
            return None;
        };
        pairs
            .iter()
            .find(|(k, _)| k.text() == Some(key))
            .map(|(k, v)| (k, v))
    }

    /// The text, if it is one.
    pub fn text(&self) -> Option<&str> {
        match &self.data {
            Data::Text(text) => Some(text),
            _ => None,
        }
    }

    /// Whether `null` is written out, as against a value left empty.
    pub fn is_null(&self) -> bool {
        self.data == Data::Nothing && self.width == "null".len()
    }

    /// Text, or a number or truth value as it would be written.
    pub fn as_written(&self) -> Option<String> {
        match &self.data {
            Data::Text(text) => Some(text.clone()),
            Data::Number(n) => Some(n.to_string()),
            Data::Truth(t) => Some(t.to_string()),
            _ => None,
        }
    }

    /// Where a text stands in a list.
    pub fn position(&self, text: &str) -> Option<usize> {
        match &self.data {
            Data::List(items) => items.iter().position(|item| item.text() == Some(text)),
            _ => None,
        }
    }

    /// The node that a path of keys and list positions leads to; as deep as it goes.
    pub fn follow(&self, path: impl IntoIterator<Item = Step>) -> &Node {
        let mut node = self;
        for step in path {
            let next = match (&node.data, step) {
                (Data::List(items), Step::Item(i)) => items.get(i),
                (_, Step::Key(key)) => node.get(&key),
                // the key itself, not its value
                (_, Step::Name(key)) => node.pair(&key).map(|(k, _)| k),
                _ => None,
            };
            match next {
                Some(next) => node = next,
                None => break,
            }
        }
        node
    }

    /// The plain value, for serde.
    pub fn value(&self) -> Value {
        match &self.data {
            Data::Nothing => Value::Null,
            Data::Truth(t) => Value::Bool(*t),
            // whole numbers as such, so that counts can be read
            Data::Number(n) if n.fract() == 0.0 && n.abs() < 9e15 => Value::from(*n as i64),
            Data::Number(n) => Value::from(*n),
            Data::Text(text) => Value::String(text.clone()),
            Data::List(items) => Value::Array(items.iter().map(Node::value).collect()),
            Data::Map(pairs) => Value::Object(
                pairs
                    .iter()
                    .filter_map(|(k, v)| Some((k.text()?.to_string(), v.value())))
                    .collect(),
            ),
        }
    }
}

/// One step of a path into a [`Node`].
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Step {
    /// The value under a key.
    Key(String),
    /// A key itself.
    Name(String),
    /// A position in a list, from 0.
    Item(usize),
}

impl From<&str> for Step {
    fn from(key: &str) -> Step {
        Step::Key(key.into())
    }
}

impl From<usize> for Step {
    fn from(item: usize) -> Step {
        Step::Item(item)
    }
}
