//! From what the job says of its engine, with the rules' family, to the
//! [`Engine`] that everything else works on.

use super::file::EngineFile;
use crate::engine::{Engine, MOST_CYLINDERS};
use crate::problem::{Problem, Problems};
use crate::rules::Rules;
use crate::rules::file::Dimensions;
use crate::rules::node::Step;
use crate::words::{listed, nearest};
use std::collections::BTreeSet;

/// What does not fit in the head of a job, and the path to it in the file.
#[derive(Debug, Clone, PartialEq)]
pub struct Misfit {
    /// From the top of the file: `engine`, `with`, 0.
    pub path: Vec<Step>,
    /// What is wrong.
    pub problem: Problem,
}

/// The problems alone, where there is no file to point into.
pub fn problems(misfits: Vec<Misfit>) -> Problems {
    misfits.into_iter().map(|it| it.problem).collect()
}

/// Faults of one engine's head, gathered.
#[derive(Default)]
struct Misfits(Vec<Misfit>);

impl Misfits {
    fn push(&mut self, path: impl IntoIterator<Item = Step>, problem: Problem) {
        let path = std::iter::once("engine".into()).chain(path).collect();
        self.0.push(Misfit { path, problem });
    }
}

/// Makes the engine of a job.
///
/// # Errors
/// Every fault: a family or trait that the rules do not know, a trait to take
/// away that the family has not, cylinders beyond 1 to 12, banks that do not
/// hold each cylinder once, a dimension that is not above nought.
pub fn engine(rules: &Rules, file: &EngineFile) -> Result<Engine, Vec<Misfit>> {
    let mut problems = Misfits::default();
    if !(1..=MOST_CYLINDERS).contains(&file.cylinders) {
        problems.push(
            ["cylinders".into()],
            Problem::new(format!("an engine of {} cylinders", file.cylinders))
                .hint(format!("it can have 1 to {MOST_CYLINDERS}")),
        );
    }
    let traits = traits(rules, file, &mut problems);
    let banks = match file.banks.as_str() {
        "" => Ok(Engine::deal(file.cylinders.min(MOST_CYLINDERS), 1)),
        text => banks(text, file.cylinders),
    };
    let banks = banks.unwrap_or_else(|problem| {
        problems.push(["banks".into()], problem);
        vec![]
    });
    for (name, value) in named(&file.dimensions) {
        if value.is_some_and(|v| !(v.is_finite() && v > 0.0)) {
            problems.push(
                ["dimensions".into(), name.into()],
                Problem::new(format!("`{name}` must be above 0")),
            );
        }
    }
    let family = rules.families.get(&file.family);
    if !problems.0.is_empty() {
        return Err(problems.0);
    }
    let usual = family.map(|f| f.dimensions.clone()).unwrap_or_default();
    Ok(Engine {
        name: file.name.clone(),
        family: file.family.clone(),
        traits,
        banks,
        dimensions: laid_over(&file.dimensions, &usual),
    })
}

/// The family's traits with the job's changes; a trait of an axis that an
/// engine has one word of takes the place of the family's.
fn traits(rules: &Rules, file: &EngineFile, problems: &mut Misfits) -> BTreeSet<String> {
    let mut traits: BTreeSet<String> = match rules.families.get(&file.family) {
        Some(family) => family.traits.iter().cloned().collect(),
        None => {
            let problem = Problem::new(format!("no family is called `{}`", file.family));
            let known = rules.families.keys().map(String::as_str);
            let hint = match nearest(&file.family, known) {
                Some(near) => format!("did you mean `{near}`?"),
                None => "`sootsayer rules list families` lists them; a family of your own needs its rules folder, given with `--rules`".into(),
            };
            problems.push(["family".into()], problem.hint(hint));
            return BTreeSet::new();
        }
    };
    for (i, word) in file.without.iter().enumerate() {
        if !traits.remove(word) {
            let has: Vec<&String> = traits.iter().collect();
            problems.push(
                ["without".into(), i.into()],
                Problem::new(format!(
                    "the family `{}` has no trait `{word}` to take away",
                    file.family
                ))
                .hint(format!("it has {}", listed(&has, "and"))),
            );
        }
    }
    for (i, word) in file.with.iter().enumerate() {
        match rules.axes.values().find(|a| a.traits.contains(word)) {
            Some(_) if rules.is_counted(word) => problems.push(
                ["with".into(), i.into()],
                Problem::new(format!("`{word}` follows from the number of cylinders"))
                    .hint("give `cylinders` and leave it out here"),
            ),
            Some(axis) => {
                if !axis.many {
                    traits.retain(|t| !axis.traits.contains(t));
                }
                traits.insert(word.clone());
            }
            None => {
                let known = rules.axes.values().flat_map(|a| &a.traits);
                let problem = Problem::new(format!("no trait is called `{word}`"));
                let hint = match nearest(word, known.map(String::as_str)) {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => "`sootsayer rules list traits` lists them".into(),
                };
                problems.push(["with".into(), i.into()], problem.hint(hint));
            }
        }
    }
    rules.engine_traits(&traits, file.cylinders)
}

/// Cylinder numbers bank by bank, as written: `1 3 5 / 2 4 6`.
fn banks(text: &str, cylinders: usize) -> Result<Vec<Vec<usize>>, Problem> {
    let wrong = |what: String| {
        Problem::new(what)
            .hint("write the cylinders along each bank, banks parted by a stroke: `1 3 5 / 2 4 6`")
    };
    let mut banks = vec![];
    let mut seen = BTreeSet::new();
    for bank in text.split('/') {
        let mut along = vec![];
        for word in bank.split([' ', ',', '-']).filter(|w| !w.is_empty()) {
            let number = word.parse().ok().filter(|n| (1..=cylinders).contains(n));
            let number = number.ok_or_else(|| {
                wrong(format!(
                    "banks `{text}`: `{word}` is no cylinder of {cylinders}"
                ))
            })?;
            if !seen.insert(number) {
                return Err(wrong(format!(
                    "banks `{text}`: cylinder {number} is there twice"
                )));
            }
            along.push(number);
        }
        if along.is_empty() {
            return Err(wrong(format!("banks `{text}`: a bank is empty")));
        }
        banks.push(along);
    }
    match (1..=cylinders).find(|n| !seen.contains(n)) {
        Some(missing) => Err(wrong(format!(
            "banks `{text}`: cylinder {missing} is missing"
        ))),
        None => Ok(banks),
    }
}

/// Banks as the job file has them; empty for one bank in plain order.
pub fn banks_text(banks: &[Vec<usize>]) -> String {
    if banks.len() < 2 {
        return String::new();
    }
    let along = |bank: &Vec<usize>| {
        let numbers: Vec<String> = bank.iter().map(usize::to_string).collect();
        numbers.join(" ")
    };
    let banks: Vec<String> = banks.iter().map(along).collect();
    banks.join(" / ")
}

/// Every dimension with its key in the file.
fn named(d: &Dimensions) -> [(&'static str, Option<f64>); 9] {
    [
        ("bore_mm", d.bore_mm),
        ("stroke_mm", d.stroke_mm),
        ("rod_mm", d.rod_mm),
        ("compression_ratio", d.compression_ratio),
        ("intake_closes_deg", d.intake_closes_deg),
        ("compression_limit_kpa", d.compression_limit_kpa),
        ("compression_normal_kpa", d.compression_normal_kpa),
        ("power_kw", d.power_kw),
        ("oil_litres", d.oil_litres),
    ]
}

/// One engine's own dimensions over the usual ones.
fn laid_over(own: &Dimensions, usual: &Dimensions) -> Dimensions {
    Dimensions {
        bore_mm: own.bore_mm.or(usual.bore_mm),
        stroke_mm: own.stroke_mm.or(usual.stroke_mm),
        rod_mm: own.rod_mm.or(usual.rod_mm),
        compression_ratio: own.compression_ratio.or(usual.compression_ratio),
        intake_closes_deg: own.intake_closes_deg.or(usual.intake_closes_deg),
        compression_limit_kpa: own.compression_limit_kpa.or(usual.compression_limit_kpa),
        compression_normal_kpa: own.compression_normal_kpa.or(usual.compression_normal_kpa),
        power_kw: own.power_kw.or(usual.power_kw),
        oil_litres: own.oil_litres.or(usual.oil_litres),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn banks_are_read_as_written_and_written_as_read() {
        let six = banks("1 3 5 / 2 4 6", 6).unwrap();
        assert_eq!(six, [[1, 3, 5], [2, 4, 6]]);
        assert_eq!(banks_text(&six), "1 3 5 / 2 4 6");
        assert_eq!(banks_text(&Engine::deal(4, 1)), "");
    }

    #[test]
    fn banks_must_hold_each_cylinder_once() {
        for (text, what) in [
            ("1 2 / 3", "cylinder 4 is missing"),
            ("1 2 / 2 3 4", "cylinder 2 is there twice"),
            ("1 2 3 4 5", "`5` is no cylinder of 4"),
            ("1 2 / / 3 4", "a bank is empty"),
        ] {
            let problem = banks(text, 4).unwrap_err();
            assert_eq!(problem.what, format!("banks `{text}`: {what}"));
        }
    }

    #[test]
    fn an_engines_own_dimension_hides_the_usual_one() {
        let own = Dimensions {
            bore_mm: Some(86.0),
            ..Dimensions::default()
        };
        let usual = Dimensions {
            bore_mm: Some(80.0),
            stroke_mm: Some(90.0),
            ..Dimensions::default()
        };
        let both = laid_over(&own, &usual);
        assert_eq!((both.bore_mm, both.stroke_mm), (Some(86.0), Some(90.0)));
    }
}
