//! The packages that could be best if more were known: the choices, among
//! which each cause with blame has its own repair.
//!
//! What each costs in the end is a sum over the stakes with blame, linear in
//! their probabilities, so that which is best under any beliefs is a matter of
//! a few hundred multiplications: the loss that the worth of a test is reckoned
//! with ([`super::worth`]), and what the choice turns on ([`super::flip`]).

use super::desk::Desk;
use super::package::Package;
use super::search::Search;
use crate::diagnose::evidence;
use crate::network::{Error, Solved, Var};
use std::collections::BTreeSet;

/// A package that could be best.
#[derive(Debug, Clone, PartialEq)]
pub struct Rival {
    /// The repairs.
    pub package: Package,
    /// Mean cost with tax, smallest units.
    pub mean: f64,
    /// For each stake the chance that it is mended.
    pub mended: Vec<f64>,
}

/// The packages that could be best, and the one that is chosen as things stand.
pub struct Rivals<'d> {
    /// The desk.
    pub desk: &'d Desk<'d>,
    /// The packages, in the order of their repairs.
    pub all: Vec<Rival>,
    /// The one chosen.
    pub chosen: usize,
    /// The stakes with blame, by index.
    pub counted: Vec<usize>,
}

impl<'d> Rivals<'d> {
    /// Gathers the choices given; `chosen` may be one of those.
    pub fn of(search: &Search<'d>, choices: &[Package], chosen: &Package) -> Self {
        let desk = search.desk;
        let counted: Vec<usize> = (0..desk.stakes.len())
            .filter(|&i| desk.stakes[i].blamed())
            .collect();
        let mut packages: BTreeSet<Package> = choices.iter().cloned().collect();
        packages.insert(chosen.clone());
        let priced = |package: Package| {
            let priced = search.priced(&package);
            Rival {
                mean: priced.mean,
                mended: priced.mended.clone(),
                package,
            }
        };
        let all: Vec<Rival> = packages.into_iter().map(priced).collect();
        let chosen = all.iter().position(|r| r.package == *chosen);
        Rivals {
            desk,
            all,
            chosen: chosen.unwrap_or(0),
            counted,
        }
    }

    /// The variables of the stakes with blame.
    pub fn vars(&self) -> Vec<Var> {
        let stakes = self.counted.iter().map(|&i| &self.desk.stakes[i]);
        stakes.map(|s| s.var).collect()
    }

    /// Beliefs of all stakes were this further known of a variable.
    ///
    /// # Errors
    /// When an exact answer is out of reach, or it cannot be.
    pub fn given(&self, var: Var, likelihood: &[f64]) -> Result<Vec<f64>, Error> {
        let d = self.desk.d;
        let mut seen = evidence(d.unrolled, d.observations);
        seen.set(var, likelihood);
        let vars = self.vars();
        let solved = Solved::keeping(&d.unrolled.network, &seen, &vars)?;
        Ok(self.beliefs(&solved.present(&vars)?))
    }

    /// Beliefs of all stakes from those of the stakes with blame; the others as things stand.
    pub fn beliefs(&self, of_counted: &[f64]) -> Vec<f64> {
        let mut present = self.desk.present();
        for (&i, p) in self.counted.iter().zip(of_counted) {
            present[i] = *p;
        }
        present
    }

    /// What one costs in the end under such beliefs.
    pub fn total(&self, rival: usize, present: &[f64]) -> f64 {
        let rival = &self.all[rival];
        rival.mean + self.desk.left_if(&rival.mended, present)
    }

    /// The best under such beliefs and what it costs in the end: of those that
    /// leave no danger, or the one chosen now, so that to know more never costs.
    pub fn best(&self, present: &[f64]) -> (usize, f64) {
        let mut best = (self.chosen, self.total(self.chosen, present));
        for i in 0..self.all.len() {
            let total = self.total(i, present);
            if total < best.1 && self.desk.dangers_left(&self.all[i].mended, present) == 0 {
                best = (i, total);
            }
        }
        best
    }
}
