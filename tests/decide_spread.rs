//! Ranges and their sums against formulas and an independent sampler.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;
use rand_distr::{Distribution, Pert as Sampler};
use sootsayer::decide::spread::{Pert, Sum};

fn range(low: f64, likely: f64, high: f64) -> Pert {
    Pert { low, likely, high }
}

/// Moments of the beta-PERT distribution as textbooks give them:
/// mean (a + 4m + b) / 6, variance (mean - a)(b - mean) / 7; and the quantiles
/// of the special case of a uniform-free symmetric range by symmetry.
#[test]
fn points_have_the_moments_of_the_distribution() {
    for r in [
        range(2.0, 3.0, 10.0),
        range(0.0, 0.0, 5.0),
        range(1.0, 6.0, 6.0),
        range(4.0, 5.0, 6.0),
    ] {
        let points = r.points(4000);
        let mean = points.iter().sum::<f64>() / 4000.0;
        let variance = points.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / 4000.0;
        assert!(
            (mean - (r.low + 4.0 * r.likely + r.high) / 6.0).abs() < 1e-3,
            "{r:?} {mean}"
        );
        assert!(
            (variance - r.variance()).abs() < 0.003 * r.variance(),
            "{r:?} {variance}"
        );
        assert!(points.windows(2).all(|w| w[0] <= w[1]));
    }
    let middle = range(4.0, 5.0, 6.0).points(3)[1];
    assert!((middle - 5.0).abs() < 1e-6, "{middle}");
    assert_eq!(range(7.0, 7.0, 7.0).points(2), [7.0, 7.0]);
}

/// Against draws of another library's PERT distribution, added up one by one.
#[test]
fn a_sum_agrees_with_an_independent_sampler() {
    let together = [range(2.0, 4.0, 12.0), range(1.0, 2.0, 3.0)];
    let apart = [
        range(10.0, 20.0, 60.0),
        range(5.0, 5.0, 9.0),
        range(0.0, 8.0, 30.0),
    ];
    let sum = Sum::of(&together, &apart);
    let mut rng = ChaCha8Rng::seed_from_u64(7);
    let sampler = |r: &Pert| Sampler::new(r.low, r.high).with_mode(r.likely).unwrap();
    let mut totals: Vec<f64> = Vec::new();
    let n = 200_000;
    // hours move together: the i-th smallest with the i-th smallest
    let columns: Vec<Vec<f64>> = together
        .iter()
        .map(|r| {
            let mut column: Vec<f64> = sampler(r).sample_iter(&mut rng).take(n).collect();
            column.sort_by(f64::total_cmp);
            column
        })
        .collect();
    for i in 0..n {
        let hours: f64 = columns.iter().map(|c| c[i]).sum();
        let prices: f64 = apart.iter().map(|r| sampler(r).sample(&mut rng)).sum();
        totals.push(hours + prices);
    }
    totals.sort_by(f64::total_cmp);
    for share in [0.1, 0.5, 0.9] {
        let drawn = totals[(share * n as f64) as usize];
        let had = sum.point(share);
        assert!(
            (had - drawn).abs() < 0.006 * drawn,
            "{share}: {had} for {drawn}"
        );
    }
    let mean: f64 = together.iter().chain(&apart).map(Pert::mean).sum();
    assert!((sum.mean() - mean).abs() < 1e-3 * mean);
}

#[test]
fn what_is_certain_stays_certain() {
    let sum = Sum::of(&[range(3.0, 3.0, 3.0)], &[range(4.0, 4.0, 4.0)]);
    assert!(
        [0.1, 0.5, 0.9]
            .iter()
            .all(|s| (sum.point(*s) - 7.0).abs() < 1e-9)
    );
    assert!(Sum::of(&[], &[]).point(0.5).abs() < 1e-9);
}

/// The density of a beta-PERT range on a grid, from its formula.
fn density(r: &Pert, step: f64) -> Vec<f64> {
    let (a, width) = (4.0 * (r.likely - r.low) / (r.high - r.low), r.high - r.low);
    let cells = (width / step).round() as usize;
    let at = |i: usize| (i as f64 + 0.5) * step / width;
    let raw: Vec<f64> = (0..cells)
        .map(|i| at(i).powf(a) * (1.0 - at(i)).powf(4.0 - a))
        .collect();
    let whole: f64 = raw.iter().sum();
    raw.iter().map(|x| x / whole).collect()
}

/// Two prices apart: against the convolution integral on a fine grid, worked out
/// from the densities and nothing of ours.
#[test]
fn a_sum_agrees_with_the_convolution_integral() {
    let (a, b) = (range(10.0, 18.0, 60.0), range(4.0, 20.0, 26.0));
    let step = 0.02;
    let (x, y) = (density(&a, step), density(&b, step));
    let mut sum = vec![0.0; x.len() + y.len()];
    for (i, p) in x.iter().enumerate() {
        for (j, q) in y.iter().enumerate() {
            sum[i + j] += p * q;
        }
    }
    let ours = Sum::of(&[], &[a, b]);
    for share in [0.1, 0.5, 0.9] {
        let mut below = 0.0;
        let cell = sum.iter().position(|p| {
            below += p;
            below >= share
        });
        let expected = a.low + b.low + (cell.unwrap() as f64 + 1.0) * step;
        let had = ours.point(share);
        assert!(
            (had - expected).abs() < 0.01 * expected,
            "{share}: {had} for {expected}"
        );
    }
}
