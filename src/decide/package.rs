//! A package: repairs and where they are done.

use crate::engine::{Engine, Place};
use crate::problem::Problem;
use crate::rules::Rules;
use crate::rules::file::{Repair, Scope};
use crate::words::nearest;
use std::collections::{BTreeMap, BTreeSet};

/// Repairs by id, with the cylinders they are done on (none for the engine).
#[derive(Debug, Clone, Default, PartialEq, Eq, PartialOrd, Ord)]
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
            let cylinders = match (repair.scope, place) {
                (Scope::Engine, None | Some(Place::Engine)) => BTreeSet::new(),
                (Scope::Engine, Some(_)) => {
                    return Err(Problem::new(format!("`{id}` is done on the whole engine")));
                }
                (_, None | Some(Place::Engine)) => all(engine),
                (_, Some(place)) => place.cylinders().into_iter().collect(),
            };
            if let Some(n) = cylinders.iter().find(|n| !all(engine).contains(n)) {
                let what = format!("there is no cylinder {n} on this engine");
                return Err(Problem::new(what));
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

/// Every cylinder.
pub fn all(engine: &Engine) -> BTreeSet<usize> {
    (1..=engine.cylinders()).collect()
}
