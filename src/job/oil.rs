//! The checks of the oil that stand in a job, and the trend in them.

use super::Job;
use super::meaning::{Meaning, Reader};
use crate::engine::Engine;
use crate::gauge::oil_log::{OIL_CHECK, OilCheck};
use crate::gauge::oil_use::Running;
use crate::gauge::reduce::{Bench, Log, Logged, running};
use crate::gauge::shop::Workbench;
use crate::problem::Problems;
use crate::rules::Rules;

/// The checks that stand, in the order recorded.
pub(super) fn logged<'a>(rules: &'a Rules, engine: &Engine, job: &Job) -> Vec<Logged<'a>> {
    let Some(described) = rules.readings.get(OIL_CHECK) else {
        return vec![];
    };
    checks(rules, engine, job)
        .into_iter()
        .map(|(index, check)| Logged {
            index,
            reading: &described.it,
            check,
        })
        .collect()
}

/// The checks that stand with their indices into the job's readings, in the order recorded.
pub fn checks(rules: &Rules, engine: &Engine, job: &Job) -> Vec<(usize, OilCheck)> {
    let reader = Reader {
        rules,
        engine,
        units: job.file.units,
    };
    let standing = job.readings.iter().enumerate();
    standing
        .filter(|(_, reading)| reading.counts() && reading.said.of == OIL_CHECK)
        .filter_map(|(index, reading)| {
            let understood = reader.understand(&reading.said).ok()?;
            match understood.first()?.meaning {
                Meaning::OilCheck { check } => Some((index, check)),
                _ => None,
            }
        })
        .collect()
}

/// The log of the oil with its trend, how the engine is taken to run, and what
/// is wrong with the checks.
pub fn log(
    rules: &Rules,
    engine: &Engine,
    job: &Job,
    shop: &Workbench,
) -> (Option<Log>, Running, Problems) {
    let bench = Bench {
        engine,
        own: &job.file.engine.dimensions,
        shop,
        limits: rules.limits_for(&engine.traits),
        log: logged(rules, engine, job),
    };
    let mut problems = Problems::new();
    (Log::of(&bench, &mut problems), running(&bench), problems)
}
