//! The estimate as a CSV table: a row for each choice, then one for each of its
//! lines; amounts in the currency, to its last unit.

use super::estimate::line_title;
use crate::decide::cost::LineKind;
use crate::decide::desk::Desk;
use crate::decide::estimate::{Choice, Estimate};

const HEAD: [&str; 17] = [
    "choice",
    "row",
    "what",
    "cylinders",
    "count",
    "hours_low",
    "hours_likely",
    "hours_high",
    "low",
    "likely",
    "high",
    "p10",
    "p50",
    "p90",
    "in_the_end",
    "cures",
    "currency",
];

/// The whole table.
///
/// # Errors
/// Never, in memory; what the writer says all the same.
pub fn table(e: &Estimate, desk: &Desk) -> Result<String, csv::Error> {
    let mut out = csv::Writer::from_writer(Vec::new());
    out.write_record(HEAD)?;
    for choice in &e.choices {
        for row in rows(choice, desk) {
            out.write_record(row)?;
        }
    }
    let bytes = out.into_inner().map_err(|e| e.into_error())?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

fn rows(choice: &Choice, desk: &Desk) -> Vec<[String; 17]> {
    let money = &desk.pricer.pricing.currency;
    let cost = &choice.cost;
    let amount = |minor: i64| money.number(minor);
    let hours = |h: [f64; 3]| h.map(|h| format!("{h:.2}"));
    let row = |kind: &str, what: String| {
        let mut row: [String; 17] = Default::default();
        (row[0], row[1], row[2]) = (choice.id.clone(), kind.into(), what);
        row[16] = money.code.clone();
        row
    };
    let mut whole = row("choice", choice.title.clone());
    whole[5..8].clone_from_slice(&hours(cost.hours));
    whole[9] = amount(cost.likely);
    whole[11..14].clone_from_slice(&cost.points.map(amount));
    whole[14] = amount(crate::money::whole(choice.expected));
    whole[15] = format!("{:.4}", choice.cures);
    let mut rows = vec![whole];
    for line in &cost.lines {
        let kind = match line.kind {
            LineKind::Access => "access",
            LineKind::Labour => "repair",
            LineKind::Part => "part",
            LineKind::Machine => "machine-work",
        };
        let mut it = row(
            kind,
            line_title(line, desk.d.rules, desk.d.engine.cylinders()),
        );
        let cylinders: Vec<String> = line.cylinders.iter().map(usize::to_string).collect();
        it[3] = cylinders.join(" ");
        it[4] = format!("{}", line.count);
        if let Some(h) = line.hours {
            it[5..8].clone_from_slice(&hours([h.low, h.likely, h.high]));
        }
        it[8..11].clone_from_slice(&line.price.map(amount));
        rows.push(it);
    }
    if cost.tax > 0 {
        let mut tax = row("tax", "Tax".into());
        tax[9] = amount(cost.tax);
        rows.push(tax);
    }
    rows
}
