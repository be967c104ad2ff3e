//! `leakdown` and `compression`: a whole engine's figures in one line, in
//! cylinder order.

use super::Answer;
use super::record::{How, record};
use crate::job::Said;
use crate::job::figures::figures;
use crate::problem::Problem;
use crate::session::Session;
use crate::show;
use crate::words::{count, listed, nearest};
use clap::Args;
use std::io::Write;

/// Arguments of `leakdown`.
#[derive(Debug, Args)]
pub struct Leakdown {
    /// Percent lost, or cylinder over supply (`60/80`), for cylinder 1, 2, ...; `-` skips one; a unit at the end is for all
    #[arg(required = true, value_name = "FIGURE", allow_negative_numbers = true)]
    pub figures: Vec<String>,
    /// Where the air is heard, such as `3=breather,exhaust`: intake, exhaust, breather, coolant, neighbour, outside
    #[arg(long, value_name = "CYLINDER=WHERE", num_args = 1..)]
    pub air: Vec<String>,
    /// How it was taken.
    #[command(flatten)]
    pub how: How,
}

/// Arguments of `compression`.
#[derive(Debug, Args)]
pub struct Compression {
    /// Cranking compression of cylinder 1, 2, ...; `-` skips one; a unit at the end is for all
    #[arg(required = true, value_name = "FIGURE", allow_negative_numbers = true)]
    pub figures: Vec<String>,
    /// Taken again with oil in the cylinders
    #[arg(long)]
    pub wet: bool,
    /// What the first stroke alone gave
    #[arg(long, conflicts_with = "wet")]
    pub first_stroke: bool,
    /// What the needle stood at after the fourth stroke
    #[arg(long, conflicts_with_all = ["wet", "first_stroke"])]
    pub fourth_stroke: bool,
    /// How it was taken.
    #[command(flatten)]
    pub how: How,
}

impl Leakdown {
    /// Records the figures, all or none.
    ///
    /// # Errors
    /// A count that is not the engine's, a figure that is not understood, or
    /// the job cannot be saved.
    pub fn run(self, session: &mut Session, out: &mut dyn Write) -> Answer {
        let mut said = in_order("leak-down", &self.figures, session.engine.cylinders())?;
        for word in &self.air {
            said.extend(heard(word)?);
        }
        record(session, &said, self.how, out)?;
        shown(session, "leak-down", out)
    }
}

impl Compression {
    /// Records the figures, all or none.
    ///
    /// # Errors
    /// As [`Leakdown::run`].
    pub fn run(self, session: &mut Session, out: &mut dyn Write) -> Answer {
        let reading = match (self.wet, self.first_stroke, self.fourth_stroke) {
            (true, ..) => "compression-wet",
            (_, true, _) => "compression-first-stroke",
            (.., true) => "compression-fourth-stroke",
            _ => "compression",
        };
        let said = in_order(reading, &self.figures, session.engine.cylinders())?;
        record(session, &said, self.how, out)?;
        shown(session, reading, out)
    }
}

/// The ways that the tester's air can leave, and the findings that say so.
const WAYS: [(&str, &str); 6] = [
    ("intake", "air-at-intake"),
    ("exhaust", "air-at-exhaust"),
    ("breather", "air-at-breather"),
    ("coolant", "air-at-coolant"),
    ("neighbour", "air-at-neighbour"),
    ("outside", "air-outside"),
];

/// `3=breather,exhaust`: one finding for each way.
fn heard(word: &str) -> Result<Vec<Said>, Problem> {
    let names: Vec<&str> = WAYS.iter().map(|(way, _)| *way).collect();
    let (at, ways) = word.split_once('=').ok_or_else(|| {
        Problem::new(format!("`{word}` does not say where air is heard"))
            .hint("write CYLINDER=WHERE, as in `3=breather,exhaust`")
    })?;
    let finding = |way: &str| {
        let known = WAYS.iter().find(|(name, _)| *name == way);
        known.map(|(_, finding)| *finding).ok_or_else(|| {
            let problem = Problem::new(format!("air cannot be heard at `{way}`"));
            match nearest(way, names.iter().copied()) {
                Some(near) => problem.hint(format!("did you mean `{near}`?")),
                None => problem.hint(format!("it can be {}", listed(&names, "or"))),
            }
        })
    };
    let said = ways.split(',').map(|way| {
        Ok(Said {
            of: finding(way.trim())?.into(),
            at: Some(at.trim().into()),
            value: "yes".into(),
        })
    });
    said.collect()
}

/// The gauge's figures as they now stand.
fn shown(session: &Session, reading: &str, out: &mut dyn Write) -> Answer {
    let shop = &session.shop.workbench;
    let mut gauges = figures(&session.rules, &session.engine, &session.store.job, shop);
    gauges.retain(|gauge| gauge.reading == reading);
    writeln!(out, "\n{}", show::figures::page(&gauges, show::width()))?;
    Ok(())
}

fn is_skip(figure: &str) -> bool {
    ["-", "−"].contains(&figure)
}

/// Figures of a line: a unit belongs to the figure before it; one at the end of
/// a line without others belongs to all.
pub fn with_units(words: &[String]) -> Vec<String> {
    let mut figures: Vec<String> = vec![];
    let mut units = vec![];
    for word in words.iter().flat_map(|w| w.split_whitespace()) {
        let starts = word.starts_with(|c: char| c.is_ascii_digit() || "+-−.".contains(c));
        match figures.last_mut() {
            Some(last) if !starts => {
                if !is_skip(last) {
                    *last = format!("{last} {word}");
                }
                units.push((word, figures.len()));
            }
            _ => figures.push(word.to_string()),
        }
    }
    if let [(unit, at)] = units.as_slice()
        && *at == figures.len()
    {
        for figure in figures.iter_mut().take(at - 1) {
            if !is_skip(figure) && figure.ends_with(|c: char| c.is_ascii_digit()) {
                *figure = format!("{figure} {unit}");
            }
        }
    }
    figures
}

/// One line for each cylinder that has a figure.
fn in_order(reading: &str, words: &[String], cylinders: usize) -> Result<Vec<Said>, Problem> {
    let figures = with_units(words);
    if figures.len() != cylinders {
        return Err(Problem::new(format!(
            "{} for {}",
            count(figures.len(), "figure"),
            count(cylinders, "cylinder")
        ))
        .hint("give one for each cylinder in order; `-` skips one"));
    }
    let said: Vec<Said> = (figures.iter().zip(1..))
        .filter(|(figure, _)| !is_skip(figure))
        .map(|(figure, cylinder)| Said {
            of: reading.into(),
            at: Some(cylinder.to_string()),
            value: figure.clone(),
        })
        .collect();
    match said.is_empty() {
        true => Err(Problem::new("every cylinder is skipped")),
        false => Ok(said),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(words: &str, cylinders: usize) -> String {
        let words: Vec<String> = words.split(' ').map(String::from).collect();
        match in_order("it", &words, cylinders) {
            Ok(said) => said
                .iter()
                .map(Said::to_string)
                .collect::<Vec<_>>()
                .join(" "),
            Err(problem) => problem.what,
        }
    }

    #[test]
    fn figures_go_to_cylinders_in_order() {
        assert_eq!(shown("8 12% 38 9", 4), "it@1=8 it@2=12% it@3=38 it@4=9");
        assert_eq!(shown("150 - 95 psi", 3), "it@1=150 psi it@3=95 psi");
        assert_eq!(shown("60/80 75/80", 2), "it@1=60/80 it@2=75/80");
        assert_eq!(shown("150 95 - psi", 3), "it@1=150 psi it@2=95 psi");
        assert_eq!(shown("150 psi 9 bar", 2), "it@1=150 psi it@2=9 bar");
        assert_eq!(shown("150 9 bar 95", 3), "it@1=150 it@2=9 bar it@3=95");
    }

    #[test]
    fn the_count_must_fit() {
        assert_eq!(shown("8 12 38", 4), "3 figures for 4 cylinders");
        assert_eq!(shown("8", 1), "it@1=8");
        assert_eq!(shown("8 9 psi", 1), "2 figures for 1 cylinder");
        assert_eq!(shown("- -", 2), "every cylinder is skipped");
    }
}
