//! How long the network takes to answer: `cargo bench --bench network`.

#[path = "../network/generate.rs"]
#[allow(dead_code)]
mod generate;
#[path = "../network/shape.rs"]
#[allow(dead_code)]
mod shape;

use divan::Bencher;
use shape::{Load, engine};
use sootsayer::network::{Evidence, Network, Solved};

const CYLINDERS: [usize; 6] = [1, 2, 4, 6, 8, 12];
const SEED: u64 = 1;

fn main() {
    divan::main();
}

/// A network that has not been asked before: its plans are made anew.
fn fresh(net: &Network) -> Network {
    net.without_plans()
}

fn posterior(bencher: Bencher, cylinders: usize, load: Load) {
    let shape = engine(SEED, cylinders);
    let evidence = shape.evidence(SEED, load);
    bencher
        .with_inputs(|| fresh(&shape.net))
        .bench_local_refs(|net| Solved::new(net, &evidence).map(|s| s.ln_evidence()));
}

#[divan::bench(args = CYLINDERS)]
fn typical_posterior_with_planning(bencher: Bencher, cylinders: usize) {
    posterior(bencher, cylinders, Load::Typical);
}

#[divan::bench(args = CYLINDERS)]
fn typical_posterior_planned(bencher: Bencher, cylinders: usize) {
    let shape = engine(SEED, cylinders);
    let evidence = shape.evidence(SEED, Load::Typical);
    bencher.bench_local(|| Solved::new(&shape.net, &evidence).map(|s| s.ln_evidence()));
}

#[divan::bench(args = [8, 12])]
fn heavy_posterior_with_planning(bencher: Bencher, cylinders: usize) {
    posterior(bencher, cylinders, Load::Heavy);
}

/// Refused at planning time, with what to leave out.
#[divan::bench(args = [8], sample_count = 3)]
fn worst_posterior(bencher: Bencher, cylinders: usize) {
    posterior(bencher, cylinders, Load::Worst);
}

fn all_values(bencher: Bencher, cylinders: usize, load: Load) {
    let shape = engine(SEED, cylinders);
    let evidence = shape.evidence(SEED, load);
    let tests = shape.tests(&evidence);
    bencher
        .with_inputs(|| fresh(&shape.net))
        .bench_local_refs(|net| {
            let solved = Solved::new(net, &evidence)?;
            solved.values(&tests, &shape.causes)
        });
}

#[divan::bench(args = CYLINDERS)]
fn typical_posterior_and_value_of_every_finding(bencher: Bencher, cylinders: usize) {
    all_values(bencher, cylinders, Load::Typical);
}

#[divan::bench(args = [8], sample_count = 5)]
fn heavy_posterior_and_value_of_every_finding(bencher: Bencher, cylinders: usize) {
    all_values(bencher, cylinders, Load::Heavy);
}

/// Everything that can be seen at a cylinder as one test, cylinder by cylinder:
/// more joint outcomes than are solved for, so from draws.
#[divan::bench(args = [8], sample_count = 5)]
fn heavy_joint_value_of_each_cylinder(bencher: Bencher, cylinders: usize) {
    let shape = engine(SEED, cylinders);
    let evidence = shape.evidence(SEED, Load::Heavy);
    let tests: Vec<_> = shape.tests(&evidence).concat();
    let tests: Vec<_> = tests.chunks(10).map(<[_]>::to_vec).collect();
    bencher
        .with_inputs(|| fresh(&shape.net))
        .bench_local_refs(|net| {
            let solved = Solved::new(net, &evidence)?;
            solved.bits(&tests, &shape.causes, 0)
        });
}

/// The largest network itself, to tell building from solving.
#[divan::bench]
fn nothing_observed(bencher: Bencher) {
    let shape = engine(SEED, 12);
    bencher.bench_local(|| Solved::new(&shape.net, &Evidence::new()).map(|s| s.ln_evidence()));
}
