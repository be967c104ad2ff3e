//! Every number must be possible: chances, weights, rates, bounds, ranges.

use super::{Checker, Who, to};
use crate::measure::units::Unit;
use crate::rules::Kind;
use crate::rules::file::{
    By, Chance, Finding, Link, MOST_CYLINDERS, Measured, Minutes, PartUse, Range3,
};
use crate::rules::node::Step;
use crate::words::nearest;

impl Checker<'_> {
    /// Numbers out of their range, unknown chance words, grades.
    pub(super) fn numbers(&mut self) {
        let rules = self.rules;
        for (id, cause) in &rules.causes {
            let who = (Kind::Cause, id.as_str());
            let rate = cause.base_rate.per_1000;
            if !(rate > 0.0 && rate < 1000.0) {
                let what = format!("a base rate of {rate} per thousand is out of range");
                let hint = "above 0 and below 1000".to_string();
                self.refuse(who, to!["base_rate", "per_1000"], what, Some(hint));
            }
            for (i, odds) in cause.more_common.iter().enumerate() {
                self.times(who, to!["more_common", i, "times"], odds.times);
                if odds.on.is_empty() && odds.not_on.is_empty() {
                    let what = "on which engines is not said".to_string();
                    let hint = "give the traits: `on: [aircraft]`".to_string();
                    self.refuse(who, to!["more_common", i], what, Some(hint));
                }
            }
            for (fact, odds) in &cause.history {
                self.times(who, to!["history", fact.as_str(), "times"], odds.times);
            }
            for (root, link) in &cause.brought_on_by {
                let at = to!["brought_on_by", root.as_str(), "chance"];
                self.chance(who, at, &link.chance);
            }
            for (finding, links) in &cause.shows {
                let unread = self.unread((Kind::Finding, finding), to!["grades"]);
                let of = rules.findings.get(finding).filter(|_| !unread);
                let of = of.map(|f| &f.it);
                for (at, link) in links.placed(to!["shows", finding.as_str()]) {
                    self.link(who, &at, link, of);
                }
            }
        }
        for (id, finding) in &rules.findings {
            let who = (Kind::Finding, id.as_str());
            self.grades(who, finding);
            let read = !self.unread(who, to!["grades"]);
            self.link(who, to!["sound"], &finding.sound, read.then_some(finding));
            if let Some(measured) = finding.measured.as_ref().filter(|_| read) {
                self.bounds(who, finding, measured);
            }
        }
        self.reading_numbers();
        self.work_numbers();
        self.family_numbers();
    }

    fn times(&mut self, who: Who, at: &[Step], times: f64) {
        if !(times > 0.0 && times <= 1000.0) {
            let what = format!("`times` is {times}, which is out of range");
            let hint = "above 0; 2 doubles the odds, 0.5 halves them".to_string();
            self.refuse(who, at, what, Some(hint));
        }
    }

    /// A chance must be a known word or 0 to 1; 0 says nothing.
    pub(super) fn chance(&mut self, who: Who, at: &[Step], chance: &Chance) {
        match (self.rules.known_chance(chance), chance) {
            (Some(p), _) if p > 0.0 => {}
            (Some(_), _) => {
                let what = "a chance of 0 says nothing".to_string();
                self.refuse(who, at, what, Some("leave the link out".into()));
            }
            (None, Chance::Number(p)) => {
                let what = format!("a chance of {p} is out of range");
                self.refuse(who, at, what, Some("above 0, at most 1".into()));
            }
            (None, Chance::Word(word)) if word.ends_with('%') => {
                let what = format!("a chance of `{word}` is out of range");
                self.refuse(who, at, what, Some("above 0 %, at most 100 %".into()));
            }
            (None, Chance::Word(word)) => {
                let words = &self.rules.words;
                let hint = match nearest(word, words.keys().map(String::as_str)) {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => {
                        let mut known: Vec<_> = words.iter().collect();
                        known.sort_by(|a, b| b.1.total_cmp(a.1));
                        let known: Vec<_> = known.into_iter().map(|(w, _)| w.as_str()).collect();
                        format!("{}, a number from 0 to 1, or `35%`", known.join(", "))
                    }
                };
                let what = format!("`{word}` is no chance word");
                self.refuse(who, at, what, Some(hint));
            }
        }
    }

    fn link(&mut self, who: Who, at: &[Step], link: &Link, finding: Option<&Finding>) {
        self.chance(who, &[at, to!["chance"]].concat(), &link.chance);
        for (grade, weight) in &link.grades {
            if !(*weight > 0.0 && *weight <= 1000.0) {
                let what = format!("the weight of `{grade}` is {weight}");
                let hint =
                    "weights are above 0, at most 1000; leave the grade out if it never shows";
                let at = [at, to!["as", grade.as_str()]].concat();
                self.refuse(who, &at, what, Some(hint.into()));
            }
        }
        let Some(finding) = finding else {
            return;
        };
        let above = finding.grades.get(1..).unwrap_or_default();
        let said = above.join(", ");
        for grade in link.grades.keys() {
            if above.contains(grade) {
                continue;
            }
            let mut place = [at, to!["as"]].concat();
            place.push(Step::Name(grade.clone()));
            let (what, hint) = if finding.grades.first() == Some(grade) {
                (
                    format!("`{grade}` is what a sound engine shows"),
                    format!("share the chance out over {said}"),
                )
            } else {
                let near = nearest(grade, above.iter().map(String::as_str));
                (
                    format!("`{}` has no grade `{grade}`", finding.finding),
                    near.map_or(format!("its grades are {said}"), |n| {
                        format!("did you mean `{n}`?")
                    }),
                )
            };
            self.refuse(who, &place, what, Some(hint));
        }
        if above.len() > 1 && link.grades.is_empty() {
            let what = format!(
                "`{}` has several grades: say in which it shows",
                finding.finding
            );
            let weights: Vec<String> = above.iter().map(|g| format!("{g}: 1")).collect();
            let hint = format!("write `as: {{{}}}`", weights.join(", "));
            let mut place = at.to_vec();
            if let Some(Step::Key(last)) = place.pop() {
                place.push(Step::Name(last));
            }
            self.refuse(who, &place, what, Some(hint));
        }
    }

    fn grades(&mut self, who: Who, finding: &Finding) {
        let at = to!["grades"];
        if finding.grades.len() < 2 {
            let what = "a finding has at least two grades".to_string();
            let hint = "what a sound engine shows, then the rest".to_string();
            self.refuse(who, at, what, Some(hint));
        }
        for (i, grade) in finding.grades.iter().enumerate() {
            if finding.grades[..i].contains(grade) {
                let what = format!("the grade `{grade}` is given twice");
                self.refuse(who, to!["grades", i], what, None);
            } else if !super::is_id(grade) {
                let what = format!("`{grade}` cannot be a grade");
                let hint = "a grade is lower-case words joined by hyphens".to_string();
                self.refuse(who, to!["grades", i], what, Some(hint));
            }
        }
    }

    fn bounds(&mut self, who: Who, finding: &Finding, measured: &Measured) {
        self.bounds_at(who, finding, measured, &measured.bounds, to!["measured"]);
        for (i, other) in measured.instead.iter().enumerate() {
            let at = to!["measured", "instead", i];
            self.bounds_at(who, finding, measured, &other.bounds, at);
            if other.bounds.len() > 1 && (other.bounds[0] > other.bounds[1]) != measured.falling() {
                let what = "these bounds run the other way than the usual ones".to_string();
                self.refuse(who, at, what, None);
            }
        }
    }

    fn bounds_at(
        &mut self,
        who: Who,
        finding: &Finding,
        measured: &Measured,
        bounds: &[f64],
        map: &[Step],
    ) {
        let at = &[map, to!["bounds"]].concat();
        let wanted = finding.grades.len().saturating_sub(1);
        if bounds.len() != wanted {
            let what = format!(
                "{} for {}",
                crate::words::count(bounds.len(), "bound"),
                crate::words::count(finding.grades.len(), "grade")
            );
            let hint = format!("one bound between each two grades: {wanted}");
            self.refuse(who, at, what, Some(hint));
        }
        let rising = bounds.windows(2).all(|two| two[0] < two[1]);
        let falling = bounds.windows(2).all(|two| two[0] > two[1]);
        if !rising && !falling {
            let what = "the bounds neither rise nor fall throughout".to_string();
            let hint = "from grade 0 outward, each beyond the one before".to_string();
            self.refuse(who, at, what, Some(hint));
        }
        if measured.falls && bounds.len() > 1 && rising {
            let what = "`falls` is said, but the bounds rise".to_string();
            self.refuse(who, to!["measured", "falls"], what, None);
        }
        let Some(reading) = self.rules.readings.get(&measured.reading) else {
            return;
        };
        let [least, most] = reading.between;
        for (i, bound) in bounds.iter().enumerate() {
            if measured.by == By::Raw && least < most && !(least..=most).contains(bound) {
                let what = format!("the bound {bound} is outside what the reading can be");
                let hint = format!("`{}` is {least} to {most}", measured.reading);
                self.refuse(who, &[at.as_slice(), to![i]].concat(), what, Some(hint));
            }
        }
    }

    fn reading_numbers(&mut self) {
        let rules = self.rules;
        for (id, reading) in &rules.readings {
            let who = (Kind::Reading, id.as_str());
            let [least, most] = reading.between;
            if least >= most {
                let what = format!("`between` goes from {least} to {most}");
                let hint = "the smaller figure first".to_string();
                self.refuse(who, to!["between"], what, Some(hint));
            }
            let kind = reading.quantity.parse::<crate::measure::Kind>();
            if let Err(what) = &kind {
                self.refuse(who, to!["quantity"], what.clone(), None);
            }
            let kind = kind.ok();
            let units = [
                ("unit", Some(&reading.unit)),
                ("metric", reading.metric.as_ref()),
                ("us", reading.us.as_ref()),
            ];
            for (key, unit) in units {
                if let (Some(kind), Some(unit)) = (kind, unit)
                    && Unit::named_of(unit, kind.dimensions()).is_none()
                {
                    let what = format!("`{unit}` is no unit of {}", kind.words());
                    let hint = format!("its units are {}", kind.unit_names());
                    self.refuse(who, to![key], what, Some(hint));
                }
            }
            let error = reading.error;
            if error < 0.0 || reading.error_share < 0.0 || error + reading.error_share <= 0.0 {
                let what = "the repeatability must be above 0".to_string();
                self.refuse(who, to!["error"], what, None);
            }
        }
        for (id, limit) in &rules.limits {
            let who = (Kind::Limit, id.as_str());
            if !(limit.most > 0.0 && limit.most.is_finite()) {
                let what = format!("a limit of {} is out of range", limit.most);
                self.refuse(who, to!["most"], what, Some("above 0".into()));
            }
            if Unit::named(&limit.unit).is_none() {
                let what = format!("`{}` is no unit", limit.unit);
                self.refuse(who, to!["unit"], what, None);
            }
        }
    }

    fn work_numbers(&mut self) {
        let rules = self.rules;
        for (id, test) in &rules.tests {
            self.minutes((Kind::Test, id), &test.minutes, true);
        }
        for (id, set_up) in &rules.set_ups {
            self.minutes((Kind::SetUp, id), &set_up.minutes, false);
        }
        for (id, repair) in &rules.repairs {
            let who = (Kind::Repair, id.as_str());
            self.range(who, &repair.hours);
            self.counts(who, "parts", &repair.parts);
            self.counts(who, "machine_work", &repair.machine_work);
            for (cause, link) in &repair.mends {
                let at = to!["mends", cause.as_str(), "chance"];
                self.chance(who, at, &link.chance);
            }
        }
        for (id, access) in &rules.accesses {
            self.range((Kind::Access, id), &access.hours);
            self.counts((Kind::Access, id), "renews", &access.renews);
        }
    }

    fn minutes(&mut self, who: Who, minutes: &Minutes, some: bool) {
        let Minutes { fixed, each } = *minutes;
        let whole = fixed + each;
        if fixed < 0.0 || each < 0.0 || whole > 10_000.0 || (some && whole <= 0.0) {
            let what = format!("{fixed} minutes and {each} for each cannot be right");
            self.refuse(who, to!["minutes"], what, None);
        }
    }

    fn range(&mut self, who: Who, hours: &Range3) {
        let Range3 { low, likely, high } = *hours;
        if !(0.0 <= low && low <= likely && likely <= high && high > 0.0 && high < 10_000.0) {
            let what = format!("{low}, {likely}, {high} hours are no low, likely and high");
            let hint = "each at least as large as the one before, none below 0".to_string();
            self.refuse(who, to!["hours"], what, Some(hint));
        }
    }

    fn counts(&mut self, who: Who, list: &str, uses: &[PartUse]) {
        for (i, part) in uses.iter().enumerate() {
            if !(part.count > 0.0 && part.count <= 1000.0) {
                let what = format!("{} of `{}` cannot be right", part.count, part.part);
                self.refuse(who, to![list, i, "count"], what, None);
            }
        }
    }

    fn family_numbers(&mut self) {
        let rules = self.rules;
        for (id, family) in &rules.families {
            let who = (Kind::Family, id.as_str());
            if !(1..=MOST_CYLINDERS).contains(&family.cylinders) {
                let what = format!("{} cylinders are out of range", family.cylinders);
                self.refuse(
                    who,
                    to!["cylinders"],
                    what,
                    Some(format!("1 to {MOST_CYLINDERS}")),
                );
            }
            if family.banks < 1 || family.banks > family.cylinders {
                let what = format!("{} banks are out of range", family.banks);
                let hint = "at least 1, at most one for each cylinder".to_string();
                self.refuse(who, to!["banks"], what, Some(hint));
            }
            let d = &family.dimensions;
            let figures = [
                ("bore_mm", d.bore_mm, 10.0, 1000.0),
                ("stroke_mm", d.stroke_mm, 10.0, 2000.0),
                ("rod_mm", d.rod_mm, 20.0, 4000.0),
                ("compression_ratio", d.compression_ratio, 3.0, 30.0),
                ("intake_closes_deg", d.intake_closes_deg, 0.0, 150.0),
                (
                    "compression_limit_kpa",
                    d.compression_limit_kpa,
                    100.0,
                    6000.0,
                ),
                (
                    "compression_normal_kpa",
                    d.compression_normal_kpa,
                    100.0,
                    6000.0,
                ),
                ("power_kw", d.power_kw, 0.1, 20_000.0),
                ("oil_litres", d.oil_litres, 0.05, 2000.0),
            ];
            for (key, figure, least, most) in figures {
                if let Some(figure) = figure
                    && !(least..=most).contains(&figure)
                {
                    let what = format!("`{key}` is {figure}, which is out of range");
                    let hint = format!("{least} to {most}");
                    self.refuse(who, to!["dimensions", key], what, Some(hint));
                }
            }
        }
    }
}
