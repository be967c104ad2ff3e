//! `rules draw` and `rules schema`: the rule graph as DOT, the formats as JSON Schema.

use super::Answer;
use super::over::Over;
use crate::graph::Graph;
use crate::problem::Problem;
use crate::rules::{Kind, Rules};
use crate::show::{rule_dot, schema};
use clap::{Args, ValueEnum};
use std::io::Write;
use std::path::PathBuf;

/// Arguments of `rules draw`.
#[derive(Debug, Args)]
pub struct Draw {
    /// Id of a cause, finding, test, repair or fact; the whole graph when left out
    pub id: Option<String>,
    /// Only the entry of this kind, where several have the id
    #[arg(long)]
    pub kind: Option<String>,
    /// How many links away from it
    #[arg(long, default_value_t = 1, value_parser = clap::value_parser!(u8).range(1..=6))]
    pub steps: u8,
    /// Write into a file
    #[arg(long, short, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// What it may be written over.
    #[command(flatten)]
    pub over: Over,
}

impl Draw {
    /// Writes the graph of the rules as DOT, for Graphviz and its kin; `kind` is the one asked for.
    ///
    /// # Errors
    /// An id that is not part of the graph, or a file that cannot be written.
    pub fn run(&self, rules: &Rules, kind: Option<Kind>, out: &mut dyn Write) -> Answer {
        let (graph, _) = Graph::of(rules);
        let text = match &self.id {
            Some(id) => {
                let kind = centre(&graph, kind, id)?;
                rule_dot::dot(rules, &graph.around(kind, id, self.steps.into()))
            }
            None => rule_dot::dot(rules, &graph),
        };
        match &self.out {
            None => write!(out, "{text}")?,
            Some(path) => self.over.put(path, &text)?,
        }
        Ok(())
    }
}

/// The kind of the node with an id.
fn centre(graph: &Graph, kind: Option<Kind>, id: &str) -> Result<Kind, Problem> {
    let kinds = Kind::ALL
        .into_iter()
        .filter(|k| kind.is_none_or(|only| only == *k));
    let found = kinds.into_iter().find(|k| graph.find(*k, id).is_some());
    found.ok_or_else(|| {
        let ids: Vec<String> = graph.it.node_weights().map(|(_, id)| id.clone()).collect();
        super::no_such("node of the rule graph", id, ids.iter(), "see `rules list`")
    })
}

/// Which format.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub enum Format {
    /// Rule files.
    Rule,
    /// Job files.
    Job,
}

/// Arguments of `rules schema`.
#[derive(Debug, Args)]
pub struct Schema {
    /// The format of rule files or of job files
    #[arg(default_value = "rule")]
    pub of: Format,
}

impl Schema {
    /// Prints the JSON Schema.
    ///
    /// # Errors
    /// Only that the answer cannot be written.
    pub fn run(&self, out: &mut dyn Write) -> Answer {
        let text = match self.of {
            Format::Rule => schema::rule(),
            Format::Job => schema::job(),
        };
        write!(out, "{text}")?;
        Ok(())
    }
}
