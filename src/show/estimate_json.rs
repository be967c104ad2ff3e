//! The JSON of `estimate`: amounts in the currency's smallest unit.

use super::estimate_full::footing;
use super::worth::stands_json;
use crate::decide::case::{LineCase, Weighed};
use crate::decide::cost::{Cost, Line, LineKind};
use crate::decide::desk::Desk;
use crate::decide::estimate::{Choice, Estimate};
use crate::rules::file::CauseSort;
use serde_json::{Value, json};
use std::collections::BTreeSet;

/// `estimate --json`: amounts in smallest units of the currency.
pub fn estimate(job: &str, e: &Estimate, desk: &Desk) -> Value {
    let money = &desk.pricer.pricing.currency;
    json!({
        "job": job,
        "currency": currency(desk),
        "unit": if money.is_money() { "smallest unit" } else { "hundredth of an hour" },
        "decimals": money.digits,
        "best": e.best.map(|b| &e.choices[b].id),
        "stands": stands_json(e, desk),
        "choices": e.choices.iter().map(choice_json).collect::<Vec<_>>(),
        "case": e.case.iter().map(case_json).collect::<Vec<_>>(),
        "ruled_out": e.ruled_out.iter().map(|r| json!({
            "title": r.title, "was": r.was, "now": r.now, "by": r.by,
        })).collect::<Vec<_>>(),
        "begin_with": e.begin_with.as_ref().map(|t| json!({
            "test": t.id(), "title": t.title, "minutes": t.minutes,
        })),
        "unpriced": e.unpriced,
        "behind": e.behind.iter().map(|b| json!({
            "kind": b.kind, "title": b.title, "root": b.sort == CauseSort::Root,
            "probability": b.present, "behind": b.behind,
        })).collect::<Vec<_>>(),
        "while_open": e.while_open.iter().map(|w| json!({
            "repair": w.repair, "title": w.title, "cause": w.cause, "probability": w.present, "adds": w.adds,
        })).collect::<Vec<_>>(),
        "meanwhile": e.meanwhile.as_ref().map(|m| json!({
            "title": m.title, "says": m.says, "probability": m.probability,
        })),
        "watch": { "look_at": e.watch.look_at, "stop_when": e.watch.stop_when },
    })
}

/// ISO 4217 code; none where the estimate is in hours.
pub(super) fn currency(desk: &Desk) -> Value {
    let money = &desk.pricer.pricing.currency;
    match money.is_money() {
        true => json!(money.code),
        false => Value::Null,
    }
}

fn choice_json(c: &Choice) -> Value {
    json!({
        "id": c.id, "title": c.title,
        "repairs": c.package.work.iter().map(|(id, at)| json!({ "repair": id, "cylinders": at })).collect::<Vec<_>>(),
        "cost": {
            "p10": c.cost.points[0], "p50": c.cost.points[1], "p90": c.cost.points[2],
            "mean": c.cost.mean, "likely": c.cost.likely, "tax": c.cost.tax,
        },
        "hours": c.cost.hours, "days": [c.cost.days.0, c.cost.days.1],
        "cures": c.cures, "complaint_cured": c.cures, "cures_all": c.cures_all, "lasts": c.lasts,
        "comebacks": c.comebacks, "expected": c.expected, "weighed": c.weighed, "paid": c.paid,
        "stages": stages(c),
        "lines": c.cost.lines.iter().map(line_json).collect::<Vec<_>>(),
        "left": c.left.iter().map(|l| json!({
            "title": l.title, "root": l.sort == CauseSort::Root, "probability": l.probability,
        })).collect::<Vec<_>>(),
        "danger": c.danger, "unsupported": c.unsupported,
    })
}

/// What is done first and, if that does not cure it, then; none for what is done at once.
fn stages(c: &Choice) -> Vec<Value> {
    let Some(then) = &c.then else {
        return vec![];
    };
    let stage = |repairs: Vec<(&String, &BTreeSet<usize>)>, cost: &Cost, reached: f64| {
        json!({
            "repairs": repairs.iter().map(|(id, at)| json!({ "repair": id, "cylinders": at })).collect::<Vec<_>>(),
            "reached": reached, "p10": cost.points[0], "p50": cost.points[1], "p90": cost.points[2],
            "hours": cost.hours,
        })
    };
    let behind = |id: &String| then.package.work.contains_key(id);
    let first = c
        .package
        .work
        .iter()
        .filter(|(id, _)| !behind(id))
        .collect();
    vec![
        stage(first, &c.cost, 1.0),
        stage(then.package.work.iter().collect(), &then.cost, then.reached),
    ]
}

fn line_json(line: &Line) -> Value {
    let kind = match line.kind {
        LineKind::Access => "access",
        LineKind::Labour => "repair",
        LineKind::Part => "part",
        LineKind::Machine => "machine-work",
    };
    json!({
        "kind": kind, "id": line.id, "cylinders": line.cylinders, "count": line.count,
        "hours": line.hours.map(|h| [h.low, h.likely, h.high]),
        "low": line.price[0], "likely": line.price[1], "high": line.price[2], "priced": line.priced,
    })
}

fn case_json(case: &LineCase) -> Value {
    let weighed = |readings: &[Weighed]| -> Vec<Value> {
        readings
            .iter()
            .map(|(said, db)| json!({ "said": said, "decibans": db }))
            .collect()
    };
    json!({
        "repair": case.repair, "cylinders": case.cylinders, "supported": case.supported,
        "answers": case.answers.iter().map(|a| json!({
            "kind": a.kind, "title": a.title, "probability": a.probability, "prior": a.prior,
            "range": a.range, "mended": a.mended, "basis": footing(a.footing),
        })).collect::<Vec<_>>(),
        "for": weighed(&case.speaks_for), "against": weighed(&case.speaks_against),
        "hours_basis": footing(case.hours),
    })
}
