//! `solve`: any network through the engine, to check it against others.

use super::Answer;
use crate::diagnose;
use crate::disk;
use crate::network::exchange::{Fault, Tables, bif, uai};
use crate::network::{Error, Evidence, Gate, Network, Solved, Var};
use crate::problem::{Problem, Spot};
use crate::session::Session;
use crate::show::network_file;
use crate::words::nearest;
use clap::Args;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::time::Instant;

/// Largest file that is read, in bytes.
const MOST_BYTES: u64 = 64_000_000;

/// Arguments of `solve`.
#[derive(Debug, Args)]
pub struct Solve {
    /// A network, `.bif` or `.uai`, or a job
    file: PathBuf,
    /// What is observed, beside what the file says
    #[arg(value_name = "NAME=STATE")]
    seen: Vec<String>,
    /// An evidence file of the UAI competitions
    #[arg(long, value_name = "FILE")]
    evidence: Option<PathBuf>,
    /// Tell of these variables alone; when left out, of all in a file and of
    /// all causes in a job
    #[arg(long, value_name = "NAME")]
    of: Vec<String>,
    /// Solve so many times, each planned anew, and tell the least time
    #[arg(long, default_value_t = 1, value_name = "TIMES", value_parser = clap::value_parser!(u16).range(1..))]
    runs: u16,
}

/// What is to be solved.
struct Asked {
    network: Network,
    evidence: Evidence,
    /// Variables told, with the names of their states.
    told: Vec<(Var, Vec<String>)>,
    ln_scale: f64,
}

impl Solve {
    /// Solves a network and prints posteriors as JSON.
    ///
    /// # Errors
    /// A malformed file, a name or state that is not known, evidence that is
    /// impossible, a network over the limit.
    pub fn run(self, rules: Option<&Path>, out: &mut dyn Write) -> Answer {
        let start = Instant::now();
        let mut asked = match self.file.extension().and_then(|e| e.to_str()) {
            Some("bif" | "uai") => self.network()?,
            _ => job(&self.file, rules)?,
        };
        if let Some(name) = (self.of.iter())
            .find(|name| !asked.told.iter().any(|t| asked.network.name(t.0) == *name))
        {
            return Err(Problem::new(format!("no variable is called `{name}`")).into());
        }
        let network = &asked.network;
        // A finding that nothing hangs on is told only when asked for.
        let told = |var: Var| match self.of.is_empty() {
            true => !is_finding(network, var),
            false => self.of.iter().any(|name| name == network.name(var)),
        };
        asked.told.retain(|(var, _)| told(*var));
        let read = milliseconds(start);
        let (mut least, mut told) = (f64::INFINITY, Vec::new());
        let mut ln_evidence = 0.0;
        for _ in 0..self.runs {
            let fresh = asked.network.without_plans();
            let start = Instant::now();
            let solved = asked.solved(&fresh)?;
            told = asked.marginals(&solved)?;
            least = least.min(milliseconds(start));
            ln_evidence = solved.ln_evidence() + asked.ln_scale;
        }
        let names = asked
            .told
            .into_iter()
            .map(|(var, states)| (asked.network.name(var).to_string(), states));
        let posteriors: Vec<_> = names.zip(told).collect();
        let took = [("read", read), ("solve", least)];
        let json = network_file::posteriors(&posteriors, ln_evidence, &took);
        writeln!(out, "{json:#}")?;
        Ok(())
    }

    fn network(&self) -> Result<Asked, Problem> {
        let is_bif = self.file.extension().is_some_and(|e| e == "bif");
        let mut tables = read(&self.file, |bytes| match is_bif {
            true => bif::read(bytes),
            false => uai::read(bytes),
        })?;
        if let Some(evidence) = &self.evidence {
            read(evidence, |bytes| uai::read_evidence(bytes, &mut tables))?;
        }
        for said in &self.seen {
            see(&mut tables, said)?;
        }
        let it = tables.solvable()?;
        let nodes = tables.nodes.into_iter().zip(it.vars);
        let told = nodes.filter(|(node, _)| !node.helper);
        Ok(Asked {
            told: told.map(|(node, var)| (var, node.states)).collect(),
            network: it.network,
            evidence: it.evidence,
            ln_scale: tables.ln_scale,
        })
    }
}

impl Asked {
    /// Solves with everything told kept in the solution.
    fn solved<'n>(&self, network: &'n Network) -> Result<Solved<'n>, Error> {
        let vars = self.told.iter().map(|(var, _)| *var);
        let kept: Vec<Var> = vars.filter(|var| !is_finding(network, *var)).collect();
        Solved::keeping(network, &self.evidence, &kept)
    }

    fn marginals(&self, solved: &Solved) -> Result<Vec<Vec<f64>>, Error> {
        self.told
            .iter()
            .map(|(var, _)| solved.marginal(*var))
            .collect()
    }
}

/// Whether a variable is a gate on which nothing hangs: had without being kept.
fn is_finding(network: &Network, var: Var) -> bool {
    matches!(network.gate(var), Gate::Max { .. }) && network.children(var).is_empty()
}

/// The network of a job as it stands.
fn job(path: &Path, rules: Option<&Path>) -> Result<Asked, super::Ending> {
    let session = Session::open(path, rules, false)?;
    let unrolled = session.unrolled()?;
    let (observations, _) = session.evidence();
    let named = network_file::named(&session.rules, &unrolled);
    Ok(Asked {
        evidence: diagnose::evidence(&unrolled, &observations),
        told: named
            .into_iter()
            .map(|(var, (_, states))| (var, states))
            .collect(),
        network: unrolled.network,
        ln_scale: 0.0,
    })
}

fn milliseconds(start: Instant) -> f64 {
    start.elapsed().as_secs_f64() * 1000.0
}

/// Reads a file whole; a fault of its text gets its place.
fn read<T>(path: &Path, parse: impl FnOnce(&[u8]) -> Result<T, Fault>) -> Result<T, Problem> {
    let name = path.display().to_string();
    let bytes = disk::read(path, MOST_BYTES)
        .map_err(|e| Problem::new(format!("`{name}` cannot be read: {}", disk::plain(&e))))?;
    parse(&bytes).map_err(|fault| {
        let spot = Spot {
            file: name,
            line: fault.line,
            column: fault.column,
        };
        Problem::new(fault.what).at(spot)
    })
}

/// Takes `NAME=STATE` in.
fn see(tables: &mut Tables, said: &str) -> Result<(), Problem> {
    let Some((name, state)) = said.split_once('=') else {
        return Err(Problem::new(format!(
            "`{said}` is not of the form NAME=STATE"
        )));
    };
    let near = |problem: Problem, known: Vec<&str>, word: &str| match nearest(word, known) {
        Some(near) => problem.hint(format!("did you mean `{near}`?")),
        None => problem,
    };
    let Some(node) = tables.find(name) else {
        let names = tables.nodes.iter().map(|n| n.name.as_str()).collect();
        return Err(near(
            Problem::new(format!("no variable is called `{name}`")),
            names,
            name,
        ));
    };
    let states = &tables.nodes[node].states;
    let Some(at) = states.iter().position(|s| s == state) else {
        let what = Problem::new(format!("`{name}` has no state `{state}`"));
        return Err(near(
            what,
            states.iter().map(String::as_str).collect(),
            state,
        ));
    };
    tables.see_state(node, at);
    Ok(())
}
