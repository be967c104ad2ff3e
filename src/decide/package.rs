//! A package: repairs and where they are done.

use crate::engine::{Engine, Place};
use crate::problem::Problem;
use crate::rules::Rules;
use crate::rules::file::{Repair, Scope};
use crate::words::{listed, nearest};
use std::collections::{BTreeMap, BTreeSet};

/// Repairs by id, with the cylinders they are done on (none for the engine).
#[derive(Debug, Clone, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Package {
    /// Repair id -> cylinders.
    pub work: BTreeMap<String, BTreeSet<usize>>,
}

impl Package {
    /// The same with a repair on cylinders.
    pub fn with(&self, repair: &str, cylinders: &BTreeSet<usize>) -> Package {
        let mut more = self.clone();
        let at = more.work.entry(repair.into()).or_default();
        at.extend(cylinders);
        more
    }

    /// The same without a repair on cylinders.
    pub fn without(&self, repair: &str, cylinders: &BTreeSet<usize>) -> Package {
        let mut less = self.clone();
        if let Some(at) = less.work.get_mut(repair) {
            at.retain(|n| !cylinders.contains(n));
            if at.is_empty() {
                less.work.remove(repair);
            }
        }
        less
    }

    /// Nothing is done.
    pub fn is_empty(&self) -> bool {
        self.work.is_empty()
    }

    /// Reads `valve-job@2` or `hone-and-ring` (everywhere), joined by commas.
    ///
    /// # Errors
    /// A repair that is not known or not for this engine, a place that it has not.
    pub fn read(text: &str, rules: &Rules, engine: &Engine) -> Result<Package, Problem> {
        let mut package = Package::default();
        for word in text.split(',').map(str::trim).filter(|w| !w.is_empty()) {
            let (id, place) = match word.split_once('@') {
                None => (word, None),
                Some((id, place)) => (id, Some(place.parse::<Place>().map_err(Problem::new)?)),
            };
            let Some(repair) = rules.repairs.get(id) else {
                let near = nearest(id, rules.repairs.keys().map(String::as_str));
                let hint = near.map(|near| format!("did you mean `{near}`?"));
                let hint = hint.unwrap_or("list them with `rules list repairs`".into());
                return Err(Problem::new(format!("no repair is called `{id}`")).hint(hint));
            };
            if !applies(rules, engine, repair) {
                let what = format!("`{id}` ({}) is not for this kind of engine", repair.title);
                return Err(Problem::new(what));
            }
            let place = place.unwrap_or(Place::Engine);
            if let Some(n) = place.cylinders().iter().find(|n| !all(engine).contains(n)) {
                let what = format!("there is no cylinder {n} on this engine");
                return Err(Problem::new(what));
            }
            let cylinders = reached(engine, repair, place);
            if cylinders.is_empty() && place != Place::Engine {
                return Err(Problem::new(format!("`{id}` is done on the whole engine")));
            }
            package = package.with(id, &cylinders);
        }
        Ok(package)
    }
}

/// Whether a repair is for this engine.
pub fn applies(rules: &Rules, engine: &Engine, repair: &Repair) -> bool {
    rules.applies(&engine.traits, &repair.on, &repair.not_on)
}

/// The cylinders on which a repair is done to reach a place: none for work on
/// the whole engine, all of a bank for work done bank by bank.
pub fn reached(engine: &Engine, repair: &Repair, place: Place) -> BTreeSet<usize> {
    let by_bank = by_bank(engine, repair.per_bank);
    match (repair.scope, place) {
        (Scope::Engine, _) if !by_bank => BTreeSet::new(),
        (_, Place::Engine) => all(engine),
        _ if by_bank => {
            let here = place.cylinders();
            let banks = engine.banks.iter();
            let banks = banks.filter(|bank| bank.iter().any(|n| here.contains(n)));
            banks.flatten().copied().collect()
        }
        _ => place.cylinders().into_iter().collect(),
    }
}

/// The smallest pieces that a repair can be done in, and the whole last.
pub fn pieces(engine: &Engine, repair: &Repair) -> Vec<BTreeSet<usize>> {
    let mut pieces: Vec<BTreeSet<usize>> = match repair.scope {
        Scope::Engine if !by_bank(engine, repair.per_bank) => vec![BTreeSet::new()],
        Scope::Engine => {
            let banks = engine.banks.iter();
            banks.map(|bank| bank.iter().copied().collect()).collect()
        }
        _ => all(engine).into_iter().map(|n| [n].into()).collect(),
    };
    if pieces.len() > 1 {
        pieces.push(all(engine));
    }
    pieces
}

/// Whether work counted per bank is: where there is one bank it is the engine.
pub fn by_bank(engine: &Engine, per_bank: bool) -> bool {
    per_bank && engine.banks.len() > 1
}

/// Every cylinder.
pub fn all(engine: &Engine) -> BTreeSet<usize> {
    (1..=engine.cylinders()).collect()
}

/// Cylinders after a title: "cylinders 1 and 3", nothing for the engine.
pub fn on_cylinders(cylinders: &BTreeSet<usize>, all: usize) -> String {
    let numbers: Vec<String> = cylinders.iter().map(usize::to_string).collect();
    match numbers.len() {
        0 => String::new(),
        1 => format!(", cylinder {}", numbers[0]),
        n if n == all => ", every cylinder".into(),
        _ => format!(", cylinders {}", listed(&numbers, "and")),
    }
}
