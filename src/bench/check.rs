//! What cannot be, or looks odd, in the figures of one engine taken together.

use super::{Bench, Measured};
use crate::engine::Place;
use crate::problem::Problem;
use crate::rules::file::Form;

/// Bores of one engine that differ by more than this share are not of one engine.
const UNALIKE: f64 = 0.05;

/// What cannot be: a piston larger than its bore, bores of different engines.
pub fn impossible(measured: &Measured) -> Vec<Problem> {
    let mut problems = vec![];
    let of = |id: &str| {
        let id = id.to_string();
        measured.lines.iter().filter(move |((m, _), _)| *m == id)
    };
    for ((_, place), piston) in of("piston") {
        let Some(bore) = measured.lines.get(&("bore".into(), *place)) else {
            continue;
        };
        let least = bore.all().fold(f64::INFINITY, f64::min);
        let most = piston.all().fold(0.0, f64::max);
        if most >= least {
            let what = place.after("The bore is smaller than its piston");
            problems.push(Problem::new(what).hint(
                "measure both again; one of them is misread, or a figure is in another unit",
            ));
        }
    }
    let means: Vec<(Place, f64)> = of("bore")
        .map(|((_, place), line)| {
            let (sum, n) = line.all().fold((0.0, 0.0), |(s, n), v| (s + v, n + 1.0));
            (*place, sum / f64::max(n, 1.0))
        })
        .collect();
    if let Some((first, size)) = means.first() {
        for (place, other) in &means[1..] {
            if (other / size - 1.0).abs() > UNALIKE {
                let what = format!(
                    "{} and that of {first} differ by more than {:.0} %",
                    place.after("The bore"),
                    UNALIKE * 100.0
                );
                problems.push(Problem::new(what).hint("check the figures and their units"));
            }
        }
    }
    problems
}

/// What looks odd but is taken as it is.
pub fn odd(bench: &Bench, measured: &Measured) -> Vec<String> {
    let mut says = vec![];
    let (mut across, mut along) = (0, 0);
    for ((id, place), line) in &measured.lines {
        let Some(measure) = bench.rules.measures.get(id) else {
            continue;
        };
        if measure.form != Form::Bore {
            continue;
        }
        let sizes = &line.things[0];
        let missing = sizes.len() < 3 || sizes.iter().any(|d| d.len() < 2 || d.contains(&None));
        if missing {
            says.push(format!(
                "{}: depths or axes are missing, so taper and out-of-round may be more than is shown.",
                place.after(&measure.title)
            ));
        }
        match sizes.first().map(Vec::as_slice) {
            Some([Some(a), Some(b)]) if a - b > 2.0 * line.scatter => across += 1,
            Some([Some(a), Some(b)]) if b - a > 2.0 * line.scatter => along += 1,
            _ => {}
        }
    }
    if along > 1 && across == 0 {
        says.push("Every bore is larger along the pin than across it; bores wear across. Were the axes swapped?".into());
    }
    says
}
