//! `gauge oil-use`.

use super::Common;
use super::input::Inputs;
use super::oil_checks::{log, told};
use crate::answer::Ending;
use crate::gauge::oil_sample::SUMP;
use crate::gauge::oil_trend::Sump;
use crate::gauge::oil_use::{LOAD, OilUse as Use, POWER, Running, TRAVEL};
use crate::gauge::sheet::{Line, Sheet};
use crate::gauge::{
    Dimension, Figure, Kind, Range, UnitSet, VolumePerLength, VolumeRate, of, short, units,
};
use crate::measure::units::Unit;
use crate::problem::Problem;
use crate::rules::Rules;
use crate::rules::file::Limit;
use clap::Args;
use std::collections::BTreeSet;

const HOURS: Range<of::Time> = Range::new("hours", 0.1, 10_000.0, units::HOURS);
const DISTANCE: Range<of::Length> = Range::new("distance", 1.0, 500_000.0, units::KM);
const USED: Range<of::Volume> = Range::new("oil used", 0.0, 500.0, units::LITRE);

/// How a rate and its trend are got.
pub(in crate::cli) const FORMULA: &str = "rate = oil used / hours, distance or work; work = rated power x load x hours; oil at 7.4 lb to the US gallon (0.887 kg/L). Trend: least squares of oil used against the meter, piece by piece; the dipstick errs by 2 % of the sump; a jump is a broken line that fits better than a curve.";

/// Arguments of `gauge oil-use`.
#[derive(Debug, Args)]
pub struct OilUse {
    /// A rate, such as `0.4qt/h`, `0.5L/1000km`, `6h/qt` or `0.9g/kWh`
    #[arg(value_name = "RATE", allow_hyphen_values = true)]
    rate: Option<String>,
    /// Oil used, 0 to 500 L
    #[arg(long, value_name = "VOLUME", requires = "over", conflicts_with_all = ["rate", "checks"], allow_hyphen_values = true)]
    used: Option<String>,
    /// Over so many hours (0.1 to 10000) or so far (1 to 500000 km)
    #[arg(
        long,
        value_name = "HOURS|DISTANCE",
        requires = "used",
        allow_hyphen_values = true
    )]
    over: Option<String>,
    /// Checks of the oil in order, each METER:ADDED[:LEVEL], such as `1200h:0 1215h:1qt 1240h:0.5qt:-0.3qt 1250h:changed`;
    /// LEVEL is what the dipstick showed before, below (-) or above the full mark; `changed+0.5L` was filled so far above it
    #[arg(long, value_name = "CHECK", num_args = 2.., conflicts_with = "rate", requires = "sump")]
    checks: Vec<String>,
    /// Oil in the sump when full, 0.2 to 500 L
    #[arg(long, value_name = "VOLUME", allow_hyphen_values = true)]
    sump: Option<String>,
    /// Rated power, 0.3 to 20000 kW
    #[arg(long, value_name = "POWER", allow_hyphen_values = true)]
    power: Option<String>,
    /// Average load over rated power, 0.02 to 1.1; one half when left out, rated power for aircraft
    #[arg(long, value_name = "SHARE", allow_hyphen_values = true)]
    load: Option<String>,
    /// Average speed of travel in km/h, 2 to 200
    #[arg(long, value_name = "KM/H", allow_hyphen_values = true)]
    travel: Option<String>,
    /// Kind of engine by its traits or family, such as `car petrol` or `aircraft`: tells its published limits
    #[arg(long = "for", value_name = "TRAIT", num_args = 1..)]
    traits: Vec<String>,
}

impl OilUse {
    /// Works it out.
    ///
    /// # Errors
    /// Every input that cannot be.
    pub fn sheet(&self, common: &Common, rules: &Rules) -> Result<Sheet, Ending> {
        let mut inputs = Inputs::new(common);
        let traits = inputs.traits(&self.traits, rules);
        let running = self.running(&traits, &mut inputs);
        let mut sheet = Sheet {
            gauge: "oil-use",
            formula: FORMULA,
            sources: vec![
                "Density and aircraft formula 0.006 x BHP x 4 / 7.4 US qt/h: Service Instruction 1427, as quoted".into(),
                "Specific oil use = oil rate / (power x load factor): Oil Consumption Data LEKQ4028".into(),
                "Half load, 50 km/h, the dipstick's error: judgement".into(),
            ],
            ..Sheet::default()
        };
        let rate = self.rate(&mut inputs, &mut sheet);
        sheet.given = inputs.done()?;
        let Some((rate, error)) = rate else {
            return Ok(sheet);
        };
        sheet.found.extend(forms(rate, &running, common.units));
        if !self.traits.is_empty() {
            limits(rate, error, &running, (rules, &traits), &mut sheet);
        }
        Ok(sheet)
    }

    fn running(&self, traits: &BTreeSet<String>, inputs: &mut Inputs) -> Running {
        let plain = Running::default();
        let aircraft = traits.contains("aircraft");
        let load = inputs.number("load", self.load.as_ref(), &LOAD);
        let travel = inputs.number("travel", self.travel.as_ref(), &TRAVEL);
        Running {
            power: inputs.take("power", self.power.as_ref(), Kind::Power, &POWER),
            load: load.unwrap_or(if aircraft { 1.0 } else { plain.load }),
            load_error: if load.is_some() || aircraft {
                0.05
            } else {
                plain.load_error
            },
            speed: travel.map_or(plain.speed, |kmh| kmh / 3.6),
            speed_error: if travel.is_some() {
                0.05
            } else {
                plain.speed_error
            },
        }
    }

    /// The rate and its error as a share, however it was given.
    fn rate(&self, inputs: &mut Inputs, sheet: &mut Sheet) -> Option<(Use, f64)> {
        if let Some(text) = &self.rate {
            let figure = inputs.kept(Figure::parse(text, Kind::OilRate, inputs.set))?;
            return Some((inputs.kept(Use::of(figure))?, 0.0));
        }
        if !self.checks.is_empty() {
            return self.trend(inputs, sheet);
        }
        let used = inputs.take("used", self.used.as_ref(), Kind::Volume, &USED);
        let Some(over) = &self.over else {
            inputs.refuse(
                Problem::new("there is no rate")
                    .hint("give one, as in `0.4qt/h`, or `--used 1qt --over 12h`, or `--checks`"),
            );
            return None;
        };
        let rate = match Figure::parse(over, Kind::Hours, inputs.set) {
            Ok(_) => {
                let hours = inputs.take("over", Some(over), Kind::Hours, &HOURS)?;
                Use::Hour(VolumeRate::from_si(used?.si() / hours.si()))
            }
            Err(_) => {
                let far = inputs.take("over", Some(over), Kind::Distance, &DISTANCE)?;
                Use::Distance(VolumePerLength::from_si(used?.si() / far.si()))
            }
        };
        Some((rate, 0.0))
    }

    fn trend(&self, inputs: &mut Inputs, sheet: &mut Sheet) -> Option<(Use, f64)> {
        let sump = inputs.take("sump", self.sump.as_ref(), Kind::Volume, &SUMP)?;
        let found = match log(&self.checks, inputs.set, Sump::of(sump)) {
            Ok(it) => it,
            Err(problems) => {
                problems.into_iter().for_each(|p| inputs.refuse(p));
                return None;
            }
        };
        told(&found, sheet);
        let rate = found.now()?;
        let error = rate.deviation.si() / rate.each.si().abs().max(1e-18);
        if rate.each.si() < 0.0 {
            return None;
        }
        Some((found.rate(&rate), error))
    }
}

/// The rate in every form that can be told.
pub(in crate::cli) fn forms(rate: Use, running: &Running, set: UnitSet) -> Vec<Line> {
    let mut lines = Vec::new();
    for form in [
        Dimension::VolumeRate,
        Dimension::VolumePerLength,
        Dimension::MassPerWork,
    ] {
        let Ok((told, error)) = rate.to(form, running) else {
            continue;
        };
        // A form that rests on a guess of a third of the figure is not told.
        if error > 0.32 {
            continue;
        }
        lines.extend(match (told, set) {
            (Use::Hour(it), UnitSet::Metric) => {
                vec![Line::figure("hourly", "by the hour", it, units::L_PER_H)]
            }
            (Use::Hour(it), UnitSet::Us) => vec![
                Line::figure("hourly", "by the hour", it, units::QT_PER_H),
                Line::figure("hours_to_quart", "hours to the quart", it, units::H_PER_QT),
            ],
            (Use::Distance(it), UnitSet::Metric) => vec![Line::figure(
                "by_distance",
                "by the distance",
                it,
                units::L_PER_1000KM,
            )],
            (Use::Distance(it), UnitSet::Us) => vec![Line::figure(
                "by_distance",
                "by the distance",
                it,
                units::QT_PER_1000MI,
            )],
            (Use::Work(it), _) => vec![Line::figure(
                "by_work",
                "for work done",
                it,
                units::G_PER_KWH,
            )],
        });
    }
    lines
}

/// Each published limit that applies and the rate over it; those for any
/// engine only where there is none for this kind.
pub(in crate::cli) fn limits(
    rate: Use,
    error: f64,
    running: &Running,
    (rules, traits): (&Rules, &BTreeSet<String>),
    sheet: &mut Sheet,
) {
    let limits = rules.limits_for(traits);
    let of_kind = |limit: &&&Limit| !limit.on.is_empty();
    let own: Vec<&&Limit> = limits
        .iter()
        .filter(|limit| limit.of == "oil-use-rate")
        .collect();
    let any_of_kind = own.iter().any(|limit| of_kind(limit) && limit.grades);
    let mut missing_power = false;
    for limit in own
        .into_iter()
        .filter(|limit| !any_of_kind || of_kind(limit))
    {
        let Some(unit) = Unit::named(&limit.unit) else {
            continue;
        };
        match rate.to(unit.dimension(), running) {
            Ok((told, extra)) => {
                let share = told.si() / unit.to_si(limit.most);
                let within = 1.645 * error.hypot(extra);
                let percent = |share: f64| short(share.max(0.0) * 100.0);
                let range = match within > 0.05 {
                    true => format!(
                        " ({} to {} %)",
                        percent(share * (1.0 - within)),
                        percent(share * (1.0 + within))
                    ),
                    false => String::new(),
                };
                sheet.says.push(format!(
                    "{} is {} {}: the rate is {} % of it{range}.",
                    limit.title,
                    short(limit.most),
                    limit.unit,
                    percent(share),
                ));
                sheet
                    .sources
                    .push(format!("{}: {}", limit.title, cited(limit, rules)));
            }
            Err(_) => missing_power = true,
        }
    }
    if missing_power {
        sheet
            .says
            .push("Some limits are for work done: give `--power` to tell them.".into());
    }
}

fn cited(limit: &Limit, rules: &Rules) -> String {
    match limit.basis.sources.is_empty() {
        true => "judgement".into(),
        false => {
            let title = |id: &String| {
                let source = rules.sources.get(id);
                source.map_or(id.clone(), |it| it.title.clone())
            };
            let titles: Vec<String> = limit.basis.sources.iter().map(title).collect();
            titles.join("; ")
        }
    }
}
