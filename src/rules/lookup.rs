//! Entries of any kind by id: title and place, for lists, hints and look-ups.

use super::chart::{Condition, Look};
use super::file::{
    Access, Axis, Cause, Equipment, Fact, Family, Finding, Limit, Measure, Part, Reading, Repair,
    SetUp, Sign, Source, Stage, Test,
};
use super::{Entry, Kind, Rules};
use crate::problem::Spot;
use std::collections::BTreeMap;

/// What every kind of entry has.
pub trait Item {
    /// The kind.
    const KIND: Kind;
    /// Its id.
    fn id(&self) -> &str;
    /// Its title.
    fn title(&self) -> &str;
    /// Where the rules keep this kind.
    fn shelf(rules: &Rules) -> &BTreeMap<String, Entry<Self>>
    where
        Self: Sized;
    /// Where the rules keep this kind, to add to it.
    fn shelf_mut(rules: &mut Rules) -> &mut BTreeMap<String, Entry<Self>>
    where
        Self: Sized;
}

macro_rules! items {
    ($($Type:ident $key:ident $shelf:ident),* $(,)?) => {
        $(impl Item for $Type {
            const KIND: Kind = Kind::$Type;
            fn id(&self) -> &str {
                &self.$key
            }
            fn title(&self) -> &str {
                &self.title
            }
            fn shelf(rules: &Rules) -> &BTreeMap<String, Entry<Self>> {
                &rules.$shelf
            }
            fn shelf_mut(rules: &mut Rules) -> &mut BTreeMap<String, Entry<Self>> {
                &mut rules.$shelf
            }
        })*

        impl Rules {
            /// What is known of an entry of any kind.
            pub fn entry(&self, kind: Kind, id: &str) -> Option<Named<'_>> {
                match kind {
                    $(Kind::$Type => self.$shelf.get_key_value(id).map(named),)*
                }
            }

            /// Every entry of a kind, by id.
            pub fn entries(&self, kind: Kind) -> Vec<Named<'_>> {
                match kind {
                    $(Kind::$Type => self.$shelf.iter().map(named).collect(),)*
                }
            }
        }
    };
}

items! {
    Cause cause causes,
    Finding finding findings,
    Sign sign signs,
    Reading reading readings,
    Test test tests,
    SetUp set_up set_ups,
    Equipment equipment equipment,
    Repair repair repairs,
    Access access accesses,
    Part part parts,
    Family family families,
    Fact fact facts,
    Axis axis axes,
    Limit limit limits,
    Measure measure measures,
    Stage stage stages,
    Source source sources,
    Look look looks,
    Condition condition conditions,
}

/// Does something with the type that a kind of entry has:
/// `of_kind!(kind, T => T::shelf(rules).len())`.
macro_rules! of_kind {
    ($kind:expr, $T:ident => $do:expr) => {{
        use $crate::rules::file;
        macro_rules! with {
            ($Type:ident) => {{
                type $T = file::$Type;
                $do
            }};
        }
        match $kind {
            $crate::rules::Kind::Cause => with!(Cause),
            $crate::rules::Kind::Finding => with!(Finding),
            $crate::rules::Kind::Sign => with!(Sign),
            $crate::rules::Kind::Reading => with!(Reading),
            $crate::rules::Kind::Limit => with!(Limit),
            $crate::rules::Kind::Test => with!(Test),
            $crate::rules::Kind::SetUp => with!(SetUp),
            $crate::rules::Kind::Equipment => with!(Equipment),
            $crate::rules::Kind::Repair => with!(Repair),
            $crate::rules::Kind::Access => with!(Access),
            $crate::rules::Kind::Part => with!(Part),
            $crate::rules::Kind::Family => with!(Family),
            $crate::rules::Kind::Fact => with!(Fact),
            $crate::rules::Kind::Axis => with!(Axis),
            $crate::rules::Kind::Measure => with!(Measure),
            $crate::rules::Kind::Stage => with!(Stage),
            $crate::rules::Kind::Source => with!(Source),
            $crate::rules::Kind::Look => with!(Look),
            $crate::rules::Kind::Condition => with!(Condition),
        }
    }};
}
pub(crate) use of_kind;

/// An entry of any kind, as far as all kinds are alike.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Named<'r> {
    /// Its kind.
    pub kind: Kind,
    /// Its id.
    pub id: &'r str,
    /// Its title.
    pub title: &'r str,
    /// Where it is written.
    pub at: &'r Spot,
    /// Its system or topic.
    pub system: &'r str,
    /// The entry under it, where a user's folder changes one.
    pub overrides: Option<&'r Spot>,
}

fn named<'r, T: Item>((id, entry): (&'r String, &'r Entry<T>)) -> Named<'r> {
    Named {
        kind: T::KIND,
        id,
        title: entry.it.title(),
        at: &entry.at,
        system: &entry.system,
        overrides: entry.overrides.as_ref(),
    }
}

impl Rules {
    /// Every entry with this id, of whatever kind.
    pub fn called(&self, id: &str) -> Vec<Named<'_>> {
        Kind::ALL
            .into_iter()
            .filter_map(|kind| self.entry(kind, id))
            .collect()
    }
}
