//! What comes with what: repairs that another repair does in any case, and
//! those that closing a stage of dismantling does (a head goes back on a new
//! gasket). They mend as if asked for and are not billed again.

use super::cost::Pricer;
use super::package::{Package, all, applies, by_bank};
use crate::rules::file::{Repair, Scope};
use std::collections::{BTreeMap, BTreeSet};

/// Repairs by id with the cylinders they are done on.
type Brought<'a> = BTreeMap<&'a str, BTreeSet<usize>>;

impl<'a> Pricer<'a> {
    /// All that a package does: its own repairs and those that come with them.
    pub fn done(&self, package: &Package) -> Package {
        let mut done = package.clone();
        for (id, cylinders) in &package.work {
            for (id, cylinders) in self.brought(id, cylinders) {
                done.work.entry(id.into()).or_default().extend(cylinders);
            }
        }
        done
    }

    /// Of a package, the repairs that come with another of it, each with that other.
    pub(super) fn hosts(&self, package: &Package) -> BTreeMap<String, String> {
        let brought: Vec<(&String, Brought)> = (package.work.iter())
            .map(|(id, cylinders)| (id, self.brought(id, cylinders)))
            .collect();
        let mut hosts: BTreeMap<String, String> = BTreeMap::new();
        for (id, cylinders) in &package.work {
            let host = brought.iter().find(|(host, with_it)| {
                *host != id
                    && !hosts.contains_key(*host)
                    && with_it
                        .get(id.as_str())
                        .is_some_and(|at| at.is_superset(cylinders))
            });
            if let Some((host, _)) = host {
                hosts.insert(id.clone(), (*host).clone());
            }
        }
        hosts
    }

    /// Whether a repair is part of another, and not only of what that opens.
    pub(super) fn is_part(&self, host: &str, id: &str) -> bool {
        let Some(host) = self.rules.repairs.get(host) else {
            return false;
        };
        let parts = host.includes.iter();
        parts
            .into_iter()
            .any(|part| part == id || self.is_part(part, id))
    }

    /// A package without the repairs that come with another of it.
    pub fn trimmed(&self, package: &Package) -> Package {
        let hosts = self.hosts(package);
        let mut trimmed = package.clone();
        trimmed.work.retain(|id, _| !hosts.contains_key(id));
        trimmed
    }

    fn brought(&self, id: &str, cylinders: &BTreeSet<usize>) -> Brought<'a> {
        let mut out = Brought::new();
        let Some(repair) = self.rules.repairs.get(id) else {
            return out;
        };
        let (_, at) = self.extent(repair, cylinders);
        for included in &repair.includes {
            self.bring(included, &at, &mut out);
        }
        for (access, at) in self.opened_by(repair, &at) {
            for included in &self.rules.accesses[access].includes {
                self.bring(included, &at, &mut out);
            }
        }
        out
    }

    fn bring(&self, id: &str, at: &BTreeSet<usize>, out: &mut Brought<'a>) {
        let Some((id, repair)) = self.rules.repairs.get_key_value(id) else {
            return;
        };
        if !applies(self.rules, self.engine, repair) {
            return;
        }
        let cylinders = self.at(repair, at);
        let known = out.get(id.as_str());
        if known.is_some_and(|known| known.is_superset(&cylinders)) {
            return;
        }
        out.entry(id).or_default().extend(cylinders);
        for included in &repair.includes {
            self.bring(included, at, out);
        }
    }

    /// The cylinders that a repair is counted on when cylinders are worked on.
    fn at(&self, repair: &Repair, at: &BTreeSet<usize>) -> BTreeSet<usize> {
        match repair.scope {
            Scope::Engine if !by_bank(self.engine, repair.per_bank) => BTreeSet::new(),
            Scope::Engine => {
                let banks = self.engine.banks.iter();
                let banks = banks.filter(|bank| bank.iter().any(|n| at.contains(n)));
                banks.flatten().copied().collect()
            }
            _ if at.is_empty() => all(self.engine),
            _ => at.clone(),
        }
    }
}
