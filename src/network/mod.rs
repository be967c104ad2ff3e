//! Exact inference in Bayesian networks of tables and noisy-MAX gates.
//!
//! Pure mathematics: nothing here knows of rules, engines or terminals. A
//! [`Network`] is written down once; a [`Solved`] network with [`Evidence`]
//! answers exactly, or refuses with the reason. Between the two:
//!
//! ```text
//! Network + Evidence --reduce--> plain variables, max dimensions, links
//!                    --order, compile--> Plan (kept by structure)
//!                    --run--> probability of the evidence; in reverse, every marginal
//! ```

mod blame;
mod build;
mod cheapest;
mod compile;
mod conflict;
mod core;
mod dice;
mod draw;
mod error;
mod evidence;
pub mod exchange;
mod gather;
mod hits;
mod join;
mod kernel;
mod order;
mod plans;
mod product;
mod ready;
mod record;
mod reduce;
mod reduced;
mod relax;
mod run;
mod sampled;
mod scaled;
mod shape;
mod solved;
mod value;

pub use build::{Gate, MOST_GRADES, MOST_MEMBERS, Network, ROW_TOLERANCE, Var};
pub use cheapest::MOST_WORK;
pub use compile::MOST_ENTRIES;
pub use dice::SEED;
pub use error::Error;
pub use evidence::Evidence;
pub use ready::PRECISION;
pub use sampled::DRAWS;
pub use solved::Solved;
pub use value::{Loss, MOST_OUTCOMES, Method, Value, entropy};
