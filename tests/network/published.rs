//! Published networks and worked examples.

use sootsayer::network::{Evidence, Network, Solved, Var};

/// Printed posteriors are rounded to six places.
const PRINTED: f64 = 1e-6;

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() <= PRINTED
}

fn yes(p: f64) -> Vec<f64> {
    vec![1.0 - p, p]
}

/// State 1 is yes in all of these.
struct Asia {
    net: Network,
    vars: [Var; 8],
}

/// Tables of S. L. Lauritzen and D. J. Spiegelhalter, Local computations with
/// probabilities on graphical structures, J. R. Statist. Soc. B 50 (1988) 157-194.
fn asia() -> Asia {
    let mut net = Network::new();
    let table = |net: &mut Network, name, parents: &[Var], ps: &[f64]| {
        let rows = ps.iter().flat_map(|p| yes(*p)).collect();
        net.add_table(name, 2, parents, rows).unwrap()
    };
    let visit = table(&mut net, "asia", &[], &[0.01]);
    let tub = table(&mut net, "tub", &[visit], &[0.01, 0.05]);
    let smoke = table(&mut net, "smoke", &[], &[0.5]);
    let lung = table(&mut net, "lung", &[smoke], &[0.01, 0.1]);
    let bronc = table(&mut net, "bronc", &[smoke], &[0.3, 0.6]);
    let either = table(&mut net, "either", &[tub, lung], &[0.0, 1.0, 1.0, 1.0]);
    let xray = table(&mut net, "xray", &[either], &[0.05, 0.98]);
    let dysp = table(&mut net, "dysp", &[bronc, either], &[0.1, 0.7, 0.8, 0.9]);
    Asia {
        net,
        vars: [visit, tub, smoke, lung, bronc, either, xray, dysp],
    }
}

/// What is seen (variable, state), the posteriors of yes, P(evidence).
type Case = (&'static [(usize, usize)], [f64; 8], f64);

/// Evidence cases: full enumeration of the published tables, six places.
/// In order: asia, tub, smoke, lung, bronc, either, xray, dysp; then P(evidence).
#[test]
fn the_eight_node_network_in_all_its_evidence_cases() {
    let asia = asia();
    let cases: [Case; 9] = [
        (
            &[],
            [0.01, 0.0104, 0.5, 0.055, 0.45, 0.064828, 0.11029, 0.435971],
            1.0,
        ),
        (
            &[(0, 1)],
            [1.0, 0.05, 0.5, 0.055, 0.45, 0.10225, 0.145093, 0.450138],
            0.01,
        ),
        (
            &[(0, 1), (7, 1)],
            [
                1.0, 0.087751, 0.62592, 0.099525, 0.811402, 0.1823, 0.219539, 1.0,
            ],
            0.00450138,
        ),
        (
            &[(0, 1), (7, 1), (6, 1)],
            [
                1.0, 0.391712, 0.702025, 0.444271, 0.628822, 0.813769, 1.0, 1.0,
            ],
            0.00098823,
        ),
        (
            &[(6, 1)],
            [
                0.013156, 0.092411, 0.687754, 0.488711, 0.506326, 0.57604, 1.0, 0.640766,
            ],
            0.11029004,
        ),
        (
            &[(7, 1)],
            [
                0.010325, 0.018845, 0.633997, 0.102759, 0.833967, 0.120536, 0.162098, 1.0,
            ],
            0.4359706,
        ),
        (
            &[(6, 1), (7, 1)],
            [
                0.013984, 0.113933, 0.78561, 0.621253, 0.681869, 0.728725, 1.0, 1.0,
            ],
            0.0706701,
        ),
        (
            &[(2, 1), (7, 1), (6, 0)],
            [
                0.009615, 0.000386, 1.0, 0.003712, 0.922003, 0.00406, 0.0, 1.0,
            ],
            0.22088483,
        ),
        (
            &[(0, 1), (2, 0)],
            [1.0, 0.05, 0.0, 0.01, 0.3, 0.0595, 0.105335, 0.336775],
            0.005,
        ),
    ];
    for (seen, posteriors, probability) in cases {
        let mut evidence = Evidence::new();
        for (var, state) in seen {
            evidence = evidence.hard(asia.vars[*var], *state, 2);
        }
        let solved = Solved::new(&asia.net, &evidence).unwrap();
        assert!(
            (solved.ln_evidence().exp() - probability).abs() < 1e-8,
            "{seen:?}: P(e) {}",
            solved.ln_evidence().exp()
        );
        for (var, expected) in asia.vars.iter().zip(posteriors) {
            let got = solved.marginal(*var).unwrap()[1];
            assert!(
                near(got, expected),
                "{seen:?} {var:?}: {got} for {expected}"
            );
        }
    }
}

/// K. B. Korb and A. E. Nicholson, Bayesian Artificial Intelligence: the five-node
/// cancer network; posteriors by enumeration of its tables.
#[test]
fn the_cancer_network() {
    let mut net = Network::new();
    let low = net.add_table("pollution", 2, &[], vec![0.9, 0.1]).unwrap();
    let smoker = net.add_table("smoker", 2, &[], yes(0.3)).unwrap();
    let rows = [0.001, 0.03, 0.02, 0.05]
        .iter()
        .flat_map(|p| yes(*p))
        .collect();
    let cancer = net.add_table("cancer", 2, &[low, smoker], rows).unwrap();
    let rows = [0.2, 0.9].iter().flat_map(|p| yes(*p)).collect();
    let xray = net.add_table("xray", 2, &[cancer], rows).unwrap();
    let rows = [0.3, 0.65].iter().flat_map(|p| yes(*p)).collect();
    let dysp = net.add_table("dyspnoea", 2, &[cancer], rows).unwrap();
    let before = Solved::new(&net, &Evidence::new()).unwrap();
    for (var, expected) in [(cancer, 0.01163), (xray, 0.208141), (dysp, 0.30407)] {
        assert!(near(before.marginal(var).unwrap()[1], expected), "{var:?}");
    }
    let seen = before.with(&[(xray, vec![0.0, 1.0])]).unwrap();
    assert!(near(seen.marginal(cancer).unwrap()[1], 0.050288));
    let both = seen.with(&[(dysp, vec![0.0, 1.0])]).unwrap();
    assert!(near(both.marginal(cancer).unwrap()[1], 0.102919));
}

/// Probability of a noisy-OR effect for every combination of its causes, cause 1 first in the key.
fn noisy_or(leak: f64, strengths: &[f64]) -> Vec<(String, f64)> {
    let mut net = Network::new();
    let causes: Vec<Var> = (0..strengths.len())
        .map(|i| net.add_table(&format!("c{i}"), 2, &[], yes(0.5)).unwrap())
        .collect();
    let links = causes
        .iter()
        .zip(strengths)
        .map(|(c, s)| (*c, yes(*s)))
        .collect();
    let effect = net.add_max("effect", yes(leak), links).unwrap();
    (0..1usize << causes.len())
        .map(|combination| {
            let bit = |i: usize| combination >> (causes.len() - 1 - i) & 1;
            let mut evidence = Evidence::new();
            for (i, cause) in causes.iter().enumerate() {
                evidence = evidence.hard(*cause, bit(i), 2);
            }
            let key = (0..causes.len()).map(|i| bit(i).to_string()).collect();
            let solved = Solved::new(&net, &evidence).unwrap();
            (key, solved.marginal(effect).unwrap()[1])
        })
        .collect()
}

/// Fever from cold, flu and malaria: full noisy-OR table without leak, inhibitors
/// 0.6, 0.2, 0.1 (lecture slides of 2020, slides 29-30, after Russell and Norvig).
#[test]
fn the_fever_table() {
    let expected = [0.0, 0.9, 0.8, 0.98, 0.4, 0.94, 0.88, 0.988];
    for ((key, got), expected) in noisy_or(0.0, &[0.4, 0.8, 0.9]).iter().zip(expected) {
        assert!(
            (got - expected).abs() < 1e-12,
            "{key}: {got} for {expected}"
        );
    }
}

/// Exact fractions of a noisy-OR exercise with three causes (university exercise sheet).
#[test]
fn the_table_of_fractions() {
    let expected = [
        ("000", 0.0),
        ("001", 7.0 / 10.0),
        ("010", 1.0 / 3.0),
        ("011", 4.0 / 5.0),
        ("100", 1.0 / 6.0),
        ("101", 3.0 / 4.0),
        ("110", 4.0 / 9.0),
        ("111", 5.0 / 6.0),
    ];
    let got = noisy_or(0.0, &[1.0 / 6.0, 1.0 / 3.0, 7.0 / 10.0]);
    for ((key, got), (expected_key, expected)) in got.iter().zip(expected) {
        assert_eq!(key, expected_key);
        assert!(
            (got - expected).abs() < 1e-12,
            "{key}: {got} for {expected}"
        );
    }
}

/// Leak 0.1, causes 0.2 and 0.4: parameters of the noisy-OR page of the Norsys
/// documentation, outcomes from P = 1 - (1 - leak) (1 - p1) (1 - p2).
#[test]
fn the_leak_example() {
    let expected = [0.1, 0.46, 0.28, 0.568];
    for ((key, got), expected) in noisy_or(0.1, &[0.2, 0.4]).iter().zip(expected) {
        assert!(
            (got - expected).abs() < 1e-12,
            "{key}: {got} for {expected}"
        );
    }
}

/// Three causes, two findings, by enumeration: check cases for the algorithm of
/// D. Heckerman, A tractable inference algorithm for diagnosing multiple diseases, 1989.
#[test]
fn the_quickscore_cases() {
    let mut net = Network::new();
    let priors = [0.1, 0.2, 0.05];
    let links = [[0.8, 0.1], [0.6, 0.7], [0.3, 0.9]];
    let causes: Vec<Var> = priors
        .iter()
        .enumerate()
        .map(|(i, p)| net.add_table(&format!("d{i}"), 2, &[], yes(*p)).unwrap())
        .collect();
    let findings: Vec<Var> = [0.01, 0.02]
        .iter()
        .enumerate()
        .map(|(f, leak)| {
            let causes = causes
                .iter()
                .zip(links)
                .map(|(c, strengths)| (*c, yes(strengths[f])))
                .collect();
            net.add_max(&format!("f{f}"), yes(*leak), causes).unwrap()
        })
        .collect();
    let cases = [
        ([1, 0], 0.09706083, [0.604959, 0.362772, 0.016518]),
        ([1, 1], 0.11345773, [0.212586, 0.819847, 0.17931]),
    ];
    for (seen, probability, posteriors) in cases {
        let evidence = Evidence::new()
            .hard(findings[0], seen[0], 2)
            .hard(findings[1], seen[1], 2);
        let solved = Solved::new(&net, &evidence).unwrap();
        assert!((solved.ln_evidence().exp() - probability).abs() < 1e-8);
        for (cause, expected) in causes.iter().zip(posteriors) {
            assert!(near(solved.marginal(*cause).unwrap()[1], expected));
        }
    }
}

/// Factorisation of the noisy MAX by cumulative probabilities: F. J. Diez and
/// S. F. Galan, Int. J. Intelligent Systems 18 (2003). 0.5 0.6 = 0.30, 0.8 0.9 = 0.72.
#[test]
fn the_noisy_max_example() {
    let mut net = Network::new();
    let a = net.add_table("a", 2, &[], yes(1.0)).unwrap();
    let b = net.add_table("b", 2, &[], yes(1.0)).unwrap();
    let causes = vec![(a, vec![0.5, 0.3, 0.2]), (b, vec![0.6, 0.3, 0.1])];
    let effect = net.add_max("effect", vec![1.0, 0.0, 0.0], causes).unwrap();
    let solved = Solved::new(&net, &Evidence::new()).unwrap();
    let got = solved.marginal(effect).unwrap();
    for (got, expected) in got.iter().zip([0.30, 0.42, 0.28]) {
        assert!((got - expected).abs() < 1e-12);
    }
}
