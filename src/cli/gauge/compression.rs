//! `gauge compression`.

use super::super::cylinders::with_units;
use super::input::Inputs;
use super::{Air, Common};
use crate::answer::Ending;
use crate::gauge::compression::{
    COMPRESSION, CRANKING, Cranking, Working, carried, expected, trapped_ratio,
};
use crate::gauge::sheet::{Line, Sheet};
use crate::gauge::{Kind, Pressure, Range, UnitOf, UnitSet, air, crank, leakdown, of, units};
use crate::problem::Problem;
use clap::{Args, ValueEnum};

/// Strokes of engines of this kind.
const STROKE: Range<of::Length> = Range::new("stroke", 10.0, 500.0, units::MM);
const ROD: Range<of::Length> = Range::new("rod", 15.0, 1500.0, units::MM);
const PORT: Range<of::Length> = Range::new("port below top dead centre", 2.0, 400.0, units::MM);
const HEAD: Range<of::Volume> = Range::new("head volume", 0.5, 5000.0, units::ML);

#[derive(Debug, Clone, Copy, ValueEnum)]
enum Fuel {
    /// Spark ignition, four-stroke
    Petrol,
    /// Spark ignition, two-stroke
    TwoStroke,
    /// Compression ignition
    Diesel,
}

/// Arguments of `gauge compression`.
#[derive(Debug, Args)]
pub struct Compression {
    /// Readings, one for each cylinder, such as `150psi`
    #[arg(value_name = "READING", allow_negative_numbers = true)]
    readings: Vec<String>,
    /// How the engine works
    #[arg(long, default_value = "petrol")]
    fuel: Fuel,
    /// Compression ratio, 3 to 30; a two-stroke's from the closing of its port
    #[arg(long, value_name = "RATIO", allow_hyphen_values = true)]
    ratio: Option<String>,
    /// Intake valve closes, 0 to 110 degrees after bottom dead centre
    #[arg(long, value_name = "ANGLE", allow_hyphen_values = true)]
    closes: Option<String>,
    /// Stroke, 10 to 500 mm
    #[arg(
        long,
        value_name = "LENGTH",
        requires = "rod",
        allow_hyphen_values = true
    )]
    stroke: Option<String>,
    /// Connecting rod between centres, 15 to 1500 mm
    #[arg(
        long,
        value_name = "LENGTH",
        requires = "stroke",
        allow_hyphen_values = true
    )]
    rod: Option<String>,
    /// Two-stroke: bore, 15 to 400 mm, for its ratio from port and head volume
    #[arg(
        long,
        value_name = "LENGTH",
        requires = "port",
        allow_hyphen_values = true
    )]
    bore: Option<String>,
    /// Two-stroke: top of the exhaust port below top dead centre
    #[arg(
        long,
        value_name = "LENGTH",
        requires = "head",
        allow_hyphen_values = true
    )]
    port: Option<String>,
    /// Two-stroke: volume of the head
    #[arg(
        long,
        value_name = "VOLUME",
        requires = "bore",
        allow_hyphen_values = true
    )]
    head: Option<String>,
    /// Cranking speed, 30 to 1200 rpm
    #[arg(long, value_name = "SPEED", allow_hyphen_values = true)]
    speed: Option<String>,
    /// The engine is cold
    #[arg(long, conflicts_with = "warm")]
    cold: bool,
    /// The engine is warm
    #[arg(long)]
    warm: bool,
    /// A decompressor bleeds it while cranking
    #[arg(long)]
    decompressor: bool,
    /// Maker's usual figure at sea level, 0 to 7000 kPa
    #[arg(long, value_name = "PRESSURE", allow_hyphen_values = true)]
    maker: Option<String>,
    /// Maker's least figure at sea level, 0 to 7000 kPa
    #[arg(long, value_name = "PRESSURE", allow_hyphen_values = true)]
    least: Option<String>,
    #[command(flatten)]
    air: Air,
}

impl Compression {
    /// Works it out.
    ///
    /// # Errors
    /// Every input that cannot be.
    pub fn sheet(&self, common: &Common) -> Result<Sheet, Ending> {
        let mut inputs = Inputs::new(common);
        let engine = self.engine(&mut inputs);
        let mut readings = Vec::new();
        for (index, text) in with_units(&self.readings).iter().enumerate() {
            if let Some(figure) = inputs.take("reading", Some(text), Kind::Pressure, &COMPRESSION) {
                readings.push((index + 1, figure));
            }
        }
        let given = inputs.done()?;
        let expected = expected(&engine)?;
        let unit = match common.units {
            UnitSet::Metric => units::KPA,
            UnitSet::Us => units::PSI,
        };
        let mut found = vec![
            Line::figure(
                "likely",
                "a sound cylinder should read",
                expected.likely,
                unit,
            ),
            Line::figure("low", "one in twenty below", expected.low, unit),
            Line::figure("high", "one in twenty above", expected.high, unit),
        ];
        found.extend(
            expected
                .effective_ratio
                .map(|ratio| Line::number("effective_ratio", "effective ratio", ratio)),
        );
        let at_sea = carried(expected.likely, engine.around, air::SEA_LEVEL);
        found.push(Line::figure(
            "at_sea_level",
            "the same at sea level",
            at_sea,
            unit,
        ));
        let (rows, says) = beside(&readings, expected.likely, unit);
        Ok(Sheet {
            gauge: "compression",
            given,
            found,
            rows,
            says,
            assumed: expected.assumed,
            formula: "P = Pa CR_eff^n, absolute; CR_eff = 1 + stroke left at closing (CR - 1); stroke left by slider-crank: x = r (1 - cos t) + L - sqrt(L^2 - r^2 sin^2 t); n from 1.2 to 1.3 for spark engines. Band: 5 to 95 % from the errors of ratio, closing and n.",
            sources: vec![
                "Polytropic example and range of n: encyclopaedia article on compression ratio (excerpt)".into(),
                "Slider-crank: standard kinematics (from memory)".into(),
                "U.S. Standard Atmosphere, 1976".into(),
                "Figures for what is not given, cold and slow cranking: judgement".into(),
                "Lowest over highest 0.75 (military engine manual; two makers' manuals agree, one has 0.70)".into(),
            ],
        })
    }

    fn engine(&self, inputs: &mut Inputs) -> Cranking {
        let working = match self.fuel {
            Fuel::Petrol => Working::Spark,
            Fuel::TwoStroke => Working::SparkTwoStroke,
            Fuel::Diesel => Working::Diesel,
        };
        let around = inputs.air(&self.air);
        let stroke = inputs.take("stroke", self.stroke.as_ref(), Kind::Length, &STROKE);
        let rod = inputs.take("rod", self.rod.as_ref(), Kind::Length, &ROD);
        let rod_ratio = rod.zip(stroke).map(|(rod, stroke)| rod / stroke);
        if let Some(ratio) = rod_ratio {
            let checked = crank::ROD_RATIO.check(crate::gauge::Number::from_si(ratio));
            inputs.kept(checked);
        }
        let given = inputs.number("ratio", self.ratio.as_ref(), &crank::RATIO);
        Cranking {
            ratio: self.trapped(inputs).or(given),
            closes: inputs.take("closes", self.closes.as_ref(), Kind::Angle, &crank::CLOSES),
            rod_ratio,
            decompressor: self.decompressor,
            around,
            speed: inputs.take("speed", self.speed.as_ref(), Kind::Speed, &CRANKING),
            warm: (self.cold || self.warm).then_some(self.warm),
            maker_normal: inputs.take("maker", self.maker.as_ref(), Kind::Pressure, &COMPRESSION),
            maker_least: inputs.take("least", self.least.as_ref(), Kind::Pressure, &COMPRESSION),
            working,
        }
    }

    fn trapped(&self, inputs: &mut Inputs) -> Option<f64> {
        let bore = inputs.take("bore", self.bore.as_ref(), Kind::Length, &leakdown::BORE)?;
        let port = inputs.take("port", self.port.as_ref(), Kind::Length, &PORT)?;
        let head = inputs.take("head", self.head.as_ref(), Kind::Volume, &HEAD)?;
        let ratio = trapped_ratio(bore, port, head);
        if !matches!(self.fuel, Fuel::TwoStroke) {
            inputs.refuse(
                Problem::new("port and head volume are for a two-stroke")
                    .hint("say `--fuel two-stroke`"),
            );
        }
        inputs.kept(ratio)
    }
}

/// Each reading beside the expected figure and the best.
fn beside(
    readings: &[(usize, Pressure)],
    likely: Pressure,
    unit: UnitOf<of::Pressure>,
) -> (Vec<Vec<Line>>, Vec<String>) {
    let best = readings
        .iter()
        .map(|(_, p)| *p)
        .fold(Pressure::from_si(0.0), Pressure::max);
    let least = readings.iter().map(|(_, p)| *p).fold(best, Pressure::min);
    let percent = |id, title, share: f64| {
        Line::figure(
            id,
            title,
            crate::gauge::Share::from_si(share),
            units::PERCENT,
        )
    };
    let share_of_best = |p: Pressure| if best.si() > 0.0 { p / best } else { 0.0 };
    let rows = readings
        .iter()
        .map(|(cylinder, reading)| {
            vec![
                Line::words("cylinder", "Cylinder", cylinder.to_string()),
                Line::figure("reading", "Reading", *reading, unit),
                percent("of_expected", "Of expected", *reading / likely),
                percent("of_best", "Of the best", share_of_best(*reading)),
            ]
        })
        .collect();
    let mut says = Vec::new();
    if readings.len() > 1 {
        let spread = share_of_best(least);
        let low: Vec<String> = readings
            .iter()
            .filter(|(_, p)| share_of_best(*p) < 0.75)
            .map(|(n, _)| n.to_string())
            .collect();
        says.push(format!(
            "Lowest over highest {}.",
            crate::gauge::short(spread)
        ));
        if !low.is_empty() {
            says.push(format!(
                "Below the 0.75 that manuals ask: cylinder {}.",
                low.join(", ")
            ));
        }
    }
    (rows, says)
}
