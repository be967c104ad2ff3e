//! Reading spark plugs against the condition chart.
//!
//! The chart is data (`rules/plug-chart.yaml`): looks that a plug can have, and
//! conditions with how often each shows them. [`looks`] reads what was typed,
//! [`Chart`] holds the chart for one engine in numbers, [`Matched`] says how
//! probable each condition is given the looks, several at once, which look
//! would tell most next, and how strongly the looks speak for each finding.
//! [`Form`] puts the questions and reads the answers. [`side`] sets the plugs of
//! an engine side by side.

mod chart;
mod form;
pub mod looks;
mod matched;
mod next;
pub mod side;
mod vocabulary;

pub use chart::{Chart, Known};
pub use form::{Form, Reply, help};
pub use looks::Looks;
pub use matched::{CALLED, Matched};
pub use next::{Question, circumstance, next};

/// The id under which looks are recorded: `plug@3=black wet oily`.
pub const PLUG: &str = "plug";
