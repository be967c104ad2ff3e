//! Finds out why an engine burns oil, loses compression, smokes, overheats or
//! fouls plugs, before it is taken apart.
//!
//! Rules in plain YAML become a graph; the graph is unrolled and compiled into
//! a network for the engine on the bench; what was observed becomes evidence;
//! the network answers; the answer is ranked, explained, priced and shown.
//!
//! ```text
//! rules -> graph -> unroll -> network --+
//!                                       +--> diagnose -> decide -> show -> shell, cli
//! job -> (gauge) -> evidence -----------+
//! ```

pub mod answer;
pub mod bench;
pub mod cli;
pub mod decide;
pub mod diagnose;
pub mod disk;
pub mod engine;
pub mod gauge;
pub mod graph;
pub mod history;
pub mod job;
pub mod measure;
pub mod money;
pub mod network;
pub mod plug;
pub mod problem;
pub mod rules;
pub mod session;
pub mod shell;
pub mod show;
pub mod teardown;
pub mod unroll;
pub mod visible;
pub mod words;
