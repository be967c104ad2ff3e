//! Draws from the joint posterior of all variables: the plan run forward once,
//! then backward with a choice in place of each sum.
//!
//! An entry of a table that a step made is a sum over ways to it from entries
//! of earlier tables. Draws that stand at the same entry are taken together,
//! so the ways to it are listed once, however many draws there are.

use super::core::Core;
use super::dice::Dice;
use super::plans::{Hit, Plan, Step, Table};
use super::reduced::Reduced;
use super::run::{Numbers, Work};
use std::collections::BTreeMap;

/// States by plain variable of a reduced network, each a list with one for every draw.
pub(super) type Draws = Vec<Vec<u16>>;

/// One way to an entry of a table.
#[derive(Debug, Clone, Copy)]
pub(super) struct Way {
    /// Its share of the entry, up to a factor.
    pub weight: f64,
    /// The entry of the first table that it comes from.
    pub a: usize,
    /// The entry of the second, for a join.
    pub b: usize,
    /// State of what ends here; of several, the first fastest.
    pub ended: usize,
}

impl Way {
    /// From an entry of one table.
    fn from(a: usize, weight: f64) -> Self {
        Way {
            weight,
            a,
            b: 0,
            ended: 0,
        }
    }
}

/// What ends in a step: a plain variable's element, or none, with its states.
type Ended = Vec<(Option<u32>, usize)>;

struct Drawer<'a> {
    numbers: &'a Numbers<'a>,
    arena: &'a [f64],
    /// Where the draws stand in the tables not yet gone back through, by the tables' places.
    stand: BTreeMap<usize, Vec<u32>>,
    out: Draws,
    dice: &'a mut Dice,
}

/// So many draws, after [`Work::forward`] on the same numbers.
pub(super) fn draws(
    work: &Work,
    plan: &Plan,
    numbers: &Numbers,
    count: usize,
    dice: &mut Dice,
) -> Draws {
    let mut drawer = Drawer {
        numbers,
        arena: work.tables(),
        stand: plan.roots.iter().map(|t| (t.at, vec![0; count])).collect(),
        out: vec![vec![0; count]; numbers.reduced.plains.len()],
        dice,
    };
    for step in plan.steps.iter().rev() {
        if let Some(stand) = drawer.stand.remove(&step.to().at) {
            drawer.step(step, &stand);
        }
    }
    drawer.singles();
    drawer.out
}

impl Drawer<'_> {
    fn step(&mut self, step: &Step, stand: &[u32]) {
        let numbers = self.numbers;
        let one = |element: u32| vec![(Some(element), numbers.states(element))];
        match step {
            Step::Unit { .. } | Step::Load { .. } => {}
            Step::Fold {
                links, at, states, ..
            } => self.fold(links, *at, *states, stand),
            Step::Absorb {
                plain,
                hits,
                old,
                from,
                ..
            } => {
                let w = numbers.weight(*plain);
                let ways = |entry: usize, arena: &[f64], ways: &mut Vec<Way>| {
                    if entry < from.len {
                        ways.push(Way::from(entry, w[0]));
                    }
                    let start = ways.len();
                    hit_ways(numbers, entry, from.len, hits, *old, 1, ways);
                    for way in &mut ways[start..] {
                        way.weight *= w[1];
                        way.ended = 1;
                    }
                    for way in ways {
                        way.weight *= arena[from.at + way.a];
                    }
                };
                self.go(stand, [Some(*from), None], one(*plain), ways);
            }
            Step::AbsorbBy {
                plain,
                dense,
                at,
                pack,
                hits,
                old,
                from,
                to,
            } => {
                let parts = at.iter().max().map_or(1, |most| *most as usize + 1);
                let (part, whole) = (from.len / parts, to.len / at.len());
                let ways = |entry: usize, arena: &[f64], ways: &mut Vec<Way>| {
                    let (s, entry) = (entry / whole, entry % whole);
                    let w = numbers.chances(*plain, *dense, s);
                    if entry < part {
                        ways.push(Way::from(entry, w[0]));
                    }
                    let start = ways.len();
                    hit_ways(numbers, entry, part, hits, *old, 1, ways);
                    for way in &mut ways[start..] {
                        way.weight *= w[1];
                        way.ended = 1;
                    }
                    for way in ways {
                        way.a += at[s] as usize * part;
                        way.a = pack.as_ref().map_or(way.a, |pack| pack.at(way.a));
                        way.weight *= arena[from.at + way.a];
                    }
                };
                self.go(stand, [Some(*from), None], one(*plain), ways);
            }
            Step::Gate {
                plain,
                own,
                pack,
                hits,
                old,
                from,
                to,
            } => {
                let states = numbers.states(*plain);
                let part = match own {
                    true => from.len / states,
                    false => from.len,
                };
                let ways = |entry: usize, arena: &[f64], ways: &mut Vec<Way>| {
                    let whole = to.len / states;
                    let (state, entry) = (entry / whole, entry % whole);
                    match state {
                        0 if entry < part => ways.push(Way::from(entry, 1.0)),
                        0 => {}
                        _ => hit_ways(numbers, entry, part, hits, *old, state, ways),
                    }
                    for way in ways {
                        way.a += if *own { state * part } else { 0 };
                        way.a = pack.as_ref().map_or(way.a, |pack| pack.at(way.a));
                        way.weight *= arena[from.at + way.a];
                    }
                };
                self.go(stand, [Some(*from), None], vec![], ways);
            }
            Step::Join(join) => {
                let ways = |entry: usize, arena: &[f64], ways: &mut Vec<Way>| {
                    join.ways(numbers, arena, entry, ways);
                };
                let [a, b] = join.operands();
                self.go(stand, [Some(a), Some(b)], join.ended(numbers), ways);
            }
            Step::Close {
                element,
                states,
                stride,
                from,
                ..
            } => {
                let (v, max) = numbers.closing(*element);
                let ways = |entry: usize, arena: &[f64], ways: &mut Vec<Way>| {
                    for (state, v) in v.iter().enumerate() {
                        let at = entry % stride + stride * (state + states * (entry / stride));
                        let weight = v * arena[from.at + at];
                        ways.push(Way {
                            ended: state,
                            ..Way::from(at, weight)
                        });
                    }
                };
                let ended = vec![((!max).then_some(*element), *states)];
                self.go(stand, [Some(*from), None], ended, ways);
            }
            Step::Settle { pick, from, .. } => {
                let stand = stand.iter().map(|e| pick.at(*e as usize) as u32).collect();
                self.stand.insert(from.at, stand);
            }
        }
    }

    /// Chooses a way for every draw, and lets it stand where the way comes from.
    fn go(
        &mut self,
        stand: &[u32],
        from: [Option<Table>; 2],
        ended: Ended,
        ways_to: impl Fn(usize, &[f64], &mut Vec<Way>),
    ) {
        let mut order: Vec<u32> = (0..stand.len() as u32).collect();
        order.sort_unstable_by_key(|draw| (stand[*draw as usize], *draw));
        let mut next = [vec![0u32; stand.len()], vec![0u32; stand.len()]];
        let (mut ways, mut shares) = (Vec::new(), Vec::new());
        for group in order.chunk_by(|x, y| stand[*x as usize] == stand[*y as usize]) {
            ways.clear();
            ways_to(stand[group[0] as usize] as usize, self.arena, &mut ways);
            ways.retain(|way| way.weight > 0.0);
            if ways.is_empty() {
                continue;
            }
            shares.clear();
            shares.extend(ways.iter().map(|way| way.weight));
            for draw in group {
                let way = ways[self.dice.state(&shares)];
                let draw = *draw as usize;
                next[0][draw] = way.a as u32;
                next[1][draw] = way.b as u32;
                let mut rest = way.ended;
                for (element, states) in &ended {
                    if let Some(element) = element {
                        self.record(*element, draw, rest % states);
                    }
                    rest /= states;
                }
            }
        }
        for (table, stand) in from.iter().zip(next) {
            if let Some(table) = table {
                self.stand.insert(table.at, stand);
            }
        }
    }

    fn record(&mut self, element: u32, draw: usize, state: usize) {
        let plain = self.numbers.core.plains[element as usize];
        self.out[plain as usize][draw] = state as u16;
    }

    fn fold(&mut self, links: &[u32], at: usize, states: usize, stand: &[u32]) {
        for (draw, entry) in stand.iter().enumerate() {
            let mut k = *entry as usize;
            for (i, link) in links.iter().enumerate().rev() {
                let (link, p) = self.numbers.link(*link, states);
                let value = &self.arena[at + i * states..][..states];
                let plain = self.numbers.reduced.plains[link.plain as usize];
                let w = &self.numbers.weights[plain.at..][..2];
                // Absent; present and what was there stays; present, raised from below.
                let up_to: f64 = p[..=k].iter().sum();
                let mut shares = vec![w[0] * value[k], w[1] * up_to * value[k]];
                shares.extend(value[..k].iter().map(|below| w[1] * p[k] * below));
                let way = self.dice.state(&shares);
                self.out[link.plain as usize][draw] = u16::from(way > 0);
                k = if way > 1 { way - 2 } else { k };
            }
        }
    }

    /// Variables tied to nothing.
    fn singles(&mut self) {
        let Core { singles, .. } = self.numbers.core;
        for plain in singles {
            let Reduced { plains, .. } = self.numbers.reduced;
            let plain_of = plains[*plain as usize];
            let w = &self.numbers.weights[plain_of.at..plain_of.at + plain_of.states];
            for state in &mut self.out[*plain as usize] {
                *state = self.dice.state(w) as u16;
            }
        }
    }
}

/// Ways to an entry that the links of a variable in `state` lead to, from a
/// table of `len` numbers; weights without that table's own.
fn hit_ways(
    numbers: &Numbers,
    entry: usize,
    len: usize,
    hits: &[Hit],
    old: usize,
    state: usize,
    ways: &mut Vec<Way>,
) {
    let mut rest = entry / len;
    let mut factor = 1.0;
    for hit in &hits[old..] {
        factor *= numbers.bands(hit.link, hit.states, state)[rest % hit.states];
        rest /= hit.states;
    }
    let start = ways.len();
    ways.push(Way::from(entry % len, factor));
    for hit in &hits[..old] {
        let p = numbers.bands(hit.link, hit.states, state);
        let k = entry % len / hit.stride % hit.states;
        for at in start..ways.len() {
            for below in 0..k {
                let way = ways[at];
                ways.push(Way::from(
                    way.a - (k - below) * hit.stride,
                    way.weight * p[k],
                ));
            }
            ways[at].weight *= p[..=k].iter().sum::<f64>();
        }
    }
}
