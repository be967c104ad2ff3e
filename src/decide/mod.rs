//! From belief to a decision: what each way of repairing costs, how likely it
//! is to cure the complaint, and what it costs in the end.
//!
//! A [`package::Package`] is repairs at places; [`cost`] prices it, with what
//! comes with what ([`cost::Pricer::done`]). [`desk`] joins it with the network:
//! the exact joint probability that nothing behind the complaint is left
//! unmended, and the expected cost of what is left. [`choices`] lists the ways
//! worth comparing, [`search`] finds the package of least expected total;
//! [`worth`] says what it would pay to know first, [`flip`] what the choice turns
//! on, [`order`] what to do first; [`estimate`] lays the choices side by side.
//! Nothing here knows a terminal or a file.

mod blame;
pub mod case;
pub mod choices;
mod comeback;
pub mod cost;
pub mod desk;
pub mod estimate;
pub mod flip;
pub mod order;
pub mod package;
pub mod rivals;
pub mod search;
pub mod spread;
pub mod stands;
mod together;
pub mod worth;
