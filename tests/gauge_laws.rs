//! Laws that the physics must keep whatever the figures.

use proptest::prelude::*;
use sootsayer::gauge::compression::{Cranking, Working, carried, expected};
use sootsayer::gauge::leakdown::{LeakDown, Tester};
use sootsayer::gauge::normal::likelihood;
use sootsayer::gauge::oil_sample::{Life, at_interval};
use sootsayer::gauge::oil_trend::{Check, Sump, trend};
use sootsayer::gauge::reference::{Estimate, reference};
use sootsayer::gauge::{
    Absolute, Angle, Length, Pressure, Share, Time, Volume, air, coolant, crank, nozzle, units,
    vacuum,
};

fn psi(value: f64) -> Pressure {
    Pressure::of(value, units::PSI)
}

fn tester() -> impl Strategy<Value = Tester> {
    (0.3..3.0f64, 20.0..120.0f64, 60.0..108.0f64).prop_map(|(mm, supply, air)| Tester {
        restrictor: Some(Length::of(mm, units::MM)),
        supply: psi(supply),
        around: Absolute::of(air, units::KPAA),
    })
}

proptest! {
    #[test]
    fn to_another_tester_and_back_is_the_identity(a in tester(), b in tester(), lost in 0.5..97.0f64) {
        let read = LeakDown::of_percent(&a, Share::of(lost, units::PERCENT)).unwrap();
        let there = read.on(&b).unwrap();
        // Where the other tester is driven to its end, nothing is left to come back from.
        prop_assume!(there.get(units::PERCENT) < 99.5 && there.get(units::PERCENT) > 1e-3);
        let back = LeakDown::of_percent(&b, there).unwrap().on(&a).unwrap();
        prop_assert!((back.get(units::PERCENT) - lost).abs() < 1e-5, "{} {}", back.get(units::PERCENT), lost);
    }

    #[test]
    fn a_lower_cylinder_is_a_larger_leak(a in tester(), x in 0.02..0.98f64, y in 0.02..0.98f64) {
        prop_assume!((x - y).abs() > 1e-6);
        let leak = |share: f64| LeakDown::of_gauges(&a, a.supply * share).unwrap().ratio;
        prop_assert_eq!(x < y, leak(x) > leak(y));
    }

    #[test]
    fn a_wider_restrictor_loses_less_to_the_same_leak(a in tester(), lost in 2.0..90.0f64, wider in 1.05..1.6f64) {
        let leak = LeakDown::of_percent(&a, Share::of(lost, units::PERCENT)).unwrap();
        let wide = Tester { restrictor: a.restrictor.map(|d| d * wider), ..a };
        prop_assume!(wide.check().is_ok());
        prop_assert!(leak.on(&wide).unwrap() < leak.lost);
    }

    #[test]
    fn mass_is_kept_between_the_two_holes(a in tester(), ratio in 0.01..20.0f64) {
        let supply = a.around.plus(a.supply);
        let between = nozzle::settled(supply, ratio, a.around);
        prop_assert!(between >= a.around && between <= supply);
        let (into, out) = (nozzle::flow(supply, between), ratio * nozzle::flow(between, a.around));
        prop_assert!((into / out - 1.0).abs() < 1e-6, "{into} {out}");
    }

    #[test]
    fn both_scales_agree(a in tester(), lost in 0.0..99.0f64) {
        let by_percent = LeakDown::of_percent(&a, Share::of(lost, units::PERCENT)).unwrap();
        let by_gauges = LeakDown::of_gauges(&a, a.supply * (1.0 - lost / 100.0)).unwrap();
        prop_assert!((by_percent.ratio - by_gauges.ratio).abs() <= 1e-9 * by_gauges.ratio.max(1.0));
    }

    #[test]
    fn pressure_falls_with_height_and_comes_back(a in -400.0..5900.0f64, b in -400.0..5900.0f64) {
        let at = |h: f64| air::pressure_at(Length::of(h, units::METRE)).unwrap();
        prop_assume!((a - b).abs() > 0.1);
        prop_assert_eq!(a < b, at(a) > at(b));
        prop_assert!((air::altitude_of(at(a)).unwrap().si() - a).abs() < 1e-6);
    }

    #[test]
    fn compression_carried_there_and_back_is_the_same(p in 0.0..500.0f64, a in 60.0..108.0f64, b in 60.0..108.0f64) {
        let (a, b) = (Absolute::of(a, units::KPAA), Absolute::of(b, units::KPAA));
        let back = carried(carried(psi(p), a, b), b, a);
        prop_assert!((back.get(units::PSI) - p).abs() < 1e-9 * p.max(1.0));
    }

    #[test]
    fn expected_compression_rises_with_ratio_and_barometer(
        ratio in 5.0..13.0f64, more in 0.1..2.0f64, closes in 20.0..90.0f64, height in 0.0..4000.0f64,
    ) {
        let engine = |ratio: f64, closes: f64, height: f64| {
            let it = Cranking {
                ratio: Some(ratio),
                closes: Some(Angle::of(closes, units::DEGREE)),
                around: air::pressure_at(Length::of(height, units::METRE)).unwrap(),
                ..Cranking::of(Working::Spark)
            };
            expected(&it).unwrap()
        };
        let plain = engine(ratio, closes, height);
        prop_assert!(engine(ratio + more, closes, height).likely > plain.likely);
        prop_assert!(engine(ratio, closes + 5.0, height).likely < plain.likely);
        prop_assert!(engine(ratio, closes, height + 500.0).likely < plain.likely);
        prop_assert!(plain.low < plain.likely && plain.likely < plain.high);
    }

    #[test]
    fn more_of_the_stroke_is_left_the_earlier_it_shuts(a in 0.0..110.0f64, b in 0.0..110.0f64, rod in 1.1..4.0f64) {
        prop_assume!((a - b).abs() > 1e-6);
        let left = |angle: f64| crank::stroke_left(Angle::of(angle, units::DEGREE), rod).unwrap();
        prop_assert_eq!(a < b, left(a) > left(b));
    }

    #[test]
    fn vacuum_at_sea_level_is_never_less(kpa in 0.0..60.0f64, height in 0.0..4000.0f64) {
        let there = air::pressure_at(Length::of(height, units::METRE)).unwrap();
        let read = Pressure::of(kpa, units::KPA);
        prop_assume!(read.si() <= there.si());
        prop_assert!(vacuum::at_sea_level(read, there).unwrap() >= read);
    }

    #[test]
    fn coolant_loss_does_not_hang_on_how_long_one_watched(share in 0.01..0.6f64, minutes in 0.5..30.0f64) {
        // A leak that takes the same share in each two minutes is told alike however long it is watched.
        let from = Pressure::of(104.0, units::KPA);
        let to = from * (1.0 - share).powf(minutes / 2.0);
        let told = coolant::as_tested(from, to, Time::of(minutes, units::MINUTES)).unwrap();
        prop_assert!((told.get(units::KPA) - 104.0 * share).abs() < 1e-6);
    }

    #[test]
    fn more_metal_or_more_top_up_is_more_wear(ppm in 1.0..500.0f64, hours in 5.0..300.0f64, added in 0.0..8.0f64) {
        let told = |ppm: f64, hours: f64, added: f64| {
            let life = |h: f64| Life::Hours(Time::of(h, units::HOURS));
            let litre = |v: f64| Volume::of(v, units::LITRE);
            at_interval(Share::of(ppm, units::PPM), life(hours), life(100.0), litre(added), litre(4.0)).unwrap()
        };
        let plain = told(ppm, hours, added);
        prop_assert!(told(ppm * 1.1, hours, added) > plain);
        prop_assert!(told(ppm, hours * 1.1, added) < plain);
        prop_assert!(told(ppm, hours, added + 0.5) > plain);
    }

    #[test]
    fn an_even_rate_is_found_whatever_the_intervals(
        rate in 0.01..0.5f64, steps in proptest::collection::vec(1.0..40.0f64, 2..12),
    ) {
        let litre = |v: f64| Volume::of(v, units::LITRE);
        let mut at = 100.0;
        let mut checks = vec![Check { at, level: None, added: litre(0.0), changed: false, fuel: None }];
        for step in steps {
            prop_assume!(rate * step < 24.0);
            at += step;
            checks.push(Check { at, level: None, added: litre(rate * step), changed: false, fuel: None });
        }
        let found = trend(&checks, Sump::of(litre(8.0))).unwrap();
        prop_assert!((found.rate.unwrap().each.get(units::LITRE) - rate).abs() < 1e-9);
        prop_assert!(found.change.is_none());
    }

    #[test]
    fn likelihoods_are_between_nought_and_one_and_move_with_the_figure(
        a in 1.0..40.0f64, step in 1.0..30.0f64, value in 0.0..100.0f64, error in 0.1..10.0f64,
    ) {
        let bounds = [a, a + step];
        let grades = likelihood(&bounds, false, value, error);
        prop_assert!(grades.iter().all(|g| (0.0..=1.0).contains(g)));
        prop_assert!(grades.contains(&1.0));
        let more = likelihood(&bounds, false, value + 0.5, error);
        // The higher figure never speaks more for the lowest grade against the highest.
        prop_assert!(more[2] * grades[0] >= grades[2] * more[0] - 1e-9);
        // The same bounds falling, looked at in a mirror.
        let mirrored = likelihood(&bounds.map(|b| -b), true, -value, error);
        for (x, y) in grades.iter().zip(&mirrored) {
            prop_assert!((x - y).abs() < 1e-12);
        }
    }

    #[test]
    fn the_reference_does_not_hang_on_the_unit(level in 80.0..200.0f64, low in 0.3..0.9f64, factor in 0.01..100.0f64) {
        let sisters = [level, level * 1.02, level * 0.99, level * low];
        let band = Estimate { value: level * 1.05, deviation: level * 0.1 };
        let one = reference(Some(band), &sisters).unwrap();
        let scaled = sisters.map(|s| s * factor);
        let band = Estimate { value: band.value * factor, deviation: band.deviation * factor };
        let other = reference(Some(band), &scaled).unwrap();
        prop_assert!((other.value / factor / one.value - 1.0).abs() < 1e-9);
        prop_assert!((other.deviation / factor / one.deviation - 1.0).abs() < 1e-6);
    }
}
