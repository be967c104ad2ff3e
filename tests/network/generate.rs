//! Seeded small networks of every shape that the engine knows.

use sootsayer::network::{Evidence, Network, Var};

/// A small generator of pseudo-random numbers (splitmix64), so that every run is the same.
pub struct Dice(pub u64);

impl Dice {
    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    pub fn unit(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }

    pub fn below(&mut self, n: usize) -> usize {
        (self.next() % n as u64) as usize
    }

    pub fn chance(&mut self, p: f64) -> bool {
        self.unit() < p
    }

    /// A distribution over `n` states; now and then with a zero in it.
    pub fn row(&mut self, n: usize) -> Vec<f64> {
        let mut row: Vec<f64> = (0..n).map(|_| self.unit().powi(3) + 1e-4).collect();
        if self.chance(0.15) {
            row[self.below(n)] = 0.0;
        }
        let sum: f64 = row.iter().sum();
        row.iter().map(|p| p / sum).collect()
    }

    pub fn some_of(&mut self, from: &[Var], most: usize) -> Vec<Var> {
        let mut left = from.to_vec();
        let count = self.below(most.min(left.len()) + 1);
        (0..count)
            .map(|_| left.remove(self.below(left.len())))
            .collect()
    }
}

/// A network of about `vars` variables: tables of 2 to 4 states, noisy-OR
/// causes with and without causes of their own, findings of 2 to 5 grades.
pub fn network(dice: &mut Dice, vars: usize) -> Network {
    let mut net = Network::new();
    let mut all: Vec<Var> = Vec::new();
    let mut binary: Vec<Var> = Vec::new();
    for i in 0..vars {
        let name = format!("v{i}");
        let var = if dice.chance(0.45) || binary.is_empty() {
            let states = if dice.chance(0.6) {
                2
            } else {
                2 + dice.below(3)
            };
            let parents = dice.some_of(&all, 3);
            let rows: usize = parents.iter().map(|p| net.states(*p)).product();
            let table = (0..rows).flat_map(|_| dice.row(states)).collect();
            net.add_table(&name, states, &parents, table).unwrap()
        } else {
            let grades = if dice.chance(0.5) {
                2
            } else {
                2 + dice.below(4)
            };
            let causes = dice
                .some_of(&binary, 7)
                .into_iter()
                .map(|p| (p, dice.row(grades)))
                .collect();
            let leak = dice.row(grades);
            net.add_max(&name, leak, causes).unwrap()
        };
        all.push(var);
        if net.states(var) == 2 {
            binary.push(var);
        }
    }
    net
}

/// Evidence on some variables: hard, soft, with and without ties.
pub fn evidence(dice: &mut Dice, net: &Network, share: f64) -> Evidence {
    let mut evidence = Evidence::new();
    for var in net.vars() {
        if !dice.chance(share) {
            continue;
        }
        let states = net.states(var);
        let likelihood: Vec<f64> = match dice.below(4) {
            0 => (0..states).map(|_| dice.unit()).collect(),
            1 => (0..states)
                .map(|_| [0.2, 0.7, 0.0][dice.below(3)])
                .collect(),
            _ => {
                let state = dice.below(states);
                (0..states).map(|s| f64::from(s == state)).collect()
            }
        };
        evidence.set(var, &likelihood);
    }
    evidence
}
