//! The format of the UAI inference competitions (V. Gogate, "UAI 2014
//! Inference Competition", model and evidence format): numbers only.
//!
//! Certain observations stand in the evidence file. Uncertain ones have no
//! place there, so a network that has any is written as `MARKOV`: each
//! likelihood is one more factor, over its variable alone.
//!
//! ```
//! use sootsayer::network::exchange::uai;
//! let mut tables = uai::read(b"BAYES 2  2 2  2  1 0  2 0 1  2 .75 .25  4 .9 .1 .5 .5")?;
//! uai::read_evidence(b"1 1 1", &mut tables)?;
//! let it = tables.solvable()?;
//! let solved = sootsayer::network::Solved::new(&it.network, &it.evidence)?;
//! assert!((solved.marginal(it.vars[0])?[1] - 0.125 / 0.2).abs() < 1e-15);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

use super::fault::{self, Fault, MOST_NUMBERS, MOST_VARIABLES, Piece};
use super::tables::{Node, Tables, certain};
use std::fmt::Write;

/// Memory of a state's name, in numbers.
const NAME: usize = 8;

/// The network file. Every number has 17 significant digits, so that it is
/// read back without loss.
pub fn write(tables: &Tables) -> String {
    let soft: Vec<(&usize, &Vec<f64>)> = tables
        .seen
        .iter()
        .filter(|(_, l)| certain(l).is_none())
        .collect();
    let nodes = &tables.nodes;
    let states: Vec<String> = nodes
        .iter()
        .map(|node| node.states.len().to_string())
        .collect();
    let kind = if soft.is_empty() { "BAYES" } else { "MARKOV" };
    let factors = nodes.len() + soft.len();
    let mut out = format!("{kind}\n{}\n{}\n{factors}\n", nodes.len(), states.join(" "));
    for (i, node) in nodes.iter().enumerate() {
        let _ = write!(out, "{}", node.parents.len() + 1);
        for v in node.parents.iter().chain([&i]) {
            let _ = write!(out, " {v}");
        }
        out.push('\n');
    }
    for (node, _) in &soft {
        let _ = writeln!(out, "1 {node}");
    }
    let tables = nodes.iter().map(|node| (&node.table, node.states.len()));
    for (table, states) in tables.chain(soft.iter().map(|(_, l)| (*l, l.len()))) {
        let _ = write!(out, "\n{}", table.len());
        for (i, number) in table.iter().enumerate() {
            out.push(if i % states.max(1) == 0 { '\n' } else { ' ' });
            let _ = write!(out, "{number:.16e}");
        }
        out.push('\n');
    }
    out
}

/// The evidence file: the observations that are certain.
pub fn write_evidence(tables: &Tables) -> String {
    let hard: Vec<String> = tables
        .seen
        .iter()
        .filter_map(|(node, likelihood)| Some(format!(" {node} {}", certain(likelihood)?)))
        .collect();
    format!("{}{}\n", hard.len(), hard.concat())
}

/// Reads a network. Of a `BAYES` one, rows are made to add up to one exactly.
/// A `MARKOV` one is read as the Bayesian network that has the same weights: a
/// factor that could be the table of its last variable is that, another over
/// one variable is a likelihood, any other a helper variable observed in its
/// second state.
///
/// # Errors
/// The first fault of the text with its place: no UTF-8, not the format, a
/// variable that is not there, without or with two tables, a row that does not
/// add up to one, variables that depend on each other in a circle, more than
/// [`MOST_VARIABLES`] or [`MOST_NUMBERS`].
pub fn read(bytes: &[u8]) -> Result<Tables, Fault> {
    let mut words = Words::of(bytes)?;
    let kind = words.take("`BAYES` or `MARKOV`")?;
    let bayes = match kind.text {
        "BAYES" => true,
        "MARKOV" => false,
        _ => {
            let what = format!("`{}` where `BAYES` or `MARKOV` belongs", kind.short());
            return Err(kind.fault(words.whole, what));
        }
    };
    let mut tables = Tables::default();
    for i in 0..words.count("variables", MOST_VARIABLES)? {
        let states = words.count("states", MOST_NUMBERS)?;
        if states == 0 {
            return Err(words.fault(format!("variable {i} has no state")));
        }
        words.hold(states.saturating_mul(NAME))?;
        tables.nodes.push(Node {
            name: i.to_string(),
            states: (0..states).map(|s| s.to_string()).collect(),
            ..Node::default()
        });
    }
    let mut scopes = Vec::new();
    for _ in 0..words.count("functions", MOST_NUMBERS)? {
        scopes.push(words.scope(&tables)?);
    }
    match bayes {
        true => words.bayes(&mut tables, &scopes)?,
        false => words.markov(&mut tables, &scopes)?,
    }
    words.end()?;
    Ok(tables)
}

/// Reads an evidence file: a count, then so many pairs of variable and state.
/// With one count of samples before it, as of 2008, it is read too.
///
/// # Errors
/// The first fault of the text with its place.
pub fn read_evidence(bytes: &[u8], tables: &mut Tables) -> Result<(), Fault> {
    let mut words = Words::of(bytes)?;
    let pieces = words.whole.split_ascii_whitespace().count();
    if pieces.is_multiple_of(2) && words.count("samples", 1)? == 0 {
        return words.end();
    }
    for _ in 0..words.count("observations", MOST_NUMBERS)? {
        let node = words.variable(tables)?;
        let states = tables.nodes[node].states.len();
        let state = words.take("a state")?;
        match state.count(words.whole, "a state")? {
            at if at < states => tables.see_state(node, at),
            _ => {
                let what = format!("variable {node} has no state {}", state.short());
                return Err(state.fault(words.whole, what));
            }
        }
    }
    words.end()
}

/// Words parted by blanks, in the order read.
struct Words<'t> {
    whole: &'t str,
    rest: Box<dyn Iterator<Item = Piece<'t>> + 't>,
    last: Piece<'t>,
    held: usize,
}

impl<'t> Words<'t> {
    fn of(bytes: &'t [u8]) -> Result<Self, Fault> {
        let whole = fault::text(bytes)?;
        let start = whole.as_ptr() as usize;
        let lines = whole
            .lines()
            .filter(|line| *line != "c" && !line.starts_with("c "));
        let words = lines.flat_map(str::split_ascii_whitespace);
        let pieces = words.map(move |text| Piece {
            text,
            at: text.as_ptr() as usize - start,
        });
        Ok(Words {
            whole,
            rest: Box::new(pieces),
            last: Piece { text: "", at: 0 },
            held: 0,
        })
    }

    fn take(&mut self, wanted: &str) -> Result<Piece<'t>, Fault> {
        match self.rest.next() {
            Some(piece) => {
                self.last = piece;
                Ok(piece)
            }
            None => {
                let what = format!("the file ends where {wanted} belongs");
                Err(fault::fault(
                    self.whole,
                    self.whole.trim_end().len(),
                    1,
                    what,
                ))
            }
        }
    }

    /// A fault of the word taken last.
    fn fault(&self, what: impl Into<String>) -> Fault {
        self.last.fault(self.whole, what)
    }

    fn count(&mut self, of: &str, most: usize) -> Result<usize, Fault> {
        let count = self
            .take(&format!("the number of {of}"))?
            .count(self.whole, of)?;
        match count > most {
            true => Err(self.fault(format!("{count} {of}; at most {most} are read"))),
            false => Ok(count),
        }
    }

    /// Counts numbers that are kept in memory.
    fn hold(&mut self, numbers: usize) -> Result<(), Fault> {
        self.held = self.held.saturating_add(numbers);
        match self.held > MOST_NUMBERS {
            true => Err(self.fault(format!("more than {MOST_NUMBERS} numbers"))),
            false => Ok(()),
        }
    }

    fn variable(&mut self, tables: &Tables) -> Result<usize, Fault> {
        let piece = self.take("a variable")?;
        match piece.count(self.whole, "a variable")? {
            index if index < tables.nodes.len() => Ok(index),
            index => Err(self.fault(format!(
                "variable {index}, and there are 0 to {}",
                tables.nodes.len() as i64 - 1
            ))),
        }
    }

    /// The variables of a function, and the word that its scope starts with.
    fn scope(&mut self, tables: &Tables) -> Result<(Piece<'t>, Vec<usize>), Fault> {
        let size = self.count("variables of the function", MOST_VARIABLES)?;
        let start = self.last;
        let mut scope = Vec::new();
        for _ in 0..size {
            let variable = self.variable(tables)?;
            if scope.contains(&variable) {
                return Err(self.fault(format!("variable {variable} is twice in the function")));
            }
            scope.push(variable);
        }
        self.hold(scope.len())?;
        Ok((start, scope))
    }

    /// The numbers of a function over some variables.
    fn numbers(&mut self, tables: &Tables, scope: &[usize]) -> Result<Vec<f64>, Fault> {
        let states = scope.iter().map(|v| tables.nodes[*v].states.len());
        let size = states.clone().try_fold(1usize, usize::checked_mul);
        let size = size.filter(|size| *size <= MOST_NUMBERS);
        let said = self.count("numbers", MOST_NUMBERS)?;
        if size != Some(said) {
            let states: Vec<String> = states.map(|n| n.to_string()).collect();
            let what = format!(
                "{said} numbers for a function over {} states",
                states.join(" x ")
            );
            return Err(self.fault(what));
        }
        self.hold(said)?;
        let mut numbers = Vec::new();
        for _ in 0..said {
            numbers.push(self.take("a number")?.number(self.whole)?);
        }
        Ok(numbers)
    }

    fn bayes(
        &mut self,
        tables: &mut Tables,
        scopes: &[(Piece<'t>, Vec<usize>)],
    ) -> Result<(), Fault> {
        let mut heads: Vec<Option<Piece>> = vec![None; tables.nodes.len()];
        for (start, scope) in scopes {
            let Some((child, parents)) = scope.split_last() else {
                return Err(
                    start.fault(self.whole, "a function of no variable in a `BAYES` network")
                );
            };
            if heads[*child].replace(*start).is_some() {
                return Err(start.fault(self.whole, format!("variable {child} has two tables")));
            }
            tables.nodes[*child].parents = parents.to_vec();
        }
        if let Some(bare) = heads.iter().position(Option::is_none) {
            return Err(self.fault(format!("variable {bare} has no table")));
        }
        if let Err(circle) = tables.order() {
            let names: Vec<String> = circle.iter().map(usize::to_string).collect();
            let what = format!(
                "these depend on each other in a circle: {}",
                names.join(", ")
            );
            let at = circle.first().and_then(|i| heads[*i]).unwrap_or(self.last);
            return Err(at.fault(self.whole, what));
        }
        for (_, scope) in scopes {
            let mut table = self.numbers(tables, scope)?;
            let Some(child) = scope.last() else { continue };
            for row in table.chunks_exact_mut(tables.nodes[*child].states.len()) {
                if let Err(sum) = fault::normalise(row) {
                    let what = format!("a row of variable {child} adds up to {sum}, not to 1");
                    return Err(self.fault(what));
                }
            }
            tables.nodes[*child].table = table;
        }
        Ok(())
    }

    fn markov(
        &mut self,
        tables: &mut Tables,
        scopes: &[(Piece<'t>, Vec<usize>)],
    ) -> Result<(), Fault> {
        for (i, (_, scope)) in scopes.iter().enumerate() {
            let numbers = self.numbers(tables, scope)?;
            match scope.split_last() {
                Some((child, parents)) if is_table(tables, *child, parents, &numbers) => {
                    tables.nodes[*child].parents = parents.to_vec();
                    tables.nodes[*child].table = numbers;
                }
                _ => self.factor(tables, i, scope, numbers)?,
            }
        }
        for node in tables.nodes.iter_mut().filter(|node| node.table.is_empty()) {
            let states = node.states.len();
            node.table = vec![1.0 / states as f64; states];
            tables.ln_scale += (states as f64).ln();
        }
        Ok(())
    }

    /// A function that is no table of a variable: a likelihood, or a helper observed.
    fn factor(
        &mut self,
        tables: &mut Tables,
        number: usize,
        scope: &[usize],
        numbers: Vec<f64>,
    ) -> Result<(), Fault> {
        let most = numbers.iter().copied().fold(0.0, f64::max);
        if most == 0.0 {
            return Err(self.fault(format!("function {number} is nothing but zeros")));
        }
        tables.ln_scale += most.ln();
        let shares: Vec<f64> = numbers.iter().map(|x| x / most).collect();
        if let [one] = scope {
            tables.see(*one, &shares);
            return Ok(());
        }
        self.hold(shares.len())?;
        let helper = tables.nodes.len();
        tables.nodes.push(Node {
            name: format!("function {number}"),
            states: vec!["0".into(), "1".into()],
            parents: scope.to_vec(),
            table: shares.iter().flat_map(|x| [1.0 - x, *x]).collect(),
            helper: true,
            ..Node::default()
        });
        tables.see_state(helper, 1);
        Ok(())
    }

    fn end(&mut self) -> Result<(), Fault> {
        match self.rest.next() {
            None => Ok(()),
            Some(piece) => {
                let what = format!("`{}` where the file should end", piece.short());
                Err(piece.fault(self.whole, what))
            }
        }
    }
}

/// Whether a function can stand as the table of its last variable: each row adds
/// up to one, it has no table yet, and its parents come before it.
fn is_table(tables: &Tables, child: usize, parents: &[usize], numbers: &[f64]) -> bool {
    let node = &tables.nodes[child];
    let one =
        |row: &[f64]| (row.iter().sum::<f64>() - 1.0).abs() <= f64::EPSILON * row.len() as f64;
    node.table.is_empty()
        && parents.iter().all(|p| *p < child)
        && numbers.chunks_exact(node.states.len()).all(one)
}
