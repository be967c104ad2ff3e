//! `chart`: the spark plug chart without a job.

use super::over::Over;
use super::{Answer, no_such};
use crate::engine::Engine;
use crate::plug::Chart;
use crate::problem::Problem;
use crate::rules::Rules;
use crate::rules::file::Dimensions;
use crate::show;
use clap::Args;
use std::collections::BTreeMap;
use std::io::Write;
use std::path::PathBuf;

/// Traits of the engine that the chart is for when none is named.
const PETROL: [&str; 5] = ["four-stroke", "petrol", "spark", "single-plug", "plugged"];

/// Arguments of `chart`.
#[derive(Debug, Args)]
pub struct ChartAlone {
    /// Write it as an HTML page with drawings; left out, it is printed
    #[arg(value_name = "FILE")]
    pub file: Option<PathBuf>,
    /// The kind of engine, if not a petrol four-stroke; `rules list families` lists them
    #[arg(long, value_name = "FAMILY")]
    pub family: Option<String>,
    /// What may be written over.
    #[command(flatten)]
    pub over: Over,
}

impl ChartAlone {
    /// Prints the chart, or writes it as a page.
    ///
    /// # Errors
    /// A kind of engine that the rules do not know or that has no spark plugs, or
    /// the page cannot be written.
    pub fn run(self, rules: &Rules, out: &mut dyn Write) -> Answer {
        let (name, traits) = match &self.family {
            None => ("petrol four-stroke", PETROL.map(String::from).into()),
            Some(id) => match rules.families.get(id) {
                Some(family) => (family.title.as_str(), family.traits.clone()),
                None => {
                    let list = "`sootsayer rules list families` lists them";
                    return Err(no_such("family", id, rules.families.keys(), list).into());
                }
            },
        };
        let engine = Engine {
            name: name.into(),
            family: self.family.clone().unwrap_or_default(),
            traits: rules.with_groups(&traits.into_iter().collect()),
            banks: Engine::deal(1, 1),
            dimensions: Dimensions::default(),
        };
        let chart = Chart::of(rules, &engine)
            .ok_or_else(|| Problem::new(format!("{name}: it has no spark plugs")))?;
        if let Some(file) = &self.file {
            let page = show::plug_page::page(rules, name, &chart, &BTreeMap::new());
            return self.over.write(file, &page, out);
        }
        let list = show::plug::list(&chart, show::width(), show::true_colour());
        writeln!(out, "{list}")?;
        Ok(())
    }
}
