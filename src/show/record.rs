//! The record of a job: what is known of the engine and every reading taken,
//! with those that left the evidence.

use super::table::{figures, table, words};
use super::{FAINT, STRONG, styled, wrapped};
use crate::job::meaning::Reader;
use crate::job::{Holds, Job, Reading};
use crate::rules::Rules;
use serde_json::{Value, json};

/// The record as a page: complaint, facts, how it stands, readings.
pub fn page(job: &Job, reader: &Reader, width: usize) -> String {
    let rules = reader.rules;
    let mut parts = vec![];
    let mut line = |head: &str, text: String| {
        if !text.is_empty() {
            parts.push(wrapped(&format!("{head}: {text}"), width, head.len() + 2));
        }
    };
    line("Complaint", job.file.complaint.clone());
    let facts = |wanted: Holds| {
        let held = job.facts.iter().filter(|(_, holds)| **holds == wanted);
        let titles = held.map(|(id, _)| rules.facts.get(id).map_or(id.as_str(), |f| &f.title));
        titles.collect::<Vec<_>>().join("; ")
    };
    line("Known of its past", facts(Holds::Yes));
    line("Perhaps", facts(Holds::Perhaps));
    line("Not so", facts(Holds::No));
    let tried = job.tried.iter().map(|said| {
        let title = rules
            .repairs
            .get(&said.of)
            .map_or(said.of.as_str(), |r| &r.title);
        let at = said
            .at
            .as_ref()
            .map_or(String::new(), |at| format!(" at {at}"));
        format!("{title}{at}: {}", said.value.replace('-', " "))
    });
    line("Tried", tried.collect::<Vec<_>>().join("; "));
    let set_up = job.set_up.iter();
    let set_up = set_up.map(|id| rules.set_ups.get(id).map_or(id.as_str(), |s| &s.title));
    line("Stands", set_up.collect::<Vec<_>>().join("; "));
    if job.readings.is_empty() {
        parts.push("Nothing was recorded yet.".into());
        return parts.join("\n");
    }
    parts.push(String::new());
    let columns = [figures("No."), words("Reading"), words("taken"), words("")];
    let rows = job.readings.iter().map(|r| {
        let said = reader.in_words(&r.said);
        vec![
            r.number.to_string(),
            match r.gone {
                None => said,
                Some(_) => styled(FAINT, said),
            },
            r.time.short(),
            remarks(r, rules),
        ]
    });
    parts.push(table(&columns, rows.collect(), width));
    let gone = job.readings.iter().filter(|r| r.gone.is_some()).count();
    if gone > 0 {
        let text = format!("{gone} of {} no longer in the evidence", job.readings.len());
        parts.push(styled(STRONG, text));
    }
    parts.join("\n")
}

/// What else is known of a reading, in a few words.
fn remarks(reading: &Reading, rules: &Rules) -> String {
    let mut remarks = vec![];
    if let Some(gone) = &reading.gone {
        remarks.push(match gone.why.as_deref() {
            Some("undone") => "undone".to_string(),
            Some(why) => format!("retracted: {why}"),
            None => "retracted".to_string(),
        });
    }
    if reading.complaint {
        remarks.push("the complaint".to_string());
    }
    if reading.earlier {
        remarks.push("earlier, no evidence of today".to_string());
    }
    if let Some(test) = &reading.test {
        remarks.push(
            rules
                .tests
                .get(test)
                .map_or(test.clone(), |t| t.title.clone()),
        );
    }
    remarks.extend(reading.instrument.clone());
    remarks.extend(reading.note.clone());
    remarks.join("; ")
}

/// The record as JSON.
pub fn json(name: &str, job: &Job, reader: &Reader) -> Value {
    let engine = reader.engine;
    let said = |known: &std::collections::BTreeMap<String, Holds>| -> Value {
        let pairs = known.iter().map(|(id, holds)| {
            let value = match holds {
                Holds::Perhaps => json!("perhaps"),
                holds => json!(*holds == Holds::Yes),
            };
            (id.clone(), value)
        });
        Value::Object(pairs.collect())
    };
    let readings: Vec<Value> = (job.readings.iter())
        .map(|r| {
            json!({
                "number": r.number,
                "of": r.said.of,
                "where": r.said.at.as_deref().unwrap_or("engine"),
                "value": r.said.value,
                "words": reader.in_words(&r.said),
                "time": r.time.to_string(),
                "test": r.test,
                "instrument": r.instrument,
                "note": r.note,
                "complaint": r.complaint,
                "earlier": r.earlier,
                "retracted": r.gone.as_ref().map(|g| json!({"time": g.time.to_string(), "why": g.why})),
            })
        })
        .collect();
    json!({
        "job": name,
        "engine": {
            "name": engine.name,
            "family": engine.family,
            "traits": engine.traits,
            "banks": engine.banks,
            "dimensions": engine.dimensions,
        },
        "complaint": job.file.complaint,
        "facts": said(&job.facts),
        "tried": job.tried.iter().map(ToString::to_string).collect::<Vec<_>>(),
        "set_up": job.set_up,
        "tools": said(&job.tools),
        "readings": readings,
    })
}
