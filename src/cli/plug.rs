//! `plug`: records how a spark plug looks, by the names of the chart.

use super::record::{How, record};
use super::{Answer, no_such};
use crate::job::Said;
use crate::problem::{Problem, Problems};
use crate::rules::file::{Finding, Scope};
use crate::session::Session;
use crate::shell::recorded;
use clap::Args;
use std::collections::BTreeMap;
use std::io::Write;

/// Arguments of `plug`.
#[derive(Debug, Args)]
pub struct Plug {
    /// Whose plug: `3`, `3-upper`, `3-lower`, `1,2` or `all`; none lists the names of the chart
    #[arg(value_name = "WHERE")]
    pub at: Option<String>,
    /// How it looks, by name, such as `oil-wet`; several may hold; `normal` when none does
    #[arg(value_name = "CONDITION")]
    pub looks: Vec<String>,
    /// How it was seen.
    #[command(flatten)]
    pub how: How,
}

impl Plug {
    /// Records the looks of a plug, or lists the names.
    ///
    /// # Errors
    /// An engine without plugs, a name that the chart has not, no name at all,
    /// a place that the engine lacks, or the job cannot be saved.
    pub fn run(self, session: &mut Session, out: &mut dyn Write) -> Answer {
        let chart = chart(session);
        if chart.is_empty() {
            return Err(Problem::new("this engine has no spark plugs").into());
        }
        let Some(at) = &self.at else {
            return list(&chart, out);
        };
        let said = looks(&chart, at, &self.looks)?;
        if self.looks != ["normal"] {
            return record(session, &said, self.how, out);
        }
        let act = self.how.act(session)?;
        let new = session.record(&said, act)?;
        let numbers = format!("{} to {}", new.start + 1, new.end);
        writeln!(
            out,
            "recorded {numbers}: none of the chart's conditions on the plug, at {at}"
        )?;
        for line in recorded::warnings(session, new) {
            writeln!(out, "{line}")?;
        }
        Ok(())
    }
}

/// The conditions that a plug of this engine can be seen in, by short name.
fn chart(session: &Session) -> BTreeMap<String, Finding> {
    let traits = &session.engine.traits;
    (session.rules.findings.values())
        .filter(|f| f.scope == Scope::Plug && session.rules.applies(traits, &f.on, &f.not_on))
        .map(|f| {
            (
                f.finding.trim_start_matches("plug-").to_string(),
                f.it.clone(),
            )
        })
        .collect()
}

fn list(chart: &BTreeMap<String, Finding>, out: &mut dyn Write) -> Answer {
    let widest = chart.keys().map(String::len).max().unwrap_or(0);
    for (name, finding) in chart {
        writeln!(out, "{name:widest$}  {}", finding.title)?;
    }
    writeln!(out, "{:widest$}  None of these", "normal")?;
    Ok(())
}

/// One line for each condition named; `normal` says that none is there.
fn looks(
    chart: &BTreeMap<String, Finding>,
    at: &str,
    names: &[String],
) -> Result<Vec<Said>, Problems> {
    let line = |finding: &Finding, value: &str| Said {
        of: finding.finding.clone(),
        at: Some(at.into()),
        value: value.into(),
    };
    if names.is_empty() {
        return Err(vec![Problem::new("how does the plug look?").hint(
            "name one or more conditions, or `normal`; `plug` alone lists them",
        )]);
    }
    if names == ["normal"] {
        let judged = chart.values().filter(|f| f.measured.is_none());
        return Ok(judged.map(|f| line(f, "no")).collect());
    }
    let mut said = vec![];
    let mut problems = Problems::new();
    for name in names {
        let (name, value) = name.split_once('=').unwrap_or((name, "yes"));
        let short = name.to_lowercase();
        match chart.get(short.trim_start_matches("plug-")) {
            Some(finding) => said.push(line(finding, value)),
            None => {
                let list = "`plug` alone lists the names of the chart";
                problems.push(no_such("condition", &short, chart.keys(), list));
            }
        }
    }
    match problems.is_empty() {
        true => Ok(said),
        false => Err(problems),
    }
}
