//! The demo jobs come to what `demo/expected.yaml` says.

use serde::Deserialize;
use sootsayer::diagnose::{Diagnosis, rank};
use sootsayer::session::Session;
use std::collections::BTreeMap;
use std::path::Path;

#[derive(Deserialize)]
struct Expected {
    job: String,
    first: String,
    r#where: Option<String>,
    at_least: f64,
    below: BTreeMap<String, f64>,
}

#[test]
fn demo_jobs_come_to_what_is_expected() {
    let text = std::fs::read_to_string("demo/expected.yaml").unwrap();
    let all: Vec<Expected> = serde_yaml::from_str(&text).unwrap();
    assert!(all.len() >= 2);
    for expected in all {
        let path = Path::new("demo").join(&expected.job);
        let session = Session::open(&path, None, false).unwrap_or_else(|p| panic!("{p:?}"));
        let (observations, warnings) = session.evidence();
        assert!(warnings.is_empty(), "{}: {warnings:?}", expected.job);
        let unrolled = session.unrolled().unwrap();
        let d = Diagnosis::of(&session.rules, &session.engine, &unrolled, &observations).unwrap();
        let kinds = rank::rank(&d).unwrap().kinds;
        let first = &kinds[0];
        assert_eq!(first.id, expected.first, "{}", expected.job);
        assert_eq!(first.place.map(|p| p.to_string()), expected.r#where);
        assert!(first.probability >= expected.at_least, "{first:?}");
        for (id, limit) in &expected.below {
            let kind = kinds.iter().find(|k| k.id == *id).unwrap();
            assert!(kind.probability < *limit, "{kind:?}");
        }
    }
}
