//! Values of tests against enumeration, and the laws that information obeys.

use crate::enumerate::Joint;
use crate::generate::{Dice, evidence, network};
use sootsayer::network::{Evidence, Method, Network, Solved, Var, entropy};

/// Expected fall of the targets' entropies over the joint outcome, from the joint table.
fn worth(net: &Network, evidence: &Evidence, findings: &[Var], targets: &[Var]) -> f64 {
    let joint = Joint::of(net, evidence);
    let loss = |joint: &Joint| {
        let present: Vec<f64> = targets
            .iter()
            .map(|t| joint.marginal(net, *t)[1..].iter().sum())
            .collect();
        entropy(&present)
    };
    let now = loss(&joint);
    let total = joint.total();
    let mut outcomes = std::collections::BTreeMap::new();
    for (states, p) in joint.rows {
        let outcome: Vec<usize> = findings.iter().map(|f| states[f.index()]).collect();
        let part = outcomes.entry(outcome).or_insert(Joint { rows: vec![] });
        part.rows.push((states, p));
    }
    let after: f64 = outcomes
        .values()
        .map(|part| part.total() / total * loss(part))
        .sum();
    now - after
}

/// Some findings and targets of generated networks with evidence, and what
/// enumeration makes the findings worth.
fn each_generated(first: u64, mut see: impl FnMut(&Solved, &[Var], &[Var], f64)) {
    let mut checked = 0;
    for seed in 0..120 {
        let mut dice = Dice(seed + first);
        let size = 3 + dice.below(6);
        let net = network(&mut dice, size);
        let evidence = evidence(&mut dice, &net, 0.25);
        let Ok(solved) = Solved::new(&net, &evidence) else {
            continue;
        };
        let all: Vec<Var> = net.vars().collect();
        let findings = dice.some_of(&all, 3);
        let targets = dice.some_of(&all, 6);
        let expected = worth(&net, &evidence, &findings, &targets);
        see(&solved, &findings, &targets, expected);
        checked += 1;
    }
    assert!(checked > 60, "{checked}");
}

#[test]
fn values_agree_with_enumeration() {
    each_generated(77_000, |solved, findings, targets, expected| {
        let value = solved.value(findings, targets).unwrap();
        assert!(
            (value.bits - expected).abs() < 1e-9,
            "{value:?} for {expected}"
        );
        assert!(matches!(value.method, Method::Exact { .. }));
    });
}

/// Eight causes of their own, from common to rare, each with three findings of
/// three grades: too many joint outcomes.
#[test]
fn a_sampled_value_is_within_its_error_of_the_sum_of_independent_parts() {
    let mut net = Network::new();

    let (mut causes, mut findings) = (vec![], vec![]);
    for i in 0..8 {
        let p = 0.4f64.powf(1.0 + 0.6 * f64::from(i));
        let cause = net
            .add_table(&format!("c{i}"), 2, &[], vec![1.0 - p, p])
            .unwrap();
        for j in 0..3 {
            let links = vec![(cause, vec![0.3, 0.3, 0.4])];
            let leak = vec![0.8, 0.15, 0.05];
            findings.push(net.add_max(&format!("f{i}{j}"), leak, links).unwrap());
        }
        causes.push(cause);
    }
    let solved = Solved::new(&net, &Evidence::new()).unwrap();
    let exact: f64 = (0..8)
        .map(|i| {
            let part = solved.value(&findings[3 * i..3 * i + 3], &causes).unwrap();
            assert!(matches!(part.method, Method::Exact { outcomes: 27 }));
            part.bits
        })
        .sum();
    let all = solved.value(&findings, &causes).unwrap();
    assert!(matches!(all.method, Method::Sampled { .. }));
    assert!(all.error > 0.0 && all.error < 0.2 * exact, "{all:?}");
    assert!(
        (all.bits - exact).abs() < 4.0 * all.error,
        "{all:?} for {exact}"
    );
    assert_eq!(all, solved.value(&findings, &causes).unwrap());
}

/// Draws stand for the exact joint posterior: on generated networks of tables and
/// gates, with evidence, their values are within their own error of enumeration.
#[test]
fn values_from_draws_are_near_enumeration() {
    let (mut count, mut off) = (0.0, 0.0);
    each_generated(91_000, |solved, findings, targets, expected| {
        let tests = [findings.to_vec()];
        let value = solved.bits(&tests, targets, 0).unwrap()[0];
        assert!(
            (value.bits - expected).abs() < 0.1,
            "{value:?} for {expected}"
        );
        (count, off) = (count + 1.0, off + value.bits - expected);
    });
    assert!((off / count).abs() < 0.005, "biased by {}", off / count);
}
