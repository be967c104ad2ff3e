//! Doubt: how far the ranking leans on numbers that are judgement.
//!
//! Every number of the rules is redrawn in natural log-odds with a spread set
//! by its footing, all together, many times over; each redraw is solved
//! exactly. Seeded, so that it repeats. The spreads are judgement.

use super::{Diagnosis, any, evidence, solved};
use crate::network::{Error, Solved, Var};
use crate::rules::file::{CauseSort, Footing};
use crate::unroll::{Number, Tailored, Unrolled};
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;
use rand_distr::{Distribution, Normal};
use rayon::prelude::*;
use std::collections::BTreeMap;

/// Standard deviation of a number in natural log-odds, by its footing.
///
/// About a factor of 1.2, 1.6 and 2.1 in odds.
pub fn spread(footing: Footing) -> f64 {
    match footing {
        Footing::Published => 0.2,
        Footing::Practice => 0.5,
        Footing::Judgement => 0.75,
    }
}

/// What the redraws say.
#[derive(Debug, Clone, PartialEq)]
pub struct Doubt {
    /// Redraws done.
    pub redraws: usize,
    /// Seed.
    pub seed: u64,
    /// Cause instance, by index into `Unrolled::causes`: 5 % and 95 % points of its probability.
    pub range: Vec<(f64, f64)>,
    /// Kind id: 5 % and 95 % points of "at least one".
    pub kinds: BTreeMap<String, (f64, f64)>,
    /// How often the kind that is ranked first stays first, 0 to 1.
    pub first_stays: f64,
}

/// Redraws and solves `redraws` times; `tick` is called after each.
///
/// # Errors
/// When the network refuses.
pub fn doubt(
    d: &Diagnosis,
    redraws: usize,
    seed: u64,
    tick: &(dyn Fn() + Sync),
) -> Result<Doubt, Error> {
    let first = leader(&kinds(d.unrolled, &d.solved)?);
    let draws: Vec<Draw> = (0..redraws as u64)
        .into_par_iter()
        .map(|i| {
            let mut rng = ChaCha8Rng::seed_from_u64(seed);
            rng.set_stream(i);
            let unrolled = Unrolled::of(redrawn(&d.unrolled.kinds, &mut rng), d.engine)?;
            let solved = solved(&unrolled, &evidence(&unrolled, d.observations))?;
            let draw = Draw::of(&unrolled, &solved)?;
            tick();
            Ok(draw)
        })
        .collect::<Result<_, Error>>()?;
    let stays = draws.iter().filter(|x| x.first == first).count();
    let column = |i: usize| points(draws.iter().map(|x| x.causes[i]).collect());
    let mut kinds: BTreeMap<String, Vec<f64>> = BTreeMap::new();
    for draw in &draws {
        for (id, p) in &draw.kinds {
            kinds.entry(id.clone()).or_default().push(*p);
        }
    }
    Ok(Doubt {
        redraws,
        seed,
        range: (0..d.unrolled.causes.len()).map(column).collect(),
        kinds: kinds.into_iter().map(|(id, ps)| (id, points(ps))).collect(),
        first_stays: stays as f64 / redraws.max(1) as f64,
    })
}

struct Draw {
    causes: Vec<f64>,
    kinds: BTreeMap<String, f64>,
    first: Option<String>,
}

impl Draw {
    fn of(unrolled: &Unrolled, solved: &Solved) -> Result<Self, Error> {
        let vars: Vec<Var> = unrolled.causes.iter().map(|c| c.var).collect();
        let kinds = kinds(unrolled, solved)?;
        Ok(Draw {
            causes: solved.present(&vars)?,
            first: leader(&kinds),
            kinds,
        })
    }
}

fn kinds(unrolled: &Unrolled, solved: &Solved) -> Result<BTreeMap<String, f64>, Error> {
    let mut vars: BTreeMap<&str, Vec<_>> = BTreeMap::new();
    for cause in &unrolled.causes {
        if unrolled.cause_kind(cause).sort != CauseSort::Root {
            vars.entry(&unrolled.cause_kind(cause).id)
                .or_default()
                .push(cause.var);
        }
    }
    vars.into_iter()
        .map(|(id, vars)| Ok((id.to_string(), any(solved, &vars)?)))
        .collect()
}

fn leader(kinds: &BTreeMap<String, f64>) -> Option<String> {
    let best = kinds
        .iter()
        .max_by(|a, b| a.1.total_cmp(b.1).then_with(|| b.0.cmp(a.0)));
    best.map(|(id, _)| id.clone())
}

/// Every number of the kinds moved by one draw.
fn redrawn(kinds: &Tailored, rng: &mut ChaCha8Rng) -> Tailored {
    let mut kinds = kinds.clone();
    for cause in &mut kinds.causes {
        redraw(&mut cause.prior, rng);
        cause
            .roots
            .iter_mut()
            .for_each(|(_, strength)| redraw(strength, rng));
    }
    for finding in &mut kinds.findings {
        redraw(&mut finding.sound.chance, rng);
        finding
            .links
            .iter_mut()
            .for_each(|(_, link)| redraw(&mut link.chance, rng));
    }
    kinds
}

fn redraw(number: &mut Number, rng: &mut ChaCha8Rng) {
    let Ok(normal) = Normal::new(0.0, spread(number.footing)) else {
        return;
    };
    let step: f64 = normal.sample(rng);
    if number.p > 0.0 && number.p < 1.0 {
        let odds = number.p / (1.0 - number.p) * step.exp();
        number.p = odds / (1.0 + odds);
    }
}

/// 5 % and 95 % points of a sample (nearest rank).
fn points(mut sample: Vec<f64>) -> (f64, f64) {
    sample.sort_by(f64::total_cmp);
    let at = |share: f64| {
        let rank = (share * sample.len() as f64).ceil() as usize;
        sample
            .get(rank.clamp(1, sample.len().max(1)) - 1)
            .copied()
            .unwrap_or(f64::NAN)
    };
    (at(0.05), at(0.95))
}
