//! The kinds of entry that rule files hold, and what each is called.

use std::fmt;

/// A kind of entry: one list of a rule file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// A fault that may be present.
    Cause,
    /// Something that can be observed.
    Finding,
    /// A vague or summary word for several findings.
    Sign,
    /// A raw figure of an instrument.
    Reading,
    /// A procedure that yields findings.
    Test,
    /// A state of the engine that a test needs.
    SetUp,
    /// A tool.
    Equipment,
    /// A repair.
    Repair,
    /// A stage of dismantling.
    Access,
    /// A part, consumable or machine-shop job.
    Part,
    /// A family of engines.
    Family,
    /// Something known of the engine's past.
    Fact,
    /// An axis of traits.
    Axis,
    /// A published limit.
    Limit,
    /// A measurement of the opened engine.
    Measure,
    /// A stage of taking it apart.
    Stage,
    /// A published source.
    Source,
    /// One thing to look at on a spark plug.
    Look,
    /// A condition of a spark plug.
    Condition,
}

impl Kind {
    /// Every kind, in the order of the rule format.
    pub const ALL: [Kind; 19] = [
        Kind::Cause,
        Kind::Finding,
        Kind::Sign,
        Kind::Reading,
        Kind::Test,
        Kind::SetUp,
        Kind::Equipment,
        Kind::Repair,
        Kind::Access,
        Kind::Part,
        Kind::Family,
        Kind::Fact,
        Kind::Axis,
        Kind::Limit,
        Kind::Measure,
        Kind::Stage,
        Kind::Source,
        Kind::Look,
        Kind::Condition,
    ];

    /// The key of the list in a rule file.
    pub fn list(self) -> &'static str {
        match self {
            Kind::Cause => "causes",
            Kind::Finding => "findings",
            Kind::Sign => "signs",
            Kind::Reading => "readings",
            Kind::Test => "tests",
            Kind::SetUp => "set_ups",
            Kind::Equipment => "equipment",
            Kind::Repair => "repairs",
            Kind::Access => "accesses",
            Kind::Part => "parts",
            Kind::Family => "families",
            Kind::Fact => "facts",
            Kind::Axis => "axes",
            Kind::Limit => "limits",
            Kind::Measure => "measures",
            Kind::Stage => "stages",
            Kind::Source => "sources",
            Kind::Look => "looks",
            Kind::Condition => "conditions",
        }
    }

    /// The key that holds the id of an entry.
    pub fn key(self) -> &'static str {
        match self {
            Kind::Cause => "cause",
            Kind::Finding => "finding",
            Kind::Sign => "sign",
            Kind::Reading => "reading",
            Kind::Test => "test",
            Kind::SetUp => "set_up",
            Kind::Equipment => "equipment",
            Kind::Repair => "repair",
            Kind::Access => "access",
            Kind::Part => "part",
            Kind::Family => "family",
            Kind::Fact => "fact",
            Kind::Axis => "axis",
            Kind::Limit => "limit",
            Kind::Measure => "measure",
            Kind::Stage => "stage",
            Kind::Source => "source",
            Kind::Look => "look",
            Kind::Condition => "condition",
        }
    }

    /// The kind whose list has this key.
    pub fn of_list(key: &str) -> Option<Kind> {
        Kind::ALL.into_iter().find(|kind| kind.list() == key)
    }
}

impl fmt::Display for Kind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Kind::SetUp => "set-up",
            other => other.key(),
        })
    }
}
