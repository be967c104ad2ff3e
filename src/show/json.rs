//! The JSON that the reading commands print; stable, documented in the README.

use crate::diagnose::doubt::Doubt;
use crate::diagnose::explain::{Explanation, Weight, decibans};
use crate::diagnose::next::{Next, TestOption};
use crate::diagnose::rank::{RankedCause, Ranking, System};
use crate::diagnose::surprise::Surprise;
use crate::diagnose::together::Together;
use crate::engine::Place;
use serde_json::{Value, json};

/// `rank --json`.
pub fn rank(
    job: &str,
    ranking: &Ranking,
    systems: &[System],
    surprises: &[Surprise],
    warnings: &[String],
    doubt: Option<&Doubt>,
) -> Value {
    let mut value = json!({
        "job": job,
        "causes": ranking.causes.iter().map(cause).collect::<Vec<_>>(),
        "kinds": ranking.kinds.iter().map(|k| {
            let mut kind = json!({
                "id": k.id, "title": k.title, "system": k.system,
                "probability": k.probability, "behind": k.behind, "prior": k.prior,
            });
            if let Some((low, high)) = doubt.and_then(|d| d.kinds.get(&k.id)) {
                kind["range"] = json!([low, high]);
            }
            kind
        }).collect::<Vec<_>>(),
        "roots": ranking.roots.iter().map(cause).collect::<Vec<_>>(),
        "systems": systems.iter().map(|(id, title, p)| json!({
            "id": id, "title": title, "probability": p,
        })).collect::<Vec<_>>(),
        "dangers": ranking.dangers.iter().map(|d| json!({
            "title": d.title, "text": d.text, "probability": d.probability,
        })).collect::<Vec<_>>(),
        "surprises": surprises.iter().map(|s| json!({
            "finding": s.finding, "where": s.place.to_string(), "said": s.said,
            "probability": s.probability, "prior": s.prior,
        })).collect::<Vec<_>>(),
        "warnings": warnings,
    });
    if !ranking.relaxed.is_empty() {
        value["relaxed"] = json!(ranking.relaxed);
    }
    if let Some(d) = doubt {
        value["doubt"] =
            json!({ "redraws": d.redraws, "seed": d.seed, "first_stays": d.first_stays });
    }
    value
}

fn cause(c: &RankedCause) -> Value {
    let mut value = json!({
        "id": c.id(), "kind": c.kind, "where": c.place.to_string(), "title": c.title,
        "system": c.system, "probability": c.probability, "behind": c.behind, "prior": c.prior,
    });
    if let Some((low, high)) = c.between {
        value["interval"] = json!([low, high]);
    }
    value
}

/// `next --json`.
pub fn next(next: &Next, together: &[Together]) -> Value {
    json!({
        "tests": next.tests.iter().map(test).collect::<Vec<_>>(),
        "together": together.iter().map(|t| json!({
            "tests": t.tests, "bits": t.bits, "error": t.error, "minutes": t.minutes, "apart": t.apart,
        })).collect::<Vec<_>>(),
        "wanting": next.wanting.iter().map(|(title, missing)| json!({
            "title": title, "equipment": missing,
        })).collect::<Vec<_>>(),
        "stop": next.stop,
    })
}

fn test(t: &TestOption) -> Value {
    json!({
        "id": t.id(), "title": t.title, "bits": t.bits, "error": t.error, "minutes": t.minutes,
        "bits_per_minute": t.bits_per_minute(),
        "needs": { "set_up": t.set_up, "equipment": t.equipment },
        "yields": t.yields.iter().map(|(finding, place)| match place {
            Place::Engine => finding.clone(),
            place => format!("{finding}@{place}"),
        }).collect::<Vec<_>>(),
    })
}

/// `explain --json`.
pub fn explain(e: &Explanation) -> Value {
    let weight = |w: &Weight| {
        json!({
            "said": w.said, "decibans": w.in_order, "left_out": w.left_out, "after": w.after,
        })
    };
    json!({
        "cause": e.cause,
        "where": e.place.map(|p| p.to_string()),
        "title": e.title,
        "base": e.base,
        "prior": e.prior,
        "posterior": e.posterior,
        "decibans": decibans(e.base, e.posterior),
        "history": e.history.iter().map(weight).collect::<Vec<_>>(),
        "readings": e.readings.iter().map(weight).collect::<Vec<_>>(),
    })
}
