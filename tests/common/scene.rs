//! An engine of a family with raw readings to be reduced.

// Each test binary uses a part of it.
#![allow(dead_code)]

use sootsayer::engine::{Engine, Place};
use sootsayer::gauge::UnitSet;
use sootsayer::gauge::reduce::{Bench, Graded, Raw, evidence, read, reduce};
use sootsayer::gauge::shop::Workbench;
use sootsayer::rules::file::{By, Dimensions};
use sootsayer::rules::{Rules, load};
use std::sync::LazyLock;

/// A family's engine in a shop at sea level.
pub struct Scene {
    pub rules: Rules,
    pub engine: Engine,
    pub own: Dimensions,
    pub shop: Workbench,
}

impl Scene {
    pub fn of(family: &str, cylinders: usize) -> Scene {
        static RULES: LazyLock<Rules> = LazyLock::new(|| load(None).0);
        let rules = RULES.clone();
        let family = rules.families.get(family).unwrap().it.clone();
        let traits = rules.engine_traits(&family.traits, cylinders);
        Scene {
            engine: Engine {
                name: "test".into(),
                family: family.family,
                traits,
                banks: Engine::deal(cylinders, 1),
                dimensions: family.dimensions,
            },
            own: Dimensions::default(),
            shop: Workbench::default(),
            rules,
        }
    }

    pub fn raws<'a>(&'a self, said: &[(&str, usize, &str)]) -> Vec<Raw<'a>> {
        said.iter()
            .enumerate()
            .map(|(index, (id, cylinder, text))| {
                let reading = &self.rules.readings[*id].it;
                Raw {
                    index,
                    reading,
                    place: match cylinder {
                        0 => Place::Engine,
                        n => Place::Cylinder(*n),
                    },
                    figure: read(reading, text, UnitSet::Metric).unwrap_or_else(|p| panic!("{p}")),
                    instrument: None,
                    act: 1,
                    warm: None,
                }
            })
            .collect()
    }

    pub fn bench(&self) -> Bench<'_> {
        Bench {
            engine: &self.engine,
            own: &self.own,
            shop: &self.shop,
            limits: self.rules.limits_for(&self.engine.traits),
            log: vec![],
        }
    }

    pub fn graded(&self, said: &[(&str, usize, &str)]) -> Vec<Graded> {
        let raws = self.raws(said);
        let findings = self.rules.findings.values().map(|entry| &entry.it);
        let (graded, problems) = evidence(findings, &raws, &self.bench());
        assert_eq!(problems, vec![]);
        graded
    }

    pub fn figure(&self, by: By, of: &str, said: &[(&str, usize, &str)]) -> Vec<(f64, f64)> {
        let raws = self.raws(said);
        let (figures, problems) = reduce(by, of, &raws, &self.bench());
        assert_eq!(problems, vec![]);
        figures.iter().map(|it| (it.value, it.deviation)).collect()
    }
}
