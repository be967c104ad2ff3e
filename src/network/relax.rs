//! Variational inference for evidence that is too large for an exact answer
//! (T. Jaakkola and M. Jordan, Variational probabilistic inference and the
//! QMR-DT network, JAIR 10, 1999).
//!
//! The likelihood of an observed gate is a function of the sum of what its
//! present causes put in. Where it is too much to carry along, a product over
//! the causes stands in its place: one that touches it where the causes are
//! believed to be gives the answer shown; one that is nowhere below it and one
//! that is nowhere above it give two sides that are proved to hold the truth.

use super::build::{Gate, Network, Var};
use super::error::Error;
use super::evidence::{Evidence, Relaxed};
use super::ready::{Posterior, Ready, Refusal};
use super::solved::{AS_IT_IS, Solved};

/// Rounds of bringing the products to touch where the causes are believed to be.
const ROUNDS: usize = 4;

/// Where a product touches at first.
const AT_FIRST: f64 = 0.7;

/// What one cause may put in at most; a cause that always shows puts in more.
const MOST_PUT_IN: f64 = 30.0;

/// Logarithms of the probability of the evidence with each variable's state,
/// from below and from above.
#[derive(Debug, Clone)]
pub(super) struct Bounds {
    lower: Side,
    upper: Side,
}

#[derive(Debug, Clone)]
struct Side {
    ready: Ready,
    posterior: Posterior,
}

/// Relaxes the observations that weigh most until the rest can be solved exactly.
pub(super) fn until_it_fits(
    net: &Network,
    evidence: &mut Evidence,
    wanted: &[Var],
) -> Result<Ready, Refusal> {
    loop {
        match Ready::of(net, evidence, wanted) {
            Err(Refusal::TooLarge(_, Some(var))) => {
                let product = Observed::of(net, evidence, var).map(|o| o.touching(AT_FIRST));
                evidence.relax(var, product.ok_or(Refusal::Impossible)?);
            }
            answer => return answer,
        }
    }
}

/// Relaxes these observations.
pub(super) fn relax(net: &Network, evidence: &mut Evidence, these: &[Var]) {
    for var in these {
        let product = Observed::of(net, evidence, *var).map(|o| o.touching(AT_FIRST));
        if let Some(product) = product {
            evidence.relax(*var, product);
        }
    }
}

impl Solved<'_> {
    /// Brings the products to touch where the causes are believed to be.
    pub(super) fn settle(&mut self) -> Result<(), Refusal> {
        let relaxed: Vec<Var> = self.evidence.all_relaxed().collect();
        if relaxed.is_empty() {
            return Ok(());
        }
        for _ in 0..ROUNDS {
            let mut evidence = self.evidence.clone();
            for var in &relaxed {
                let observed = Observed::of(self.net, &self.evidence, *var);
                let now = self.evidence.relaxed(*var).map(|product| product.at);
                if let (Some(observed), Some(now)) = (observed, now) {
                    let believed = observed.expected(&|p| self.presence(p));
                    evidence.relax(*var, observed.touching((now * believed).sqrt()));
                }
            }
            let ready = Ready::of(self.net, &evidence, &self.wanted)?;
            *self = Solved::of(self.net, evidence, &self.wanted, ready)?;
        }
        Ok(())
    }

    /// Both sides of the answer, worked out when first asked for.
    fn bounds(&self) -> Option<&Bounds> {
        let relaxed: Vec<Var> = self.evidence.all_relaxed().collect();
        let side = |above: bool| -> Result<Side, Refusal> {
            let mut evidence = self.evidence.clone();
            for var in &relaxed {
                if let Some(observed) = Observed::of(self.net, &self.evidence, *var) {
                    evidence.relax(*var, observed.bound(above, &|p| self.presence(p)));
                }
            }
            let ready = Ready::of(self.net, &evidence, &self.wanted)?;
            let posterior = ready.posterior(AS_IT_IS)?;
            Ok(Side { ready, posterior })
        };
        let both = || {
            let (lower, upper) = (side(false).ok()?, side(true).ok()?);
            Some(Bounds { lower, upper })
        };
        self.bounds.get_or_init(both).as_ref()
    }

    fn presence(&self, var: Var) -> f64 {
        self.known(var).map_or(0.0, |p| p[1..].iter().sum())
    }

    /// The observations that a product stands for; none when the answer is exact.
    pub fn relaxed(&self) -> Vec<Var> {
        self.evidence.all_relaxed().collect()
    }

    /// Least and largest probability that a variable is present (not in state
    /// 0) as proved; the same number twice where the answer is exact.
    ///
    /// # Errors
    /// As [`Solved::marginal`].
    pub fn interval(&self, var: Var) -> Result<(f64, f64), Error> {
        let p: f64 = self.marginal(var)?[1..].iter().sum();
        if self.relaxed().is_empty() {
            return Ok((p, p));
        }
        let Some(bounds) = self.bounds() else {
            return Ok((0.0, 1.0));
        };
        let [lower, upper] = [&bounds.lower, &bounds.upper].map(|side| side.joint(self.net, var));
        let [Some((l0, l1)), Some((u0, u1))] = [lower, upper] else {
            return Ok((0.0, 1.0));
        };
        let share = |yes: f64, no: f64| 1.0 / (1.0 + (no - yes).exp());
        let (low, high) = (share(l1, u0), share(u1, l0));
        Ok((low.min(p).max(0.0), high.max(p).min(1.0)))
    }
}

impl Side {
    /// Logarithms of the evidence with the variable absent, and present.
    fn joint(&self, net: &Network, var: Var) -> Option<(f64, f64)> {
        let p = self.posterior.marginal(&self.ready, net, var)?;
        let (ln, present) = (self.posterior.scale.ln(), p[1..].iter().sum::<f64>());
        Some((ln + p[0].ln(), ln + present.ln()))
    }
}

/// An observed gate.
struct Observed<'a> {
    likelihood: &'a [f64],
    leak: &'a [f64],
    parents: &'a [Var],
    grades: &'a [f64],
}

/// The likelihood seen as two levels: below a grade, and from it on.
struct Levels {
    below: f64,
    from: f64,
    grade: usize,
}

impl<'a> Observed<'a> {
    fn of(net: &'a Network, evidence: &'a Evidence, var: Var) -> Option<Self> {
        match net.gate(var) {
            Gate::Max {
                leak,
                parents,
                grades,
            } => Some(Observed {
                likelihood: evidence.get(var)?,
                leak,
                parents,
                grades,
            }),
            Gate::Table { .. } => None,
        }
    }

    fn rows(&self) -> impl Iterator<Item = &[f64]> {
        self.grades.chunks_exact(self.leak.len())
    }

    /// The product that touches the likelihood where so much is put in.
    fn touching(&self, at: f64) -> Relaxed {
        let levels = self.levels(true);
        let (start, each) = self.put_in(&levels);
        levels.tangent(at.max(start), start, &each)
    }

    /// What is put in on the whole with the causes as likely as believed.
    fn expected(&self, presence: &dyn Fn(Var) -> f64) -> f64 {
        let (start, each) = self.put_in(&self.levels(true));
        let by = each.iter().zip(self.parents);
        start + by.map(|(x, parent)| x * presence(*parent)).sum::<f64>()
    }

    /// What the leak puts in, and what each cause does.
    fn put_in(&self, levels: &Levels) -> (f64, Vec<f64>) {
        let of = |row: &[f64]| {
            let below: f64 = row[..levels.grade].iter().sum();
            (-below.max(1e-300).ln()).clamp(0.0, MOST_PUT_IN)
        };
        (of(self.leak), self.rows().map(of).collect())
    }

    /// A product nowhere below the likelihood, or nowhere above it.
    fn bound(&self, above: bool, presence: &dyn Fn(Var) -> f64) -> Relaxed {
        let levels = self.levels(above);
        let (start, each) = self.put_in(&levels);
        let presence: Vec<f64> = self.parents.iter().map(|p| presence(*p)).collect();
        let expected: Vec<f64> = each.iter().zip(&presence).map(|(x, p)| x * p).collect();
        let total: f64 = expected.iter().sum();
        let ln = |x: f64| levels.ln_at(x);
        // The logarithm is concave where the higher level is the likelier, else convex.
        if above == (levels.from >= levels.below) {
            return levels.tangent(start + total, start, &each);
        }
        // Jensen's inequality: each cause has its share of the whole argument.
        let shares = expected.iter().zip(&each);
        let floor = 1e-3 * total.max(1e-6) / each.len().max(1) as f64;
        let shares: Vec<f64> = shares
            .map(|(e, x)| if *x > 0.0 { e + floor } else { 0.0 })
            .collect();
        let whole: f64 = shares.iter().sum();
        let factor = |(x, share): (&f64, &f64)| match *share > 0.0 {
            true => {
                let share = share / whole;
                (share * (ln(start + x / share) - ln(start))).exp()
            }
            false => 1.0,
        };
        Relaxed {
            at: start + total,
            constant: ln(start).exp(),
            factors: each.iter().zip(&shares).map(factor).collect(),
        }
    }

    /// The two levels that lie nowhere below (or nowhere above) the likelihood
    /// and leave the least between.
    fn levels(&self, above: bool) -> Levels {
        let pick = |part: &[f64]| match above {
            true => part.iter().copied().fold(0.0, f64::max),
            false => part.iter().copied().fold(f64::INFINITY, f64::min),
        };
        let of = |grade: usize| {
            let (low, high) = self.likelihood.split_at(grade);
            let (below, from) = (pick(low), pick(high));
            let off = low.iter().map(|l| (l - below).abs()).sum::<f64>()
                + high.iter().map(|l| (l - from).abs()).sum::<f64>();
            (off, Levels { below, from, grade })
        };
        let all = (1..self.likelihood.len()).map(of);
        let best = all.min_by(|a, b| a.0.total_cmp(&b.0));
        best.map_or(
            Levels {
                below: 1.0,
                from: 1.0,
                grade: 1,
            },
            |(_, levels)| levels,
        )
    }
}

impl Levels {
    /// The product that touches at `at`.
    fn tangent(&self, at: f64, start: f64, each: &[f64]) -> Relaxed {
        let slope = self.slope_at(at);
        Relaxed {
            at,
            constant: (self.ln_at(at) + slope * (start - at)).exp(),
            factors: each.iter().map(|x| (slope * x).exp()).collect(),
        }
    }

    /// Logarithm of the likelihood when so much was put in.
    fn ln_at(&self, x: f64) -> f64 {
        let still = (-x).exp();
        (self.below * still + self.from * (1.0 - still))
            .max(1e-300)
            .ln()
    }

    fn slope_at(&self, x: f64) -> f64 {
        let still = (-x).exp();
        (self.from - self.below) * still
            / (self.below * still + self.from * (1.0 - still)).max(1e-300)
    }
}
