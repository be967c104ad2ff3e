//! `report`: the owner's document as one HTML file.

use super::Answer;
use super::over::Over;
use crate::decide::desk::Desk;
use crate::decide::estimate::{Asked, estimate};
use crate::diagnose::{Diagnosis, rank};
use crate::engine::Place;
use crate::job::figures::figures;
use crate::job::{Moment, plugs};
use crate::plug::{Chart, Matched};
use crate::session::Session;
use crate::show::report::{Paper, document};
use clap::Args;
use std::io::Write;
use std::path::PathBuf;

/// Arguments of `report`.
#[derive(Debug, Args)]
pub struct Report {
    /// The HTML file to write
    #[arg(long, value_name = "FILE.html")]
    pub out: PathBuf,
    /// Date of the document; today when left out
    #[arg(long, value_name = "DATE")]
    pub date: Option<String>,
    /// How far the probabilities lean on judgement: redraw every number of the rules so many times
    #[arg(long, value_name = "REDRAWS", value_parser = super::rank::redraws, num_args = 0..=1, default_missing_value = "200")]
    pub doubt: Option<usize>,
    /// What it may be written over.
    #[command(flatten)]
    pub over: Over,
}

impl Report {
    /// Writes the document.
    ///
    /// # Errors
    /// Readings that cannot all be true, no exact answer, or a file that cannot be written.
    pub fn run(self, session: &mut Session, out: &mut dyn Write) -> Answer {
        let (observations, warnings) = session.evidence();
        let warnings: Vec<String> = warnings.into_iter().map(|w| w.says).collect();
        let unrolled = session.unrolled()?;
        let d = Diagnosis::of(&session.rules, &session.engine, &unrolled, &observations)?;
        let ranking = rank::rank(&d)?;
        let doubt = match self.doubt {
            Some(redraws) => Some(super::rank::doubt_of(&d, redraws, 1)?),
            None => None,
        };
        let desk = Desk::of(&d, &session.shop.pricing)?;
        let asked = Asked {
            at_hand: &session.at_hand(),
            own: None,
            doubt: doubt.as_ref(),
        };
        let estimate = estimate(&desk, asked)?;
        let today = Moment::now().to_string();
        let date = self
            .date
            .as_deref()
            .unwrap_or(today.get(..10).unwrap_or(&today));
        let until = (date.parse::<jiff::civil::Date>().ok())
            .and_then(|day| {
                let days = jiff::Span::new()
                    .try_days(session.shop.pricing.valid_days)
                    .ok()?;
                day.checked_add(days).ok()
            })
            .map(|day| day.to_string());
        let (rules, engine, job) = (&session.rules, &session.engine, &session.store.job);
        let gauges = figures(rules, engine, job, &session.shop.workbench);
        let chart = Chart::of(rules, engine);
        let plugs: Vec<(Place, Matched)> = match &chart {
            Some(chart) => (plugs::seen(rules, engine, job, chart).into_iter())
                .map(|(place, seen)| (place, Matched::of(rules, chart, seen.looks)))
                .filter(|(_, matched)| matched.is_possible())
                .collect(),
            None => vec![],
        };
        let (bench, judged, measured, notes) = super::bench::of(session);
        let opened = super::bench::opened(session, &bench, &judged, &measured, &notes);
        let paper = Paper {
            opened: (!judged.is_empty()).then_some(&opened),
            gauges: &gauges,
            plugs: &plugs,
            until: until.as_deref(),
            shop: &session.shop.file.name,
            complaint: &session.store.job.file.complaint,
            date,
            ranking: &ranking,
            warnings: &warnings,
        };
        let text = document(paper, &estimate, &desk);
        self.over.write(&self.out, &text, out)
    }
}
