//! What tests tell by draws from the posterior, held to the exact values: the
//! demo jobs, every test whose joint outcomes are few enough to solve for each.

mod common;

use sootsayer::diagnose::Diagnosis;
use sootsayer::diagnose::next::{AtHand, options, targets};
use sootsayer::gauge::shop::Workbench;
use sootsayer::job::{self, Holds, Job, file::JobFile, layout};
use sootsayer::network::Var;
use sootsayer::rules;
use sootsayer::unroll::{Tailored, Unrolled};

/// Tests with more joint outcomes are not solved for here.
const MOST_OUTCOMES: f64 = 256.0;

fn near(path: &str) {
    let text = std::fs::read_to_string(path).unwrap();
    let job = Job::replay(JobFile::parse(&text, path).unwrap()).unwrap();
    let (rules, _) = rules::load(None);
    let engine = layout::engine(&rules, &job.file.engine).unwrap();
    let (observations, _) = job::evidence(&rules, &engine, &job, &Workbench::default());
    let known = job
        .facts
        .iter()
        .filter(|(_, holds)| **holds == Holds::Yes)
        .map(|(f, _)| f.clone())
        .collect();
    let unrolled = Unrolled::of(Tailored::of(&rules, &engine, &known), &engine).unwrap();
    let d = Diagnosis::of(&rules, &engine, &unrolled, &observations).unwrap();
    let (options, _) = options(&d, &AtHand::default());
    let mut tests: Vec<(String, Vec<Var>)> = Vec::new();
    for option in &options {
        let vars = option.yields.iter();
        let vars: Vec<Var> = vars
            .filter_map(|(f, p)| Some(unrolled.finding(f, *p)?.var))
            .collect();
        let outcomes: f64 = vars
            .iter()
            .map(|v| unrolled.network.states(*v) as f64)
            .product();
        if outcomes <= MOST_OUTCOMES {
            tests.push((option.id(), vars));
        }
    }
    let findings: Vec<Vec<Var>> = tests.iter().map(|(_, vars)| vars.clone()).collect();
    let exact = d.solved.values(&findings, &targets(&d)).unwrap();
    let drawn = d.solved.bits(&findings, &targets(&d), 0).unwrap();
    let (mut all_exact, mut all_drawn) = (0.0, 0.0);
    for ((id, exact), drawn) in tests.iter().map(|t| &t.0).zip(&exact).zip(&drawn) {
        let off = (drawn.bits - exact.bits).abs();
        assert!(
            off < 4.0 * drawn.error + 0.03,
            "{id}: {drawn:?} for {exact:?}"
        );
        (all_exact, all_drawn) = (all_exact + exact.bits, all_drawn + drawn.bits);
    }
    assert!(tests.len() > 50, "{} tests", tests.len());
    let ratio = all_drawn / all_exact;
    assert!((0.93..1.1).contains(&ratio), "draws are off by {ratio}");
}

#[test]
fn draws_tell_what_exact_values_tell() {
    near("demo/trainer.yaml");
}
