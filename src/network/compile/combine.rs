//! Multiplying factors together, in an order that keeps the tables small.

use super::super::plans::Table;
use super::super::record::Made;
use super::super::shape::Dims;
use super::{Compiler, Factor, Kind};

impl Compiler<'_> {
    /// Multiplies factors together; sums out the closers, except the late ones,
    /// as soon as nothing left holds them.
    pub(super) fn combine(&mut self, ids: Vec<usize>, closers: &[u16], late: &[u16]) -> Made {
        let mut tables: Vec<Made> = Vec::new();
        let mut implicit = Vec::new();
        for id in ids {
            let Some(factor) = self.factors[id].take() else {
                continue;
            };
            match factor.kind {
                Kind::Made(table, dims) => tables.push((table, dims)),
                Kind::Dense(i) => {
                    let made = self.out.load(i, factor.scope);
                    tables.push(made);
                }
                Kind::Implicit { .. } => implicit.push(factor),
            }
        }
        let by_size =
            |tables: &mut Vec<Made>| tables.sort_by_key(|(t, _)| std::cmp::Reverse(t.len));
        by_size(&mut tables);
        if !implicit.is_empty() || tables.is_empty() {
            let base = tables.pop();
            let made = self.absorb_all(base, implicit);
            tables.push(made);
            by_size(&mut tables);
        }
        let ends = |d: &u16, rest: &[Made]| {
            closers.contains(d)
                && !late.contains(d)
                && !rest.iter().any(|(_, dims)| dims.contains(d))
        };
        let mut acc = tables.pop().unwrap_or((Table { at: 0, len: 0 }, vec![]));
        while let Some(next) = tables.pop() {
            let only = |x: &Made, y: &Made| -> Dims {
                let lone = |d: &&u16| !y.1.contains(d) && ends(d, &tables);
                x.1.iter().filter(lone).copied().collect()
            };
            let (first, second) = (only(&acc, &next), only(&next, &acc));
            let mut next = next;
            for d in first {
                acc = self.out.close(acc, d);
            }
            for d in second {
                next = self.out.close(next, d);
            }
            let closing: Dims = acc
                .1
                .iter()
                .filter(|d| next.1.contains(d) && ends(d, &tables))
                .copied()
                .collect();
            acc = self.out.join(acc, next, &closing);
        }
        for d in acc.1.clone() {
            if ends(&d, &[]) {
                acc = self.out.close(acc, d);
            }
        }
        acc
    }

    /// Absorbs implicit factors, those that add the fewest dimensions first.
    fn absorb_all(&mut self, base: Option<Made>, mut implicit: Vec<Factor>) -> Made {
        let mut made = base;
        while !implicit.is_empty() {
            let have: &[u16] = made.as_ref().map_or(&[], |(_, dims)| dims);
            let new = |f: &Factor| f.scope.iter().filter(|d| !have.contains(d)).count();
            let best = (0..implicit.len()).min_by_key(|i| new(&implicit[*i]));
            let Some(best) = best else { break };
            let factor = implicit.remove(best);
            if let Kind::Implicit {
                plain,
                dense,
                links,
            } = factor.kind
            {
                let from = match made {
                    Some(made) => made,
                    None => self.out.unit(),
                };
                made = Some(self.out.absorb(from, plain, &dense, &links));
            }
        }
        match made {
            Some(made) => made,
            None => self.out.unit(),
        }
    }
}
