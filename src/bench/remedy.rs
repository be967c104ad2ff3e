//! What the figures of all cylinders together call for: a hone, the oversize
//! that cleans up every bore, or liners; the undersize of a crankshaft.

use super::worked::{Judged, Standing};
use super::{Bench, Measured};
use crate::engine::Place;
use crate::measure::units::{self, Unit};
use crate::rules::file::Form;

/// Stock that a clean finish takes off a diameter, mm (common practice).
const FINISH_MM: f64 = 0.03;

/// What is to be done with bores or journals.
#[derive(Debug, Clone, PartialEq)]
pub enum Size {
    /// All inside: break the glaze and fit rings.
    Hone,
    /// This much larger (bores) or smaller (journals), in SI; `surely` when even
    /// wear all on one side is cleaned up.
    To {
        /// Step from the size when new.
        step: f64,
        /// Even if all wear is on one side.
        surely: bool,
    },
    /// No listed size cleans them all up.
    None,
}

/// A remedy for bores or for journals with its reason.
#[derive(Debug, Clone, PartialEq)]
pub struct Remedy {
    /// `bore`, `rod-journal`, `main-journal`.
    pub measure: String,
    /// What.
    pub size: Size,
    /// The place that decides.
    pub decides: Option<Place>,
    /// The greatest wear, in SI.
    pub wear: f64,
    /// In sentences.
    pub says: String,
}

/// The remedies for what comes in sizes.
pub fn sized(bench: &Bench, measured: &Measured, judged: &[Judged]) -> Vec<Remedy> {
    let mut out = vec![];
    for (id, entry) in bench
        .rules
        .measures
        .iter()
        .filter(|(_, m)| !m.sizes.is_empty())
    {
        let places: Vec<_> = measured
            .lines
            .iter()
            .filter(|((m, _), _)| m == id)
            .collect();
        let own = |it: &&Judged| it.measure.measure == *id;
        let out_of = judged
            .iter()
            .filter(own)
            .any(|it| it.standing == Some(Standing::Out));
        if places.is_empty() || (!out_of && entry.form != Form::Bore) {
            continue;
        }
        let unit = Unit::named(&entry.unit).unwrap_or(units::MM.into());
        let bore = entry.form == Form::Bore;
        let worst = places.iter().filter_map(|((_, place), line)| {
            let (most, least) = line
                .all()
                .fold((0.0f64, f64::INFINITY), |(m, l), v| (m.max(v), l.min(v)));
            let known = measured
                .own
                .new_size(id)
                .or(bore.then_some(bench.bore_new).flatten());
            let wear = match bore {
                true => most - known.unwrap_or(least),
                false => known.unwrap_or(most) - least,
            };
            wear.is_finite().then_some((*place, wear))
        });
        let Some((place, wear)) = worst.reduce(|a, b| if b.1 > a.1 { b } else { a }) else {
            continue;
        };
        out.push(remedy(id, &entry.sizes, unit, (place, wear), out_of, bore));
    }
    out
}

/// The step that cleans up the worst: wear on both sides needs as much as it is,
/// wear all on one side twice that, since the bore is cut on its own centre.
fn remedy(
    id: &str,
    sizes: &[f64],
    unit: Unit,
    worst: (Place, f64),
    out: bool,
    bore: bool,
) -> Remedy {
    let (place, wear) = worst;
    let finish = units::MM;
    let finish = Unit::from(finish).error_to_si(1.0, FINISH_MM);
    let steps: Vec<f64> = sizes.iter().map(|s| unit.error_to_si(1.0, *s)).collect();
    let first = |need: f64| {
        steps
            .iter()
            .copied()
            .filter(|s| *s >= need)
            .reduce(f64::min)
    };
    let size = match out {
        false => Size::Hone,
        true => match (first(2.0 * wear + finish), first(wear + finish)) {
            (Some(step), _) => Size::To { step, surely: true },
            (None, Some(step)) => Size::To {
                step,
                surely: false,
            },
            (None, None) => Size::None,
        },
    };
    let mm = |si: f64| crate::words::three_figures(si * 1000.0);
    let deepest = place.after(if bore {
        "the bore worn most"
    } else {
        "the journal worn most"
    });
    let says = match (&size, bore) {
        (Size::Hone, _) => "Every bore measured is inside its limits: break the glaze with a hone, keep the pistons if their clearance allows it, and fit new rings.".to_string(),
        (Size::To { step, surely }, true) => {
            let smaller = first(wear + finish).filter(|s| s < step);
            let mut says = format!(
                "Bore and hone all to {} mm over, one size for every cylinder so that the pistons weigh alike. {}, has {} mm of wear; worn all on one side it needs {} mm to clean up on its own centre, {} mm for the finish included.",
                mm(*step), crate::words::capital(&deepest), mm(wear), mm(2.0 * wear + finish), mm(finish)
            );
            if let Some(s) = smaller {
                says += &format!(" If the wear proves even all round, {} mm over is enough.", mm(s));
            }
            if !surely {
                says += " It cleans up only if the wear is even all round; cut that cylinder first.";
            }
            says
        }
        (Size::To { step, .. }, false) => format!(
            "Regrind all to {} mm under, with shells to match: {} is {} mm down. Crack-test the shaft first, and keep the radii.",
            mm(*step), deepest, mm(wear)
        ),
        (Size::None, true) => format!(
            "No listed oversize cleans up {deepest} ({} mm of wear): fit a liner, or replace block or barrel.", mm(wear)
        ),
        (Size::None, false) => format!(
            "No listed undersize cleans up {deepest} ({} mm down): replace or build up the shaft.", mm(wear)
        ),
    };
    Remedy {
        measure: id.to_string(),
        size,
        decides: Some(place),
        wear,
        says,
    }
}
