//! Units against the published factors, and figures as they are written.

use proptest::prelude::*;
use sootsayer::gauge::units::{self, Unit};
use sootsayer::gauge::{Figure, Kind, Temperature, UnitSet};
use sootsayer::measure::Dimension;

/// NIST Special Publication 811 (2008), appendix B.8: factor to SI as printed,
/// seven significant figures.
const SP_811: &[(&str, f64)] = &[
    ("psi", 6.894_757e3),
    ("bar", 1e5),
    ("kg/cm2", 9.806_65e4),
    ("inHg", 3.386_389e3),
    ("cmHg", 1.333_224e3),
    ("mmHg", 1.333_224e2),
    ("inH2O", 2.490_889e2),
    ("mbar", 1e2),
    ("in", 2.54e-2),
    ("thou", 2.54e-5),
    ("ft", 3.048e-1),
    ("mi", 1.609_344e3),
    ("in2", 6.4516e-4),
    ("qt", 9.463_529e-4),
    ("gal", 3.785_412e-3),
    ("pt", 4.731_765e-4),
    ("floz", 2.957_353e-5),
    ("in3", 1.638_706e-5),
    ("lb", 4.535_924e-1),
    ("lbf", 4.448_222),
    ("kgf", 9.806_65),
    ("hp", 7.456_999e2),
    ("PS", 7.354_988e2),
    ("cfm", 4.719_474e-4),
    ("lb/hph", 1.689_659e-7),
    ("h", 3.6e3),
];

#[test]
fn factors_are_those_of_sp_811() {
    for (name, printed) in SP_811 {
        let ours = Unit::named(name)
            .unwrap_or_else(|| panic!("{name}"))
            .to_si(1.0);
        assert!(
            (ours / printed - 1.0).abs() < 3.2e-7,
            "{name}: {ours} against {printed}"
        );
    }
}

#[test]
fn temperatures_have_their_zeros() {
    // Definitions: ice point 0 C = 32 F = 273.15 K; boiling 100 C = 212 F.
    let boiling = Temperature::of(212.0, units::FAHRENHEIT);
    assert!((boiling.get(units::CELSIUS) - 100.0).abs() < 1e-9);
    assert!((Temperature::of(0.0, units::CELSIUS).get(units::FAHRENHEIT) - 32.0).abs() < 1e-9);
    assert!((boiling.get(units::KELVIN) - 373.15).abs() < 1e-9);
}

#[test]
fn upside_down_units_turn_over() {
    // 10 hours to the quart is a tenth of a quart an hour.
    let figure = Figure::parse("10 h/qt", Kind::OilRate, UnitSet::Us).unwrap();
    assert!((figure.value_in(units::QT_PER_H).unwrap() - 0.1).abs() < 1e-12);
    // One US quart in 2000 miles is printed beside 0.946 L in 3200 km.
    let figure = Figure::parse("2000 mi/qt", Kind::OilRate, UnitSet::Us).unwrap();
    let metric = figure.value_in(units::L_PER_1000KM).unwrap();
    assert!((metric - 0.946 / 3.2).abs() < 0.002, "{metric}");
}

#[test]
fn figures_read_as_they_are_written() {
    let cases = [
        ("95 psi", Kind::Pressure, "95 psi"),
        ("6.2bar", Kind::Pressure, "6.2 bar"),
        ("1100", Kind::Pressure, "1100 kPa"),
        ("150 lbs", Kind::Pressure, "150 psi"),
        ("38%", Kind::Leakage, "38%"),
        ("38", Kind::Leakage, "38%"),
        ("60/80 psi", Kind::Leakage, "60/80 psi"),
        ("60 / 80", Kind::Leakage, "60/80 psi"),
        ("5.1/5.5 bar", Kind::Leakage, "5.1/5.5 bar"),
        ("0.4 qt/1000mi", Kind::OilRate, "0.4 qt/1000mi"),
        ("0.9 g/kWh", Kind::OilRate, "0.9 g/kWh"),
        ("190 °F", Kind::Temperature, "190 F"),
        ("-10 C", Kind::Temperature, "-10 C"),
        ("5 kΩ", Kind::Resistance, "5 kohm"),
        ("0.5 Mohm", Kind::Resistance, "0.5 Mohm"),
        ("29.92 inHg", Kind::Barometer, "29.92 inHg abs"),
        ("1013 mbar", Kind::Barometer, "1013 mbar abs"),
        ("3", Kind::Number, "3"),
    ];
    for (text, kind, written) in cases {
        let figure = Figure::parse(text, kind, UnitSet::Metric).unwrap_or_else(|p| panic!("{p}"));
        assert_eq!(figure.to_string(), written, "{text}");
        assert_eq!(Figure::stored(written), Ok(figure), "{written}");
    }
}

#[test]
fn what_cannot_be_read_says_why_and_how() {
    let cases = [
        (
            "6,2 bar",
            Kind::Pressure,
            "write the decimals after a point: `6.2`",
        ),
        ("1,200 kPa", Kind::Pressure, "write `1.200` or `1200`"),
        (
            "1,200,000 Pa",
            Kind::Pressure,
            "write thousands without commas: `1200000`",
        ),
        ("94.7 psia", Kind::Pressure, "write what the gauge shows"),
        ("95 pis", Kind::Pressure, "did you mean `psi`?"),
        (
            "95 mm",
            Kind::Pressure,
            "`mm` is a unit of a length, not of a pressure",
        ),
        (
            "60/80 psi",
            Kind::Pressure,
            "only leak-down is written cylinder over supply",
        ),
        ("60/80 %", Kind::Leakage, "`%` is a unit of a share"),
        ("60/ psi", Kind::Leakage, "is not a figure"),
        ("high", Kind::Pressure, "is not a figure"),
        ("", Kind::Leakage, "is not a figure"),
        ("nan psi", Kind::Pressure, "is not a figure"),
        ("1.2.3 bar", Kind::Pressure, "is not a figure"),
        ("5 MOHM", Kind::Resistance, "did you mean `Mohm` or `mohm`?"),
    ];
    for (text, kind, says) in cases {
        let error = Figure::parse(text, kind, UnitSet::Metric)
            .unwrap_err()
            .to_string();
        assert!(error.contains(says), "{text}: {error}");
        assert!(error.contains(text), "{text}: {error}");
    }
}

#[test]
fn a_figure_outside_its_range_names_value_range_and_unit() {
    let figure = Figure::parse("-5 psi", Kind::Pressure, UnitSet::Us).unwrap();
    let error = figure
        .within(
            "compression",
            [0.0, 689.475_729_316_836_1],
            units::KPA.into(),
        )
        .unwrap_err();
    assert_eq!(
        error.to_string(),
        "error: compression -5 psi is outside 0 to 100 psi\n   = it is written as a positive figure"
    );
}

proptest! {
    #[test]
    fn a_figure_survives_writing_and_reading(value in -1e6..1e6f64, which in 0..Unit::all().len()) {
        let unit = Unit::all()[which];
        let figure = Figure::new(value, unit);
        let read = Figure::stored(&figure.to_string());
        // nothing is colder than absolute zero or emptier than a vacuum
        let has_end = matches!(unit.dimension(), Dimension::Absolute | Dimension::Temperature);
        match has_end && unit.to_si(value) < 0.0 {
            true => prop_assert!(read.is_err()),
            false => prop_assert_eq!(read, Ok(figure)),
        }
    }

    #[test]
    fn to_si_and_back_is_the_same(value in 1e-3..1e6f64, which in 0..Unit::all().len()) {
        let unit = Unit::all()[which];
        prop_assert!((unit.of_si(unit.to_si(value)) / value - 1.0).abs() < 1e-9);
    }

    #[test]
    fn no_text_panics(text in "\\PC{0,12}") {
        for kind in Kind::ALL {
            let _ = Figure::parse(&text, *kind, UnitSet::Us);
        }
        let _ = Figure::stored(&text);
    }
}
