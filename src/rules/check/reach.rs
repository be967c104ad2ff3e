//! Nothing may hang in the air: causes that nothing shows, findings that no
//! test yields, causes that no repair mends, sources that nobody cites.

use super::{Checker, to};
use crate::rules::Kind;
use crate::rules::file::{Basis, ByEngine, CauseSort, Test};
use crate::words;
use std::collections::BTreeSet;

impl Checker<'_> {
    /// What cannot be reached from anywhere.
    pub(super) fn reach(&mut self) {
        self.causes_reached();
        self.findings_reached();
        self.seen_on_every_family();
        self.sources_reached();
    }

    fn causes_reached(&mut self) {
        let rules = self.rules;
        let roots: BTreeSet<&str> = (rules.causes.values())
            .flat_map(|cause| cause.brought_on_by.keys().map(String::as_str))
            .collect();
        for (id, cause) in &rules.causes {
            let who = (Kind::Cause, id.as_str());
            let root = cause.sort == CauseSort::Root && roots.contains(id.as_str());
            if cause.shows.is_empty() && !root && !self.any_broken(Kind::Cause) {
                let what = format!("`{id}` shows nothing, so nothing can point to it");
                self.refuse(who, &[], what, Some("list what it `shows`".into()));
            }
            if rules.mended_by(id).is_empty() && !self.any_broken(Kind::Repair) {
                let what = format!("no repair mends `{id}`");
                let hint = "name it under `mends` of a repair".to_string();
                self.refuse(who, &[], what, Some(hint));
            }
        }
    }

    fn findings_reached(&mut self) {
        let rules = self.rules;
        let yielded: BTreeSet<&str> = (rules.tests.values())
            .flat_map(|test| test.yields.iter().map(String::as_str))
            .collect();
        let shown: BTreeSet<&str> = (rules.causes.values())
            .flat_map(|cause| cause.shows.keys().map(String::as_str))
            .collect();
        for id in rules.findings.keys() {
            let who = (Kind::Finding, id.as_str());
            if !yielded.contains(id.as_str()) && !self.any_broken(Kind::Test) {
                let what = format!("no test yields `{id}`");
                let hint = "name it under `yields` of a test".to_string();
                self.refuse(who, &[], what, Some(hint));
            }
            if !shown.contains(id.as_str()) && !self.any_broken(Kind::Cause) {
                let what = format!("no cause shows `{id}`, so it can tell nothing");
                let hint = "name it under `shows` of a cause".to_string();
                self.refuse(who, &[], what, Some(hint));
            }
        }
        for (id, test) in &rules.tests {
            if test.yields.is_empty() {
                let what = format!("the test `{id}` yields nothing");
                self.refuse((Kind::Test, id), to!["yields"], what, None);
            }
        }
    }

    /// A finding that an engine of some family can have and no test yields on it.
    fn seen_on_every_family(&mut self) {
        let rules = self.rules;
        if self.any_broken(Kind::Test) {
            return;
        }
        let families: Vec<(&str, BTreeSet<String>)> = (rules.families.iter())
            .map(|(id, family)| (id.as_str(), rules.family_traits(family)))
            .collect();
        for (id, finding) in &rules.findings {
            let tests: Vec<&Test> = (rules.yielded_by(id).into_iter())
                .map(|test| &rules.tests[test].it)
                .collect();
            let unseen: Vec<String> = (families.iter())
                .filter(|(_, on)| rules.applies(on, &finding.on, &finding.not_on))
                .filter(|(_, on)| !tests.iter().any(|t| rules.applies(on, &t.on, &t.not_on)))
                .map(|(family, _)| format!("`{family}`"))
                .collect();
            if !tests.is_empty() && !unseen.is_empty() {
                let what = format!("no test yields `{id}` on {}", words::listed(&unseen, "and"));
                let hint = "let a test yield it there, or say `on` or `not_on`".to_string();
                self.warn((Kind::Finding, id), &[], what, Some(hint));
            }
        }
    }

    fn sources_reached(&mut self) {
        let cited: BTreeSet<&str> = self
            .rules
            .bases()
            .flat_map(|basis| basis.sources.iter().map(String::as_str))
            .collect();
        for id in self.rules.sources.keys() {
            if !cited.contains(id.as_str()) && self.loaded.broken.is_empty() {
                let what = format!("nothing cites the source `{id}`");
                let hint = "cite it in a `basis`, or leave it out".to_string();
                self.warn((Kind::Source, id), &[], what, Some(hint));
            }
        }
    }

    /// Whether entries of a kind could not be read, so that what they name is not known.
    pub(super) fn any_broken(&self, kind: Kind) -> bool {
        self.loaded.broken.keys().any(|(k, _)| *k == kind)
    }
}

impl crate::rules::Rules {
    /// Every statement of a basis, one for each number of the rules.
    pub fn bases(&self) -> impl Iterator<Item = &Basis> {
        let causes = self.causes.values().flat_map(|cause| {
            std::iter::once(&cause.base_rate.basis)
                .chain(cause.more_common.iter().map(|o| &o.basis))
                .chain(cause.history.values().map(|o| &o.basis))
                .chain(cause.brought_on_by.values().map(|l| &l.basis))
                .chain(
                    cause
                        .shows
                        .values()
                        .flat_map(ByEngine::all)
                        .map(|l| &l.basis),
                )
        });
        let findings = self.findings.values().flat_map(|finding| {
            std::iter::once(&finding.sound.basis).chain(finding.measured.iter().flat_map(
                |measured| {
                    std::iter::once(&measured.basis)
                        .chain(measured.instead.iter().map(|b| &b.basis))
                },
            ))
        });
        let facts = self.facts.values().flat_map(|fact| {
            let reports = fact.reports.values().chain(&fact.falsely);
            reports.map(|link| &link.basis)
        });
        let repairs = self.repairs.values().flat_map(|repair| {
            std::iter::once(&repair.basis).chain(repair.mends.values().map(|l| &l.basis))
        });
        causes
            .chain(findings)
            .chain(facts)
            .chain(self.readings.values().map(|r| &r.basis))
            .chain(self.limits.values().map(|l| &l.basis))
            .chain(self.measures.values().flat_map(|m| {
                let limits = m.gives.iter().flat_map(|v| &v.limits);
                std::iter::once(&m.basis).chain(limits.map(|l| &l.basis))
            }))
            .chain(self.stages.values().map(|s| &s.basis))
            .chain(self.tests.values().map(|t| &t.basis))
            .chain(repairs)
            .chain(self.accesses.values().map(|a| &a.basis))
            .chain(self.chart_bases())
    }
}
