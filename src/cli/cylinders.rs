//! `leakdown` and `compression`: a whole engine's figures in one line, in
//! cylinder order.

use super::Answer;
use super::record::{How, record};
use crate::job::Said;
use crate::problem::Problem;
use crate::session::Session;
use crate::words::count;
use clap::Args;
use std::io::Write;

/// Arguments of `leakdown`.
#[derive(Debug, Args)]
pub struct Leakdown {
    /// Percent lost, or cylinder over supply (`60/80`), for cylinder 1, 2, ...; `-` skips one; a unit at the end is for all
    #[arg(required = true, value_name = "FIGURE", allow_negative_numbers = true)]
    pub figures: Vec<String>,
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
        let said = in_order("leak-down", &self.figures, session.engine.cylinders())?;
        record(session, &said, self.how, out)
    }
}

impl Compression {
    /// Records the figures, all or none.
    ///
    /// # Errors
    /// As [`Leakdown::run`].
    pub fn run(self, session: &mut Session, out: &mut dyn Write) -> Answer {
        let reading = match (self.wet, self.first_stroke) {
            (true, _) => "compression-wet",
            (_, true) => "compression-first-stroke",
            _ => "compression",
        };
        let said = in_order(reading, &self.figures, session.engine.cylinders())?;
        record(session, &said, self.how, out)
    }
}

/// One line for each cylinder that has a figure.
fn in_order(reading: &str, words: &[String], cylinders: usize) -> Result<Vec<Said>, Problem> {
    let words: Vec<&str> = words.iter().flat_map(|w| w.split_whitespace()).collect();
    let starts_figure = |w: &str| w.starts_with(|c: char| c.is_ascii_digit() || "+-−.".contains(c));
    let (figures, unit) = match words.as_slice() {
        [figures @ .., last] if !starts_figure(last) => (figures, Some(*last)),
        all => (all, None),
    };
    if figures.len() != cylinders {
        return Err(Problem::new(format!(
            "{} for {}",
            count(figures.len(), "figure"),
            count(cylinders, "cylinder")
        ))
        .hint("give one for each cylinder in order; `-` skips one"));
    }
    let said: Vec<Said> = (figures.iter().zip(1..))
        .filter(|(figure, _)| !["-", "−"].contains(figure))
        .map(|(figure, cylinder)| Said {
            of: reading.into(),
            at: Some(cylinder.to_string()),
            value: match unit {
                Some(unit) if figure.ends_with(|c: char| c.is_ascii_digit()) => {
                    format!("{figure} {unit}")
                }
                _ => figure.to_string(),
            },
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
    }

    #[test]
    fn the_count_must_fit() {
        assert_eq!(shown("8 12 38", 4), "3 figures for 4 cylinders");
        assert_eq!(shown("8", 1), "it@1=8");
        assert_eq!(shown("8 9 psi", 1), "2 figures for 1 cylinder");
        assert_eq!(shown("- -", 2), "every cylinder is skipped");
    }
}
