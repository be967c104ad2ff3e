//! Cranking compression: the band that a sound cylinder of *this* engine
//! should read, with what was assumed.
//!
//! `P = Pa CR_eff^n`, absolute: `Pa` the air around, `CR_eff` the ratio from
//! the closing of the intake on ([`crank`](super::crank)), `n` an effective
//! polytropic exponent that also carries heat lost and gas leaked while
//! cranking. A maker's figure replaces it.

use super::air::SEA_LEVEL;
use super::crank;
use super::quantity::{Absolute, Angle, Length, Number, Pressure, Turning, Volume, of};
use super::range::Range;
use super::{short, units};
use crate::problem::Problem;

/// Cranking speeds, by hand or starter.
pub const CRANKING: Range<of::Turning> = Range::new("cranking speed", 30.0, 1200.0, units::RPM);
/// Cranking compressions that a gauge can show.
pub const COMPRESSION: Range<of::Pressure> = Range::new("compression", 0.0, 7000.0, units::KPA);

/// How the engine works, as far as its compression goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Working {
    /// Spark ignition, four-stroke.
    Spark,
    /// Spark ignition, two-stroke with ports.
    SparkTwoStroke,
    /// Compression ignition.
    Diesel,
}

/// What is known of the engine and of the cranking; what is not known is assumed, and said so.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cranking {
    /// How the engine works.
    pub working: Working,
    /// Geometric compression ratio; a ported two-stroke's from the closing of its exhaust port on.
    pub ratio: Option<f64>,
    /// Intake valve closes, after bottom dead centre; not used for a ported two-stroke.
    pub closes: Option<Angle>,
    /// Rod between centres over stroke.
    pub rod_ratio: Option<f64>,
    /// A decompressor bleeds the cylinder while cranking.
    pub decompressor: bool,
    /// The air around.
    pub around: Absolute,
    /// Cranking speed.
    pub speed: Option<Turning>,
    /// Engine at running heat (`true`) or cold.
    pub warm: Option<bool>,
    /// Maker's usual figure, at sea level unless said otherwise by the maker.
    pub maker_normal: Option<Pressure>,
    /// Maker's least figure.
    pub maker_least: Option<Pressure>,
}

impl Cranking {
    /// An engine of which nothing more is known, at sea level.
    pub fn of(working: Working) -> Self {
        Cranking {
            working,
            ratio: None,
            closes: None,
            rod_ratio: None,
            decompressor: false,
            around: SEA_LEVEL,
            speed: None,
            warm: None,
            maker_normal: None,
            maker_least: None,
        }
    }
}

/// The band: one sound cylinder in twenty reads below it, one above.
#[derive(Debug, Clone, PartialEq)]
pub struct Expected {
    /// 5 % point.
    pub low: Pressure,
    /// Most likely.
    pub likely: Pressure,
    /// 95 % point.
    pub high: Pressure,
    /// Standard deviation.
    pub deviation: Pressure,
    /// Effective compression ratio, where it was used.
    pub effective_ratio: Option<f64>,
    /// What was assumed, and on what footing, in words.
    pub assumed: Vec<String>,
}

impl Expected {
    fn of(likely: Pressure, deviation: Pressure, assumed: Vec<String>) -> Self {
        Expected {
            low: likely - deviation * 1.645,
            likely,
            high: likely + deviation * 1.645,
            deviation,
            effective_ratio: None,
            assumed,
        }
    }
}

/// Absolute pressure at the end of compression: `Pa CR_eff^n`.
///
/// ```
/// use sootsayer::gauge::{Absolute, compression, units};
/// // Printed example: dynamic ratio 7.5, n 1.3, 14.7 psi: 201.8 psi absolute, 187.1 gauge.
/// let air = Absolute::of(14.7, units::PSIA);
/// let end = compression::polytropic(air, 7.5, 1.3);
/// assert!((end.get(units::PSIA) - 201.8).abs() < 0.1);
/// assert!((end.over(air).get(units::PSI) - 187.1).abs() < 0.1);
/// ```
pub fn polytropic(around: Absolute, effective_ratio: f64, exponent: f64) -> Absolute {
    around * effective_ratio.powf(exponent)
}

/// A gauge figure brought from one air to another: the absolute pressure goes
/// with the air around, `(P + Pa) Pb / Pa - Pb`.
///
/// ```
/// use sootsayer::gauge::{Length, Pressure, air, compression, units};
/// // Published reasoning: 120 psi at sea level is about 100 psi at 5000 ft.
/// let there = air::pressure_at(Length::of(5000.0, units::FEET)).unwrap();
/// let figure = compression::carried(Pressure::of(120.0, units::PSI), air::SEA_LEVEL, there);
/// assert!((figure.get(units::PSI) - 100.0).abs() < 0.5);
/// ```
pub fn carried(figure: Pressure, from: Absolute, to: Absolute) -> Pressure {
    (from.plus(figure) * (to / from)).over(to)
}

/// What a sound cylinder should read.
///
/// # Errors
/// An input outside its range, named with its value and unit.
pub fn expected(engine: &Cranking) -> Result<Expected, Problem> {
    super::air::BAROMETER.check(engine.around)?;
    let least = engine
        .maker_least
        .map(|p| COMPRESSION.check(p))
        .transpose()?;
    if let Some(normal) = engine.maker_normal {
        let normal = carried(COMPRESSION.check(normal)?, SEA_LEVEL, engine.around);
        let assumed = vec![format!(
            "maker's usual figure, brought from sea level to {} kPa; 5 % for engine and gauge (judgement)",
            short(engine.around.get(units::KPAA))
        )];
        return Ok(Expected::of(normal, normal * 0.05, assumed));
    }
    let worked = worked_out(engine)?;
    let Some(least) = least else {
        return Ok(worked);
    };
    // A maker's least is some 0.67 to 0.86 of his usual figure (three published pairs).
    let from_least = carried(least, SEA_LEVEL, engine.around) / 0.78;
    let (a, b) = (
        worked.deviation.si().powi(-2),
        (from_least.si() * 0.10).powi(-2),
    );
    let likely = (worked.likely * a + from_least * b) / (a + b);
    let mut assumed = worked.assumed;
    assumed.push("the maker's least taken as 0.78 of his usual figure, within 10 % (0.67 to 0.86 in published pairs)".into());
    Ok(Expected {
        effective_ratio: worked.effective_ratio,
        ..Expected::of(likely, Pressure::from_si((a + b).powf(-0.5)), assumed)
    })
}

/// A figure with its standard deviation.
#[derive(Clone, Copy)]
struct Taken {
    value: f64,
    deviation: f64,
}

/// The band from geometry, without a maker's figure.
fn worked_out(engine: &Cranking) -> Result<Expected, Problem> {
    let mut assumed = Vec::new();
    let effective = effective(engine, &mut assumed)?;
    let exponent = exponent(engine, &mut assumed)?;
    let share = (exponent.value * effective.deviation / effective.value)
        .hypot(effective.value.ln() * exponent.deviation);
    let end = polytropic(engine.around, effective.value, exponent.value);
    let mut likely = end.over(engine.around);
    let mut deviation = Pressure::from_si(end.si() * share);
    if engine.decompressor {
        likely = likely * 0.75;
        deviation = deviation + likely * 0.15;
        assumed.push("a decompressor takes about a quarter off, within 15 % (judgement); hold it shut for a true figure".into());
    }
    Ok(Expected {
        effective_ratio: Some(effective.value),
        ..Expected::of(likely, deviation, assumed)
    })
}

/// The ratio from the closing of the intake on, with its error. A two-stroke's
/// is rated from the closing of its exhaust port already.
fn effective(engine: &Cranking, assumed: &mut Vec<String>) -> Result<Taken, Problem> {
    let ratio = match engine.ratio {
        Some(value) => Taken {
            value: crank::RATIO.check(Number::from_si(value))?.si(),
            deviation: 0.15,
        },
        None => {
            let taken = usual_ratio(engine.working);
            assumed.push(format!(
                "compression ratio {} within {} (not given; usual for the kind, judgement)",
                short(taken.value),
                short(taken.deviation)
            ));
            taken
        }
    };
    let Some(usual) = usual_closing(engine.working) else {
        assumed.push(
            "the ratio counts from the closing of the exhaust port, as two-strokes are rated"
                .into(),
        );
        return Ok(ratio);
    };
    let closes = match engine.closes {
        Some(angle) => Taken {
            value: crank::CLOSES.check(angle)?.si(),
            deviation: 2.0,
        },
        None => {
            assumed.push(format!(
                "intake valve closes {} degrees after bottom dead centre, within {} (not given, judgement)",
                short(usual.value),
                short(usual.deviation)
            ));
            usual
        }
    };
    let rod = engine.rod_ratio.unwrap_or(1.7);
    if engine.rod_ratio.is_none() {
        assumed.push("rod 1.7 strokes long (not given; it matters little)".into());
    }
    let at = |closes: f64| {
        crank::effective_ratio(ratio.value, Angle::from_si(closes.clamp(0.0, 110.0)), rod)
    };
    let value = at(closes.value)?;
    let by_ratio = (value - 1.0) / (ratio.value - 1.0) * ratio.deviation;
    let by_closing =
        (at(closes.value - closes.deviation)? - at(closes.value + closes.deviation)?) / 2.0;
    Ok(Taken {
        value,
        deviation: by_ratio.hypot(by_closing),
    })
}

fn usual_ratio(working: Working) -> Taken {
    let (value, deviation) = match working {
        Working::Spark => (9.0, 0.8),
        Working::SparkTwoStroke => (6.5, 0.8),
        Working::Diesel => (19.0, 2.0),
    };
    Taken { value, deviation }
}

/// Usual closing of the intake valve; a ported two-stroke has none.
fn usual_closing(working: Working) -> Option<Taken> {
    let (value, deviation) = match working {
        Working::Spark => (55.0, 8.0),
        Working::SparkTwoStroke => return None,
        Working::Diesel => (40.0, 7.0),
    };
    Some(Taken { value, deviation })
}

/// The effective exponent: 1.2 to 1.3 in practice for spark engines (a printed
/// range), less for diesels, whose high ratio loses more while cranking: the
/// printed 350 psi at 250 rpm of a 3.9 litre diesel gives 1.16.
fn exponent(engine: &Cranking, assumed: &mut Vec<String>) -> Result<Taken, Problem> {
    let mut value: f64 = match engine.working {
        Working::Spark | Working::SparkTwoStroke => 1.26,
        Working::Diesel => 1.17,
    };
    let mut deviation: f64 = 0.03;
    match engine.speed {
        Some(speed) => {
            let slow = 1.0 - CRANKING.check(speed)?.get(units::RPM) / 200.0;
            value -= 0.03 * slow.max(0.0);
        }
        None => assumed.push("cranked at 200 rpm or more (speed not given)".into()),
    }
    match engine.warm {
        Some(true) => {}
        Some(false) => {
            value -= 0.015;
            deviation = deviation.hypot(0.01);
        }
        None => {
            deviation = deviation.hypot(0.008);
            assumed.push("engine warm (not said)".into());
        }
    }
    assumed.push(format!(
        "throttle open; effective exponent {value:.3}, standard deviation {deviation:.3} (printed range 1.2 to 1.3 for spark engines, the rest judgement)",
    ));
    Ok(Taken { value, deviation })
}

/// Ratio of a two-stroke from the closing of its exhaust port on: swept volume
/// above the port and head volume over head volume.
///
/// # Errors
/// A bore, a height or a head volume that cannot be.
pub fn trapped_ratio(bore: Length, port: Length, head: Volume) -> Result<f64, Problem> {
    super::leakdown::BORE.check(bore)?;
    Range::new("port below top dead centre", 2.0, 400.0, units::MM).check(port)?;
    Range::new("head volume", 0.5, 5000.0, units::ML).check(head)?;
    let swept = std::f64::consts::PI / 4.0 * bore.si() * bore.si() * port.si();
    Ok((swept + head.si()) / head.si())
}
