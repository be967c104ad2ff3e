//! From belief to a decision: what each way of repairing costs, how likely it
//! is to put everything right, and what it costs in the end.
//!
//! A [`package::Package`] is repairs at places. [`cost`] prices it, [`desk`]
//! joins it with the network: the exact joint probability that all that is
//! present is mended, and the expected cost of what is left. [`search`] finds
//! the package of least expected cost; [`estimate`] lays the choices side by
//! side. Nothing here knows a terminal or a file.

pub mod case;
pub mod choices;
pub mod cost;
pub mod desk;
pub mod estimate;
pub mod package;
pub mod search;
pub mod spread;
