//! The opened engine: measurements with their limits, and the stages.

use super::{Checker, to};
use crate::measure::Kind as Quantity;
use crate::measure::units::Unit;
use crate::rules::Kind;
use crate::rules::file::{Measure, WearLimit};
use crate::rules::node::Step;

impl Checker<'_> {
    /// What measurements and stages name must exist, and their figures be possible.
    pub(super) fn opened(&mut self) {
        let rules = self.rules;
        for (id, measure) in &rules.measures {
            self.measure(id, measure);
        }
        for (id, stage) in &rules.stages {
            let who = (Kind::Stage, id.as_str());
            self.traits(who, &[], &stage.on, &stage.not_on);
            self.basis(who, to!["basis"], &stage.basis);
            self.wants_all(who, "opens", Kind::Access, &stage.opens);
            self.wants_all(who, "measure", Kind::Measure, &stage.measure);
            self.wants_all(who, "look", Kind::Finding, &stage.look);
            for (list, lines) in [
                ("cautions", &stage.cautions),
                ("photograph", &stage.photograph),
                ("mark", &stage.mark),
                ("keep", &stage.keep),
                ("beware", &stage.beware),
                ("never_reuse", &stage.never_reuse),
            ] {
                self.lines(who, list, lines, false);
            }
            for (i, stop) in stage.stop.iter().enumerate() {
                self.traits(who, to!["stop", i], &stop.on, &[]);
                self.sentence(who, to!["stop", i, "found"], &stop.found);
                self.sentence(who, to!["stop", i, "then"], &stop.then);
            }
        }
    }

    fn measure(&mut self, id: &str, measure: &Measure) {
        let who = (Kind::Measure, id);
        self.traits(who, &[], &measure.on, &measure.not_on);
        self.basis(who, to!["basis"], &measure.basis);
        self.sentence(who, to!["says"], &measure.says);
        match measure.quantity.parse::<Quantity>() {
            Err(what) => self.refuse(who, to!["quantity"], what, None),
            Ok(kind) if Unit::named_of(&measure.unit, kind.dimensions()).is_none() => {
                let what = format!("`{}` is no unit of {}", measure.unit, kind.words());
                let hint = format!("its units are {}", kind.unit_names());
                self.refuse(who, to!["unit"], what, Some(hint));
            }
            Ok(_) => {}
        }
        let [least, most] = measure.between;
        if least >= most {
            let what = format!("`between` goes from {least} to {most}");
            let hint = "the smaller figure first".to_string();
            self.refuse(who, to!["between"], what, Some(hint));
        }
        if !(measure.error > 0.0 && measure.setting_error >= 0.0) {
            let what = "the error of the instrument must be above 0".to_string();
            self.refuse(who, to!["error"], what, None);
        }
        for (v, value) in measure.gives.iter().enumerate() {
            if let Some(finding) = &value.finding {
                let at = to!["gives", v, "finding"];
                self.wants(who, at, Kind::Finding, finding);
                let grades = self.rules.findings.get(finding).map(|f| f.grades.len());
                if grades.is_some_and(|n| n != 3) {
                    let what = format!("`{finding}` must have three grades: inside, near, out");
                    self.refuse(who, at, what, None);
                }
            }
            for (i, limit) in value.limits.iter().enumerate() {
                let at: &[Step] = to!["gives", v, "limits", i];
                self.traits(who, at, &limit.on, &limit.not_on);
                self.basis(who, &[at, to!["basis"]].concat(), &limit.basis);
                if let Some(what) = impossible(limit) {
                    self.refuse(who, at, what, None);
                }
                if let Some(per) = &limit.per {
                    self.wants(who, &[at, to!["per"]].concat(), Kind::Measure, per);
                }
            }
        }
    }
}

/// What is wrong with the figures of a limit.
fn impossible(limit: &WearLimit) -> Option<String> {
    let figures = [limit.most, limit.least];
    if figures.iter().flatten().count() != 1 {
        return Some("a limit says `most` or `least`, one of the two".into());
    }
    if figures
        .iter()
        .flatten()
        .any(|v| !(*v > 0.0 && v.is_finite()))
    {
        return Some("a limit must be above 0".into());
    }
    let named = Unit::named(&limit.unit).is_some();
    match &limit.per {
        Some(_) if !limit.unit.is_empty() => {
            Some("a limit with `per` is a share and has no unit".into())
        }
        None if !named => Some(format!("`{}` is no unit", limit.unit)),
        _ => None,
    }
}
