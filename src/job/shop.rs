//! The shop file: what holds for every job of one shop. Its air, its equipment
//! and its instruments, each described once.
//!
//! It is found beside the jobs as `shop.yaml`, or named. Like a rule file it is
//! read to the end and every fault is told with its place.

use super::pricing::{Pricing, PricingFile};
use crate::disk;
use crate::gauge::shop::{Instrument, Scale, Workbench};
use crate::gauge::{air, leakdown};
use crate::measure::{Figure, Kind, UnitSet};
use crate::problem::{Problem, Problems, Spot};
use crate::rules::Rules;
use crate::rules::node::{Data, Node, Step};
use crate::rules::text::Text;
use crate::rules::typing::{Placed, typed};
use crate::rules::yaml;
use crate::words::nearest;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use std::path::Path;

/// The version of the format that this program reads.
pub const VERSION: u32 = 1;
/// The name under which it is looked for beside a job.
pub const FILE_NAME: &str = "shop.yaml";

/// The file as written.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ShopFile {
    /// Version of the format, the first key of the file.
    pub shop: u32,
    /// The shop's name, for documents.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub name: String,
    /// Units meant when a figure of this file is written without one, and those of new jobs.
    #[serde(default)]
    pub units: UnitSet,
    /// Altitude of the shop: `1200 ft`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub altitude: Option<Plain>,
    /// Barometer, where one is read; goes before the altitude: `29.4 inHg`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub barometer: Option<Plain>,
    /// Equipment at hand, and no other; left out, all is taken to be at hand.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub has: Vec<String>,
    /// Equipment that the shop lacks.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub lacks: Vec<String>,
    /// Its instruments.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub instruments: Vec<InstrumentFile>,
    /// What it charges; left out, estimates are in hours.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pricing: Option<PricingFile>,
}

/// One instrument as written.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct InstrumentFile {
    /// The name that readings give: `blue tester`.
    pub instrument: String,
    /// Ids of the readings that it takes: `[leak-down]`.
    pub takes: Vec<String>,
    /// Diameter of a leak-down tester's restrictor: `0.040 in`; left out when it is not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub restrictor: Option<Plain>,
    /// Supply that a leak-down tester is set to: `80 psi`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub supply: Option<Plain>,
    /// `two-gauge` or `percent`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub scale: Option<Scale>,
    /// How far a repeated reading strays, one standard deviation: `3 psi`, `2%`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub repeatability: Option<Plain>,
}

/// A text or a bare number, as written.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(from = "TextOrNumber", into = "String")]
pub struct Plain(pub String);

#[derive(Deserialize)]
#[serde(untagged)]
enum TextOrNumber {
    Text(String),
    Number(serde_json::Number),
}

impl From<TextOrNumber> for Plain {
    fn from(it: TextOrNumber) -> Self {
        match it {
            TextOrNumber::Text(text) => Plain(text),
            TextOrNumber::Number(number) => Plain(number.to_string()),
        }
    }
}

impl From<Plain> for String {
    fn from(it: Plain) -> Self {
        it.0
    }
}

/// A shop: the file, and what the physics takes from it.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Shop {
    /// As written; an empty one when there is no file.
    pub file: ShopFile,
    /// Air and instruments.
    pub workbench: Workbench,
    /// What it charges.
    pub pricing: Pricing,
}

impl Shop {
    /// The shop file beside a job, if there is one.
    ///
    /// # Errors
    /// As [`Shop::read`].
    pub fn beside(job: &Path, rules: &Rules) -> Result<Shop, Problems> {
        let path = job.parent().unwrap_or(Path::new("")).join(FILE_NAME);
        match path.is_file() {
            true => Shop::read(&path, rules),
            false => Ok(Shop::default()),
        }
    }

    /// Reads a shop file.
    ///
    /// # Errors
    /// Every fault of the file, with its place.
    pub fn read(path: &Path, rules: &Rules) -> Result<Shop, Problems> {
        let name = path.display().to_string();
        let whole = Spot {
            file: name.clone(),
            ..Spot::default()
        };
        let bytes = disk::read(path, disk::MOST_TEXT).map_err(|e| {
            let what = format!("the shop file cannot be read: {}", disk::plain(&e));
            vec![Problem::new(what).at(whole)]
        })?;
        let (text, faults) = Text::decode(&name, bytes);
        let mut problems: Problems = faults.into_iter().map(|f| text.problem(f)).collect();
        let (node, faults) = yaml::parse(0, &text.text);
        problems.extend(faults.into_iter().map(|f| text.problem(f)));
        if !problems.is_empty() {
            return Err(problems);
        }
        Shop::of(&node, rules)
            .map_err(|placed| placed.into_iter().map(|p| text.problem(p.fault)).collect())
    }

    fn of(node: &Node, rules: &Rules) -> Result<Shop, Vec<Placed>> {
        let version = node.get("shop").map(|it| (it, &it.data));
        if let Some((at, Data::Number(n))) = version
            && *n > f64::from(VERSION)
        {
            let what = format!(
                "the shop file has version {n}; this program reads up to version {VERSION}"
            );
            return Err(vec![Placed::at(at, what, None)]);
        }
        let file: ShopFile = typed(node)?;
        let mut reader = Reader {
            node,
            rules,
            file: &file,
            faults: vec![],
        };
        let workbench = reader.workbench();
        reader.equipment();
        let pricing = reader.pricing();
        let mut faults = reader.faults;
        faults.sort_by_key(|p| (p.fault.line, p.fault.column));
        match faults.is_empty() {
            true => Ok(Shop {
                file,
                workbench,
                pricing,
            }),
            false => Err(faults),
        }
    }

    /// Whether a tool is at hand, as far as the shop file says.
    pub fn has(&self, tool: &str) -> Option<bool> {
        let listed = |list: &[String]| list.iter().any(|it| it == tool);
        match () {
            () if listed(&self.file.lacks) => Some(false),
            () if !self.file.has.is_empty() => Some(listed(&self.file.has)),
            () => None,
        }
    }
}

/// Takes the file apart, noting faults at their places.
struct Reader<'a> {
    node: &'a Node,
    rules: &'a Rules,
    file: &'a ShopFile,
    faults: Vec<Placed>,
}

impl Reader<'_> {
    fn fault(&mut self, path: &[Step], what: impl Into<String>, hint: Option<String>) {
        let at = self.node.follow(path.iter().cloned());
        self.faults.push(Placed::at(at, what, hint));
    }

    /// A figure at a path, refused there when it cannot be.
    fn figure(&mut self, path: &[Step], text: Option<&Plain>, kind: Kind) -> Option<Figure> {
        let text = text?;
        match Figure::parse(&text.0, kind, self.file.units) {
            Ok(figure) => Some(figure),
            Err(problem) => {
                self.fault(path, problem.what, problem.hint);
                None
            }
        }
    }

    fn kept<T>(&mut self, path: &[Step], it: Result<T, Problem>) -> Option<T> {
        match it {
            Ok(it) => Some(it),
            Err(problem) => {
                self.fault(path, problem.what, problem.hint);
                None
            }
        }
    }

    fn workbench(&mut self) -> Workbench {
        let file = self.file;
        if file.shop != VERSION {
            let what = format!(
                "the version of the shop file is not understood: {}",
                file.shop
            );
            self.fault(
                &[key("shop")],
                what,
                Some(format!("write `shop: {VERSION}`")),
            );
        }
        let mut bench = Workbench::default();
        let altitude = self.figure(&[key("altitude")], file.altitude.as_ref(), Kind::Altitude);
        let barometer = self.figure(
            &[key("barometer")],
            file.barometer.as_ref(),
            Kind::Barometer,
        );
        let altitude = altitude.and_then(|f| {
            f.unit
                .typed()
                .map(|u| (crate::measure::Length::of(f.value, u), f.unit))
        });
        let barometer = barometer.and_then(|f| {
            f.unit
                .typed()
                .map(|u| (crate::measure::Absolute::of(f.value, u), f.unit))
        });
        if let Some((height, unit)) = altitude {
            let checked = air::ALTITUDE
                .check_in(height, unit)
                .and_then(air::pressure_at);
            if let Some(there) = self.kept(&[key("altitude")], checked) {
                bench.around = there;
                bench.air_known = true;
            }
        }
        if let Some((read, unit)) = barometer {
            let checked = air::BAROMETER.check_in(read, unit);
            if let Some(read) = self.kept(&[key("barometer")], checked) {
                bench.around = read;
                bench.air_known = true;
            }
        }
        for (i, it) in file.instruments.iter().enumerate() {
            let instrument = self.instrument(i, it);
            if bench
                .instruments
                .insert(it.instrument.clone(), instrument)
                .is_some()
            {
                let at = [key("instruments"), Step::Item(i), key("instrument")];
                self.fault(&at, format!("`{}` is described twice", it.instrument), None);
            }
        }
        bench
    }

    fn instrument(&mut self, i: usize, it: &InstrumentFile) -> Instrument {
        let at = |name: &str| vec![key("instruments"), Step::Item(i), key(name)];
        for (n, reading) in it.takes.iter().enumerate() {
            let mut path = at("takes");
            path.push(Step::Item(n));
            let known = &self.rules.readings;
            if !known.contains_key(reading) {
                let hint = nearest(reading, known.keys().map(String::as_str))
                    .map(|near| format!("did you mean `{near}`?"));
                self.fault(&path, format!("no reading is called `{reading}`"), hint);
            }
        }
        let restrictor = self
            .figure(&at("restrictor"), it.restrictor.as_ref(), Kind::Length)
            .and_then(|f| {
                f.unit
                    .typed()
                    .map(|u| (crate::measure::Length::of(f.value, u), f.unit))
            });
        let restrictor = restrictor.and_then(|(d, unit)| {
            self.kept(&at("restrictor"), leakdown::RESTRICTOR.check_in(d, unit))
        });
        let supply = self
            .figure(&at("supply"), it.supply.as_ref(), Kind::Pressure)
            .and_then(|f| {
                f.unit
                    .typed()
                    .map(|u| (crate::measure::Pressure::of(f.value, u), f.unit))
            });
        let supply = supply
            .and_then(|(p, unit)| self.kept(&at("supply"), leakdown::SUPPLY.check_in(p, unit)));
        let repeatability = self.repeatability(&at("repeatability"), it);
        Instrument {
            takes: it.takes.clone(),
            restrictor,
            supply,
            scale: it.scale,
            repeatability,
        }
    }

    /// In a unit of the readings that the instrument takes; a two-gauge
    /// tester's in pressure.
    fn repeatability(&mut self, path: &[Step], it: &InstrumentFile) -> Option<Figure> {
        let reading = it.takes.iter().find_map(|id| self.rules.readings.get(id))?;
        let kind = match (reading.quantity.parse(), it.scale) {
            (Ok(Kind::Leakage), Some(Scale::TwoGauge)) => Kind::Pressure,
            (Ok(kind), _) => kind,
            (Err(_), _) => return None,
        };
        let figure = self.figure(path, it.repeatability.as_ref(), kind)?;
        if figure.value <= 0.0 || figure.over.is_some() {
            self.fault(
                path,
                format!("a repeatability of {figure} cannot be"),
                Some("one standard deviation, above 0".into()),
            );
            return None;
        }
        Some(figure)
    }

    fn pricing(&mut self) -> Pricing {
        let Some(file) = &self.file.pricing else {
            return Pricing::default();
        };
        let (pricing, faults) = file.priced(self.rules);
        for (path, what, hint) in faults {
            let path: Vec<Step> = std::iter::once(key("pricing")).chain(path).collect();
            self.fault(&path, what, hint);
        }
        pricing
    }

    fn equipment(&mut self) {
        let known: BTreeSet<&str> = self.rules.equipment.keys().map(String::as_str).collect();
        let file = self.file;
        for (list, ids) in [("has", &file.has), ("lacks", &file.lacks)] {
            for (i, id) in ids.iter().enumerate() {
                if !known.contains(id.as_str()) {
                    let hint = nearest(id, known.iter().copied())
                        .map(|near| format!("did you mean `{near}`?"));
                    self.fault(
                        &[key(list), Step::Item(i)],
                        format!("no equipment is called `{id}`"),
                        hint,
                    );
                } else if list == "lacks" && file.has.contains(id) {
                    self.fault(
                        &[key(list), Step::Item(i)],
                        format!("`{id}` stands in `has` and in `lacks`"),
                        None,
                    );
                }
            }
        }
    }
}

fn key(name: &str) -> Step {
    Step::Key(name.into())
}
