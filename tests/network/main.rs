//! The network engine against enumeration, published examples and its own laws.

mod enumerate;
mod generate;
mod published;
mod small;
mod worth;
