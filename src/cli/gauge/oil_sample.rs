//! `gauge oil-sample`.

use super::Common;
use super::input::Inputs;
use crate::answer::Ending;
use crate::gauge::oil_sample::{
    ADDED, DISTANCE, LIFE, Life, PPM, SUMP, WearRate, aluminium_from_dust, at_interval, turn,
    wear_rate,
};
use crate::gauge::sheet::{Line, Sheet};
use crate::gauge::{Figure, Kind, Share, Volume, short, units};
use crate::problem::Problem;
use crate::rules::Rules;
use clap::Args;
use std::collections::BTreeMap;

/// Metals and others that a rate makes sense for.
const METALS: [&str; 7] = [
    "iron",
    "copper",
    "aluminium",
    "chromium",
    "lead",
    "tin",
    "silicon",
];

/// Arguments of `gauge oil-sample`.
#[derive(Debug, Args)]
pub struct OilSample {
    /// Laboratory figures in ppm, such as `iron=60 silicon=14`
    #[arg(required = true, value_name = "METAL=PPM")]
    metals: Vec<String>,
    /// Oil's life at the sample: hours (0.1 to 5000) or distance (1 to 200000 km)
    #[arg(long, value_name = "HOURS|DISTANCE", allow_hyphen_values = true)]
    life: String,
    /// Oil life that the figures are told for; the sample's own when left out
    #[arg(long, value_name = "HOURS|DISTANCE", allow_hyphen_values = true)]
    interval: Option<String>,
    /// Oil in the sump, 0.2 to 500 L
    #[arg(long, value_name = "VOLUME", allow_hyphen_values = true)]
    sump: String,
    /// Oil topped up in that life, 0 to 500 L
    #[arg(long, value_name = "VOLUME", allow_hyphen_values = true)]
    topped_up: Option<String>,
    /// An earlier sample of the same engine
    #[arg(long, value_name = "METAL=PPM", num_args = 1.., requires = "earlier_life")]
    earlier: Vec<String>,
    /// Oil's life at the earlier sample
    #[arg(
        long,
        value_name = "HOURS|DISTANCE",
        requires = "earlier",
        allow_hyphen_values = true
    )]
    earlier_life: Option<String>,
    /// Oil topped up in the earlier sample's life
    #[arg(
        long,
        value_name = "VOLUME",
        requires = "earlier",
        allow_hyphen_values = true
    )]
    earlier_topped_up: Option<String>,
}

impl OilSample {
    /// Works it out.
    ///
    /// # Errors
    /// Every input that cannot be.
    pub fn sheet(&self, common: &Common, rules: &Rules) -> Result<Sheet, Ending> {
        let mut inputs = Inputs::new(common);
        let metals = metals_in(&self.metals, &mut inputs);
        let earlier = metals_in(&self.earlier, &mut inputs);
        let life = life_of("life", &self.life, &mut inputs);
        let interval = self
            .interval
            .as_ref()
            .and_then(|text| life_of("interval", text, &mut inputs));
        let earlier_life = self
            .earlier_life
            .as_ref()
            .and_then(|text| life_of("earlier_life", text, &mut inputs));
        let sump = inputs.take("sump", Some(&self.sump), Kind::Volume, &SUMP);
        let none = Volume::from_si(0.0);
        let topped_up = inputs
            .take("topped_up", self.topped_up.as_ref(), Kind::Volume, &ADDED)
            .unwrap_or(none);
        let before = inputs
            .take(
                "earlier_topped_up",
                self.earlier_topped_up.as_ref(),
                Kind::Volume,
                &ADDED,
            )
            .unwrap_or(none);
        let mut sheet = Sheet {
            gauge: "oil-sample",
            given: inputs.done()?,
            formula: "metal shed = C V x / (1 - exp(-x)), x = topped up / sump: what was lost took its metal with it; over another oil life it goes with the life. Laboratory and sampling err by 1 ppm and 10 % (judgement).",
            sources: vec![
                "Balance of the metal in the sump: derived".into(),
                "Dust brings aluminium at about a third of its silicon: oil-analysis examples, Widman".into(),
            ],
            ..Sheet::default()
        };
        let (Some(life), Some(sump)) = (life, sump) else {
            return Ok(sheet);
        };
        for (metal, figure) in &metals {
            let told = at_interval(*figure, life, interval.unwrap_or(life), topped_up, sump)?;
            let now = wear_rate(*figure, life, topped_up, sump)?;
            let mut row = vec![
                Line::words("metal", "Metal", metal.clone()),
                Line::figure("sample", "Sample", *figure, units::PPM),
                Line::figure("at_interval", "Over the life", told, units::PPM),
                Line::number(
                    "rate",
                    match life {
                        Life::Hours(_) => "ppm an hour",
                        Life::Distance(_) => "ppm a km",
                    },
                    now.value,
                ),
            ];
            row.push(level(rules, metal, told));
            if let Some(then) = earlier_life {
                row.push(turned(earlier.get(metal), then, before, sump, now)?);
            }
            sheet.rows.push(row);
        }
        sheet.says.extend(levels_said(rules, &metals));
        sheet.says.extend(dust(&metals)?);
        sheet
            .says
            .push("One high figure is a reason to sample again before anything is opened.".into());
        sheet.sources.extend(levels_cited(rules, &metals));
        Ok(sheet)
    }
}

/// `iron=60`: the metal and its figure.
fn metals_in(words: &[String], inputs: &mut Inputs) -> BTreeMap<String, Share> {
    let mut found = BTreeMap::new();
    for word in words.iter().flat_map(|w| w.split_whitespace()) {
        let Some((name, figure)) = word.split_once('=') else {
            inputs.refuse(
                Problem::new(format!("`{word}` is not METAL=PPM")).hint("write it as in `iron=60`"),
            );
            continue;
        };
        if !METALS.contains(&name) {
            let problem = Problem::new(format!("no metal is called `{name}`"));
            inputs.refuse(match crate::words::nearest(name, METALS) {
                Some(near) => problem.hint(format!("did you mean `{near}`?")),
                None => problem.hint(format!("there are {}", METALS.join(", "))),
            });
            continue;
        }
        let read = Figure::parse(figure, Kind::Ppm, inputs.set).and_then(|figure| {
            PPM.check_in(Share::from_si(figure.unit.to_si(figure.value)), figure.unit)
        });
        match read {
            Ok(share) if found.insert(name.to_string(), share).is_some() => {
                inputs.refuse(Problem::new(format!("`{name}` is given twice")));
            }
            Ok(_) => {}
            Err(problem) => inputs.refuse(Problem {
                what: format!("{name}: {}", problem.what),
                ..problem
            }),
        }
    }
    found
}

fn life_of(id: &'static str, text: &String, inputs: &mut Inputs) -> Option<Life> {
    match Figure::parse(text, Kind::Hours, inputs.set) {
        Err(_) if Figure::parse(text, Kind::Distance, inputs.set).is_ok() => inputs
            .take(id, Some(text), Kind::Distance, &DISTANCE)
            .map(Life::Distance),
        _ => inputs
            .take(id, Some(text), Kind::Hours, &LIFE)
            .map(Life::Hours),
    }
}

/// Where the figure lies beside the sourced levels of the rules.
fn level(rules: &Rules, metal: &str, told: Share) -> Line {
    let ppm = told.get(units::PPM);
    let words = match levels(rules, metal) {
        Some(bounds) => {
            let passed = bounds.iter().filter(|b| ppm >= **b).count();
            ["normal", "raised", "high"][passed.min(2)]
        }
        None => "-",
    };
    Line::words("level", "Level", words)
}

/// The bounds of the finding that grades a metal.
fn levels<'r>(rules: &'r Rules, metal: &str) -> Option<&'r [f64]> {
    let reading = format!("oil-sample-{metal}");
    let mut measured = rules.findings.values().filter_map(|f| f.measured.as_ref());
    measured
        .find(|m| m.reading == reading)
        .map(|m| m.bounds.as_slice())
}

/// The levels in words.
fn levels_said(rules: &Rules, metals: &BTreeMap<String, Share>) -> Option<String> {
    let each: Vec<String> = metals
        .keys()
        .filter_map(|metal| {
            let bounds: Vec<String> = levels(rules, metal)?.iter().map(|b| short(*b)).collect();
            Some(format!("{metal} {}", bounds.join(" and ")))
        })
        .collect();
    (!each.is_empty()).then(|| format!("Raised and high begin at, ppm: {}.", each.join("; ")))
}

fn levels_cited(rules: &Rules, metals: &BTreeMap<String, Share>) -> Vec<String> {
    let mut sources: Vec<&str> = rules
        .findings
        .values()
        .filter_map(|f| f.measured.as_ref())
        .filter(|m| {
            metals
                .keys()
                .any(|metal| m.reading == format!("oil-sample-{metal}"))
        })
        .flat_map(|m| m.basis.sources.iter().map(String::as_str))
        .collect();
    sources.sort_unstable();
    sources.dedup();
    let title = |id: &&str| {
        rules
            .sources
            .get(*id)
            .map_or((*id).to_string(), |s| s.title.clone())
    };
    sources
        .iter()
        .map(|id| format!("Levels: {}", title(id)))
        .collect()
}

fn turned(
    earlier: Option<&Share>,
    life: Life,
    topped_up: Volume,
    sump: Volume,
    now: WearRate,
) -> Result<Line, Problem> {
    let Some(earlier) = earlier else {
        return Ok(Line::words("trend", "Since", "-"));
    };
    let then = wear_rate(*earlier, life, topped_up, sump)?;
    let words = match turn(then, now) {
        Ok(it) if it.real => format!("{} times", short(it.times)),
        Ok(_) => "much the same".into(),
        Err(_) => "new".into(),
    };
    Ok(Line::words("trend", "Since", words))
}

/// What silicon and aluminium say of dust.
fn dust(metals: &BTreeMap<String, Share>) -> Result<Option<String>, Problem> {
    let (Some(silicon), Some(aluminium)) = (metals.get("silicon"), metals.get("aluminium")) else {
        return Ok(None);
    };
    let (dust, wear) = aluminium_from_dust(*silicon, *aluminium)?;
    Ok(Some(format!(
        "Of the aluminium at most {} ppm can be dust; {} ppm is piston or block.",
        short(dust.get(units::PPM)),
        short(wear.get(units::PPM))
    )))
}
