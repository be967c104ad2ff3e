//! What the YAML says, one struct per kind of entry.
//!
//! These are the words a mechanic reads in `rules/`; serde reads them, nothing
//! is computed here. Unknown keys are refused, so that a slip of the pen is
//! named and not ignored.

pub use super::chart::{Condition, Look};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What a thing belongs to: the whole engine, one cylinder, two neighbours on
/// one bank, or one spark plug (where a cylinder has two).
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    Serialize,
    Deserialize,
    JsonSchema,
    Default,
)]
#[serde(rename_all = "kebab-case")]
pub enum Scope {
    /// One instance for the engine.
    #[default]
    Engine,
    /// One instance per cylinder.
    Cylinder,
    /// One instance per pair of neighbouring cylinders on a bank.
    Pair,
    /// One instance per spark plug: as `Cylinder`, but upper and lower where the engine has two.
    Plug,
}

/// How well founded a number is.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum Footing {
    /// The figure itself is printed in a source.
    Published,
    /// Common practice of the trade, without a source.
    Practice,
    /// The authors' judgement.
    Judgement,
}

/// Where a statement and its number come from.
///
/// In YAML: `judgement`, `practice`, a source id, or a list. A list that holds
/// `judgement` or `practice` beside sources says: the sources state the fact,
/// the *number* is judgement or practice.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(try_from = "OneOrMany", into = "OneOrMany")]
#[schemars(with = "OneOrMany")]
pub struct Basis {
    /// Ids in the bibliography.
    pub sources: Vec<String>,
    /// Footing of the number itself.
    pub footing: Footing,
}

/// A single word or a list of words, as YAML allows for short.
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
#[serde(
    untagged,
    expecting = "a source id, `practice` or `judgement`, or a list of them"
)]
pub enum OneOrMany {
    /// `basis: judgement`
    One(String),
    /// `basis: [faa-h-8083-32, judgement]`
    Many(Vec<String>),
}

impl TryFrom<OneOrMany> for Basis {
    type Error = String;
    fn try_from(words: OneOrMany) -> Result<Self, String> {
        let words = match words {
            OneOrMany::One(word) => vec![word],
            OneOrMany::Many(words) => words,
        };
        let mut footing = Footing::Published;
        let mut sources = Vec::new();
        for word in words {
            match word.as_str() {
                "judgement" => footing = Footing::Judgement,
                "practice" => footing = footing.max(Footing::Practice),
                _ => sources.push(word),
            }
        }
        if sources.is_empty() && footing == Footing::Published {
            return Err("a basis must name a source, `practice` or `judgement`".into());
        }
        Ok(Basis { sources, footing })
    }
}

impl From<Basis> for OneOrMany {
    fn from(basis: Basis) -> Self {
        let mut words = basis.sources;
        match basis.footing {
            Footing::Published => {}
            Footing::Practice => words.push("practice".into()),
            Footing::Judgement => words.push("judgement".into()),
        }
        OneOrMany::Many(words)
    }
}

/// A probability as written: a word of `rules/words.yaml`, a number from 0 to 1, or `35%`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(
    untagged,
    expecting = "a chance word such as `often`, a number from 0 to 1, or `35%`"
)]
pub enum Chance {
    /// A number from 0 to 1.
    Number(f64),
    /// A word such as `usually`, or a percentage such as `35%`.
    Word(String),
}

/// How a cause (or a sound engine) produces a finding.
///
/// `chance` is the probability that it shows at all; `as` shares that out over
/// the grades above 0 in relative weights and may be left out when the finding
/// has only one grade above 0.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Link {
    /// How often the finding shows, the cause alone being present.
    pub chance: Chance,
    /// Relative weights of the grades above 0.
    #[serde(default, rename = "as", skip_serializing_if = "BTreeMap::is_empty")]
    pub grades: BTreeMap<String, f64>,
    /// Only on engines with these traits.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub on: Vec<String>,
    /// Where it comes from.
    pub basis: Basis,
}

/// One cause brings on another: the chance that it does, the first being present.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RootLink {
    /// How often the root brings the fault about.
    pub chance: Chance,
    /// Where it comes from.
    pub basis: Basis,
}

/// A factor on prior odds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Odds {
    /// Multiplies the prior odds; above 0.
    pub times: f64,
    /// Where it comes from.
    pub basis: Basis,
}

/// A factor on prior odds for engines with certain traits.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TraitOdds {
    /// Traits the engine must have (any within one axis, all across axes).
    pub on: Vec<String>,
    /// Multiplies the prior odds; above 0.
    pub times: f64,
    /// Where it comes from.
    pub basis: Basis,
}

/// How common a cause is among engines brought in with a complaint.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BaseRate {
    /// Instances per thousand: per thousand engines, cylinders, pairs or plugs, after the cause's scope.
    pub per_1000: f64,
    /// Where it comes from.
    pub basis: Basis,
    /// How it was derived, where it was.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

/// What sort of cause it is, for the order and wording of a page.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema, Default,
)]
#[serde(rename_all = "kebab-case")]
pub enum CauseSort {
    /// Something broken, worn or blocked.
    #[default]
    Fault,
    /// What brings faults about: overheating, dirt, neglect.
    Root,
    /// How it was measured or read.
    Measurement,
}

/// A fault that may be present.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Cause {
    /// Id: words joined by hyphens.
    pub cause: String,
    /// Title, at most 60 characters, starting with a capital letter.
    pub title: String,
    /// What it is, in one or two plain sentences.
    pub says: String,
    /// Fault, root or measurement.
    #[serde(default)]
    pub sort: CauseSort,
    /// Engine, cylinder, pair or plug.
    #[serde(default)]
    pub scope: Scope,
    /// Only on engines with these traits (any within one axis, all across axes).
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub on: Vec<String>,
    /// Never on engines with any of these traits.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub not_on: Vec<String>,
    /// How common.
    pub base_rate: BaseRate,
    /// Engines on which it is more or less common.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub more_common: Vec<TraitOdds>,
    /// History facts that shift its prior odds.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub history: BTreeMap<String, Odds>,
    /// Causes that bring it about.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub brought_on_by: BTreeMap<String, RootLink>,
    /// What it shows.
    #[serde(default)]
    pub shows: BTreeMap<String, Link>,
    /// How to tell it from its look-alikes: cause id -> one sentence.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub told_from: BTreeMap<String, String>,
    /// What it looks like on teardown.
    pub look_for: String,
    /// "Do not run it" and why; said above the ranking when likely.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub danger: Option<String>,
}

/// A figure that a gauge gives and how it falls into a finding's grades.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Measured {
    /// The raw reading it comes from (an id of `rules/readings.yaml`); several findings may share one.
    pub reading: String,
    /// How the raw reading becomes the graded figure.
    #[serde(default)]
    pub by: By,
    /// The bounds between grades in the unit of the reading (or in the reduction's own unit), from grade 0 outward; rising or falling.
    pub bounds: Vec<f64>,
    /// A low figure is the bad one. To be said only where there is one bound; with more, their order shows it.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub falls: bool,
    /// Where the bounds come from.
    pub basis: Basis,
    /// Other bounds for engines of a kind.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub instead: Vec<BoundsOn>,
}

/// Bounds that hold in place of a finding's usual ones on engines of a kind.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BoundsOn {
    /// Engines with these traits (any within one axis, all across axes); of
    /// several that apply the one that names most traits.
    pub on: Vec<String>,
    /// The bounds, as many as the usual ones and in the same direction.
    pub bounds: Vec<f64>,
    /// Where they come from.
    pub basis: Basis,
}

impl Measured {
    /// Whether lower figures are the worse.
    pub fn falling(&self) -> bool {
        self.falls || matches!(self.bounds.as_slice(), [first, second, ..] if second < first)
    }
}

/// How a raw reading becomes the figure that a finding is graded by.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    Default,
    Serialize,
    Deserialize,
    JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum By {
    /// The reading in its own unit; repeats averaged.
    #[default]
    Raw,
    /// Leak-down in percent as a 0.040 in restrictor at 80 psi and sea level would show it.
    AsReferenceTester,
    /// Compression over what a sound cylinder of this engine would read today.
    ShareOfReference,
    /// The first stroke's compression over the last stroke's.
    ShareOfFinal,
    /// The same, only where the last stroke's is itself low.
    ShareOfFinalWhenLow,
    /// Wet compression over dry, less one.
    RiseOverDry,
    /// The figure over the limit for the kind of engine.
    ShareOfLimit,
    /// The figure over the middle one of the other cylinders.
    ShareOfSiblings,
    /// The figure less the middle one of the other cylinders.
    AboveSiblings,
    /// The middle one of the other cylinders less the figure.
    BelowSiblings,
    /// Manifold vacuum as it would be at sea level.
    AtSeaLevel,
    /// Metal in the oil as this wear would bring it to over a usual oil life, top-ups counted in.
    AtUsualInterval,
}

/// A raw reading: a quantity with a unit, taken with an instrument.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Reading {
    /// Id.
    pub reading: String,
    /// Title.
    pub title: String,
    /// Engine, cylinder, pair or plug.
    #[serde(default)]
    pub scope: Scope,
    /// Kind of quantity: `pressure`, `vacuum`, `leakage`, `percent`, `temperature`, `speed`,
    /// `oil-rate`, `flow`, `length`, `resistance`, `ppm`, `hours`, `number` and the others of
    /// [`Kind`](crate::measure::Kind).
    pub quantity: String,
    /// Unit of the bounds and of `between`, as the trade writes it.
    pub unit: String,
    /// What a bare number means in the metric set, where it is not the usual unit of the quantity.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub metric: Option<String>,
    /// What a bare number means in the US set, where it is not the usual unit of the quantity.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub us: Option<String>,
    /// Physical range in `unit`; outside it the reading is refused.
    pub between: [f64; 2],
    /// Repeatability: one standard deviation, in `unit`.
    pub error: f64,
    /// Repeatability as a share of the reading, added to `error` in squares.
    #[serde(default)]
    pub error_share: f64,
    /// Where the repeatability comes from.
    pub basis: Basis,
}

/// Something that can be observed, in ordered grades; grade 0 is a sound engine's.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Finding {
    /// Id.
    pub finding: String,
    /// Title, at most 60 characters.
    pub title: String,
    /// The question as put to the technician.
    pub ask: String,
    /// How to tell the grades apart, where it needs saying.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub help: String,
    /// Engine, cylinder, pair or plug.
    #[serde(default)]
    pub scope: Scope,
    /// Grades, what a sound engine shows first; `[no, yes]` when left out.
    #[serde(default = "no_yes")]
    pub grades: Vec<String>,
    /// How a gauge's figure falls into the grades.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub measured: Option<Measured>,
    /// How often an engine with none of the causes shows it all the same.
    pub sound: Link,
    /// Findings that cannot be judged while this one is seen (grade above 0).
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub hides: Vec<String>,
    /// What people would type to find it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub words: Vec<String>,
    /// Only on engines with these traits.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub on: Vec<String>,
    /// Never on engines with any of these traits.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub not_on: Vec<String>,
}

fn no_yes() -> Vec<String> {
    vec!["no".into(), "yes".into()]
}

/// Minutes: fixed, and for each cylinder done.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Minutes {
    /// Once.
    pub fixed: f64,
    /// For each cylinder (or pair, or plug) done.
    #[serde(default)]
    pub each: f64,
}

/// A state of the engine that a test needs: plugs out, engine warm.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SetUp {
    /// Id.
    pub set_up: String,
    /// Title.
    pub title: String,
    /// Minutes to get there.
    pub minutes: Minutes,
    /// Set-ups that it ends.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub ends: Vec<String>,
}

/// A tool that a shop has or has not.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Equipment {
    /// Id.
    pub equipment: String,
    /// Title.
    pub title: String,
}

/// A procedure that yields findings.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Test {
    /// Id.
    pub test: String,
    /// Title, at most 60 characters.
    pub title: String,
    /// What it is for, in one or two sentences.
    pub says: String,
    /// `cylinder` or `plug` when it can be done on one; then it is offered on each and on all.
    #[serde(default)]
    pub scope: Scope,
    /// Minutes from its set-up.
    pub minutes: Minutes,
    /// Set-ups that it needs first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub set_up: Vec<String>,
    /// Equipment that it needs.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub equipment: Vec<String>,
    /// What it uses up.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub consumables: Vec<String>,
    /// Parts and paid work that it costs, priced as those of a repair.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub parts: Vec<PartUse>,
    /// Cautions, at least one, shown before the steps.
    pub cautions: Vec<String>,
    /// Steps in the order done.
    pub steps: Vec<String>,
    /// Findings that it yields.
    pub yields: Vec<String>,
    /// Where it misleads.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub misleads: Vec<String>,
    /// Only on engines with these traits.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub on: Vec<String>,
    /// Never on engines with any of these traits.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub not_on: Vec<String>,
    /// Where the minutes and steps come from.
    pub basis: Basis,
}

/// Three figures of a range: low, likely, high.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Range3 {
    /// Hardly ever less.
    pub low: f64,
    /// Most likely.
    pub likely: f64,
    /// Hardly ever more.
    pub high: f64,
}

/// A part or consumable that a repair renews.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PartUse {
    /// An id of `rules/repairs/parts.yaml`.
    pub part: String,
    /// How many; per cylinder when `per_cylinder`.
    #[serde(default = "one")]
    pub count: f64,
    /// Counted for each cylinder worked on.
    #[serde(default)]
    pub per_cylinder: bool,
}

fn one() -> f64 {
    1.0
}

/// A part, consumable or machine-shop job by class; prices are the shop's.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Part {
    /// Id.
    pub part: String,
    /// Title.
    pub title: String,
}

/// A stage of dismantling that several repairs share, done once: head off, engine out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Access {
    /// Id.
    pub access: String,
    /// Title.
    pub title: String,
    /// Hours, opening and closing together, beyond the accesses that it needs.
    pub hours: Range3,
    /// Hours and parts are for one bank: two heads are off when both banks are worked on.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub per_bank: bool,
    /// Hours are for one cylinder: barrels come off one by one.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub per_cylinder: bool,
    /// Accesses that come first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub needs: Vec<String>,
    /// What must be renewed once opened.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub renews: Vec<PartUse>,
    /// Only on engines with these traits.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub on: Vec<String>,
    /// Where the hours come from.
    pub basis: Basis,
}

/// A repair.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Repair {
    /// Id.
    pub repair: String,
    /// Title, at most 60 characters.
    pub title: String,
    /// What is done, in one or two sentences.
    pub says: String,
    /// `cylinder` when it is done on single cylinders, else `engine`.
    #[serde(default)]
    pub scope: Scope,
    /// Done on one bank at a time, on engines that have two: hours and parts for one.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub per_bank: bool,
    /// Hours once its accesses are open; per cylinder when the scope is `cylinder`.
    pub hours: Range3,
    /// Accesses that it needs open.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub needs: Vec<String>,
    /// What it renews.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub parts: Vec<PartUse>,
    /// Machine-shop work, by part id.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub machine_work: Vec<PartUse>,
    /// What it mends: cause id -> how surely.
    pub mends: BTreeMap<String, RootLink>,
    /// What it leaves in place or cannot reach.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub leaves: Vec<String>,
    /// Cautions.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cautions: Vec<String>,
    /// Only on engines with these traits.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub on: Vec<String>,
    /// Never on engines with any of these traits.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub not_on: Vec<String>,
    /// Where the hours come from.
    pub basis: Basis,
}

/// Dimensions that the gauges need; what is not known is left out.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Dimensions {
    /// Bore, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bore_mm: Option<f64>,
    /// Stroke, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stroke_mm: Option<f64>,
    /// Connecting rod between centres, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rod_mm: Option<f64>,
    /// Geometric compression ratio.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub compression_ratio: Option<f64>,
    /// Intake valve (or port) closes, degrees after bottom dead centre.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub intake_closes_deg: Option<f64>,
    /// Maker's least cranking compression, kPa gauge.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub compression_limit_kpa: Option<f64>,
    /// Maker's usual cranking compression, kPa gauge.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub compression_normal_kpa: Option<f64>,
    /// Rated power, kW.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub power_kw: Option<f64>,
    /// Oil in the sump when full, litres.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub oil_litres: Option<f64>,
}

/// A family of engines: traits, usual layout and dimensions.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Family {
    /// Id.
    pub family: String,
    /// Title.
    pub title: String,
    /// Traits, words of `rules/traits.yaml`.
    pub traits: Vec<String>,
    /// Usual number of cylinders, 1 to 12.
    pub cylinders: usize,
    /// Usual number of banks, 1 or more; cylinders are dealt to banks in turn (1 3 5 / 2 4 6).
    #[serde(default = "one_bank")]
    pub banks: usize,
    /// Usual dimensions, as a start for the gauges.
    #[serde(default)]
    pub dimensions: Dimensions,
}

fn one_bank() -> usize {
    1
}

/// Something known of the engine's past; causes say how it shifts them.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Fact {
    /// Id.
    pub fact: String,
    /// Title.
    pub title: String,
    /// The question as put to the owner.
    pub ask: String,
    /// What people would type to find it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub words: Vec<String>,
    /// Only one fact of a group holds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub group: Option<String>,
    /// Only on engines with these traits.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub on: Vec<String>,
}

/// One axis of traits: an engine has at most one word of it, unless `many`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Axis {
    /// Id of the axis.
    pub axis: String,
    /// Title.
    pub title: String,
    /// The words.
    pub traits: Vec<String>,
    /// An engine may have several of them.
    #[serde(default)]
    pub many: bool,
    /// Short names for several words of this axis.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub groups: BTreeMap<String, Vec<String>>,
}

/// A published limit for engines of a kind, against which a reading is told.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Limit {
    /// Id.
    pub limit: String,
    /// Title, at most 60 characters.
    pub title: String,
    /// The raw reading that it limits.
    pub of: String,
    /// The limit, in `unit`.
    pub most: f64,
    /// Its unit, of any dimension that the reading can be brought to: `L/1000km`, `lb/hph`;
    /// for blow-by `L/min`.
    pub unit: String,
    /// The limit is for each kilowatt of rated power.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub per_kw: bool,
    /// A finding is graded by it; of several that apply the one that names most traits.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub grades: bool,
    /// What it says, in one or two sentences.
    pub says: String,
    /// Only on engines with these traits.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub on: Vec<String>,
    /// Never on engines with any of these traits.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub not_on: Vec<String>,
    /// Where it comes from.
    pub basis: Basis,
}

/// A published source.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Source {
    /// Id.
    pub source: String,
    /// Title.
    pub title: String,
    /// Publisher or author.
    pub publisher: String,
    /// Number, edition, section, year: whatever finds it again.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub ident: String,
    /// Address, where it was read.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub address: String,
    /// `read`, `excerpt` or `memory`: how it was seen by the authors.
    pub seen: String,
    /// What it is cited for, in one sentence.
    pub says: String,
}

/// One file of `rules/`: any of the lists below, under one title.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct RuleFile {
    /// System (causes) or topic (findings) that every entry of the file belongs to: an id.
    pub system: String,
    /// The system or topic in words.
    pub title: String,
    /// Causes.
    pub causes: Vec<Cause>,
    /// Findings.
    pub findings: Vec<Finding>,
    /// Raw readings.
    pub readings: Vec<Reading>,
    /// Tests.
    pub tests: Vec<Test>,
    /// Set-ups.
    pub set_ups: Vec<SetUp>,
    /// Equipment.
    pub equipment: Vec<Equipment>,
    /// Repairs.
    pub repairs: Vec<Repair>,
    /// Accesses.
    pub accesses: Vec<Access>,
    /// Parts.
    pub parts: Vec<Part>,
    /// Families.
    pub families: Vec<Family>,
    /// History facts.
    pub facts: Vec<Fact>,
    /// Axes of traits.
    pub axes: Vec<Axis>,
    /// Published limits.
    pub limits: Vec<Limit>,
    /// Sources.
    pub sources: Vec<Source>,
    /// What to look at on a spark plug.
    pub looks: Vec<Look>,
    /// Conditions of a spark plug.
    pub conditions: Vec<Condition>,
    /// Chance words: word -> probability.
    pub words: BTreeMap<String, f64>,
}
