//! Laws that hold for every network.

use crate::generate::{Dice, evidence, network};
use proptest::prelude::*;
use sootsayer::network::{Error, Evidence, Network, Solved, Var};

/// A network and evidence on it that can be true.
fn solvable(seed: u64, size: usize) -> Option<(Network, Evidence)> {
    let mut dice = Dice(seed);
    let net = network(&mut dice, size);
    let evidence = evidence(&mut dice, &net, 0.35);
    Solved::new(&net, &evidence).ok()?;
    Some((net, evidence))
}

fn marginals(solved: &Solved) -> Vec<Vec<f64>> {
    let vars = solved.network().vars();
    vars.map(|v| solved.marginal(v).unwrap()).collect()
}

fn alike(a: &[Vec<f64>], b: &[Vec<f64>]) -> bool {
    a.iter()
        .flatten()
        .zip(b.iter().flatten())
        .all(|(x, y)| (x - y).abs() < 1e-12)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(32))]

    #[test]
    fn the_order_of_observations_does_not_matter(seed: u64, size in 2..14usize) {
        let Some((net, seen)) = solvable(seed, size) else { return Ok(()) };
        let at_once = Solved::new(&net, &seen).unwrap();
        let mut one_by_one = Solved::new(&net, &Evidence::new()).unwrap();
        let mut backwards: Vec<_> = seen.iter().collect();
        backwards.reverse();
        for (var, likelihood) in backwards {
            one_by_one = one_by_one.with(&[(var, likelihood.to_vec())]).unwrap();
        }
        prop_assert!((at_once.ln_evidence() - one_by_one.ln_evidence()).abs() < 1e-12);
        prop_assert!(alike(&marginals(&at_once), &marginals(&one_by_one)));
    }

    #[test]
    fn taking_an_observation_back_undoes_it(seed: u64, size in 2..14usize) {
        let Some((net, seen)) = solvable(seed, size) else { return Ok(()) };
        let before = Solved::new(&net, &seen).unwrap();
        for var in net.vars().filter(|v| seen.get(*v).is_none()) {
            let state = marginals(&before)[var.index()].iter().position(|p| *p > 1e-6).unwrap();
            let hard: Vec<f64> = (0..net.states(var)).map(|s| f64::from(s == state)).collect();
            let back = before.with(&[(var, hard)]).unwrap().without(var).unwrap();
            prop_assert_eq!(before.ln_evidence(), back.ln_evidence());
            prop_assert_eq!(marginals(&before), marginals(&back));
        }
    }

    #[test]
    fn what_is_not_connected_changes_nothing(seed: u64, size in 2..14usize) {
        let Some((mut net, seen)) = solvable(seed, size) else { return Ok(()) };
        let before = marginals(&Solved::new(&net, &seen).unwrap());
        let other = net.add_table("other", 2, &[], vec![0.7, 0.3]).unwrap();
        let links = vec![(other, vec![0.1, 0.2, 0.7])];
        let finding = net.add_max("finding", vec![0.9, 0.05, 0.05], links).unwrap();
        let mut more = seen.clone();
        more.set(finding, &[0.1, 0.3, 1.0]);
        let after = Solved::new(&net, &more).unwrap();
        prop_assert!(alike(&before, &marginals(&after)));
        let targets: Vec<Var> = (0..size as u32).map(Var).collect();
        let worth = Solved::new(&net, &seen).unwrap().value(&[finding], &targets).unwrap();
        prop_assert!(worth.bits < 1e-12, "{:?}", worth);
    }

    #[test]
    fn more_findings_are_never_worth_less(seed: u64, size in 3..11usize) {
        let Some((net, seen)) = solvable(seed, size) else { return Ok(()) };
        let solved = Solved::new(&net, &seen).unwrap();
        let mut dice = Dice(seed ^ 1);
        let all: Vec<Var> = net.vars().collect();
        let targets = dice.some_of(&all, 5);
        let findings = dice.some_of(&all, 3);
        let mut least = 0.0;
        for count in 0..=findings.len() {
            let worth = solved.value(&findings[..count], &targets).unwrap().bits;
            prop_assert!(worth >= least - 1e-9, "{} after {}", worth, least);
            least = worth;
        }
    }

    #[test]
    fn a_certain_outcome_is_worth_nothing(seed: u64, size in 2..12usize) {
        let Some((mut net, seen)) = solvable(seed, size) else { return Ok(()) };
        let targets: Vec<Var> = net.vars().collect();
        let causes: Vec<Var> = net.vars().filter(|v| net.states(*v) == 2).collect();
        let links = causes.iter().map(|c| (*c, vec![1.0, 0.0, 0.0])).collect();
        let idle = net.add_max("idle", vec![1.0, 0.0, 0.0], links).unwrap();
        let solved = Solved::new(&net, &seen).unwrap();
        prop_assert!(solved.value(&[idle], &targets).unwrap().bits < 1e-12);
    }

    #[test]
    fn plans_made_for_other_numbers_serve(seed: u64, size in 2..14usize) {
        let Some((net, seen)) = solvable(seed, size) else { return Ok(()) };
        let first = Solved::new(&net, &seen).unwrap();
        let mut again = Network::sharing_plans_of(&net);
        for var in net.vars() {
            let name = net.name(var);
            match net.gate(var).clone() {
                sootsayer::network::Gate::Table { parents, table } => {
                    again.add_table(name, net.states(var), &parents, table).unwrap();
                }
                sootsayer::network::Gate::Max { leak, parents, grades } => {
                    let rows = grades.chunks(leak.len()).map(<[f64]>::to_vec);
                    let causes = parents.into_iter().zip(rows).collect();
                    again.add_max(name, leak, causes).unwrap();
                }
            }
        }
        let second = Solved::new(&again, &seen).unwrap();
        prop_assert_eq!(marginals(&first), marginals(&second));
    }
}

#[test]
fn what_is_too_large_is_answered_with_an_interval() {
    let mut net = Network::new();
    let mut dice = Dice(8);
    let causes: Vec<Var> = (0..60)
        .map(|i| {
            net.add_table(&format!("c{i}"), 2, &[], vec![0.98, 0.02])
                .unwrap()
        })
        .collect();
    let mut evidence = Evidence::new();
    for i in 0..30 {
        let links = causes
            .iter()
            .filter(|_| dice.chance(0.7))
            .map(|c| (*c, vec![0.5, 0.5]))
            .collect();
        let finding = net
            .add_max(&format!("f{i}"), vec![0.9, 0.1], links)
            .unwrap();
        evidence = evidence.hard(finding, 1, 2);
    }
    let solved = Solved::new(&net, &evidence).unwrap();
    assert!(!solved.relaxed().is_empty());
    for cause in causes {
        let (low, high) = solved.interval(cause).unwrap();
        let p = solved.marginal(cause).unwrap()[1];
        assert!(0.0 <= low && low <= p && p <= high && high <= 1.0);
    }
}

/// The proved interval holds the exact answer, whichever observations are relaxed.
#[test]
fn an_interval_holds_the_exact_answer() {
    for seed in 0..1000 {
        let mut dice = Dice(1000 + seed);
        let mut net = Network::new();
        let causes: Vec<Var> = (0..8)
            .map(|i| {
                let p = 0.02 + 0.3 * dice.unit();
                net.add_table(&format!("c{i}"), 2, &[], vec![1.0 - p, p])
                    .unwrap()
            })
            .collect();
        let mut evidence = Evidence::new();
        let mut findings = Vec::new();
        for i in 0..5 {
            let grades = 2 + i % 2;
            let mut row = |most: f64| {
                let p = most * dice.unit();
                let share = dice.unit();
                match grades {
                    2 => vec![1.0 - p, p],
                    _ => vec![1.0 - p, p * share, p * (1.0 - share)],
                }
            };
            let leak = row(0.1);
            let links = causes.iter().map(|c| (*c, row(0.9))).collect();
            let finding = net.add_max(&format!("f{i}"), leak, links).unwrap();
            let likelihood: Vec<f64> = (0..grades).map(|_| dice.unit()).collect();
            if dice.chance(0.5) {
                evidence.set(finding, &likelihood);
            } else {
                evidence = evidence.hard(finding, grades - 1, grades);
            }
            findings.push(finding);
        }
        let exact = Solved::new(&net, &evidence).unwrap();
        let relaxed = Solved::relaxing(&net, &evidence, &findings[..3]).unwrap();
        for cause in &causes {
            let p = exact.marginal(*cause).unwrap()[1];
            let (low, high) = relaxed.interval(*cause).unwrap();
            assert!(
                low <= p + 1e-12 && p <= high + 1e-12,
                "seed {seed}: {p} is not within {low} and {high}"
            );
        }
    }
}

#[test]
fn what_does_not_fit_the_network_is_said_in_words() {
    let mut net = Network::new();
    let a = net.add_table("a", 2, &[], vec![0.5, 0.5]).unwrap();
    let three = net
        .add_table("three", 3, &[], vec![0.5, 0.25, 0.25])
        .unwrap();
    let said = |error: Error| error.to_string();
    assert_eq!(
        said(net.add_table("b", 2, &[a], vec![0.5, 0.5]).unwrap_err()),
        "the table of `b` has 2 numbers where 2 states and its parents need 4"
    );
    assert_eq!(
        said(net.add_table("b", 2, &[], vec![0.5, 0.4]).unwrap_err()),
        "a row of `b` adds up to 0.9, not to 1"
    );
    assert_eq!(
        said(net.add_table("b", 2, &[], vec![1.5, -0.5]).unwrap_err()),
        "`b` has 1.5 where a probability belongs"
    );
    assert_eq!(
        said(net.add_table("b", 2, &[a, a], vec![0.5; 8]).unwrap_err()),
        "`a` is a parent of `b` twice"
    );
    assert_eq!(
        said(
            net.add_max("b", vec![1.0, 0.0], vec![(three, vec![1.0, 0.0])])
                .unwrap_err()
        ),
        "`three` acts on `b` and so must have two states"
    );
    let mut evidence = Evidence::new();
    evidence.set(three, &[1.0, 0.0]);
    assert_eq!(
        said(Solved::new(&net, &evidence).unwrap_err()),
        "`three` has 3 states, its evidence 2 numbers"
    );
    let mut evidence = Evidence::new();
    evidence.set(a, &[1.0, f64::NAN]);
    assert_eq!(
        said(Solved::new(&net, &evidence).unwrap_err()),
        "NaN is no likelihood (evidence on `a`)"
    );
}
