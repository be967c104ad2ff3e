//! In which order to sum variables out: greedy by new ties, with seeded noise
//! for further tries.

use super::dice::Dice;

/// Which variables occur together in a factor, as rows of bits.
#[derive(Debug, Clone)]
pub(super) struct Graph {
    words: usize,
    rows: Vec<u64>,
    /// Logarithm (base 2) of the number of states.
    weight: Vec<f32>,
    /// Elements that take part in the order.
    present: Vec<bool>,
    /// The part that the element belongs to; the higher go last.
    part: Vec<u32>,
    /// Elements that must wait for others.
    waits: Vec<(usize, usize)>,
    /// Pairs of neighbours that are not tied to each other.
    fill: Vec<i32>,
    /// Logarithm of the size of the table made by summing this element out.
    size: Vec<f32>,
}

/// An order with what it is likely to cost.
#[derive(Debug, Clone)]
pub(super) struct Order {
    pub elements: Vec<usize>,
    /// Entries of all tables made, one for each element summed out.
    pub cost: f64,
}

impl Graph {
    pub fn new(states: &[usize]) -> Self {
        let words = states.len().div_ceil(64).max(1);
        let weight: Vec<f32> = states.iter().map(|s| (*s as f32).log2()).collect();
        Graph {
            words,
            rows: vec![0; words * states.len()],
            present: vec![true; states.len()],
            part: vec![0; states.len()],
            waits: Vec::new(),
            fill: vec![0; states.len()],
            size: weight.clone(),
            weight,
        }
    }

    pub fn tie(&mut self, a: usize, b: usize) {
        if a != b {
            self.rows[a * self.words + b / 64] |= 1 << (b % 64);
            self.rows[b * self.words + a / 64] |= 1 << (a % 64);
        }
    }

    pub fn leave_out(&mut self, element: usize) {
        self.present[element] = false;
    }

    pub fn belongs(&mut self, element: usize, part: u32) {
        self.part[element] = part;
    }

    pub fn wait(&mut self, element: usize, on: usize) {
        self.waits.push((element, on));
    }

    /// Counts what is kept up to date from here on; call it when all ties are made.
    pub fn ready(mut self) -> Self {
        for v in 0..self.present.len() {
            let row = self.row(v);
            let missing: u32 = bits(row).map(|u| without(row, self.row(u)) - 1).sum();
            self.size[v] += bits(row).map(|u| self.weight[u]).sum::<f32>();
            self.fill[v] = missing as i32 / 2;
        }
        self
    }

    fn row(&self, v: usize) -> &[u64] {
        &self.rows[v * self.words..(v + 1) * self.words]
    }

    /// The fewest new ties go first, then the smallest table.
    fn score(&self, v: usize) -> f32 {
        self.fill[v] as f32 + self.size[v] / 256.0
    }

    /// Whether the elements belong to more than one part.
    pub fn has_parts(&self) -> bool {
        let mut parts = (self.part.iter().zip(&self.present)).filter(|(_, here)| **here);
        parts
            .next()
            .is_some_and(|(first, _)| parts.any(|(part, _)| part != first))
    }

    /// The whole order; ties go to the lower element. With a seed every score
    /// is first scaled down by up to a half, by the same factor for an element
    /// throughout. `by_part` takes one part after the other, but what makes no
    /// new ties at once.
    pub fn order(&self, seed: Option<u64>, by_part: bool) -> Order {
        let mut graph = self.clone();
        let mut dice = Dice::new(seed.unwrap_or(0));
        let noise: Vec<f32> = (0..graph.present.len())
            .map(|_| match seed {
                Some(_) => 1.0 - 0.5 * dice.unit() as f32,
                None => 1.0,
            })
            .collect();
        let mut left: Vec<usize> = (0..graph.present.len())
            .filter(|v| graph.present[*v])
            .collect();
        let mut order = Order {
            elements: Vec::with_capacity(left.len()),
            cost: 0.0,
        };
        loop {
            let waits = |(e, on): &(usize, usize), v| *e == v && graph.present[*on];
            let free = |v: usize| !graph.waits.iter().any(|wait| waits(wait, v));
            let mut best: Option<(u32, f32, usize)> = None;
            for (i, v) in left.iter().enumerate() {
                let score = noise[*v] * graph.score(*v);
                let part = match by_part && graph.fill[*v] > 0 {
                    true => graph.part[*v],
                    false => 0,
                };
                if best.is_none_or(|(p, least, _)| (part, score) < (p, least)) && free(*v) {
                    best = Some((part, score, i));
                }
            }
            let Some((.., place)) = best else { break };
            let v = left.remove(place);
            order.elements.push(v);
            order.cost += f64::from(graph.size[v].exp2());
            graph.remove(v);
        }
        order
    }

    /// The entries of all tables that each element takes part in, in the order
    /// without noise.
    pub fn burdens(&self) -> Vec<f64> {
        let mut burdens = vec![0.0; self.present.len()];
        let mut graph = self.clone();
        for v in self.order(None, self.has_parts()).elements {
            let size = f64::from(graph.size[v].exp2());
            for u in bits(graph.row(v)).chain([v]) {
                burdens[u] += size;
            }
            graph.remove(v);
        }
        burdens
    }

    /// Ties all neighbours of `v` to each other and takes it out.
    fn remove(&mut self, v: usize) {
        self.present[v] = false;
        let around = self.row(v).to_vec();
        for a in bits(&around) {
            for (i, word) in around.iter().enumerate() {
                let mut missing = word & !self.rows[a * self.words + i];
                if a / 64 == i {
                    missing &= !(1 << (a % 64));
                }
                while missing != 0 {
                    let b = i * 64 + missing.trailing_zeros() as usize;
                    missing &= missing - 1;
                    self.add(a, b);
                }
            }
        }
        for u in bits(&around) {
            self.fill[u] -= without(self.row(u), &around) as i32 - 1;
            self.size[u] -= self.weight[v];
            self.rows[u * self.words + v / 64] &= !(1 << (v % 64));
        }
    }

    fn add(&mut self, a: usize, b: usize) {
        for i in 0..self.words {
            let (ra, rb) = (self.rows[a * self.words + i], self.rows[b * self.words + i]);
            self.fill[a] += (ra & !rb).count_ones() as i32;
            self.fill[b] += (rb & !ra).count_ones() as i32;
            let mut both = ra & rb;
            while both != 0 {
                self.fill[i * 64 + both.trailing_zeros() as usize] -= 1;
                both &= both - 1;
            }
        }
        self.size[a] += self.weight[b];
        self.size[b] += self.weight[a];
        self.tie(a, b);
    }
}

/// How many bits of `a` are not in `b`.
fn without(a: &[u64], b: &[u64]) -> u32 {
    a.iter().zip(b).map(|(a, b)| (a & !b).count_ones()).sum()
}

fn bits(row: &[u64]) -> impl Iterator<Item = usize> + '_ {
    row.iter().enumerate().flat_map(|(i, word)| {
        let mut word = *word;
        std::iter::from_fn(move || {
            (word != 0).then(|| {
                let bit = word.trailing_zeros() as usize;
                word &= word - 1;
                i * 64 + bit
            })
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Counts kept up to date agree with counts made anew at every step.
    #[test]
    fn counts_stay_true_while_elements_go() {
        let mut dice = Dice::new(3);
        let n = 70;
        let mut graph = Graph::new(&vec![2; n]);
        for _ in 0..200 {
            let (a, b) = (dice.unit() * n as f64, dice.unit() * n as f64);
            graph.tie(a as usize, b as usize);
        }
        let mut graph = graph.ready();
        for v in 0..40 {
            graph.remove(v);
            let anew = Graph {
                size: graph.weight.clone(),
                ..graph.clone()
            }
            .ready();
            for u in v + 1..n {
                assert_eq!(graph.fill[u], anew.fill[u], "{u} after {v}");
                assert_eq!(graph.size[u], anew.size[u], "{u} after {v}");
            }
        }
    }
}
