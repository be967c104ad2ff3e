//! `gauge balance`.

use super::super::cylinders::with_units;
use super::Common;
use super::input::Inputs;
use crate::answer::Ending;
use crate::gauge::balance::{DROP, Standing, worth};
use crate::gauge::sheet::{Line, Sheet};
use crate::gauge::{Kind, units};
use crate::words::listed;
use clap::Args;

/// Arguments of `gauge balance`.
#[derive(Debug, Args)]
pub struct Balance {
    /// Speed lost with each cylinder cut out in turn, -100 to 2000 rpm, in cylinder order
    #[arg(required = true, value_name = "FALL", allow_negative_numbers = true)]
    drops: Vec<String>,
}

impl Balance {
    /// Works it out.
    ///
    /// # Errors
    /// Every input that cannot be.
    pub fn sheet(&self, common: &Common) -> Result<Sheet, Ending> {
        let mut inputs = Inputs::new(common);
        let mut drops = Vec::new();
        for text in &with_units(&self.drops) {
            drops.extend(inputs.take("fall", Some(text), Kind::Speed, &DROP));
        }
        inputs.done()?;
        let found = worth(&drops)?;
        let named = |standing: Standing| -> Vec<String> {
            let of = found
                .iter()
                .enumerate()
                .filter(|(_, w)| w.standing == standing);
            of.map(|(i, _)| (i + 1).to_string()).collect()
        };
        let mut says = Vec::new();
        for (standing, word) in [
            (Standing::Dead, "gives next to nothing"),
            (Standing::Weak, "is weak"),
        ] {
            let who = named(standing);
            if !who.is_empty() {
                says.push(format!("Cylinder {} {word}.", listed(&who, "and")));
            }
        }
        if says.is_empty() {
            says.push("The cylinders give alike.".into());
        }
        let rows = found
            .iter()
            .enumerate()
            .map(|(i, it)| {
                vec![
                    Line::words("cylinder", "Cylinder", (i + 1).to_string()),
                    Line::figure("fall", "Speed lost", it.drop, units::RPM),
                    Line::figure(
                        "of_others",
                        "Of the others",
                        crate::gauge::Share::from_si(it.share),
                        units::PERCENT,
                    ),
                    Line::words(
                        "standing",
                        "Stands",
                        match it.standing {
                            Standing::Even => "even",
                            Standing::Weak => "weak",
                            Standing::Dead => "dead",
                        },
                    ),
                ]
            })
            .collect();
        Ok(Sheet {
            gauge: "balance",
            rows,
            says,
            formula: "each fall over the middle one of the others; on a twin over the greater",
            sources: vec![
                "Twin-cylinder generator manual: losses that differ by more than 75 rpm make the smaller weak".into(),
                "Weak below 60 %, dead below 15 % of the others: judgement".into(),
            ],
            ..Sheet::default()
        })
    }
}
