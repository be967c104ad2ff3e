//! Reading: blocks in the order of the file, every variable before its use.

use super::token::{Kind, Tokens};
use super::{LIKELIHOOD, TITLE};
use crate::network::exchange::fault::{self, Fault, MOST_NUMBERS, MOST_VARIABLES, Piece};
use crate::network::exchange::tables::{Node, Tables};
use std::collections::BTreeMap;

/// Reads a network. Rows are made to add up to one exactly; properties that
/// say what was observed ([`super::write`] writes them) become evidence.
///
/// # Errors
/// The first fault of the text with its place: no UTF-8, not the format, a
/// name twice or unknown, a variable without or with two tables, a table that
/// is incomplete or a row that does not add up to one, variables that depend
/// on each other in a circle, more than [`MOST_VARIABLES`] or [`MOST_NUMBERS`].
pub fn read(bytes: &[u8]) -> Result<Tables, Fault> {
    let whole = fault::text(bytes)?;
    let mut reader = Reader {
        whole,
        tokens: Tokens::of(whole)?,
        tables: Tables::default(),
        by_name: BTreeMap::new(),
        names: Vec::new(),
        heads: Vec::new(),
        numbers: 0,
    };
    loop {
        let (kind, piece) = reader.tokens.peek();
        match (kind, piece.text) {
            (Kind::End, _) => return reader.finish(),
            (Kind::Word, "network") => reader.network()?,
            (Kind::Word, "variable") => reader.variable()?,
            (Kind::Word, "probability") => reader.probability()?,
            _ => {
                let wanted = "`network`, `variable` or `probability`";
                return Err(reader.tokens.unexpected(wanted));
            }
        }
    }
}

struct Reader<'t> {
    whole: &'t str,
    tokens: Tokens<'t>,
    tables: Tables,
    by_name: BTreeMap<&'t str, usize>,
    /// Where each variable's name stands.
    names: Vec<Piece<'t>>,
    /// Where the table of each variable starts.
    heads: Vec<Option<Piece<'t>>>,
    numbers: usize,
}

impl<'t> Reader<'t> {
    fn network(&mut self) -> Result<(), Fault> {
        self.tokens.expect("network")?;
        if self.tokens.peek().1.text != "{" {
            self.tokens.word("a name")?;
        }
        self.tokens.expect("{")?;
        while !self.tokens.accept("}")? {
            self.property()?;
        }
        Ok(())
    }

    /// `property ... ;`, its texts joined.
    fn property(&mut self) -> Result<(Piece<'t>, String), Fault> {
        let start = self.tokens.expect("property")?;
        let mut words = Vec::new();
        while !self.tokens.accept(";")? {
            words.push(self.tokens.word("`;`")?.text);
        }
        Ok((start, words.join(" ")))
    }

    fn variable(&mut self) -> Result<(), Fault> {
        self.tokens.expect("variable")?;
        let name = self.tokens.word("a name")?;
        let index = self.names.len();
        if index >= MOST_VARIABLES {
            return Err(name.fault(self.whole, format!("more than {MOST_VARIABLES} variables")));
        }
        if self.by_name.insert(name.text, index).is_some() {
            return Err(name.fault(self.whole, format!("`{}` is there twice", name.short())));
        }
        self.names.push(name);
        self.heads.push(None);
        let mut node = Node {
            name: name.text.to_string(),
            ..Node::default()
        };
        let mut likelihood = None;
        self.tokens.expect("{")?;
        while !self.tokens.accept("}")? {
            match self.tokens.peek().1.text {
                "type" => node.states = self.states(&node)?,
                "property" => {
                    let (start, text) = self.property()?;
                    match text.split_once(' ') {
                        Some((TITLE, title)) => node.title = title.to_string(),
                        Some((LIKELIHOOD, numbers)) => {
                            likelihood = Some((start, numbers.to_string()))
                        }
                        _ => {}
                    }
                }
                _ => return Err(self.tokens.unexpected("`type`, `property` or `}`")),
            }
        }
        if node.states.is_empty() {
            return Err(name.fault(self.whole, format!("`{}` has no states", name.short())));
        }
        if let Some((start, numbers)) = likelihood {
            let seen = self.likelihood(start, &numbers, node.states.len())?;
            self.tables.seen.insert(index, seen);
        }
        self.tables.nodes.push(node);
        Ok(())
    }

    /// `type discrete [ 2 ] { no, yes };`
    fn states(&mut self, node: &Node) -> Result<Vec<String>, Fault> {
        let start = self.tokens.expect("type")?;
        if !node.states.is_empty() {
            return Err(start.fault(self.whole, format!("`{}` has two types", node.name)));
        }
        self.tokens.expect("discrete")?;
        self.tokens.expect("[")?;
        let said = self.tokens.word("the number of states")?;
        let count = said.count(self.whole, "states")?;
        self.tokens.expect("]")?;
        self.tokens.expect("{")?;
        let mut states: Vec<String> = Vec::new();
        while !self.tokens.accept("}")? {
            let state = self.tokens.word("the name of a state or `}`")?;
            if states.iter().any(|s| s == state.text) {
                let what = format!("`{}` has the state `{}` twice", node.name, state.short());
                return Err(state.fault(self.whole, what));
            }
            states.push(state.text.to_string());
        }
        self.tokens.expect(";")?;
        if states.len() != count {
            let what = format!(
                "`{}` is said to have {count} states and has {}",
                node.name,
                states.len()
            );
            return Err(said.fault(self.whole, what));
        }
        Ok(states)
    }

    fn likelihood(&self, start: Piece, numbers: &str, states: usize) -> Result<Vec<f64>, Fault> {
        let number = |text: &str| {
            text.parse()
                .ok()
                .filter(|l: &f64| l.is_finite() && *l >= 0.0)
        };
        let read: Option<Vec<f64>> = numbers.split_whitespace().map(number).collect();
        read.filter(|l| l.len() == states).ok_or_else(|| {
            start.fault(
                self.whole,
                format!("a likelihood needs {states} numbers from 0 up, one for each state"),
            )
        })
    }

    /// A variable that was declared.
    fn known(&mut self) -> Result<(usize, Piece<'t>), Fault> {
        let name = self.tokens.word("the name of a variable")?;
        match self.by_name.get(name.text) {
            Some(index) => Ok((*index, name)),
            None => Err(name.fault(
                self.whole,
                format!("no variable is called `{}`", name.short()),
            )),
        }
    }

    fn probability(&mut self) -> Result<(), Fault> {
        self.tokens.expect("probability")?;
        self.tokens.expect("(")?;
        let (child, name) = self.known()?;
        if self.heads[child].replace(name).is_some() {
            return Err(name.fault(self.whole, format!("`{}` has two tables", name.short())));
        }
        let mut parents = Vec::new();
        while !self.tokens.accept(")")? {
            let (parent, at) = self.known()?;
            if parents.contains(&parent) || parent == child {
                let what = match parent == child {
                    true => format!("`{}` is its own parent", at.short()),
                    false => format!("`{}` is a parent twice", at.short()),
                };
                return Err(at.fault(self.whole, what));
            }
            parents.push(parent);
        }
        let states = |i: &usize| self.tables.nodes[*i].states.len();
        let own = states(&child);
        let rows = parents
            .iter()
            .try_fold(1usize, |n, p| n.checked_mul(states(p)));
        let size = rows.and_then(|rows| rows.checked_mul(own));
        let size = size.filter(|size| self.numbers.saturating_add(*size) <= MOST_NUMBERS);
        let Some(size) = size else {
            let what = format!(
                "with the table of `{}` there are more than {MOST_NUMBERS} numbers",
                name.short()
            );
            return Err(name.fault(self.whole, what));
        };
        self.numbers += size;
        let table = self.table(name, &parents, own, size / own)?;
        let node = &mut self.tables.nodes[child];
        node.parents = parents;
        node.table = table;
        Ok(())
    }

    /// The body of a probability block.
    fn table(
        &mut self,
        name: Piece,
        parents: &[usize],
        own: usize,
        rows: usize,
    ) -> Result<Vec<f64>, Fault> {
        let mut table = vec![f64::NAN; own * rows];
        let mut default = None;
        self.tokens.expect("{")?;
        while !self.tokens.accept("}")? {
            let (kind, piece) = self.tokens.peek();
            match (kind, piece.text) {
                (Kind::Word, "table") => {
                    self.tokens.take()?;
                    let numbers = self.numbers(own * rows)?;
                    // The first variable named goes slowest, and that is the child.
                    for (i, p) in numbers.into_iter().enumerate() {
                        table[i % rows * own + i / rows] = p;
                    }
                }
                (Kind::Word, "default") => {
                    self.tokens.take()?;
                    default = Some(self.numbers(own)?);
                }
                (Kind::Mark, "(") => {
                    let row = self.row(parents)?;
                    if !table[row * own].is_nan() {
                        return Err(piece.fault(self.whole, "a row that is there already"));
                    }
                    let numbers = self.numbers(own)?;
                    table[row * own..][..own].copy_from_slice(&numbers);
                }
                (Kind::Word, "property") => {
                    self.property()?;
                }
                _ => return Err(self.tokens.unexpected("`table`, `default`, a row or `}`")),
            }
        }
        for (row, numbers) in table.chunks_exact_mut(own).enumerate() {
            if numbers[0].is_nan() {
                match &default {
                    Some(default) => numbers.copy_from_slice(default),
                    None => return Err(name.fault(self.whole, self.missing(name, parents, row))),
                }
            }
            if let Err(sum) = fault::normalise(numbers) {
                let row = self.row_name(parents, row);
                let what = format!("{row} of `{}` adds up to {sum}, not to 1", name.short());
                return Err(name.fault(self.whole, what));
            }
        }
        Ok(table)
    }

    /// The number of the row that `(state, state)` names.
    fn row(&mut self, parents: &[usize]) -> Result<usize, Fault> {
        self.tokens.expect("(")?;
        let mut row = 0;
        for parent in parents {
            let node = &self.tables.nodes[*parent];
            let state = self.tokens.word(&format!("a state of `{}`", node.name))?;
            let Some(number) = node.states.iter().position(|s| s == state.text) else {
                let what = format!("`{}` has no state `{}`", node.name, state.short());
                return Err(state.fault(self.whole, what));
            };
            row = row * node.states.len() + number;
        }
        self.tokens.expect(")")?;
        Ok(row)
    }

    /// So many numbers and the mark that ends them.
    fn numbers(&mut self, count: usize) -> Result<Vec<f64>, Fault> {
        let mut numbers = Vec::new();
        while numbers.len() < count {
            let wanted = format!("number {} of {count}", numbers.len() + 1);
            numbers.push(self.tokens.word(&wanted)?.number(self.whole)?);
        }
        match self.tokens.accept(";")? {
            true => Ok(numbers),
            false => Err(self
                .tokens
                .unexpected(&format!("`;` after {count} numbers"))),
        }
    }

    fn missing(&self, name: Piece, parents: &[usize], row: usize) -> String {
        format!("`{}` lacks {}", name.short(), self.row_name(parents, row))
    }

    fn row_name(&self, parents: &[usize], row: usize) -> String {
        if parents.is_empty() {
            return "the table".into();
        }
        let mut rest = row;
        let mut states = Vec::new();
        for parent in parents.iter().rev() {
            let node = &self.tables.nodes[*parent];
            states.push(node.states[rest % node.states.len()].as_str());
            rest /= node.states.len();
        }
        states.reverse();
        format!("the row ({})", states.join(", "))
    }

    fn finish(self) -> Result<Tables, Fault> {
        for (name, head) in self.names.iter().zip(&self.heads) {
            if head.is_none() {
                return Err(name.fault(self.whole, format!("`{}` has no table", name.short())));
            }
        }
        match self.tables.order() {
            Ok(_) => Ok(self.tables),
            Err(circle) => {
                let names: Vec<&str> = circle.iter().map(|i| self.names[*i].short()).collect();
                let what = format!(
                    "these depend on each other in a circle: {}",
                    names.join(", ")
                );
                let at = circle
                    .first()
                    .and_then(|i| self.heads[*i])
                    .unwrap_or(self.names[0]);
                Err(at.fault(self.whole, what))
            }
        }
    }
}
