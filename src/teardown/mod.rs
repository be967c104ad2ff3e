//! Opening the engine: the inspection sheet made from what is suspected, and
//! what the opened engine has settled.

pub mod after;
pub mod sheet;
