//! Closed jobs drawn from the network itself: causes from their priors, findings
//! given the causes, and the causes that were drawn written down as what it
//! turned out to be. Held against such jobs the program's probabilities must be
//! right, within what chance allows.

use sootsayer::engine::{Engine, Place};
use sootsayer::network::{Gate, Network, Var};
use sootsayer::rules::Rules;
use sootsayer::unroll::{Tailored, Unrolled};
use std::collections::{BTreeMap, BTreeSet};

/// SplitMix64 (Steele, Lea and Flood, OOPSLA 2014): the same on every machine.
pub struct Dice(pub u64);

impl Dice {
    pub fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    pub fn below(&mut self, n: usize) -> usize {
        ((self.unit() * n as f64) as usize).min(n - 1)
    }

    fn state(&mut self, p: impl IntoIterator<Item = f64>) -> usize {
        let (mut left, mut last) = (self.unit(), 0);
        for (state, p) in p.into_iter().enumerate() {
            last = state;
            left -= p;
            if left < 0.0 {
                break;
            }
        }
        last
    }

    /// A standard normal value (Box and Muller, 1958).
    pub fn normal(&mut self) -> f64 {
        let (a, b) = (self.unit().max(1e-300), self.unit());
        (-2.0 * a.ln()).sqrt() * (std::f64::consts::TAU * b).cos()
    }
}

/// States of every variable, parents before children.
fn draw(network: &Network, dice: &mut Dice) -> BTreeMap<Var, usize> {
    let mut states: BTreeMap<Var, usize> = BTreeMap::new();
    for var in network.vars() {
        let grades = network.states(var);
        let state = match network.gate(var) {
            Gate::Table { parents, table } => {
                let row = parents
                    .iter()
                    .fold(0, |row, p| row * network.states(*p) + states[p]);
                dice.state(table[row * grades..(row + 1) * grades].iter().copied())
            }
            Gate::Max {
                leak,
                parents,
                grades: rows,
            } => {
                let mut worst = dice.state(leak.iter().copied());
                for (i, parent) in parents.iter().enumerate() {
                    if states[parent] > 0 {
                        let own = dice.state(rows[i * grades..(i + 1) * grades].iter().copied());
                        worst = worst.max(own);
                    }
                }
                worst
            }
        };
        states.insert(var, state);
    }
    states
}

/// Families and cylinders that the jobs are drawn over: small ones, which are quick.
const ENGINES: [(&str, usize); 6] = [
    ("utility-single", 1),
    ("utility-single-side-valve", 1),
    ("utility-diesel-single", 1),
    ("two-stroke-premix", 1),
    ("motorcycle-shared-oil", 1),
    ("industrial-petrol", 2),
];

/// Tests done on each engine, at random.
const TESTS: usize = 6;

/// The text of so many closed jobs, `---` between them.
pub fn jobs(rules: &Rules, count: usize, seed: u64) -> String {
    let mut dice = Dice(seed);
    let engines: Vec<(&str, usize)> = (ENGINES.iter().copied())
        .filter(|(family, _)| rules.families.contains_key(*family))
        .collect();
    assert!(
        engines.len() > 2,
        "the families have changed: {:?}",
        rules.families.keys()
    );
    let mut text = String::new();
    for number in 0..count {
        let (family, cylinders) = engines[dice.below(engines.len())];
        text += "---\n";
        text += &job(rules, family, cylinders, number, &mut dice);
    }
    text
}

fn job(rules: &Rules, family: &str, cylinders: usize, number: usize, dice: &mut Dice) -> String {
    let traits = rules.engine_traits(&rules.families[family].traits, cylinders);
    let engine = Engine {
        name: format!("Drawn engine {}", number + 1),
        family: family.into(),
        traits,
        banks: Engine::deal(cylinders, 1),
        dimensions: rules.families[family].dimensions.clone(),
    };
    let unrolled = Unrolled::of(Tailored::of(rules, &engine, &BTreeSet::new()), &engine).unwrap();
    let tests: Vec<&str> = (rules.tests.iter())
        .filter(|(_, t)| rules.applies(&engine.traits, &t.on, &t.not_on))
        .filter(|(_, t)| !t.set_up.iter().any(|s| rules.set_ups[s].opened))
        .map(|(id, _)| id.as_str())
        .collect();
    loop {
        let states = draw(&unrolled.network, dice);
        // The model holds so many of these together at most.
        if let Some((members, most)) = unrolled.network.counted()
            && members.iter().filter(|m| states[m] > 0).count() > most
        {
            continue;
        }
        let mut done: Vec<&str> = vec![];
        while done.len() < TESTS.min(tests.len()) {
            let test = tests[dice.below(tests.len())];
            if !done.contains(&test) {
                done.push(test);
            }
        }
        let (mut acts, mut seen, mut known) = (String::new(), false, BTreeSet::new());
        for test in done {
            let mut readings = String::new();
            for finding in &rules.tests[test].yields {
                let kind = &rules.findings[finding].it;
                for place in engine.places(kind.scope) {
                    let Some(instance) = unrolled.finding(finding, place) else {
                        continue;
                    };
                    let grade = states[&instance.var];
                    if !known.insert((finding, place)) {
                        continue;
                    }
                    seen |= grade > 0;
                    readings += &format!("  - {}={}\n", at(finding, place), kind.grades[grade]);
                }
            }
            if !readings.is_empty() {
                acts += &format!(
                    "- time: {}\n  test: {test}\n  readings:\n{readings}",
                    day(number)
                );
            }
        }
        // An engine is brought in because something was noticed.
        if !seen {
            continue;
        }
        let found: Vec<String> = (unrolled.causes.iter())
            .filter(|c| states[&c.var] > 0)
            .map(|c| at(&unrolled.cause_kind(c).id, c.place))
            .collect();
        let middle = (100.0 + 900.0 * dice.unit()).round();
        let spread = 1.4f64.ln() / 1.2816;
        let cost = (middle * (spread * dice.normal()).exp()).round();
        let estimate = [(middle / 1.4).round(), middle, (middle * 1.4).round()];
        return format!(
            "sootsayer: 1\nengine: {{name: {}, family: {family}, cylinders: {cylinders}}}\nopened: {}\ndiary:\n{acts}- time: {}\n  closed: {{found: [{}], confirmed: drawn, cost: {cost}, estimate: [{}, {}, {}]}}\n",
            engine.name,
            day(number),
            day(number + 2),
            found.join(", "),
            estimate[0],
            estimate[1],
            estimate[2]
        );
    }
}

fn at(id: &str, place: Place) -> String {
    match place {
        Place::Engine => id.to_string(),
        place => format!("{id}@{place}"),
    }
}

fn day(number: usize) -> String {
    let (month, day) = (number / 28 % 12 + 1, number % 28 + 1);
    format!("{}-{month:02}-{day:02}T08:00:00+00:00", 2025 + number / 336)
}
