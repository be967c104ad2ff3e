//! Bringing a table to another order of dimensions.
//!
//! Where an entry comes from is a sum of one offset for each dimension. The
//! sums are kept for the near dimensions and for the far ones apart, so that
//! they take about the root of the table's memory.

/// Entries of the near dimensions together, at least, if there are so many.
const NEAR: usize = 64;

/// Where each entry of a table is found in another table.
#[derive(Debug, Clone)]
pub(super) struct Gather {
    /// Offsets of the near dimensions, the first fastest.
    near: Vec<u32>,
    /// Offsets of the far ones.
    far: Vec<u32>,
    /// The near entries lie side by side.
    straight: bool,
}

impl Gather {
    /// From the offset of each state, dimension by dimension, the fastest first.
    pub fn of(dims: impl IntoIterator<Item = Vec<u32>>) -> Self {
        let (mut near, mut far) = (vec![0], vec![0]);
        for offsets in dims {
            let sums: &mut Vec<u32> = if near.len() < NEAR {
                &mut near
            } else {
                &mut far
            };
            *sums = offsets
                .iter()
                .flat_map(|by| sums.iter().map(move |sum| sum + by))
                .collect();
        }
        Gather {
            straight: near.iter().enumerate().all(|(i, at)| i as u32 == *at),
            near,
            far,
        }
    }

    /// Where entry `i` is found.
    pub fn at(&self, i: usize) -> usize {
        let n = self.near.len();
        (self.near[i % n] + self.far[i / n]) as usize
    }

    /// `to[i] = from[where i is found]`.
    pub fn pick(&self, from: &[f64], to: &mut [f64]) {
        let blocks = to.chunks_exact_mut(self.near.len());
        for (to, far) in blocks.zip(&self.far) {
            let from = &from[*far as usize..];
            if self.straight {
                to.copy_from_slice(&from[..to.len()]);
                continue;
            }
            for (t, near) in to.iter_mut().zip(&self.near) {
                *t = from[*near as usize];
            }
        }
    }

    /// The transpose of [`Gather::pick`]: all of `to` is written anew.
    pub fn unpick(&self, from: &[f64], to: &mut [f64]) {
        to.fill(0.0);
        let blocks = from.chunks_exact(self.near.len());
        for (from, far) in blocks.zip(&self.far) {
            let to = &mut to[*far as usize..];
            for (f, near) in from.iter().zip(&self.near) {
                to[*near as usize] += f;
            }
        }
    }
}

/// As [`Gather::pick`]; without one the order is the same.
pub(super) fn packed(from: &[f64], to: &mut [f64], gather: &Option<Gather>) {
    match gather {
        Some(gather) => gather.pick(from, to),
        None => to.copy_from_slice(from),
    }
}

/// As [`Gather::unpick`]; without one the order is the same.
pub(super) fn unpacked(from: &[f64], to: &mut [f64], gather: &Option<Gather>) {
    match gather {
        Some(gather) => gather.unpick(from, to),
        None => to.copy_from_slice(from),
    }
}
