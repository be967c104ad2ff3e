//! A value that may differ by kind of engine: one, or a list of which at most
//! one holds for any engine.
//!
//! serde is told by the shape which of the two it reads, so that a fault within
//! is told at its own place.

use super::{Danger, Link};
use crate::rules::Rules;
use crate::rules::node::Step;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::value::{MapAccessDeserializer, SeqAccessDeserializer};
use serde::de::{Error, MapAccess, SeqAccess, Unexpected, Visitor};
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::borrow::Cow;
use std::collections::BTreeSet;
use std::fmt;
use std::marker::PhantomData;

/// Something of the rules that may hold on some kinds of engines only.
pub trait OnSome: Sized {
    /// What a fault of shape says is wanted: `struct Link`.
    const WANTED: &'static str;
    /// Whether it may be written as a text alone.
    const TEXT: bool = false;
    /// The traits asked for: any within one axis, all across axes.
    fn on(&self) -> &[String];
    /// The traits that rule it out.
    fn not_on(&self) -> &[String];
    /// Made from a text alone, where that is a way to write it.
    fn of_text(_text: &str) -> Option<Self> {
        None
    }
    /// The text alone, where that says it all.
    fn as_text(&self) -> Option<&str> {
        None
    }
}

impl OnSome for Link {
    const WANTED: &'static str = "struct Link";
    fn on(&self) -> &[String] {
        &self.on
    }
    fn not_on(&self) -> &[String] {
        &self.not_on
    }
}

impl OnSome for Danger {
    const WANTED: &'static str = "a text, or a list of `{on: [diesel], says: Some text.}`";
    const TEXT: bool = true;
    fn on(&self) -> &[String] {
        &self.on
    }
    fn not_on(&self) -> &[String] {
        &self.not_on
    }
    fn of_text(text: &str) -> Option<Self> {
        Some(Danger {
            says: text.into(),
            on: Vec::new(),
            not_on: Vec::new(),
        })
    }
    fn as_text(&self) -> Option<&str> {
        (self.on.is_empty() && self.not_on.is_empty()).then_some(self.says.as_str())
    }
}

/// One value for every engine that its `on` and `not_on` meet, or a list with
/// one for each kind of engine.
///
/// ```
/// use sootsayer::rules::file::{ByEngine, Link};
/// let text = r#"[{"chance": "often", "on": ["petrol"], "basis": "practice"},
///                {"chance": "rarely", "on": ["diesel"], "basis": "practice"}]"#;
/// let links: ByEngine<Link> = serde_json::from_str(text).unwrap();
/// assert_eq!(links.all().len(), 2);
/// ```
#[derive(Debug, Clone, PartialEq)]
pub enum ByEngine<T> {
    /// Written without a list.
    One(T),
    /// Written as a list.
    Several(Vec<T>),
}

impl<T> ByEngine<T> {
    /// Each of them, as written.
    pub fn all(&self) -> &[T] {
        match self {
            ByEngine::One(it) => std::slice::from_ref(it),
            ByEngine::Several(list) => list,
        }
    }

    /// Each of them with its path, `at` being that of the whole.
    pub fn placed(&self, at: &[Step]) -> Vec<(Vec<Step>, &T)> {
        match self {
            ByEngine::One(it) => vec![(at.to_vec(), it)],
            ByEngine::Several(list) => (list.iter().enumerate())
                .map(|(i, it)| ([at, &[Step::Item(i)]].concat(), it))
                .collect(),
        }
    }
}

impl<T: OnSome> ByEngine<T> {
    /// The one that holds for engines with these traits, if any does.
    pub fn held(&self, rules: &Rules, traits: &BTreeSet<String>) -> Option<&T> {
        (self.all().iter()).find(|it| rules.applies(traits, it.on(), it.not_on()))
    }
}

impl ByEngine<Link> {
    /// The strongest of them, whatever the engine; none of an empty list.
    pub fn strongest(&self, rules: &Rules) -> Option<&Link> {
        let chance = |link: &&Link| rules.chance(&link.chance);
        (self.all().iter()).max_by(|a, b| chance(a).total_cmp(&chance(b)))
    }
}

impl<T: OnSome + Serialize> Serialize for ByEngine<T> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self {
            ByEngine::One(it) => match it.as_text() {
                Some(text) => serializer.serialize_str(text),
                None => it.serialize(serializer),
            },
            ByEngine::Several(list) => list.serialize(serializer),
        }
    }
}

impl<'de, T: OnSome + Deserialize<'de>> Deserialize<'de> for ByEngine<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(ByShape(PhantomData))
    }
}

struct ByShape<T>(PhantomData<T>);

impl<'de, T: OnSome + Deserialize<'de>> Visitor<'de> for ByShape<T> {
    type Value = ByEngine<T>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(T::WANTED)
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<Self::Value, E> {
        T::of_text(text)
            .map(ByEngine::One)
            .ok_or_else(|| E::invalid_type(Unexpected::Str(text), &self))
    }

    fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<Self::Value, A::Error> {
        T::deserialize(MapAccessDeserializer::new(map)).map(ByEngine::One)
    }

    fn visit_seq<A: SeqAccess<'de>>(self, list: A) -> Result<Self::Value, A::Error> {
        Vec::deserialize(SeqAccessDeserializer::new(list)).map(ByEngine::Several)
    }
}

impl<T: OnSome + JsonSchema> JsonSchema for ByEngine<T> {
    fn schema_name() -> Cow<'static, str> {
        format!("{}ByEngine", T::schema_name()).into()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let one = generator.subschema_for::<T>();
        let mut ways = vec![one.clone()];
        if T::TEXT {
            ways.insert(0, json_schema!({"type": "string"}));
        }
        ways.push(json_schema!({
            "type": "array",
            "minItems": 1,
            "items": one,
            "description": "One for each kind of engine: at most one may hold for any engine."
        }));
        json_schema!({"anyOf": ways})
    }
}
