//! Generated small networks, every answer against enumeration.

use crate::enumerate::Joint;
use crate::generate::{Dice, evidence, network};
use sootsayer::network::{Error, Evidence, Network, Solved, Var};

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-9
}

fn check(net: &Network, evidence: &Evidence, what: &str) -> bool {
    let joint = Joint::of(net, evidence);
    let total = joint.total();
    let solved = match Solved::new(net, evidence) {
        Ok(solved) => solved,
        Err(Error::Impossible { conflict, .. }) => {
            assert_eq!(total, 0.0, "{what}: called impossible");
            assert!(conflicts(net, evidence, &conflict), "{what}: {conflict:?}");
            return false;
        }
        Err(other) => panic!("{what}: {other}"),
    };
    assert!(total > 0.0, "{what}: is impossible");
    assert!(
        (solved.ln_evidence() - total.ln()).abs() < 1e-9,
        "{what}: ln P(e) {} for {}",
        solved.ln_evidence(),
        total.ln()
    );
    for var in net.vars() {
        let expected = joint.marginal(net, var);
        let got = solved.marginal(var).unwrap();
        assert_eq!(got.len(), expected.len());
        for (a, b) in got.iter().zip(&expected) {
            assert!(close(*a, *b), "{what}: {var:?} {got:?} for {expected:?}");
        }
    }
    let all: Vec<Var> = net.vars().collect();
    for (var, got) in all.iter().zip(solved.present(&all).unwrap()) {
        let expected: f64 = joint.marginal(net, *var)[1..].iter().sum();
        assert!(close(got, expected), "{what}: {var:?} present");
    }
    let some: Vec<Var> = net.vars().step_by(3).collect();
    assert!(close(
        solved.all_absent(&some).unwrap(),
        joint.all_absent(&some)
    ));
    true
}

/// The set is impossible, and every set with one observation less is possible.
fn conflicts(net: &Network, evidence: &Evidence, conflict: &[Var]) -> bool {
    let total = |skip: Option<Var>| {
        let mut part = Evidence::new();
        for var in conflict.iter().filter(|v| Some(**v) != skip) {
            part.set(*var, evidence.get(*var).unwrap());
        }
        Joint::of(net, &part).total()
    };
    total(None) == 0.0 && conflict.iter().all(|v| total(Some(*v)) > 0.0)
}

#[test]
fn generated_networks_agree_with_enumeration() {
    let (mut solved, mut impossible) = (0, 0);
    for seed in 0..150 {
        let mut dice = Dice(seed);
        let size = 2 + dice.below(8);
        let net = network(&mut dice, size);
        let share = [0.0, 0.2, 0.4, 0.7][dice.below(4)];
        let evidence = evidence(&mut dice, &net, share);
        if check(&net, &evidence, &format!("seed {seed}")) {
            solved += 1;
        } else {
            impossible += 1;
        }
    }
    assert!(solved > 90, "{solved} solved, {impossible} impossible");
    assert!(impossible > 2, "{solved} solved, {impossible} impossible");
}

/// Of some variables only one or two may be present together.
#[test]
fn networks_with_counted_variables_agree_with_enumeration() {
    let mut counted = 0;
    for seed in 0..150 {
        let mut dice = Dice(seed + 70_000);
        let size = 4 + dice.below(6);
        let mut net = network(&mut dice, size);
        let members: Vec<Var> = (net.vars())
            .filter(|var| net.clone().at_most(&[*var], 1).is_ok())
            .collect();
        let most = 1 + dice.below(2);
        net.at_most(&members, most).unwrap();
        let share = [0.0, 0.2, 0.4, 0.7][dice.below(4)];
        let evidence = evidence(&mut dice, &net, share);
        let what = format!("seed {seed}: {most} of {members:?}");
        if Joint::of(&net, &Evidence::new()).total() == 0.0 {
            continue;
        }
        counted += usize::from(check(&net, &evidence, &what) && members.len() > most);
    }
    assert!(counted > 40, "{counted}");
}

/// Two layers like an engine's: many causes, findings seen at several grades.
#[test]
fn generated_two_layer_networks_agree_with_enumeration() {
    for seed in 0..25 {
        let mut dice = Dice(seed + 10_000);
        let mut net = Network::new();
        let roots: Vec<Var> = (0..2)
            .map(|i| {
                net.add_table(&format!("r{i}"), 2, &[], vec![0.8, 0.2])
                    .unwrap()
            })
            .collect();
        let mut causes = roots.clone();
        for i in 0..7 {
            let links = dice
                .some_of(&roots, 2)
                .into_iter()
                .map(|r| (r, dice.row(2)))
                .collect();
            let base = 0.02 + 0.3 * dice.unit();
            causes.push(
                net.add_max(&format!("c{i}"), vec![1.0 - base, base], links)
                    .unwrap(),
            );
        }
        let mut evidence = Evidence::new();
        for i in 0..5 {
            let grades = 2 + dice.below(3);
            let links = dice
                .some_of(&causes, 7)
                .into_iter()
                .map(|c| (c, dice.row(grades)))
                .collect();
            let leak = dice.row(grades);
            let finding = net.add_max(&format!("f{i}"), leak, links).unwrap();
            if dice.chance(0.8) {
                let likelihood: Vec<f64> = (0..grades).map(|_| dice.unit()).collect();
                evidence.set(finding, &likelihood);
            }
        }
        assert!(check(&net, &evidence, &format!("seed {seed}")));
    }
}

#[test]
fn a_gate_with_a_hundred_causes_is_no_trouble() {
    let mut net = Network::new();
    let roots: Vec<Var> = (0..100)
        .map(|i| {
            net.add_table(&format!("r{i}"), 2, &[], vec![0.99, 0.01])
                .unwrap()
        })
        .collect();
    let links = roots.iter().map(|r| (*r, vec![0.4, 0.6])).collect();
    let cause = net.add_max("cause", vec![0.9, 0.1], links).unwrap();
    let finding = net
        .add_max("finding", vec![0.95, 0.05], vec![(cause, vec![0.2, 0.8])])
        .unwrap();
    let absent = 0.9 * (0.99 + 0.01 * 0.4f64).powi(100);
    let solved = Solved::new(&net, &Evidence::new()).unwrap();
    assert!(close(solved.marginal(cause).unwrap()[0], absent));
    let seen = Solved::new(&net, &Evidence::new().hard(finding, 1, 2)).unwrap();
    let joint = (absent * 0.05, (1.0 - absent) * (1.0 - 0.95 * 0.2));
    let expected = joint.1 / (joint.0 + joint.1);
    assert!(close(seen.marginal(cause).unwrap()[1], expected));
}
