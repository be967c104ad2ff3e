//! Seeded networks of an engine's shape: 35 engine causes (8 with root causes,
//! 10 that also act on cylinder findings), 20 causes and 10 findings per
//! cylinder, 2 causes per pair of neighbours, 40 engine findings of which 12
//! have every cylinder's causes as parents.

use crate::generate::Dice;
use sootsayer::network::{Evidence, Network, Var};

/// A network with its variables by kind.
pub struct Shape {
    pub net: Network,
    pub causes: Vec<Var>,
    /// Ten for each cylinder.
    pub cylinder_findings: Vec<Vec<Var>>,
    /// Engine findings with every cylinder's causes as parents.
    pub wide_findings: Vec<Var>,
    /// The other engine findings.
    pub narrow_findings: Vec<Var>,
}

/// What was observed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Load {
    /// 12 findings, 5 of them positive.
    Typical,
    /// 48 findings: three bad cylinders with 5 positive findings each, 8 positive engine findings.
    Heavy,
    /// Everything positive.
    Worst,
}

fn base(net: &mut Network, dice: &mut Dice, name: String) -> Var {
    let p = 0.005 + 0.05 * dice.unit();
    net.add_table(&name, 2, &[], vec![1.0 - p, p]).unwrap()
}

/// Grade probabilities of a link: mostly a yes or no, now and then in grades.
fn link(dice: &mut Dice, grades: usize) -> Vec<f64> {
    let strength = [0.93, 0.8, 0.6, 0.3, 0.12][dice.below(5)];
    let mut row = vec![1.0 - strength];
    let parts: Vec<f64> = (1..grades).map(|_| 0.1 + dice.unit()).collect();
    let sum: f64 = parts.iter().sum();
    row.extend(parts.iter().map(|p| strength * p / sum));
    row
}

fn finding(net: &mut Network, dice: &mut Dice, name: String, parents: &[Var]) -> Var {
    let grades = if dice.chance(0.6) {
        2
    } else {
        3 + dice.below(2)
    };
    let leak = 0.005 + 0.03 * dice.unit();
    let mut row = vec![1.0 - leak];
    row.extend((1..grades).map(|_| leak / (grades - 1) as f64));
    let causes = parents.iter().map(|p| (*p, link(dice, grades))).collect();
    net.add_max(&name, row, causes).unwrap()
}

/// A network of the shape.
pub fn engine(seed: u64, cylinders: usize) -> Shape {
    let mut dice = Dice(seed);
    let dice = &mut dice;
    let mut net = Network::new();
    let mut engine: Vec<Var> = (0..27)
        .map(|i| base(&mut net, dice, format!("e{i}")))
        .collect();
    for i in 27..35 {
        let p = 0.005 + 0.03 * dice.unit();
        let roots = (0..1 + dice.below(2))
            .map(|r| (engine[(3 * i + 5 * r) % 9], vec![0.7, 0.3]))
            .collect();
        let name = format!("e{i}");
        engine.push(net.add_max(&name, vec![1.0 - p, p], roots).unwrap());
    }
    let own: Vec<Vec<Var>> = (0..cylinders)
        .map(|c| {
            (0..20)
                .map(|i| base(&mut net, dice, format!("c{i}@{c}")))
                .collect()
        })
        .collect();
    let pairs: Vec<Vec<Var>> = (1..cylinders)
        .map(|c| {
            (0..2)
                .map(|i| base(&mut net, dice, format!("p{i}@{}-{c}", c - 1)))
                .collect()
        })
        .collect();
    // The same kinds act on the same findings in every cylinder.
    let pick = |dice: &mut Dice, n: usize, share: f64| -> Vec<usize> {
        (0..n).filter(|_| dice.chance(share)).collect()
    };
    let kinds: Vec<[Vec<usize>; 3]> = (0..10)
        .map(|_| {
            [
                pick(dice, 20, 0.25),
                pick(dice, 10, 0.25),
                pick(dice, 2, 0.4),
            ]
        })
        .collect();
    let cylinder_findings = (0..cylinders)
        .map(|c| {
            let of = |f: usize| {
                let [own_kinds, shared, pair] = &kinds[f];
                let mut parents: Vec<Var> = own_kinds.iter().map(|k| own[c][*k]).collect();
                parents.extend(shared.iter().map(|k| engine[17 + *k]));
                for side in [c.checked_sub(1), Some(c)].into_iter().flatten() {
                    if let Some(causes) = pairs.get(side) {
                        parents.extend(pair.iter().map(|k| causes[*k]));
                    }
                }
                parents
            };
            (0..10)
                .map(|f| finding(&mut net, dice, format!("f{f}@{c}"), &of(f)))
                .collect()
        })
        .collect();
    let wide_findings = (0..12)
        .map(|f| {
            let mut kinds: Vec<usize> = (0..20).collect();
            while kinds.len() > 10 {
                kinds.remove(dice.below(kinds.len()));
            }
            let mut parents: Vec<Var> = own
                .iter()
                .flat_map(|own| kinds.iter().map(|k| own[*k]))
                .collect();
            parents.push(engine[dice.below(35)]);
            finding(&mut net, dice, format!("w{f}"), &parents)
        })
        .collect();
    let narrow_findings = (0..28)
        .map(|f| {
            let mut parents: Vec<Var> = (0..5).map(|_| engine[dice.below(35)]).collect();
            parents.sort();
            parents.dedup();
            finding(&mut net, dice, format!("n{f}"), &parents)
        })
        .collect();
    let causes = engine
        .into_iter()
        .chain(own.into_iter().flatten())
        .chain(pairs.into_iter().flatten())
        .collect();
    Shape {
        net,
        causes,
        cylinder_findings,
        wide_findings,
        narrow_findings,
    }
}

impl Shape {
    pub fn findings(&self) -> Vec<Var> {
        let cylinders = self.cylinder_findings.iter().flatten();
        cylinders
            .chain(&self.wide_findings)
            .chain(&self.narrow_findings)
            .copied()
            .collect()
    }

    /// Findings that are still unseen, each a test of its own.
    pub fn tests(&self, evidence: &Evidence) -> Vec<Vec<Var>> {
        let unseen = |f: &Var| evidence.get(*f).is_none();
        self.findings()
            .into_iter()
            .filter(unseen)
            .map(|f| vec![f])
            .collect()
    }

    /// Seeded evidence. Positive findings show their highest grade but one or two at times.
    pub fn evidence(&self, seed: u64, load: Load) -> Evidence {
        let mut dice = Dice(seed ^ 0xe71d);
        let mut evidence = Evidence::new();
        let see = |dice: &mut Dice, evidence: &mut Evidence, var: Var, positive: bool| {
            let states = self.net.states(var);
            let grade = if positive {
                1 + dice.below(states - 1)
            } else {
                0
            };
            let likelihood: Vec<f64> = (0..states).map(|s| f64::from(s == grade)).collect();
            evidence.set(var, &likelihood);
        };
        let draw = |dice: &mut Dice, from: &[Var], n: usize| -> Vec<Var> {
            let mut left = from.to_vec();
            (0..n)
                .map(|_| left.remove(dice.below(left.len())))
                .collect()
        };
        let (bad, own, wide, narrow) = match load {
            Load::Typical => (1, (2, 3), (2, 2), (1, 2)),
            Load::Heavy => (3, (5, 5), (4, 5), (4, 5)),
            Load::Worst => (self.cylinder_findings.len(), (10, 0), (12, 0), (28, 0)),
        };
        let some = [(&self.wide_findings, wide), (&self.narrow_findings, narrow)];
        let bad = bad.min(self.cylinder_findings.len());
        let cylinders = self.cylinder_findings[..bad].iter().map(|f| (f, own));
        for (from, (positive, negative)) in cylinders.chain(some) {
            for (i, var) in draw(&mut dice, from, positive + negative)
                .into_iter()
                .enumerate()
            {
                see(&mut dice, &mut evidence, var, i < positive);
            }
        }
        evidence
    }
}
