//! The network engine against enumeration, published examples and its own laws.

mod enumerate;
mod generate;
mod laws;
mod precise;
mod published;
mod small;
mod worth;
