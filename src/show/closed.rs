//! How a job stands: open, or closed with what it turned out to be.

use super::{STRONG, styled, wrapped};
use crate::job::{Job, Said};
use crate::money::Currency;
use crate::rules::Rules;
use crate::words::{listed, three_figures};
use serde_json::{Value, json};

/// The page.
pub fn page(rules: &Rules, job: &Job, money: &Currency, width: usize) -> String {
    let Some(closure) = &job.closed else {
        return wrapped(
            "The job is open. `close --found CAUSE[@WHERE]` closes it with what it turned out to be, `close --nothing-found` with nothing.",
            width,
            0,
        );
    };
    let it = &closure.it;
    let title = |id: &String| -> String {
        let (kind, at) = id.split_once('@').unwrap_or((id, ""));
        let title = rules.causes.get(kind).map_or(kind, |c| c.title.as_str());
        match at.parse::<crate::engine::Place>() {
            Ok(place) => place.after(title),
            Err(_) => title.to_string(),
        }
    };
    let found: Vec<String> = it.found.iter().map(title).collect();
    let mut lines = vec![styled(
        STRONG,
        wrapped(
            &match found.is_empty() {
                true => "Closed: no fault found where it was looked for.".to_string(),
                false => format!("Closed: {}.", found.join("; ")),
            },
            width,
            2,
        ),
    )];
    let mut line = |head: &str, text: String| {
        if !text.is_empty() {
            lines.push(wrapped(&format!("{head}: {text}"), width, head.len() + 2));
        }
    };
    line("Confirmed by", it.confirmed.clone());
    line("Done", it.done.join(", "));
    let unit = if money.is_money() {
        money.code.as_str()
    } else {
        "h"
    };
    line(
        "Cost",
        it.cost
            .map_or(String::new(), |c| format!("{} {unit}", three_figures(c))),
    );
    line("Hours", it.hours.map_or(String::new(), three_figures));
    line(
        "The estimate for that work",
        it.estimate.map_or(String::new(), |e| {
            format!(
                "{} to {} {unit}, middle {}",
                three_figures(e[0]),
                three_figures(e[2]),
                three_figures(e[1])
            )
        }),
    );
    let retest: Vec<String> = closure.retest.iter().map(Said::to_string).collect();
    line("After the repair", listed(&retest, "and"));
    for (time, with) in &closure.comebacks {
        line("Came back", format!("{}: {with}", time.short()));
    }
    lines.join("\n")
}

/// The same as JSON.
pub fn json(name: &str, job: &Job) -> Value {
    let closed = job.closed.as_ref().map(|c| {
        json!({
            "time": c.time.to_string(),
            "found": c.it.found,
            "confirmed": c.it.confirmed,
            "done": c.it.done,
            "cost": c.it.cost,
            "hours": c.it.hours,
            "estimate": c.it.estimate,
            "retest": c.retest.iter().map(Said::to_string).collect::<Vec<_>>(),
            "comebacks": c.comebacks.iter().map(|(t, w)| json!({"time": t.to_string(), "with": w})).collect::<Vec<_>>(),
        })
    });
    json!({"job": name, "closed": closed})
}
