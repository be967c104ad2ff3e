//! What `rules check` says: problems, coverage, footing, look-alikes.

use super::table::{Column, figures, table, words};
use super::{ALARM, STRONG, percent, styled, wrapped};
use crate::problem::{Problem, Severity};
use crate::rules::coverage::{Alike, Coverage, FamilyCover};
use crate::rules::file::Footing;
use crate::rules::lookup::Named;
use crate::rules::{Kind, Rules};
use crate::words::{count, listed};
use serde_json::{Value, json};
use std::cmp::Ordering::Equal;

/// How many look-alikes are listed.
const MOST_PAIRS: usize = 20;

/// The whole answer of the check.
pub struct Check<'r> {
    /// The rules.
    pub rules: &'r Rules,
    /// Every problem.
    pub problems: &'r [Problem],
    /// What the rules cover.
    pub coverage: &'r Coverage,
}

impl Check<'_> {
    /// Number of errors.
    pub fn errors(&self) -> usize {
        self.problems
            .iter()
            .filter(|p| p.severity == Severity::Error)
            .count()
    }

    /// As text, no wider than `width` columns (quoted lines as long as they are).
    pub fn page(&self, width: usize) -> String {
        let mut parts: Vec<String> = Vec::new();
        for severity in [Severity::Warning, Severity::Error] {
            let some = self.problems.iter().filter(|p| p.severity == severity);
            parts.extend(some.map(ToString::to_string));
        }
        parts.push(self.systems(width));
        parts.push(self.topics(width));
        parts.push(self.families(width));
        parts.push(self.footing(width));
        parts.extend(self.overridden());
        parts.extend(self.removed());
        parts.extend(self.alike(width));
        parts.extend(self.quiet(width));
        let errors = self.errors();
        let warnings = count(self.problems.len() - errors, "warning");
        let errors = match errors {
            0 => count(0, "error"),
            n => styled(ALARM, count(n, "error")),
        };
        parts.push(format!("{errors}, {warnings}"));
        parts.join("\n\n")
    }

    fn systems(&self, width: usize) -> String {
        let rows = (self.coverage.systems.iter())
            .map(|s| {
                vec![
                    s.title.clone(),
                    s.causes.to_string(),
                    s.links.to_string(),
                    s.repairs.to_string(),
                ]
            })
            .collect();
        let columns = [
            words("System"),
            figures("causes"),
            figures("links"),
            figures("repairs"),
        ];
        summed(&columns, rows, width)
    }

    fn topics(&self, width: usize) -> String {
        let rows = (self.coverage.topics.iter())
            .map(|t| vec![t.title.clone(), t.findings.to_string(), t.tests.to_string()])
            .collect();
        let columns = [
            words("Findings about"),
            figures("findings"),
            figures("tests"),
        ];
        table(&columns, rows, width)
    }

    fn families(&self, width: usize) -> String {
        let families = &self.coverage.families;
        let rows = (families.iter())
            .map(|f| {
                vec![
                    f.title.clone(),
                    f.causes.to_string(),
                    f.findings.to_string(),
                    f.tests.to_string(),
                ]
            })
            .collect();
        let columns = [
            words("Family"),
            figures("causes"),
            figures("findings"),
            figures("tests"),
        ];
        let mut text = table(&columns, rows, width);
        for family in families.iter().filter(|f| !f.blind.is_empty()) {
            let titles = self.titles(Kind::Cause, &family.blind);
            let line = format!(
                "On `{}` no test shows: {}.",
                family.title,
                titles.join("; ")
            );
            text = format!("{text}\n{}", wrapped(&line, width, 2));
        }
        if let Some(line) = self.broadest() {
            text = format!("{text}\n{}", wrapped(&line, width, 2));
        }
        text
    }

    /// The cause that shows the greatest share of what an engine can show.
    fn broadest(&self) -> Option<String> {
        let share = |f: &FamilyCover| f.broadest.as_ref().map(|b| b.1 as f64 / f.findings as f64);
        let families = self.coverage.families.iter();
        let family = families.max_by(|a, b| share(a).partial_cmp(&share(b)).unwrap_or(Equal))?;
        let (cause, _) = family.broadest.as_ref()?;
        let title = self
            .titles(Kind::Cause, std::slice::from_ref(cause))
            .concat();
        let share = percent(share(family).filter(|share| share.is_finite())?);
        Some(format!(
            "The broadest cause shows {share} of all findings: {title}, on {}.",
            family.title
        ))
    }

    fn titles(&self, kind: Kind, ids: &[String]) -> Vec<String> {
        let title = |id: &String| match self.rules.entry(kind, id) {
            Some(entry) => entry.title.to_string(),
            None => id.clone(),
        };
        ids.iter().map(title).collect()
    }

    fn footing(&self, width: usize) -> String {
        let all: usize = self.coverage.footing.values().sum();
        let share = |n: usize| match all {
            0 => percent(0.0),
            _ => percent(n as f64 / all as f64),
        };
        let names = [
            (Footing::Published, "published"),
            (Footing::Practice, "common practice"),
            (Footing::Judgement, "judgement"),
        ];
        let shares: Vec<String> = (names.into_iter())
            .map(|(footing, name)| {
                let n = self.coverage.footing.get(&footing).copied().unwrap_or(0);
                format!("{name} {}", share(n))
            })
            .collect();
        let text = format!(
            "{}: {}. The fact behind {} of them stands in a source, whatever the footing of the number.",
            count(all, "number"),
            listed(&shares, "and"),
            share(self.coverage.sourced)
        );
        wrapped(&text, width, 0)
    }

    fn overridden(&self) -> Option<String> {
        let over: Vec<Named> = (Kind::ALL.into_iter())
            .flat_map(|kind| self.rules.entries(kind))
            .filter(|entry| entry.overrides.is_some())
            .collect();
        let lines: Vec<String> = (over.iter())
            .filter_map(|e| {
                Some(format!(
                    "  {} {} ({}) over {}",
                    e.kind, e.id, e.at, e.overrides?
                ))
            })
            .collect();
        let head = styled(STRONG, "Changed by your rules");
        (!lines.is_empty()).then(|| format!("{head}\n{}", lines.join("\n")))
    }

    fn removed(&self) -> Option<String> {
        let lines: Vec<String> = (self.rules.removed.iter())
            .map(|r| {
                let kind = r.kind.map_or("chance word".into(), |kind| kind.to_string());
                let key = r.key.as_ref().map(|key| format!("{key} of "));
                let (id, at, under) = (&r.id, &r.at, &r.under);
                format!(
                    "  {}{kind} {id} ({at}), was {under}",
                    key.unwrap_or_default()
                )
            })
            .collect();
        let head = styled(STRONG, "Taken away by your rules");
        (!lines.is_empty()).then(|| format!("{head}\n{}", lines.join("\n")))
    }

    fn alike(&self, width: usize) -> Option<String> {
        let alike = &self.coverage.alike;
        let rows: Vec<Vec<String>> = alike
            .iter()
            .take(MOST_PAIRS)
            .map(|pair| self.pair(pair))
            .collect();
        if rows.is_empty() {
            return None;
        }
        let columns = [
            words("No test tells these apart well"),
            words("from these"),
            figures("overlap"),
            words("worst on"),
        ];
        let mut text = table(&columns, rows, width);
        if alike.len() > MOST_PAIRS {
            let more = format!(
                "and {} (--json lists all)",
                count(alike.len() - MOST_PAIRS, "more pair")
            );
            text = format!("{text}\n{more}");
        }
        Some(text)
    }

    fn pair(&self, alike: &Alike) -> Vec<String> {
        let (a, b) = &alike.pair;
        let titles = self.titles(Kind::Cause, &[a.clone(), b.clone()]);
        let family = self.titles(Kind::Family, std::slice::from_ref(&alike.family));
        [titles, vec![percent(alike.overlap)], family].concat()
    }

    fn quiet(&self, width: usize) -> Option<String> {
        let quiet = self.titles(Kind::Finding, &self.coverage.quiet);
        let text = format!("Findings that tell next to nothing: {}.", quiet.join("; "));
        (!quiet.is_empty()).then(|| wrapped(&text, width, 2))
    }

    /// As JSON.
    pub fn json(&self) -> Value {
        let c = self.coverage;
        json!({
            "errors": self.errors(),
            "warnings": self.problems.len() - self.errors(),
            "problems": self.problems.iter().map(problem).collect::<Vec<_>>(),
            "systems": c.systems.iter().map(|s| json!({
                "id": s.system, "title": s.title, "causes": s.causes, "links": s.links, "repairs": s.repairs,
            })).collect::<Vec<_>>(),
            "topics": c.topics.iter().map(|t| json!({
                "id": t.topic, "title": t.title, "findings": t.findings, "tests": t.tests,
            })).collect::<Vec<_>>(),
            "families": c.families.iter().map(|f| json!({
                "id": f.family, "title": f.title, "causes": f.causes, "findings": f.findings,
                "tests": f.tests, "blind": f.blind,
                "broadest": f.broadest.as_ref().map(|(cause, shown)| json!({"cause": cause, "findings": shown})),
            })).collect::<Vec<_>>(),
            "numbers": {
                "published": c.footing.get(&Footing::Published).copied().unwrap_or(0),
                "practice": c.footing.get(&Footing::Practice).copied().unwrap_or(0),
                "judgement": c.footing.get(&Footing::Judgement).copied().unwrap_or(0),
                "sourced": c.sourced,
            },
            "alike": c.alike.iter().map(|a| json!({
                "pair": [a.pair.0, a.pair.1], "overlap": a.overlap, "family": a.family,
            })).collect::<Vec<_>>(),
            "quiet": c.quiet,
            "removed": self.rules.removed.iter().map(|r| json!({
                "kind": r.kind.map(Kind::key), "id": r.id, "key": r.key,
                "at": r.at.to_string(), "was": r.under.to_string(),
            })).collect::<Vec<_>>(),
        })
    }
}

/// A table with the sums of its figures in a last row.
fn summed(columns: &[Column], mut rows: Vec<Vec<String>>, width: usize) -> String {
    let sums = (1..columns.len()).map(|i| {
        let figures = rows
            .iter()
            .filter_map(|row| row.get(i)?.parse::<usize>().ok());
        figures.sum::<usize>().to_string()
    });
    let sums: Vec<String> = std::iter::once("all".to_string()).chain(sums).collect();
    rows.push(sums);
    table(columns, rows, width)
}

fn problem(problem: &Problem) -> Value {
    json!({
        "severity": problem.severity.to_string(),
        "what": problem.what,
        "file": problem.at.as_ref().map(|at| &at.file),
        "line": problem.at.as_ref().map(|at| at.line),
        "column": problem.at.as_ref().map(|at| at.column),
        "hint": problem.hint,
    })
}
