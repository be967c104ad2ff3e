//! In which order to sum variables out: greedy, smallest next table first.

/// Which variables occur together in a factor, as rows of bits.
#[derive(Debug, Clone)]
pub(super) struct Graph {
    words: usize,
    rows: Vec<u64>,
    /// Logarithm (base 2) of the number of states.
    weight: Vec<f32>,
    /// Takes part in the order.
    present: Vec<bool>,
    /// Must wait for this other element.
    after: Vec<Option<usize>>,
}

/// What makes an element the next to go.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Greed {
    /// The smallest table made.
    Size,
    /// The fewest new neighbours made, then the smallest table.
    Fill,
}

impl Graph {
    pub fn new(states: &[usize]) -> Self {
        let words = states.len().div_ceil(64).max(1);
        Graph {
            words,
            rows: vec![0; words * states.len()],
            weight: states.iter().map(|s| (*s as f32).log2()).collect(),
            present: vec![true; states.len()],
            after: vec![None; states.len()],
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

    pub fn wait(&mut self, element: usize, on: usize) {
        self.after[element] = Some(on);
    }

    fn row(&self, v: usize) -> &[u64] {
        &self.rows[v * self.words..(v + 1) * self.words]
    }

    fn neighbours(&self, v: usize) -> impl Iterator<Item = usize> + '_ {
        bits(self.row(v))
    }

    fn size(&self, v: usize) -> f32 {
        self.weight[v] + self.neighbours(v).map(|u| self.weight[u]).sum::<f32>()
    }

    fn fill(&self, v: usize) -> f32 {
        let row = self.row(v);
        self.neighbours(v)
            .map(|u| {
                let theirs = self.row(u);
                let missing: u32 = row
                    .iter()
                    .zip(theirs)
                    .map(|(a, b)| (a & !b).count_ones())
                    .sum();
                (missing - 1) as f32
            })
            .sum::<f32>()
            * 0.5
    }

    fn score(&self, v: usize, greed: Greed) -> f32 {
        match greed {
            Greed::Size => self.size(v),
            Greed::Fill => self.fill(v) + self.size(v) / 256.0,
        }
    }

    /// The whole order; ties go to the lower element.
    pub fn order(mut self, greed: Greed) -> Vec<usize> {
        let mut left: Vec<usize> = (0..self.present.len())
            .filter(|v| self.present[*v])
            .collect();
        let mut score: Vec<f32> = (0..self.present.len())
            .map(|v| {
                if self.present[v] {
                    self.score(v, greed)
                } else {
                    0.0
                }
            })
            .collect();
        let mut order = Vec::with_capacity(left.len());
        while !left.is_empty() {
            let free = |v: usize| self.after[v].is_none_or(|on| !self.present[on]);
            let mut best: Option<usize> = None;
            for (i, v) in left.iter().enumerate() {
                if best.is_none_or(|b| score[*v] < score[left[b]]) && free(*v) {
                    best = Some(i);
                }
            }
            let Some(best) = best else { break };
            let v = left.remove(best);
            self.present[v] = false;
            order.push(v);
            let row = self.row(v).to_vec();
            let around: Vec<usize> = bits(&row).collect();
            for u in &around {
                let theirs = &mut self.rows[u * self.words..(u + 1) * self.words];
                theirs.iter_mut().zip(&row).for_each(|(a, b)| *a |= b);
                theirs[u / 64] &= !(1 << (u % 64));
                theirs[v / 64] &= !(1 << (v % 64));
            }
            for u in &around {
                score[*u] = self.score(*u, greed);
            }
            if greed == Greed::Fill {
                for w in around.iter().flat_map(|u| bits(self.row(*u))) {
                    score[w] = f32::NAN;
                }
                for w in &left {
                    if score[*w].is_nan() {
                        score[*w] = self.score(*w, greed);
                    }
                }
            }
        }
        order
    }
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
