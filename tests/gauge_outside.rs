//! The gauge physics against published figures; the source stands beside each check.

use sootsayer::gauge::compression::{self, Cranking, Working, carried};
use sootsayer::gauge::leakdown::{LeakDown, Tester};
use sootsayer::gauge::oil_use::{OilUse, Running};
use sootsayer::gauge::{
    Absolute, Angle, Dimension, Figure, Length, Power, Pressure, Turning, Volume, air, crank,
    nozzle, oil_use, units,
};

fn psi(value: f64) -> Pressure {
    Pressure::of(value, units::PSI)
}
fn psia(value: f64) -> Absolute {
    Absolute::of(value, units::PSIA)
}
fn near(ours: f64, printed: f64, within: f64, what: &str) {
    assert!(
        (ours - printed).abs() <= within,
        "{what}: {ours} against {printed}"
    );
}

#[test]
fn choking_is_where_the_tables_have_it() {
    // Aeronautical Engineer's Data Book, table A4.2, Mach 1, gamma 7/5: p/p0 0.5283.
    near(nozzle::critical_ratio(), 0.5283, 5e-5, "critical ratio");
    // Orifice maker's tutorial, "Choked Flow of Gases", p. 38: 80 psig upstream is choked
    // for any outlet below 35.30 psig ((80 + 14.7) 0.528 - 14.7).
    let outlet = psia(94.7 * nozzle::critical_ratio()).over(psia(14.7));
    near(outlet.get(units::PSI), 35.30, 0.05, "choke pressure");
    assert!(nozzle::choked(psia(94.7), psia(14.7 + 35.2)));
    assert!(!nozzle::choked(psia(94.7), psia(14.7 + 35.4)));
    // Same tutorial, "positive" case: 100 psig into the open through 1/32 in is choked.
    assert!(nozzle::choked(psia(114.7), psia(14.7)));
}

#[test]
fn mass_flow_function_is_that_of_the_tables() {
    // Compressible flow tables, k = 1.4 (table A.1; low Mach from the Data Book, table A4.1):
    // p/p0 and A/A*; flow over choked flow is A*/A.
    let table = [
        (0.9930, 5.8218),
        (0.9844, 3.9103),
        (0.9725, 2.9635),
        (0.9697, 2.8293),
        (0.9668, 2.7076),
        (0.9638, 2.5968),
        (0.9607, 2.4956),
        (0.8430, 1.3398),
        (0.7962, 1.2130),
        (0.7840, 1.1882),
        (0.7716, 1.1657),
        (0.7591, 1.1452),
        (0.6430, 1.0305),
        (0.5913, 1.0089),
        (0.5283, 1.0000),
    ];
    let choked = nozzle::psi(0.1);
    for (ratio, area) in table {
        // p/p0 is printed to four places, which near 1 leaves the flow uncertain by up to 0.5 %.
        let slack = 0.5 * 1e-4 / (1.0 - ratio + 1e-4) / area + 2e-4;
        near(nozzle::psi(ratio) / choked, 1.0 / area, slack, "flow");
    }
}

#[test]
fn series_of_leak_areas() {
    // Derived series (NACA Report 1135 relations, gamma 1.4): psi of 80, area over restrictor area.
    let series = [
        (78.0, 0.3031),
        (75.0, 0.4867),
        (70.0, 0.7067),
        (65.0, 0.8900),
        (60.0, 1.0586),
        (50.0, 1.3836),
        (40.0, 1.7220),
    ];
    let tester = Tester {
        around: psia(14.696),
        ..Tester::reference()
    };
    for (cylinder, ratio) in series {
        let leak = LeakDown::of_gauges(&tester, psi(cylinder)).unwrap();
        near(leak.ratio, ratio, 2e-4, "area ratio");
        assert!(leak.leak_choked && !leak.restrictor_choked);
    }
    // The 60/80 check in full: 0.00133 in2 and a hole of 0.0412 in on the 0.040 in
    // restrictor, 0.0617 in on the 0.060 in one.
    let leak = LeakDown::of_gauges(&tester, psi(60.0)).unwrap();
    near(leak.area.unwrap().get(units::IN2), 0.00133, 5e-6, "area");
    near(0.040 * leak.ratio.sqrt(), 0.0412, 5e-5, "hole");
    near(0.060 * leak.ratio.sqrt(), 0.0617, 5e-5, "hole");
}

#[test]
fn standard_atmosphere_by_foot_and_by_metre() {
    // U.S. Standard Atmosphere 1976, table: feet and psia. Its figures and the formula
    // differ in the third decimal, as the formula's own page says.
    let feet = [
        (0.0, 14.696),
        (1000.0, 14.175),
        (2000.0, 13.664),
        (3000.0, 13.173),
        (4000.0, 12.682),
        (5000.0, 12.230),
        (6000.0, 11.778),
        (7000.0, 11.341),
        (8000.0, 10.914),
        (10_000.0, 10.108),
    ];
    for (altitude, printed) in feet {
        let ours = air::pressure_at(Length::of(altitude, units::FEET)).unwrap();
        near(ours.get(units::PSIA), printed, 0.011, "psia");
    }
    // The same by geopotential metre, Pa.
    let metres = [
        (0.0, 101_325.0),
        (1000.0, 89_874.6),
        (2000.0, 79_495.2),
        (3000.0, 70_108.5),
        (4000.0, 61_640.2),
        (5000.0, 54_019.9),
    ];
    for (altitude, printed) in metres {
        let ours = air::pressure_at(Length::of(altitude, units::METRE)).unwrap();
        near(ours.si(), printed, 0.6, "pascal");
        near(
            air::altitude_of(ours).unwrap().si(),
            altitude,
            1e-6,
            "inverse",
        );
    }
}

#[test]
fn altitude_table_of_a_two_stroke_diesel() {
    // TM 5-3895-359-14&P, 4-71N, least compression at 600 rpm by altitude, psi.
    // The absolute pressure goes with the barometer: within 1 % to 5000 ft; the printed
    // figures follow the air's density, which falls more slowly, so 6 % at 10 000 ft.
    let table = [
        (2500.0, 480.0, 0.011),
        (5000.0, 440.0, 0.011),
        (7500.0, 410.0, 0.035),
        (10_000.0, 380.0, 0.06),
    ];
    let base = air::pressure_at(Length::of(500.0, units::FEET)).unwrap();
    for (altitude, printed, within) in table {
        let there = air::pressure_at(Length::of(altitude, units::FEET)).unwrap();
        let ours = carried(psi(515.0), base, there).get(units::PSI);
        near(ours / printed, 1.0, within, "altitude");
    }
    // A reader's letter in a snowmobile magazine: 120 psi at sea level, about 100 at 5000 ft;
    // rule of thumb 1 % for each 250 ft.
    let there = air::pressure_at(Length::of(5000.0, units::FEET)).unwrap();
    let ours = carried(psi(120.0), air::SEA_LEVEL, there).get(units::PSI);
    near(ours, 99.85, 0.05, "letter");
    near(
        ours / 120.0,
        1.0 - 0.01 * 5000.0 / 250.0,
        0.04,
        "rule of thumb",
    );
}

#[test]
fn slider_crank_and_ratios() {
    // Worked with the kinematic formula: stroke 3.48 in, rod 5.7 in, closing 60 degrees after
    // bottom dead centre: 2.8128 in of the stroke is left, 10:1 becomes 8.274:1.
    let left = crank::stroke_left(Angle::of(60.0, units::DEGREE), 5.7 / 3.48).unwrap();
    near(left * 3.48, 2.8128, 2e-4, "stroke left");
    // A piston maker's calculator page: a 6.0 in rod on a 3.5 in stroke is a ratio of 1.714.
    near(6.0 / 3.5, 1.714, 5e-4, "rod ratio");
    // Travel at top, bottom, and the classic 90 degrees: more than half.
    near(crank::travel(Angle::from_si(0.0), 1.7), 0.0, 1e-12, "top");
    near(
        crank::travel(Angle::from_si(180.0), 1.7),
        1.0,
        1e-12,
        "bottom",
    );
    assert!(crank::travel(Angle::from_si(90.0), 1.7) > 0.55);
    // Two-stroke notes: bore 54, port opens 28 mm down, 8.5 cm3 of head: trapped ratio 8.54.
    let bore = Length::of(54.0, units::MM);
    let port = Length::of(28.0, units::MM);
    let ratio = compression::trapped_ratio(bore, port, Volume::of(8.5, units::ML)).unwrap();
    near(ratio, 8.54, 0.01, "trapped");
}

#[test]
fn bands_hold_published_engines() {
    // TM 5-2420-230-24-2, 3.9/5.9 litre diesel, 17.5:1: new 350, used 300 psi at 250 rpm.
    let diesel = Cranking {
        ratio: Some(17.5),
        speed: Some(Turning::of(250.0, units::RPM)),
        warm: Some(true),
        ..Cranking::of(Working::Diesel)
    };
    let band = compression::expected(&diesel).unwrap();
    assert!(
        band.low.get(units::PSI) < 350.0 && band.high.get(units::PSI) > 350.0,
        "{band:?}"
    );
    // TM 10-3930-618-20, forklift petrol engine: usual 120 to 125 psi. Its ratio is not
    // printed; the band of a 6.5:1 engine of that age holds it.
    let forklift = Cranking {
        ratio: Some(6.5),
        warm: Some(true),
        ..Cranking::of(Working::Spark)
    };
    let band = compression::expected(&forklift).unwrap();
    assert!(
        band.low.get(units::PSI) < 120.0 && band.high.get(units::PSI) > 125.0,
        "{band:?}"
    );
    // A maker's figure replaces the band: 1350 kPa standard is 1350 kPa at sea level.
    let told = Cranking {
        maker_normal: Some(Pressure::of(1350.0, units::KPA)),
        ..forklift
    };
    let band = compression::expected(&told).unwrap();
    near(band.likely.get(units::KPA), 1350.0, 1e-6, "maker");
}

#[test]
fn aircraft_oil_use() {
    // Direct-drive overhaul manual table: engine, lb/h, US qt/h; 1.8 lb to the quart.
    let table = [
        (0.9, 0.5),
        (1.0, 0.56),
        (1.2, 0.67),
        (1.3, 0.72),
        (1.4, 0.78),
        (1.5, 0.83),
        (1.8, 1.0),
        (2.0, 1.11),
        (3.0, 1.67),
    ];
    for (pounds, quarts) in table {
        near(pounds / quarts, 1.8, 0.02, "pounds to the quart");
    }
    // 7.4 lb to the US gallon is 1.85 to the quart: the formula's own density.
    near(
        oil_use::DENSITY * 0.003_785_411_784 / 0.453_592_37,
        7.4,
        1e-9,
        "density",
    );
    // Service Instruction 1427: 0.006 x BHP x 4 / 7.4 US qt/h; 0.52 qt/h for 160 hp.
    for (power, quarts) in [(160.0, 0.52), (180.0, 0.58), (200.0, 0.65)] {
        let rated = Running {
            power: Some(Power::of(power, units::HP)),
            load: 1.0,
            ..Running::default()
        };
        let limit = OilUse::of(Figure::new(0.006, units::LB_PER_HPH)).unwrap();
        let (hourly, _) = limit.to(Dimension::VolumeRate, &rated).unwrap();
        let ours = units::QT_PER_H;
        let OilUse::Hour(rate) = hourly else { panic!() };
        near(rate.get(ours), 0.006 * power * 4.0 / 7.4, 1e-9, "formula");
        near(rate.get(ours), quarts, 0.006, "printed");
    }
}

#[test]
fn specific_oil_use_in_both_units() {
    // Caterpillar LEKQ4028-02: g/bkW-h beside lb/bhp-h.
    for (grams, pounds) in [(0.548, 0.0009), (0.91, 0.0015), (0.487, 0.0008)] {
        let ours = Figure::new(pounds, units::LB_PER_HPH)
            .value_in(units::G_PER_KWH)
            .unwrap();
        near(ours, grams, 0.003, "g/kWh");
    }
    // One US quart in 100 US gallons of fuel is 0.25 % (light truck manual, 2003).
    let share = oil_use::share_of_fuel(
        Volume::of(1.0, units::US_QT),
        Volume::of(100.0, units::US_GAL),
    )
    .unwrap();
    near(share.get(units::PERCENT), 0.25, 1e-9, "share of fuel");
    // FCA US 20833: a quart in 2000 miles is 0.946 L in 3200 km, in 750 miles 1207 km.
    for (miles, km) in [(2000.0, 3200.0), (750.0, 1207.0)] {
        let ours = Figure::new(miles, units::MI_PER_QT)
            .value_in(units::L_PER_1000KM)
            .unwrap();
        near(ours, 0.946 / km * 1000.0, 0.002, "L/1000km");
    }
}

#[test]
fn blow_by_units() {
    // TM 9-2815-255-24: 225 ft3/h; the manual prints 6.0 m3/h beside it, which is a misprint for 6.4.
    let ours = Figure::new(225.0, units::FT3_PER_H)
        .value_in(units::M3_PER_H)
        .unwrap();
    near(ours, 6.37, 0.01, "m3/h");
    // Rule of thumb: 1 cfm for 50 hp, so 5 cfm at 250 hp, 0.76 L/min for each kW.
    let flow = Figure::new(5.0, units::CFM)
        .value_in(units::L_PER_MIN)
        .unwrap();
    near(
        flow / Power::of(250.0, units::HP).get(units::KW),
        0.7595,
        5e-4,
        "L/min for a kW",
    );
}
