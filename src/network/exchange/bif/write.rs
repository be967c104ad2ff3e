//! Writing: numbers as short as they can be read back without loss.

use super::{LIKELIHOOD, TITLE};
use crate::network::exchange::tables::{Node, Tables};
use std::collections::BTreeSet;
use std::fmt::Write;

/// Writes a network; `remarks` go on top as comments. What was observed stands
/// as a property of its variable (`likelihood`, a number for each state),
/// since the format itself holds no evidence. Names are made of the letters
/// that the format allows: `rings-stuck@3` becomes `rings-stuck_at_3`.
pub fn write(tables: &Tables, name: &str, remarks: &str) -> String {
    let mut out = String::new();
    for line in remarks.lines() {
        let _ = writeln!(out, "// {line}");
    }
    let mut taken = BTreeSet::new();
    let names: Vec<String> = tables
        .nodes
        .iter()
        .map(|node| plain(&node.name, "v", &mut taken))
        .collect();
    let states: Vec<Vec<String>> = tables.nodes.iter().map(states).collect();
    let _ = writeln!(
        out,
        "network {} {{\n}}",
        plain(name, "n", &mut BTreeSet::new())
    );
    for (i, node) in tables.nodes.iter().enumerate() {
        let (count, states) = (states[i].len(), states[i].join(", "));
        let _ = writeln!(
            out,
            "variable {} {{\n  type discrete [ {count} ] {{ {states} }};",
            names[i]
        );
        if !node.title.is_empty() {
            let _ = writeln!(out, "  property \"{TITLE} {}\";", quotable(&node.title));
        }
        if let Some(likelihood) = tables.seen.get(&i) {
            let _ = writeln!(
                out,
                "  property \"{LIKELIHOOD} {}\";",
                numbers(likelihood, " ")
            );
        }
        let _ = writeln!(out, "}}");
    }
    for (i, node) in tables.nodes.iter().enumerate() {
        table(&mut out, node, &names, &states, &names[i]);
    }
    out
}

fn table(out: &mut String, node: &Node, names: &[String], states: &[Vec<String>], name: &str) {
    if node.parents.is_empty() {
        let table = numbers(&node.table, ", ");
        let _ = writeln!(out, "probability ( {name} ) {{\n  table {table};\n}}");
        return;
    }
    let parents: Vec<&str> = node.parents.iter().map(|p| names[*p].as_str()).collect();
    let _ = writeln!(out, "probability ( {name} | {} ) {{", parents.join(", "));
    for (row, p) in node
        .table
        .chunks_exact(node.states.len().max(1))
        .enumerate()
    {
        let mut rest = row;
        let mut of: Vec<&str> = Vec::with_capacity(parents.len());
        for parent in node.parents.iter().rev() {
            let states = &states[*parent];
            of.push(&states[rest % states.len()]);
            rest /= states.len();
        }
        of.reverse();
        let _ = writeln!(out, "  ({}) {};", of.join(", "), numbers(p, ", "));
    }
    let _ = writeln!(out, "}}");
}

fn numbers(numbers: &[f64], between: &str) -> String {
    let texts: Vec<String> = numbers.iter().map(f64::to_string).collect();
    texts.join(between)
}

fn states(node: &Node) -> Vec<String> {
    let mut taken = BTreeSet::new();
    node.states
        .iter()
        .map(|state| plain(state, "s", &mut taken))
        .collect()
}

/// A text without what would end the quotation.
fn quotable(text: &str) -> String {
    text.replace(['"', '\n', '\r'], "'").trim().to_string()
}

/// A name of letters, digits, `-` and `_` that is not yet taken; it starts with
/// a letter, if need be with `first`.
fn plain(name: &str, first: &str, taken: &mut BTreeSet<String>) -> String {
    let name = name.replace('@', "_at_").replace('~', "_");
    let allowed = |c: char| {
        if c.is_ascii_alphanumeric() || c == '-' {
            c
        } else {
            '_'
        }
    };
    let mut plain: String = name.chars().map(allowed).collect();
    if !plain.starts_with(|c: char| c.is_ascii_alphabetic()) {
        plain.insert_str(0, first);
    }
    let stem = plain.clone();
    let mut number = 2;
    while !taken.insert(plain.clone()) {
        plain = format!("{stem}_{number}");
        number += 1;
    }
    plain
}
