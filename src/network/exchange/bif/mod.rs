//! The Interchange Format for Bayesian networks, version 0.15 (F. G. Cozman,
//! "The Interchange Format for Bayesian Networks"): words, for people to read.
//!
//! ```
//! use sootsayer::network::exchange::bif;
//! let text = "network n {} variable rain { type discrete [ 2 ] { no, yes }; }
//!     probability ( rain ) { table 0.75, 0.25; }";
//! let tables = bif::read(text.as_bytes())?;
//! assert_eq!(tables.nodes[0].table, [0.75, 0.25]);
//! assert_eq!(bif::read(bif::write(&tables, "n", "").as_bytes())?, tables);
//! # Ok::<(), sootsayer::network::exchange::Fault>(())
//! ```

mod read;
mod token;
mod write;

pub use read::read;
pub use write::write;

/// How a property of a variable starts that says what was observed of it: a
/// likelihood for each state follows.
const LIKELIHOOD: &str = "likelihood";

/// How a property starts that says what a variable is.
const TITLE: &str = "title";
