//! `new`: takes an engine in and starts its job file; on a terminal it asks
//! for what was not given.

use super::ask::Ask;
use super::size::Size;
use super::{Answer, holds};
use crate::engine::Engine;
use crate::gauge::UnitSet;
use crate::job::Moment;
use crate::job::file::{Act, EngineFile, JobFile, VERSION};
use crate::job::layout;
use crate::job::store::Store;
use crate::problem::Problem;
use crate::rules::Rules;
use crate::session::Session;
use crate::shell::headline;
use clap::Args;
use std::io::{IsTerminal, Write};
use std::path::PathBuf;

/// Arguments of `new`.
#[derive(Debug, Args)]
pub struct New {
    /// The job file to start, such as `pump.yaml`
    pub job: PathBuf,
    /// What the owner or shop calls the engine
    #[arg(long)]
    pub name: Option<String>,
    /// The family that it is of; `sootsayer rules list families` lists them
    #[arg(long)]
    pub family: Option<String>,
    /// The complaint in the owner's words
    #[arg(long, value_name = "TEXT")]
    pub complaint: Option<String>,
    /// Number of cylinders, if not the family's
    #[arg(long, value_name = "NUMBER")]
    pub cylinders: Option<usize>,
    /// Cylinders along each bank, such as `1 2 3 4 / 5 6 7 8`, or the number of banks
    #[arg(long)]
    pub banks: Option<String>,
    /// Traits beside or instead of the family's, such as `magneto,oil-cooler-in-coolant`
    #[arg(long, value_name = "TRAIT", value_delimiter = ',')]
    pub with: Vec<String>,
    /// Traits of the family that it lacks
    #[arg(long, value_name = "TRAIT", value_delimiter = ',')]
    pub without: Vec<String>,
    /// Facts of its past, such as `hours-high,long-lay-up=no`
    #[arg(long, value_name = "FACT", value_delimiter = ',')]
    pub facts: Vec<String>,
    /// The tools at hand, and no others; when left out, every tool is taken to be at hand
    #[arg(long, value_name = "TOOL", value_delimiter = ',')]
    pub tools: Vec<String>,
    /// What bare numbers mean: `metric` or `us`
    #[arg(long, value_name = "SET", default_value_t)]
    pub units: UnitSet,
    /// Dimensions.
    #[command(flatten)]
    pub size: Size,
}

impl New {
    /// Starts the job file.
    ///
    /// # Errors
    /// No family given and none can be asked for; an engine that the rules do
    /// not know; a file of that name exists or cannot be written.
    pub fn run(mut self, rules: Rules, out: &mut dyn Write) -> Answer {
        if self.job.exists() {
            return Err(Store::taken(&self.job).into());
        }
        if self.family.is_none() || self.name.is_none() {
            if !std::io::stdin().is_terminal() {
                return Err(
                    Problem::new("which engine is it? `--name` and `--family` are needed")
                        .hint("`sootsayer rules list families` lists the families")
                        .into(),
                );
            }
            self.ask(&rules, &mut Ask::new(&mut std::io::stdin().lock(), out))?;
        }
        let file = self.file(&rules)?;
        let store = Store::create(&self.job, file)?;
        let session = Session::with(rules, store)?;
        let job = self.job.display();
        writeln!(out, "started {job} for {}", headline(&session))?;
        writeln!(out, "go on with `sootsayer talk {job}`")?;
        Ok(())
    }

    /// Asks for what was not given.
    fn ask(&mut self, rules: &Rules, ask: &mut Ask) -> Answer {
        if self.name.is_none() {
            self.name = Some(ask.text("What is the engine called in the shop?", None)?);
        }
        if self.family.is_none() {
            let families = rules
                .families
                .iter()
                .map(|(id, f)| (id.as_str(), f.title.as_str()));
            let families: Vec<(&str, &str)> = families.collect();
            self.family = Some(ask.one_of("Which family is it of?", &families)?);
        }
        let family = self.family.as_ref().and_then(|f| rules.families.get(f));
        if self.cylinders.is_none() {
            let usual = family.map(|f| f.cylinders.to_string());
            self.cylinders = Some(ask.number(
                "How many cylinders?",
                usual.as_deref(),
                1..=crate::engine::MOST_CYLINDERS,
            )?);
        }
        if self.complaint.is_none() {
            self.complaint = Some(ask.text("What does the owner complain of?", Some(""))?);
        }
        if self.facts.is_empty() {
            let traits = family
                .map(|f| rules.engine_traits(&f.traits, self.cylinders.unwrap_or(f.cylinders)));
            let traits = traits.unwrap_or_default();
            let facts = rules
                .facts
                .iter()
                .filter(|(_, f)| rules.applies(&traits, &f.on, &[]));
            let facts: Vec<(&str, &str)> = facts
                .map(|(id, f)| (id.as_str(), f.title.as_str()))
                .collect();
            self.facts = ask.several("What is known of its past?", &facts)?;
        }
        Ok(())
    }

    /// The job file that the arguments say.
    fn file(&self, rules: &Rules) -> Result<JobFile, super::Ending> {
        let id = self.family.clone().unwrap_or_default();
        let family = rules.families.get(&id);
        let cylinders = self.cylinders.or(family.map(|f| f.cylinders)).unwrap_or(1);
        let banks = match &self.banks {
            None => layout::banks_text(&Engine::deal(cylinders, family.map_or(1, |f| f.banks))),
            Some(text) => match text.parse() {
                Ok(number) => layout::banks_text(&Engine::deal(cylinders, number)),
                Err(_) => text.clone(),
            },
        };
        let engine = EngineFile {
            name: self.name.clone().unwrap_or_default(),
            family: id,
            with: self.with.clone(),
            without: self.without.clone(),
            cylinders,
            banks,
            dimensions: self.size.read(self.units)?,
        };
        let traits = layout::engine(rules, &engine)
            .map_err(layout::problems)?
            .traits;
        let facts = holds::facts(rules, &traits, &self.facts)?;
        let tools = match self.tools.is_empty() {
            true => vec![],
            false => holds::tools(rules, &self.tools, true)?,
        };
        let first = Act {
            facts,
            tools,
            ..Act::now()
        };
        let nothing = first.facts.is_empty() && first.tools.is_empty();
        Ok(JobFile {
            sootsayer: VERSION,
            engine,
            complaint: self.complaint.clone().unwrap_or_default(),
            opened: Moment::now(),
            units: self.units,
            diary: if nothing { vec![] } else { vec![first] },
        })
    }
}
