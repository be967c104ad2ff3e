//! What a package costs: each stage of dismantling once, each part once where
//! it is needed, hours and prices as ranges, tax on the whole.
//!
//! Every line is three whole numbers of smallest units, rounded half away from
//! zero; tax is rounded once, on the whole. Hours of one job move together,
//! prices apart (see [`super::spread`]).

use super::package::{Package, all, by_bank};
use super::spread::{Pert, Sum};
use crate::engine::Engine;
use crate::job::pricing::Pricing;
use crate::money::{part, whole};
use crate::rules::Rules;
use crate::rules::file::{Access, PartUse, Range3, Repair, Scope};
use std::collections::{BTreeMap, BTreeSet};

/// What an unpriced part may cost, in hours of labour; judgement.
pub const UNPRICED: [f64; 3] = [0.1, 0.8, 6.0];
/// The same for oil, gaskets, seals, filters and the like, whose names end so; judgement.
pub const UNPRICED_SMALL: [f64; 3] = [0.05, 0.3, 1.0];
const SMALL: &[&str] = &[
    "boot",
    "cap",
    "clean",
    "cleaner",
    "coolant",
    "filter",
    "fluid",
    "fuel",
    "gasket",
    "grind",
    "hone",
    "hose",
    "insert",
    "key",
    "oil",
    "plug",
    "sample",
    "seal",
    "seals",
    "seal-set",
    "solvent",
    "spring-set",
    "thermostat",
];
/// The same for the dear ones of [`DEAR`]; judgement.
pub const UNPRICED_DEAR: [f64; 3] = [2.0, 7.0, 25.0];
/// The same for whole engines; judgement.
pub const UNPRICED_ENGINE: [f64; 3] = [12.0, 35.0, 110.0];
const ENGINES: &[&str] = &["short-engine", "long-engine"];
/// Parts and machine jobs that cost more than most.
pub const DEAR: &[&str] = &[
    "block",
    "block-crack-repair",
    "camshaft",
    "crank-grind",
    "crankshaft",
    "cylinder-assembly",
    "head",
    "heat-exchanger",
    "injection-pump-overhaul",
    "magneto-overhaul",
    "oil-cooler",
    "radiator",
    "turbocharger",
    "water-cooled-manifold",
];

/// What a line is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum LineKind {
    /// Opening and closing.
    Access,
    /// A repair's own hours.
    Labour,
    /// A part or consumable.
    Part,
    /// Machine-shop work.
    Machine,
}

/// One line of a package, before tax.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// What it is.
    pub kind: LineKind,
    /// Access, repair or part id.
    pub id: String,
    /// Cylinders, where it is done on some.
    pub cylinders: BTreeSet<usize>,
    /// How many, for parts.
    pub count: f64,
    /// Hours, for labour.
    pub hours: Option<Range3>,
    /// Low, likely, high in smallest units.
    pub price: [i64; 3],
    /// The shop has a price for it.
    pub priced: bool,
}

impl Line {
    /// The line as a range.
    pub fn range(&self) -> Pert {
        let [low, likely, high] = self.price.map(|x| x as f64);
        Pert { low, likely, high }
    }

    /// A repair takes no less than one that comes with it.
    fn no_less_than(&mut self, other: &Line) {
        if let (Some(own), Some(hours)) = (&mut self.hours, other.hours) {
            own.low = own.low.max(hours.low);
            own.likely = own.likely.max(hours.likely);
            own.high = own.high.max(hours.high);
        }
        for (own, price) in self.price.iter_mut().zip(other.price) {
            *own = (*own).max(price);
        }
    }

    /// Labour.
    pub fn is_labour(&self) -> bool {
        matches!(self.kind, LineKind::Access | LineKind::Labour)
    }
}

/// A package priced.
#[derive(Debug, Clone, PartialEq)]
pub struct Cost {
    /// The lines, before tax.
    pub lines: Vec<Line>,
    /// Hours of labour, low, likely, high.
    pub hours: [f64; 3],
    /// Tax on the sum of the likely figures.
    pub tax: i64,
    /// Sum of the likely figures with tax.
    pub likely: i64,
    /// 10, 50 and 90 % points with tax.
    pub points: [i64; 3],
    /// Mean with tax.
    pub mean: f64,
    /// Days from the start, low to high.
    pub days: (f64, f64),
}

impl Cost {
    /// Ids of parts that the shop has no price for.
    pub fn unpriced(&self) -> impl Iterator<Item = &str> {
        let lines = self.lines.iter().filter(|line| !line.priced);
        lines.map(|line| line.id.as_str())
    }
}

/// Prices packages for one engine in one shop.
#[derive(Debug, Clone, Copy)]
pub struct Pricer<'a> {
    /// The knowledge.
    pub rules: &'a Rules,
    /// The engine on the bench.
    pub engine: &'a Engine,
    /// The shop's prices.
    pub pricing: &'a Pricing,
}

/// Stages of dismantling with the cylinders that they are opened for.
pub type Open<'a> = BTreeMap<&'a str, BTreeSet<usize>>;

type Quantities = BTreeMap<(LineKind, String), (f64, BTreeMap<usize, f64>)>;

impl<'a> Pricer<'a> {
    /// The stages of dismantling that a package opens, each with the cylinders it is opened for.
    pub fn accesses(&self, package: &Package) -> Open<'a> {
        self.opened(package, &self.hosts(package))
    }

    fn opened(&self, package: &Package, hosts: &BTreeMap<String, String>) -> Open<'a> {
        let mut open = Open::new();
        let own = (package.work.iter()).filter(|(id, _)| !hosts.contains_key(*id));
        for (id, cylinders) in own {
            if let Some(repair) = self.rules.repairs.get(id) {
                let (_, at) = self.extent(repair, cylinders);
                let needs = repair.needs.iter();
                needs.for_each(|need| self.open(need, &at, &mut open));
            }
        }
        open
    }

    /// The stages that one repair opens for cylinders.
    pub(super) fn opened_by(&self, repair: &Repair, at: &BTreeSet<usize>) -> Open<'a> {
        let mut open = Open::new();
        let needs = repair.needs.iter();
        needs.for_each(|need| self.open(need, at, &mut open));
        open
    }

    fn open(&self, id: &str, at: &BTreeSet<usize>, open: &mut Open<'a>) {
        let Some((id, access)) = self.rules.accesses.get_key_value(id) else {
            return;
        };
        if !self.rules.applies(&self.engine.traits, &access.on, &[]) {
            return;
        }
        if let Some(have) = open.get(id.as_str())
            && have.is_superset(at)
        {
            return;
        }
        open.entry(id).or_default().extend(at);
        access
            .needs
            .iter()
            .for_each(|need| self.open(need, at, open));
    }

    /// The lines of a package: labour, then parts, then machine work, each by id.
    pub fn lines(&self, package: &Package) -> Vec<Line> {
        let mut lines = Vec::new();
        let mut quantities = Quantities::new();
        let (hosts, mut hosted) = (self.hosts(package), Vec::new());
        for (id, at) in self.opened(package, &hosts) {
            let access = &self.rules.accesses[id];
            let times = self.times(access, &at);
            let mut line = self.labour(LineKind::Access, id, &access.hours, times, BTreeSet::new());
            line.count = times as f64;
            lines.push(line);
            let heads = self.heads(access.per_bank, &at);
            note(&mut quantities, LineKind::Part, &access.renews, &at, &heads);
        }
        for (id, cylinders) in &package.work {
            let Some(repair) = self.rules.repairs.get(id) else {
                continue;
            };
            let (times, at) = self.extent(repair, cylinders);
            let heads = self.heads(repair.per_bank, &at);
            let done_on = cylinders.clone();
            let line = self.labour(LineKind::Labour, id, &repair.hours, times, done_on);
            if let Some(host) = hosts.get(id) {
                hosted.push((host, line));
                if !self.is_part(host, id) {
                    note(&mut quantities, LineKind::Part, &repair.parts, &at, &heads);
                }
                continue;
            }
            lines.push(line);
            let kinds = [
                (LineKind::Part, &repair.parts),
                (LineKind::Machine, &repair.machine_work),
            ];
            for (kind, uses) in kinds {
                note(&mut quantities, kind, uses, &at, &heads);
            }
        }
        for (host, with_it) in hosted {
            let host =
                (lines.iter_mut()).find(|line| line.kind == LineKind::Labour && line.id == *host);
            if let Some(host) = host {
                host.no_less_than(&with_it);
            }
        }
        lines.extend(self.counted(quantities));
        lines
    }

    fn counted(&self, quantities: Quantities) -> Vec<Line> {
        let parts = quantities.into_iter().map(|((kind, id), (once, each))| {
            let count = once.max(each.values().sum());
            self.part(kind, id, count, each.into_keys().collect())
        });
        parts.filter(|line| line.count > 0.0).collect()
    }

    /// How many times a repair's hours are spent, and the cylinders worked on.
    pub(super) fn extent(
        &self,
        repair: &Repair,
        cylinders: &BTreeSet<usize>,
    ) -> (usize, BTreeSet<usize>) {
        match repair.scope {
            Scope::Engine if by_bank(self.engine, repair.per_bank) => {
                (self.heads(true, cylinders).len(), cylinders.clone())
            }
            Scope::Engine => (1, all(self.engine)),
            _ => (cylinders.len(), cylinders.clone()),
        }
    }

    /// How many times a stage of dismantling is done: per bank, per cylinder or once.
    fn times(&self, access: &Access, at: &BTreeSet<usize>) -> usize {
        match access.per_cylinder {
            true => at.len(),
            false => self.heads(access.per_bank, at).len().max(1),
        }
    }

    /// The first cylinder of each bank worked on, for what is counted by bank.
    fn heads(&self, per_bank: bool, at: &BTreeSet<usize>) -> BTreeSet<usize> {
        if !by_bank(self.engine, per_bank) {
            return BTreeSet::new();
        }
        let banks = self.engine.banks.iter();
        let worked_on = banks.filter(|bank| bank.iter().any(|n| at.contains(n)));
        worked_on.filter_map(|b| b.iter().min().copied()).collect()
    }

    fn labour(
        &self,
        kind: LineKind,
        id: &str,
        hours: &Range3,
        times: usize,
        cylinders: BTreeSet<usize>,
    ) -> Line {
        let hours = self.pricing.hours.get(id).unwrap_or(hours);
        let all = |h: f64| h * times as f64;
        let hours = Range3 {
            low: all(hours.low),
            likely: all(hours.likely),
            high: all(hours.high),
        };
        let price = |h: f64| part(self.pricing.labour, whole(h * 100.0), 100);
        Line {
            kind,
            id: id.into(),
            cylinders,
            count: 1.0,
            price: [price(hours.low), price(hours.likely), price(hours.high)],
            hours: Some(hours),
            priced: true,
        }
    }

    fn part(&self, kind: LineKind, id: String, count: f64, cylinders: BTreeSet<usize>) -> Line {
        let known = self.pricing.parts.get(&id);
        let one = known.copied().unwrap_or_else(|| self.unpriced(&id));
        let markup = match (known, kind) {
            (None, _) => 0,
            (_, LineKind::Machine) => self.pricing.machine_markup,
            _ => self.pricing.markup,
        };
        let price = one.map(|one| {
            let all = part(one, whole(count * 1000.0), 1000);
            part(all, 10_000 + markup, 10_000)
        });
        Line {
            kind,
            id,
            cylinders,
            count,
            hours: None,
            price,
            priced: known.is_some(),
        }
    }

    fn unpriced(&self, id: &str) -> [i64; 3] {
        let hours = match () {
            () if ENGINES.contains(&id) => UNPRICED_ENGINE,
            () if DEAR.contains(&id) => UNPRICED_DEAR,
            () if SMALL.iter().any(|end| id.ends_with(end)) => UNPRICED_SMALL,
            () => UNPRICED,
        };
        hours.map(|h| part(self.pricing.labour, whole(h * 100.0), 100))
    }

    /// Mean cost with tax, in smallest units.
    pub fn mean(&self, package: &Package) -> f64 {
        let lines = self.lines(package);
        let net: f64 = lines.iter().map(|line| line.range().mean()).sum();
        self.taxed(net)
    }

    /// Mean cost of parts used on cylinders, with tax.
    pub fn used(&self, parts: &[PartUse], cylinders: &BTreeSet<usize>) -> f64 {
        let mut quantities = Quantities::new();
        let once = BTreeSet::new();
        note(&mut quantities, LineKind::Part, parts, cylinders, &once);
        let lines = self.counted(quantities);
        self.taxed(lines.iter().map(|line| line.range().mean()).sum())
    }

    /// With tax.
    pub fn taxed(&self, net: f64) -> f64 {
        net * (1.0 + self.pricing.tax as f64 / 10_000.0)
    }

    /// Everything about the cost of a package. Where there are no prices only
    /// hours are counted: what parts cost is no number of hours.
    pub fn cost(&self, package: &Package) -> Cost {
        let lines = self.lines(package);
        let counted = || {
            let money = self.pricing.currency.is_money();
            lines.iter().filter(move |line| money || line.is_labour())
        };
        let ranges = |labour: bool| -> Vec<Pert> {
            let of = counted().filter(|line| line.is_labour() == labour);
            of.map(Line::range).collect()
        };
        let sum = Sum::of(&ranges(true), &ranges(false));
        let mut hours = [0.0; 3];
        for range in lines.iter().filter_map(|line| line.hours) {
            hours[0] += range.low;
            hours[1] += range.likely;
            hours[2] += range.high;
        }
        let net: i64 = counted().map(|line| line.price[1]).sum();
        let tax = part(net, self.pricing.tax, 10_000);
        let net_mean: f64 = counted().map(|line| line.range().mean()).sum();
        Cost {
            days: self.days(&lines, hours),
            points: [0.1, 0.5, 0.9].map(|share| whole(self.taxed(sum.point(share)))),
            mean: self.taxed(net_mean),
            likely: net + tax,
            tax,
            hours,
            lines,
        }
    }

    /// Working time in days, and waiting for parts and the machine shop.
    fn days(&self, lines: &[Line], hours: [f64; 3]) -> (f64, f64) {
        if lines.is_empty() {
            return (0.0, 0.0);
        }
        let any = |kind| lines.iter().any(|line| line.kind == kind);
        let mut wait = 0.0f64;
        if any(LineKind::Part) {
            wait = wait.max(self.pricing.parts_days);
        }
        if any(LineKind::Machine) {
            wait = wait.max(self.pricing.machine_days);
        }
        let days = |h: f64| h / self.pricing.day_hours;
        (days(hours[0]), days(hours[2]) + wait)
    }
}

/// A part named by several lines is renewed once: the largest count, by
/// cylinder, by bank (under its first cylinder) and for the engine.
fn note(
    quantities: &mut Quantities,
    kind: LineKind,
    uses: &[PartUse],
    at: &BTreeSet<usize>,
    heads: &BTreeSet<usize>,
) {
    for part in uses {
        let (once, each) = quantities.entry((kind, part.part.clone())).or_default();
        let by = if part.per_cylinder { at } else { heads };
        if by.is_empty() {
            *once = once.max(part.count);
        }
        for n in by {
            let have = each.entry(*n).or_default();
            *have = have.max(part.count);
        }
    }
}
