//! How long the real rules take on a petrol four-stroke: `cargo bench --bench rules`.

use divan::Bencher;
use sootsayer::diagnose::next::{AtHand, next};
use sootsayer::diagnose::{Diagnosis, rank};
use sootsayer::engine::Engine;
use sootsayer::gauge::shop::Workbench;
use sootsayer::job::file::JobFile;
use sootsayer::job::{self, Job, Observation, layout};
use sootsayer::rules::{self, Rules};
use sootsayer::unroll::{Tailored, Unrolled};
use std::collections::BTreeSet;

const CYLINDERS: [usize; 4] = [1, 4, 6, 8];

fn main() {
    divan::main();
}

struct Case {
    rules: Rules,
    engine: Engine,
    unrolled: Unrolled,
    observations: Vec<Observation>,
}

/// An engine with what an owner tells; `measured` adds compressions and leak-downs.
fn case(cylinders: usize, measured: bool) -> Case {
    let mut readings = vec![
        "oil-use=high".to_string(),
        "blue-smoke-under-load=often".into(),
        "misfire=occasional".into(),
    ];
    for cylinder in 1..=cylinders * usize::from(measured) {
        let bad = cylinder == 2;
        let (compression, leak) = if bad { (95, 38) } else { (150, 9) };
        readings.push(format!("compression@{cylinder}={compression} psi"));
        readings.push(format!("leak-down@{cylinder}={leak}%"));
    }
    let lines: String = readings.iter().map(|r| format!("  - {r}\n")).collect();
    let text = format!(
        "sootsayer: 1\nengine:\n  name: bench\n  family: car-petrol\n  cylinders: {cylinders}\n\
         opened: 2026-01-05T09:00:00+00:00\ndiary:\n- time: 2026-01-05T09:00:00+00:00\n  readings:\n{lines}"
    );
    let (rules, _) = rules::load(None);
    let job = Job::replay(JobFile::parse(&text, "bench").unwrap()).unwrap();
    let engine = layout::engine(&rules, &job.file.engine).unwrap();
    let (observations, _) = job::evidence(&rules, &engine, &job, &Workbench::default());
    let kinds = Tailored::of(&rules, &engine, &BTreeSet::new());
    let unrolled = Unrolled::of(kinds, &engine).unwrap();
    Case {
        rules,
        engine,
        unrolled,
        observations,
    }
}

impl Case {
    /// A diagnosis whose network has not been asked before.
    fn fresh(&self) -> Unrolled {
        let mut unrolled = self.unrolled.clone();
        unrolled.network = unrolled.network.without_plans();
        unrolled
    }
}

fn ranking(bencher: Bencher, case: &Case) {
    bencher
        .with_inputs(|| case.fresh())
        .bench_local_refs(|unrolled| {
            let d = Diagnosis::of(&case.rules, &case.engine, unrolled, &case.observations).unwrap();
            rank::rank(&d).unwrap()
        });
}

#[divan::bench(args = CYLINDERS, sample_count = 10)]
fn rank_on_complaints(bencher: Bencher, cylinders: usize) {
    ranking(bencher, &case(cylinders, false));
}

#[divan::bench(args = CYLINDERS, sample_count = 3)]
fn rank_with_every_gauge_figure(bencher: Bencher, cylinders: usize) {
    ranking(bencher, &case(cylinders, true));
}

#[divan::bench(args = [1, 4, 8], sample_count = 3)]
fn next_on_complaints(bencher: Bencher, cylinders: usize) {
    let case = case(cylinders, false);
    bencher
        .with_inputs(|| case.fresh())
        .bench_local_refs(|unrolled| {
            let d = Diagnosis::of(&case.rules, &case.engine, unrolled, &case.observations).unwrap();
            next(&d, &AtHand::default()).unwrap()
        });
}
