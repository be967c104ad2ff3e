//! What a variable adds to the max dimensions that it acts on, forward and back.

use super::kernel;
use super::plans::Hit;
use super::run::{Marginals, Numbers};

/// What a variable in `state` adds to a table of the first `len` numbers.
pub(super) fn forward_hits(
    buf: &mut [f64],
    len: usize,
    hits: &[Hit],
    old: usize,
    numbers: &Numbers,
    state: usize,
) {
    for hit in &hits[..old] {
        let p = numbers.bands(hit.link, hit.states, state);
        kernel::hit(&mut buf[..len], hit.stride, p);
    }
    let mut len = len;
    for hit in &hits[old..] {
        let p = numbers.bands(hit.link, hit.states, state);
        kernel::grow(&mut buf[..len * hit.states], len, p);
        len *= hit.states;
    }
}

/// The transpose of [`forward_hits`].
pub(super) fn back_hits(
    buf: &mut [f64],
    len: usize,
    hits: &[Hit],
    old: usize,
    numbers: &Numbers,
    state: usize,
) {
    let mut whole = buf.len();
    for hit in hits[old..].iter().rev() {
        let p = numbers.bands(hit.link, hit.states, state);
        let base = whole / hit.states;
        kernel::grow_back(&mut buf[..whole], base, p);
        whole = base;
    }
    for hit in hits[..old].iter().rev() {
        let p = numbers.bands(hit.link, hit.states, state);
        kernel::hit_back(&mut buf[..len], hit.stride, p);
    }
}

pub(super) fn fold(
    arena: &mut [f64],
    numbers: &Numbers,
    open: u32,
    links: &[u32],
    at: usize,
    states: usize,
) {
    let leak = numbers.reduced.opens[open as usize].leak;
    arena[at..at + states].copy_from_slice(&numbers.reduced.numbers[leak..leak + states]);
    for (i, link) in links.iter().enumerate() {
        let (link, p) = numbers.link(*link, states);
        let w = &numbers.weights[numbers.reduced.plains[link.plain as usize].at..][..2];
        let (from, to) = arena[at + i * states..][..2 * states].split_at_mut(states);
        let (mut below, mut up_to) = (0.0, 0.0);
        for ((t, f), pk) in to.iter_mut().zip(from.iter()).zip(p) {
            up_to += pk;
            *t = w[0] * f + w[1] * (up_to * f + pk * below);
            below += f;
        }
    }
}

pub(super) fn fold_back(
    arena: &mut [f64],
    numbers: &Numbers,
    links: &[u32],
    at: usize,
    states: usize,
    out: &mut Marginals,
) {
    for (i, link) in links.iter().enumerate().rev() {
        let (link, p) = numbers.link(*link, states);
        let w = &numbers.weights[numbers.reduced.plains[link.plain as usize].at..][..2];
        let (value, above) = arena[at + i * states..][..2 * states].split_at_mut(states);
        let mut up_to: f64 = p.iter().sum();
        let (mut higher, mut present, mut absent) = (0.0, 0.0, 0.0);
        for k in (0..states).rev() {
            if k + 1 < states {
                up_to = p[..=k].iter().sum();
            }
            let hit = up_to * above[k] + higher;
            higher += p[k] * above[k];
            absent += value[k] * above[k];
            present += value[k] * hit;
            value[k] = w[0] * above[k] + w[1] * hit;
        }
        let element = numbers.core.element[link.plain as usize];
        out.read(
            numbers,
            element,
            &mut [w[0] * absent, w[1] * present].into_iter(),
        );
        out.quietly(numbers, element, w[1] * p[0] * absent);
    }
}
