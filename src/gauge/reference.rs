//! What a sound cylinder of this engine would read on this gauge today: the
//! expected band and the sister cylinders' own figures weighed together.
//!
//! Neither alone will do. The band does not know this gauge and this cranking;
//! the sisters may all be worn alike. So every level that a sound cylinder
//! could read is weighed: by the band, and by how well it accounts for the
//! sisters, each of which is sound, low or high, while with a certain chance
//! they are all low together. The weights are judgement.

/// Scatter between sound cylinders of one engine, as a share.
const SCATTER: f64 = 0.04;
/// Chance that a sister is sound, low, high.
const SISTER: [f64; 3] = [0.80, 0.17, 0.03];
/// Chance that wear or the measurement lowers all cylinders alike.
const ALIKE: f64 = 0.25;
/// How low they may then all be.
const ALIKE_LEAST: f64 = 0.4;
const STEPS: usize = 240;

/// A figure with its standard deviation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// The figure.
    pub value: f64,
    /// Its standard deviation.
    pub deviation: f64,
}

/// What a sound cylinder would read: from the band (mean and deviation, if
/// there is one) and the sister cylinders' figures, in any one unit. `None`
/// when there is neither.
///
/// ```
/// use sootsayer::gauge::reference::{Estimate, reference};
/// let band = Estimate { value: 165.0, deviation: 15.0 };
/// // Three sisters that agree, one bad: the good ones set the level.
/// let level = reference(Some(band), &[150.0, 148.0, 151.0, 95.0]).unwrap();
/// assert!((level.value - 150.0).abs() < 5.0);
/// // All alike and far below the band: they do not vouch for each other.
/// let level = reference(Some(band), &[100.0, 98.0, 101.0]).unwrap();
/// assert!(level.value > 125.0);
/// ```
pub fn reference(band: Option<Estimate>, sisters: &[f64]) -> Option<Estimate> {
    let best = sisters.iter().copied().fold(0.0, f64::max);
    let (low, high) = match band {
        Some(band) => (
            (band.value - 5.0 * band.deviation)
                .max(band.value * 0.2)
                .min(best.max(band.value * 0.2)),
            (band.value + 5.0 * band.deviation).max(best * 1.2),
        ),
        None if best > 0.0 => (best * 0.5, best / ALIKE_LEAST * 1.1),
        None => return None,
    };
    let step = (high / low).ln() / STEPS as f64;
    let levels: Vec<f64> = (0..=STEPS).map(|i| low * (step * i as f64).exp()).collect();
    let accounts: Vec<f64> = levels.iter().map(|l| accounted(*l, sisters)).collect();
    // All low together: the sisters' level is a share of the sound one, evenly likely down to the least.
    let reach = ((1.0 / ALIKE_LEAST).ln() / step).floor() as usize;
    let mut weights = Vec::with_capacity(levels.len());
    for (i, level) in levels.iter().enumerate() {
        let from = i.saturating_sub(reach);
        let lowered: f64 = (from..=i)
            .map(|j| accounts[j] * levels[j] / level * step / (1.0 - ALIKE_LEAST))
            .sum();
        let prior = match band {
            Some(band) => (-0.5 * ((level - band.value) / band.deviation).powi(2)).exp() * level,
            None => 1.0,
        };
        weights.push(prior * ((1.0 - ALIKE) * accounts[i] + ALIKE * lowered));
    }
    moments(&levels, &weights)
}

/// How well a sound level accounts for the sisters' figures.
fn accounted(level: f64, sisters: &[f64]) -> f64 {
    let spread = level * SCATTER;
    sisters
        .iter()
        .map(|figure| {
            let away = (figure - level) / spread;
            let sound = (-0.5 * away * away).exp() / (spread * (2.0 * std::f64::consts::PI).sqrt());
            let low = if *figure < level { 1.0 / level } else { 0.0 };
            let high = if *figure > level {
                1.0 / (0.5 * level)
            } else {
                0.0
            };
            let high = if *figure < 1.5 * level {
                high
            } else {
                1e-6 / level
            };
            SISTER[0] * sound + SISTER[1] * low + SISTER[2] * high
        })
        .product()
}

fn moments(levels: &[f64], weights: &[f64]) -> Option<Estimate> {
    let total: f64 = weights.iter().sum();
    if total <= 0.0 || !total.is_finite() {
        return None;
    }
    let value = levels.iter().zip(weights).map(|(l, w)| l * w).sum::<f64>() / total;
    let spread = levels
        .iter()
        .zip(weights)
        .map(|(l, w)| (l - value).powi(2) * w)
        .sum::<f64>()
        / total;
    Some(Estimate {
        value,
        deviation: spread.sqrt().max(value * SCATTER / 2.0),
    })
}
