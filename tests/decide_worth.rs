//! What it pays to know first, and what the choice turns on: published decision
//! trees, enumeration on a small engine, and the prices put back.

#[path = "network/enumerate.rs"]
#[allow(dead_code)]
mod enumerate;
mod small_shop;

use enumerate::Joint;
use small_shop::{cases, packages, pricing, seen, small};
use sootsayer::decide::desk::Desk;
use sootsayer::decide::flip::{Lever, flips};
use sootsayer::decide::order::{as_given, by_chance_over_cost};
use sootsayer::decide::package::Package;
use sootsayer::decide::rivals::Rivals;
use sootsayer::decide::search::Search;
use sootsayer::decide::worth::{self, Effort};
use sootsayer::diagnose::next::{AtHand, options};
use sootsayer::diagnose::{Diagnosis, evidence};
use sootsayer::engine::Place;
use sootsayer::network::{Error, Evidence, Network, Solved, Var};

/// Exactly one of several faults is there; a variable for each says whether it is.
fn one_fault(chances: &[f64]) -> (Network, Vec<Var>) {
    let mut net = Network::new();
    let n = chances.len();
    let which = net.add_table("which", n, &[], chances.to_vec()).unwrap();
    let is = |net: &mut Network, fault: usize| {
        let rows = (0..n).flat_map(|k| [f64::from(k != fault), f64::from(k == fault)]);
        net.add_table(&format!("is {fault}"), 2, &[which], rows.collect())
            .unwrap()
    };
    let vars = (0..n).map(|fault| is(&mut net, fault)).collect();
    (net, vars)
}

/// The chance that a set of perfect jobs cures: all the other faults absent.
fn cured(solved: &Solved, faults: &[Var], jobs: &[usize]) -> Result<f64, Error> {
    let others = (0..faults.len()).filter(|f| !jobs.contains(f));
    let others: Vec<Var> = others.map(|f| faults[f]).collect();
    solved.all_absent(&others)
}

/// The ordering of D. Heckerman, J. Breese and K. Rommelse, Decision-Theoretic
/// Troubleshooting, Comm. ACM 38(3) 1995: falling probability over cost. The
/// figures 0.5, 0.3, 0.2 at 10, 2, 5 are worked by hand: 2 + 0.7 x 10 + 0.2 x 5
/// = 10 in that order, 10 + 0.5 x 2 + 0.2 x 5 = 12 as given.
#[test]
fn probability_over_cost_costs_least() {
    let (net, faults) = one_fault(&[0.5, 0.3, 0.2]);
    let solved = Solved::new(&net, &Evidence::new()).unwrap();
    let costs = [10.0, 2.0, 5.0];
    let cures = |jobs: &[usize]| cured(&solved, &faults, jobs);
    let order = by_chance_over_cost(&costs, cures).unwrap();
    assert_eq!(order.jobs, [1, 0, 2]);
    assert!((order.expected - 10.0).abs() < 1e-12, "{order:?}");
    let given = as_given(vec![0, 1, 2], &costs, cures).unwrap();
    assert!((given.expected - 12.0).abs() < 1e-12, "{given:?}");
    for jobs in [
        [0, 1, 2],
        [0, 2, 1],
        [1, 0, 2],
        [1, 2, 0],
        [2, 0, 1],
        [2, 1, 0],
    ] {
        let other = as_given(jobs.to_vec(), &costs, cures).unwrap();
        assert!(other.expected >= order.expected - 1e-12, "{jobs:?}");
    }
}

/// Two possible causes of a breakdown (textbook exercise, S. Ross, A First Course
/// in Probability): look for the first one first if p C2 >= (1 - p) C1.
#[test]
fn of_two_causes_the_first_comes_first_by_the_textbook_rule() {
    for p in [0.1, 0.3, 0.5, 0.62, 0.9] {
        let (net, faults) = one_fault(&[p, 1.0 - p]);
        let solved = Solved::new(&net, &Evidence::new()).unwrap();
        for (c1, c2) in [(10.0, 4.0), (3.0, 7.0), (5.0, 5.0), (1.0, 40.0)] {
            let cures = |jobs: &[usize]| cured(&solved, &faults, jobs);
            let order = by_chance_over_cost(&[c1, c2], cures).unwrap();
            let first = p * c2 >= (1.0 - p) * c1;
            assert_eq!(order.jobs[0] == 0, first, "p {p}, costs {c1} and {c2}");
        }
    }
}

/// To drill or not, in thousands: 40 % wet, 600 if wet and -200 if dry. A test
/// that is good half of the time, with 60 % oil after good and 20 % after bad
/// (W. Samuelson and S. Marks, Managerial Economics, chapter 13, The Value of
/// Information): drilling yields 280 after good and -40 after bad; to know for
/// certain is worth 120 and the test (0.5 x 280) - 120 = 20.
#[test]
fn a_published_decision_tree_for_the_value_of_a_test() {
    let mut net = Network::new();
    let wet = net.add_table("wet", 2, &[], vec![0.6, 0.4]).unwrap();
    // P(good | dry) = 0.5 x 0.4 / 0.6, P(good | wet) = 0.5 x 0.6 / 0.4
    let good = vec![2.0 / 3.0, 1.0 / 3.0, 0.25, 0.75];
    let good = net.add_table("good", 2, &[wet], good).unwrap();
    let solved = Solved::new(&net, &Evidence::new()).unwrap();
    let payoff = |p: &[f64]| (p[0] * 600.0 - (1.0 - p[0]) * 200.0).max(0.0);
    let loss = |p: &[f64]| -payoff(p);
    assert!((payoff(&[0.4]) - 120.0).abs() < 1e-12);
    for (state, then) in [(1, 280.0), (0, -40.0)] {
        let mut seen = Evidence::new();
        seen.set(good, &[f64::from(state == 0), f64::from(state == 1)]);
        let after = Solved::new(&net, &seen).unwrap().marginal(wet).unwrap()[1];
        assert!((after * 600.0 - (1.0 - after) * 200.0 - then).abs() < 1e-9);
    }
    let worth = |of: Var| solved.value_by(&[of], &[wet], &loss).unwrap();
    assert!((worth(wet).bits - 120.0).abs() < 1e-9, "{:?}", worth(wet));
    assert!((worth(good).bits - 20.0).abs() < 1e-9, "{:?}", worth(good));
}

/// The oil wildcatter with three kinds of ground (the introductory example of the
/// DTREE procedure, OR User's Guide: Mathematical Programming, chapter 7; after
/// H. Raiffa, Decision Analysis, 1968), in thousands: to know the deposit is
/// worth 155, as printed there. The sounding's 40.1 follows from its table by
/// hand: 0 + 71.5 + 108.6 less 140.
#[test]
fn the_oil_wildcatter_and_his_sounding() {
    let mut net = Network::new();
    let ground = net
        .add_table("ground", 3, &[], vec![0.5, 0.3, 0.2])
        .unwrap();
    let is = |net: &mut Network, name: &str, state: usize| {
        let rows = (0..3).flat_map(|k| [f64::from(k != state), f64::from(k == state)]);
        net.add_table(name, 2, &[ground], rows.collect()).unwrap()
    };
    let (wet, soaking) = (is(&mut net, "wet", 1), is(&mut net, "soaking", 2));
    let table = vec![0.6, 0.3, 0.1, 0.3, 0.4, 0.3, 0.1, 0.4, 0.5];
    let sounding = net.add_table("sounding", 3, &[ground], table).unwrap();
    let solved = Solved::new(&net, &Evidence::new()).unwrap();
    let drilling = 0.2 * 150.0 + 0.6 * 300.0 + 0.2 * 500.0;
    let loss = |p: &[f64]| -(p[0] * 700.0 + p[1] * 1200.0 - drilling).max(0.0);
    let worth = |of: Var| solved.value_by(&[of], &[wet, soaking], &loss).unwrap().bits;
    assert!((worth(ground) - 155.0).abs() < 1e-9, "{}", worth(ground));
    assert!((worth(sounding) - 40.1).abs() < 1e-9, "{}", worth(sounding));
}

/// What each test of the small engine saves, against going through every
/// combination of everything.
#[test]
fn what_a_test_saves_is_that_of_enumeration() {
    let small = small();
    let effort = Effort {
        tests: 20,
        outcomes: 64,
    };
    let mut told = 0;
    for (observations, labour) in cases()
        .into_iter()
        .flat_map(|c| [(c.clone(), 3000), (c, 12_000)])
    {
        // leave something to be tested
        let observations = &observations[..observations.len().min(2)];
        let d = Diagnosis::of(&small.rules, &small.engine, &small.unrolled, observations).unwrap();
        let pricing = pricing(labour);
        let desk = Desk::of(&d, &pricing).unwrap();
        let search = Search::on(&desk);
        let best = search.best(&desk.present(), &[Package::default()], &|_| true);
        let rivals = Rivals::of(&search, &packages(&small), &best);
        let (all, _) = options(&d, &AtHand::default());
        let joint = Joint::of(
            &small.unrolled.network,
            &evidence(&small.unrolled, observations),
        );
        let (_, now) = rivals.best(&desk.present());
        for worth in worth::tests(&rivals, &all, effort).unwrap() {
            let vars: Vec<Var> = (worth.telling.iter())
                .map(|(f, place)| small.unrolled.finding(f, *place).unwrap().var)
                .collect();
            let mut outcomes: std::collections::BTreeMap<Vec<usize>, (f64, Vec<f64>)> =
                Default::default();
            for (states, p) in &joint.rows {
                let seen = vars.iter().map(|v| states[v.index()]).collect();
                let none = (0.0, vec![0.0; rivals.counted.len()]);
                let (all, each) = outcomes.entry(seen).or_insert(none);
                *all += p;
                for (sum, var) in each.iter_mut().zip(rivals.vars()) {
                    *sum += if states[var.index()] == 1 { *p } else { 0.0 };
                }
            }
            let after: f64 = (outcomes.values())
                .map(|(all, each)| {
                    let present: Vec<f64> = each.iter().map(|p| p / all).collect();
                    all / joint.total() * rivals.best(&rivals.beliefs(&present)).1
                })
                .sum();
            let saves = now - after;
            assert!(
                (worth.saves - saves).abs() < 1e-6 * now,
                "{worth:?} for {saves}"
            );
            told += 1;
        }
    }
    assert!(told >= 4, "only {told} tests were worth anything");
}

#[test]
fn no_test_is_offered_where_none_can_change_the_choice() {
    let small = small();
    let c = Place::Cylinder;
    let known = vec![
        seen("low", c(1), 0.0),
        seen("low", c(2), 0.0),
        seen("oil", Place::Engine, 0.0),
        seen("water", Place::Engine, 1.0),
    ];
    let d = Diagnosis::of(&small.rules, &small.engine, &small.unrolled, &known).unwrap();
    let pricing = pricing(8000);
    let desk = Desk::of(&d, &pricing).unwrap();
    let effort = Effort {
        tests: 9,
        outcomes: 64,
    };
    let search = Search::on(&desk);
    let best = search.best(&desk.present(), &[Package::default()], &|_| true);
    let rivals = Rivals::of(&search, &packages(&small), &best);
    let (all, _) = options(&d, &AtHand::default());
    assert!(worth::tests(&rivals, &all, effort).unwrap().is_empty());
    assert_eq!(worth::turn(&rivals, &[]).unwrap(), None);
}

/// At the labour rate where the choice is said to turn it does: just short of it
/// the chosen is best among the rivals, just beyond it the other is.
#[test]
fn a_flip_is_where_the_prices_put_back_say() {
    let small = small();
    let (mut turned, mut stood) = (0, 0);
    for observations in cases() {
        let d = Diagnosis::of(&small.rules, &small.engine, &small.unrolled, &observations).unwrap();
        for labour in [1500, 3000, 8000, 20_000, 40_000] {
            let pricing = pricing(labour);
            let desk = Desk::of(&d, &pricing).unwrap();
            let search = Search::on(&desk);
            let best = search.best(&desk.present(), &[Package::default()], &|_| true);
            let rivals = Rivals::of(&search, &packages(&small), &best);
            let flips = flips(&rivals).unwrap();
            let flip = flips.iter().find(|f| f.lever == Lever::Labour).unwrap();
            stood += usize::from(!flip.turns());
            for (at, other) in flip.below.iter().chain(&flip.above) {
                let gap = |rate: f64| {
                    let mut moved = pricing.clone();
                    moved.labour = rate.round() as i64;
                    let desk = desk.repriced(&moved);
                    let total = |i: usize| {
                        desk.pricer.mean(&rivals.all[i].package) + desk.left(&rivals.all[i].mended)
                    };
                    total(*other) - total(rivals.chosen)
                };
                let toward = (at - flip.now).signum();
                assert!(gap(at - toward * 0.02 * at) > 0.0, "{flip:?}");
                assert!(gap(at + toward * 0.02 * at) < 0.0, "{flip:?}");
                turned += 1;
            }
        }
    }
    assert!(turned > 0 && stood > 0, "turned {turned}, stood {stood}");
}
