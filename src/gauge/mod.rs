//! The physics of each instrument: plain functions on typed quantities.
//!
//! Raw readings are what a job stores, with their unit and instrument. Here
//! they are brought to reference conditions, and what a sound engine would
//! read is worked out. In the flow this stands between the job's readings and
//! the evidence; it knows the rules' readings and no network.

pub mod air;
pub mod balance;
pub mod blow_by;
pub mod compression;
pub mod coolant;
pub mod crank;
pub mod leakdown;
pub mod normal;
pub mod nozzle;
pub mod oil_jump;
pub mod oil_log;
pub mod oil_pressure;
pub mod oil_sample;
pub mod oil_trend;
pub mod oil_use;
pub mod reduce;
pub mod reference;
pub mod sheet;
pub mod shop;
pub mod vacuum;

pub use crate::measure::{
    Absolute, Angle, Area, Dimension, Figure, Force, Kind, Length, Mass, MassPerWork, Number, Of,
    Power, Pressure, Quantity, Range, Resistance, Share, Temperature, Time, Turning, UnitOf,
    UnitSet, Voltage, Volume, VolumePerLength, VolumeRate, of, out_of_range, quantity, range,
    short, units,
};
