//! What the choice turns on: the labour rate, the price of a part and the
//! probability of the leading cause at which another package becomes best.
//!
//! Every total is linear in each of these (a comeback is the cheapest repair at
//! the shop's own prices, which is kept as it is), so two prices give the line
//! and the crossing is exact for the packages compared. For the probability the
//! others move with it as the network says: beliefs given the cause there and
//! not there are mixed (Jeffrey's rule).

use super::desk::Desk;
use super::rivals::Rivals;
use crate::job::pricing::Pricing;
use crate::network::Error;
use crate::rules::file::CauseSort;
use std::collections::BTreeSet;

/// Prices are looked at from this share of themselves to its inverse.
pub const LEAST_SHARE: f64 = 0.5;
/// The same, at the other end.
pub const MOST_SHARE: f64 = 2.0;

/// The probability is moved only where a solution takes fewer multiplications.
const AFFORDED: f64 = 5e6;

/// What is moved.
#[derive(Debug, Clone, PartialEq)]
pub enum Lever {
    /// The labour rate, smallest units for an hour.
    Labour,
    /// The likely price of one of a part, smallest units.
    Part(String),
    /// The probability of a cause: index of its stake.
    Probability(usize),
}

/// How far the choice stands when one thing is moved.
#[derive(Debug, Clone, PartialEq)]
pub struct Flip {
    /// What is moved.
    pub lever: Lever,
    /// Where it stands.
    pub now: f64,
    /// How far it was moved: from, to.
    pub within: (f64, f64),
    /// Below this another package is best: the value and the rival.
    pub below: Option<(f64, usize)>,
    /// Above this another package is best.
    pub above: Option<(f64, usize)>,
}

impl Flip {
    /// Whether it changes the choice at all.
    pub fn turns(&self) -> bool {
        self.below.is_some() || self.above.is_some()
    }

    /// How near the nearest turn is, as a ratio of at least 1.
    fn near(&self) -> f64 {
        let ratio = |at: &Option<(f64, usize)>| {
            at.map_or(f64::INFINITY, |(x, _)| (x / self.now).max(self.now / x))
        };
        ratio(&self.below).min(ratio(&self.above))
    }
}

/// Labour, the part that turns it soonest, and the leading cause.
///
/// # Errors
/// When an exact answer is out of reach.
pub fn flips(rivals: &Rivals) -> Result<Vec<Flip>, Error> {
    let desk = rivals.desk;
    let pricing = desk.pricer.pricing;
    let totals = totals(rivals, desk);
    let mut flips = vec![];
    if pricing.currency.is_money() {
        let mut dearer = pricing.clone();
        dearer.labour *= 2;
        flips.push(priced(
            rivals,
            Lever::Labour,
            pricing.labour as f64,
            &totals,
            &dearer,
        ));
        let parts = parts(rivals, &totals);
        let parts = parts.iter().filter_map(|part| {
            let mut dearer = pricing.clone();
            let prices = dearer.parts.get_mut(part)?;
            prices.iter_mut().for_each(|price| *price *= 2);
            let now = pricing.parts[part][1] as f64;
            Some(priced(
                rivals,
                Lever::Part(part.clone()),
                now,
                &totals,
                &dearer,
            ))
        });
        let nearest = parts
            .filter(Flip::turns)
            .min_by(|a, b| a.near().total_cmp(&b.near()));
        flips.extend(nearest);
    }
    if desk.d.solved.work() < AFFORDED {
        flips.extend(probability(rivals)?);
    }
    Ok(flips)
}

/// Rivals whose parts are looked at, beside the chosen.
const NEAR: usize = 4;

/// Parts with a price in the chosen package or in those next best to it.
fn parts(rivals: &Rivals, totals: &[f64]) -> BTreeSet<String> {
    let pricer = &rivals.desk.pricer;
    let mut near: Vec<usize> = (0..rivals.all.len()).collect();
    near.sort_by(|a, b| totals[*a].total_cmp(&totals[*b]).then(a.cmp(b)));
    near.truncate(NEAR);
    near.push(rivals.chosen);
    let near = near.into_iter().map(|i| &rivals.all[i]);
    let lines = near.flat_map(|r| pricer.lines(&r.package));
    let parts = lines.filter(|line| !line.is_labour() && line.priced);
    parts.map(|line| line.id).collect()
}

/// What each rival costs in the end on a desk with other prices.
fn totals(rivals: &Rivals, desk: &Desk) -> Vec<f64> {
    let of =
        |rival: &super::rivals::Rival| desk.pricer.mean(&rival.package) + desk.left(&rival.mended);
    rivals.all.iter().map(of).collect()
}

/// The flip of a price, from the totals now and with it doubled.
fn priced(rivals: &Rivals, lever: Lever, now: f64, totals: &[f64], dearer: &Pricing) -> Flip {
    let doubled = self::totals(rivals, &rivals.desk.repriced(dearer));
    let lines: Vec<(f64, f64)> = (totals.iter().zip(&doubled))
        .map(|(one, two)| (2.0 * one - two, two - one))
        .collect();
    let present = rivals.desk.present();
    let allowed = |rival: usize, _: f64| {
        rivals
            .desk
            .dangers_left(&rivals.all[rival].mended, &present)
            == 0
    };
    let ((least, most), (below, above)) = (
        (LEAST_SHARE, MOST_SHARE),
        crossings(
            &lines,
            rivals.chosen,
            (LEAST_SHARE, 1.0, MOST_SHARE),
            allowed,
        ),
    );
    Flip {
        lever,
        now,
        within: (least * now, most * now),
        below: below.map(|(x, rival)| (x * now, rival)),
        above: above.map(|(x, rival)| (x * now, rival)),
    }
}

/// The flip of the probability of the most probable fault in question.
fn probability(rivals: &Rivals) -> Result<Option<Flip>, Error> {
    let desk = rivals.desk;
    let faults = rivals.counted.iter().copied();
    let faults = faults.filter(|&i| desk.stakes[i].sort == CauseSort::Fault);
    let more = |a: usize, b: usize| desk.stakes[b].present > desk.stakes[a].present;
    let Some(leading) = faults.reduce(|a, b| if more(a, b) { b } else { a }) else {
        return Ok(None);
    };
    let stake = &desk.stakes[leading];
    if stake.present <= 0.0 || stake.present >= 1.0 {
        return Ok(None);
    }
    let there = rivals.given(stake.var, &[0.0, 1.0])?;
    let not = rivals.given(stake.var, &[1.0, 0.0])?;
    let lines: Vec<(f64, f64)> = (0..rivals.all.len())
        .map(|rival| {
            let at_none = rivals.total(rival, &not);
            (at_none, rivals.total(rival, &there) - at_none)
        })
        .collect();
    let allowed = |rival: usize, x: f64| {
        let mixed: Vec<f64> = (there.iter().zip(&not))
            .map(|(a, b)| x * a + (1.0 - x) * b)
            .collect();
        desk.dangers_left(&rivals.all[rival].mended, &mixed) == 0
    };
    let (below, above) = crossings(&lines, rivals.chosen, (0.0, stake.present, 1.0), allowed);
    Ok(Some(Flip {
        lever: Lever::Probability(leading),
        now: stake.present,
        within: (0.0, 1.0),
        below,
        above,
    }))
}

type Crossing = Option<(f64, usize)>;

/// Where, going down and up from the middle, another line first lies below the chosen.
fn crossings(
    lines: &[(f64, f64)],
    chosen: usize,
    (least, now, most): (f64, f64, f64),
    allowed: impl Fn(usize, f64) -> bool,
) -> (Crossing, Crossing) {
    let (mut below, mut above): (Crossing, Crossing) = (None, None);
    for (rival, (start, slope)) in lines.iter().enumerate() {
        let steeper = lines[chosen].1 - slope;
        let at = (start - lines[chosen].0) / steeper;
        if rival == chosen || steeper.abs() < 1e-9 || !allowed(rival, at) {
            continue;
        }
        if steeper > 0.0 && (now..=most).contains(&at) && above.is_none_or(|(x, _)| at < x) {
            above = Some((at, rival));
        }
        if steeper < 0.0 && (least..=now).contains(&at) && below.is_none_or(|(x, _)| at > x) {
            below = Some((at, rival));
        }
    }
    (below, above)
}
