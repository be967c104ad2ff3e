//! An evaluator of its own kind: signed sums over grades, in double-double
//! arithmetic (about 32 digits), against the engine's non-negative tables.

use crate::generate::Dice;
use sootsayer::network::{Evidence, Gate, Network, Solved, Var};
use std::ops::{Add, Mul, Sub};

/// The unevaluated sum of two floats (T. J. Dekker, Numer. Math. 18 (1971) 224-242).
#[derive(Debug, Clone, Copy)]
struct Double(f64, f64);

fn two_sum(a: f64, b: f64) -> Double {
    let s = a + b;
    let v = s - a;
    Double(s, (a - (s - v)) + (b - v))
}

impl Add for Double {
    type Output = Double;
    fn add(self, other: Double) -> Double {
        let s = two_sum(self.0, other.0);
        let t = two_sum(self.1, other.1);
        let u = two_sum(s.0, s.1 + t.0);
        two_sum(u.0, u.1 + t.1)
    }
}

impl Sub for Double {
    type Output = Double;
    fn sub(self, other: Double) -> Double {
        self + Double(-other.0, -other.1)
    }
}

impl Mul for Double {
    type Output = Double;
    fn mul(self, other: Double) -> Double {
        let p = self.0 * other.0;
        let low = self.0.mul_add(other.0, -p) + (self.0 * other.1 + self.1 * other.0);
        two_sum(p, low)
    }
}

impl Double {
    fn of(x: f64) -> Self {
        Double(x, 0.0)
    }

    fn sum(xs: &[f64]) -> Self {
        xs.iter().fold(Double::of(0.0), |s, x| s + Double::of(*x))
    }

    /// `self / other` as a float.
    fn over(self, other: Double) -> f64 {
        let q = self.0 / other.0;
        let rest = self - other * Double::of(q);
        q + rest.0 / other.0
    }
}

/// Two layers of causes (the upper ones few) and a layer of findings.
struct Layers {
    net: Network,
    roots: Vec<Var>,
    causes: Vec<Var>,
}

/// Probability of the evidence, jointly with `given` present if there is one:
/// roots summed outright, causes in products, each finding as a signed sum of
/// `P(<= k)` with the differences of its likelihood as coefficients.
fn probability(layers: &Layers, evidence: &Evidence, given: Option<Var>) -> Double {
    let seen: Vec<(Var, &[f64])> = evidence.iter().collect();
    let mut total = Double::of(0.0);
    for above in 0..1usize << layers.roots.len() {
        let present = |root: usize| above >> root & 1 == 1;
        let mut weight = Double::of(1.0);
        let mut state = vec![None; layers.net.len()];
        for (i, root) in layers.roots.iter().enumerate() {
            if Some(*root) == given && !present(i) {
                weight = Double::of(0.0);
            }
            state[root.index()] = Some(present(i));
            if let Gate::Table { table, .. } = layers.net.gate(*root) {
                weight = weight * Double::of(table[usize::from(present(i))]);
            }
        }
        if weight.0 > 0.0 {
            total = total + weight * signed(layers, &seen, &state, given);
        }
    }
    total
}

fn signed(
    layers: &Layers,
    seen: &[(Var, &[f64])],
    state: &[Option<bool>],
    given: Option<Var>,
) -> Double {
    let coefficients: Vec<Vec<(usize, Double)>> = seen
        .iter()
        .map(|(_, likelihood)| {
            let next = |k: usize| Double::of(likelihood.get(k + 1).copied().unwrap_or(0.0));
            (0..likelihood.len())
                .map(|k| (k, Double::of(likelihood[k]) - next(k)))
                .filter(|(_, c)| c.0 != 0.0)
                .collect()
        })
        .collect();
    let corners: usize = coefficients.iter().map(Vec::len).product();
    let mut total = Double::of(0.0);
    for mut number in 0..corners {
        let mut term = Double::of(1.0);
        let mut corner = Vec::with_capacity(seen.len());
        for choices in &coefficients {
            let (k, c) = choices[number % choices.len()];
            number /= choices.len();
            term = term * c;
            corner.push(k);
        }
        total = total + term * product(layers, seen, &corner, state, given);
    }
    total
}

/// Probability that every finding is at most at its corner, given the roots.
fn product(
    layers: &Layers,
    seen: &[(Var, &[f64])],
    corner: &[usize],
    state: &[Option<bool>],
    given: Option<Var>,
) -> Double {
    let mut below = vec![Double::of(1.0); layers.net.len()];
    let mut total = Double::of(1.0);
    for ((var, _), k) in seen.iter().zip(corner) {
        if let Gate::Max {
            leak,
            parents,
            grades,
        } = layers.net.gate(*var)
        {
            total = total * Double::sum(&leak[..=*k]);
            for (parent, row) in parents.iter().zip(grades.chunks(leak.len())) {
                let up_to = Double::sum(&row[..=*k]);
                match state[parent.index()] {
                    None => below[parent.index()] = below[parent.index()] * up_to,
                    Some(true) => total = total * up_to,
                    Some(false) => {}
                }
            }
        }
    }
    for cause in &layers.causes {
        if let Gate::Max {
            leak,
            parents,
            grades,
        } = layers.net.gate(*cause)
        {
            let (mut absent, mut whole) = (Double::of(leak[0]), Double::sum(leak));
            for (parent, row) in parents.iter().zip(grades.chunks(2)) {
                if state[parent.index()] == Some(true) {
                    absent = absent * Double::of(row[0]);
                    whole = whole * Double::sum(row);
                }
            }
            let present = (whole - absent) * below[cause.index()];
            total = total
                * if given == Some(*cause) {
                    present
                } else {
                    absent + present
                };
        }
    }
    total
}

/// Strong links, rare causes and findings that contradict each other: the more, the smaller P(e).
fn contradictory(
    dice: &mut Dice,
    causes: usize,
    negative: usize,
    positive: usize,
) -> (Layers, Evidence) {
    let mut net = Network::new();
    let binary = |p: f64| vec![1.0 - p, p];
    let roots: Vec<Var> = (0..3)
        .map(|i| {
            net.add_table(&format!("r{i}"), 2, &[], binary(0.1))
                .unwrap()
        })
        .collect();
    let causes: Vec<Var> = (0..causes)
        .map(|i| {
            let links = dice
                .some_of(&roots, 2)
                .into_iter()
                .map(|r| (r, binary(0.4)))
                .collect();
            let p = 10f64.powf(-1.0 - 3.0 * dice.unit());
            net.add_max(&format!("c{i}"), binary(p), links).unwrap()
        })
        .collect();
    let mut evidence = Evidence::new();
    for i in 0..negative + positive {
        let grades = 2 + dice.below(3);
        let mut chosen = dice.some_of(&causes, 8);
        chosen.push(roots[dice.below(3)]);
        let links = chosen
            .into_iter()
            .map(|c| {
                let strength = 1.0 - 10f64.powf(-4.0 * dice.unit());
                let mut row = vec![1.0 - strength];
                row.extend((1..grades).map(|_| strength / (grades - 1) as f64));
                (c, row)
            })
            .collect();
        // A finding seen absent that nearly always shows on a sound engine; one seen that
        // seldom does, but not so seldom that a signed sum loses more than 20 digits.
        let noise = match i < negative {
            true => 10f64.powf(-2.0 - 5.0 * dice.unit()),
            false => 10f64.powf(-1.0 - 3.0 * dice.unit()),
        };
        let sound = if i < negative { 1.0 - noise } else { noise };
        let mut leak = vec![1.0 - sound];
        leak.extend((1..grades).map(|_| sound / (grades - 1) as f64));
        let finding = net.add_max(&format!("f{i}"), leak, links).unwrap();
        let likelihood: Vec<f64> = if i < negative {
            (0..grades).map(|g| f64::from(g == 0)).collect()
        } else if dice.chance(0.3) {
            (0..grades).map(|_| 0.01 + dice.unit()).collect()
        } else {
            let shown = 1 + dice.below(grades - 1);
            (0..grades).map(|g| f64::from(g == shown)).collect()
        };
        evidence.set(finding, &likelihood);
    }
    let layers = Layers { net, roots, causes };
    (layers, evidence)
}

#[test]
fn signed_double_double_agrees_down_to_a_hundred_powers_of_ten() {
    let mut least = 0.0f64;
    for seed in 0..16 {
        let mut dice = Dice(seed + 500);
        let (causes, negative) = (4 + dice.below(9), dice.below(26));
        let positive = 1 + dice.below(5);
        let (layers, evidence) = contradictory(&mut dice, causes, negative, positive);
        let solved = Solved::new(&layers.net, &evidence).unwrap();
        let total = probability(&layers, &evidence, None);
        let ratio = solved.ln_evidence() - total.0.ln();
        assert!(
            ratio.abs() < 1e-12 * total.0.ln().abs().max(1.0),
            "seed {seed}: {ratio:e}"
        );
        least = least.min(solved.ln_evidence());
        for var in layers.roots.iter().chain(&layers.causes) {
            let expected = probability(&layers, &evidence, Some(*var)).over(total);
            let got = solved.marginal(*var).unwrap()[1];
            assert!(
                (got - expected).abs() < 1e-12,
                "seed {seed} {var:?}: {got} for {expected}"
            );
        }
    }
    assert!(least < -100.0 * 10f64.ln(), "smallest P(e) is e^{least}");
}

/// Far below what a float holds: the same evidence many times over in separate parts.
#[test]
fn the_probability_of_the_evidence_may_be_far_below_the_smallest_float() {
    let mut net = Network::new();
    let mut evidence = Evidence::new();
    for i in 0..200 {
        let cause = net
            .add_table(&format!("c{i}"), 2, &[], vec![1.0 - 1e-4, 1e-4])
            .unwrap();
        let links = vec![(cause, vec![0.5, 0.5])];
        let finding = net
            .add_max(&format!("f{i}"), vec![1.0, 0.0], links)
            .unwrap();
        evidence = evidence.hard(finding, 1, 2);
    }
    let solved = Solved::new(&net, &evidence).unwrap();
    let expected = 200.0 * 5e-5f64.ln();
    assert!((solved.ln_evidence() / expected - 1.0).abs() < 1e-13);
    assert_eq!(solved.marginal(Var(0)).unwrap()[1], 1.0);
}
