//! Typed quantities: a pressure cannot be added to a length, nor a gauge
//! pressure be taken for an absolute one. Inside they are SI; the trade's
//! units are met at the edge (see [`units`](super::units)).

use std::cmp::Ordering;
use std::fmt;
use std::marker::PhantomData;
use std::ops::{Add, Div, Mul, Neg, Sub};

/// What a unit measures, as known when the program runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[non_exhaustive]
pub enum Dimension {
    /// Pressure above the surroundings, or a difference of pressures; pascal.
    Pressure,
    /// Pressure above nothing: a barometer; pascal.
    Absolute,
    /// Length or distance; metre.
    Length,
    /// Area; square metre.
    Area,
    /// Volume; cubic metre.
    Volume,
    /// Mass; kilogram.
    Mass,
    /// Force; newton.
    Force,
    /// Time; second.
    Time,
    /// Temperature; kelvin.
    Temperature,
    /// Power; watt.
    Power,
    /// Volume in a time: oil used, gas blown by; cubic metre per second.
    VolumeRate,
    /// Volume over a distance: oil used; cubic metre per metre.
    VolumePerLength,
    /// Mass for work done: oil or fuel used; kilogram per joule.
    MassPerWork,
    /// Speed of turning; revolutions per second.
    Turning,
    /// Part of a whole: percent, ppm.
    Share,
    /// Electrical resistance; ohm.
    Resistance,
    /// Voltage; volt.
    Voltage,
    /// Angle; degree.
    Angle,
    /// A bare count.
    Number,
}

impl Dimension {
    /// The dimension in trade words, with its article.
    pub fn words(self) -> &'static str {
        match self {
            Dimension::Pressure => "a pressure",
            Dimension::Absolute => "an absolute pressure",
            Dimension::Length => "a length",
            Dimension::Area => "an area",
            Dimension::Volume => "a volume",
            Dimension::Mass => "a mass",
            Dimension::Force => "a force",
            Dimension::Time => "a time",
            Dimension::Temperature => "a temperature",
            Dimension::Power => "a power",
            Dimension::VolumeRate => "a volume in a time",
            Dimension::VolumePerLength => "a volume over a distance",
            Dimension::MassPerWork => "a mass for work done",
            Dimension::Turning => "a speed",
            Dimension::Share => "a share",
            Dimension::Resistance => "a resistance",
            Dimension::Voltage => "a voltage",
            Dimension::Angle => "an angle",
            Dimension::Number => "a number",
        }
    }
}

/// A dimension known when the program is compiled.
pub trait Of {
    /// The same, as a value.
    const DIMENSION: Dimension;
}

/// A quantity of one dimension, held in SI.
///
/// ```
/// use sootsayer::measure::{Pressure, units};
/// let gauge = Pressure::of(80.0, units::PSI) - Pressure::of(20.0, units::PSI);
/// assert!((gauge.get(units::BAR) - 4.137).abs() < 0.001);
/// ```
pub struct Quantity<D> {
    si: f64,
    of: PhantomData<fn() -> D>,
}

/// A unit of one dimension: `si = (value + shift) * factor`, or `factor / value`
/// when it is upside down (hours per quart).
pub struct UnitOf<D> {
    pub(super) spec: &'static super::units::Spec,
    pub(super) of: PhantomData<fn() -> D>,
}

impl<D> Clone for UnitOf<D> {
    fn clone(&self) -> Self {
        *self
    }
}
impl<D> Copy for UnitOf<D> {}

impl<D: Of> Quantity<D> {
    /// `value` of `unit`.
    pub fn of(value: f64, unit: UnitOf<D>) -> Self {
        Self::from_si(unit.spec.to_si(value))
    }

    /// The same in `unit`.
    pub fn get(self, unit: UnitOf<D>) -> f64 {
        unit.spec.of_si(self.si)
    }
}

impl<D> Quantity<D> {
    /// From the SI unit of the dimension.
    pub const fn from_si(si: f64) -> Self {
        Quantity {
            si,
            of: PhantomData,
        }
    }

    /// In the SI unit of the dimension.
    pub const fn si(self) -> f64 {
        self.si
    }

    /// The smaller of two.
    pub fn min(self, other: Self) -> Self {
        Self::from_si(self.si.min(other.si))
    }

    /// The larger of two.
    pub fn max(self, other: Self) -> Self {
        Self::from_si(self.si.max(other.si))
    }
}

impl<D> Clone for Quantity<D> {
    fn clone(&self) -> Self {
        *self
    }
}
impl<D> Copy for Quantity<D> {}
impl<D> PartialEq for Quantity<D> {
    fn eq(&self, other: &Self) -> bool {
        self.si == other.si
    }
}
impl<D> PartialOrd for Quantity<D> {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        self.si.partial_cmp(&other.si)
    }
}
impl<D: Of> fmt::Debug for Quantity<D> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:?}({} in SI)", D::DIMENSION, self.si)
    }
}
impl<D> Add for Quantity<D> {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self::from_si(self.si + other.si)
    }
}
impl<D> Sub for Quantity<D> {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self::from_si(self.si - other.si)
    }
}
impl<D> Neg for Quantity<D> {
    type Output = Self;
    fn neg(self) -> Self {
        Self::from_si(-self.si)
    }
}
impl<D> Mul<f64> for Quantity<D> {
    type Output = Self;
    fn mul(self, by: f64) -> Self {
        Self::from_si(self.si * by)
    }
}
impl<D> Div<f64> for Quantity<D> {
    type Output = Self;
    fn div(self, by: f64) -> Self {
        Self::from_si(self.si / by)
    }
}
impl<D> Div for Quantity<D> {
    type Output = f64;
    fn div(self, by: Self) -> f64 {
        self.si / by.si
    }
}

macro_rules! dimensions {
    ($($name:ident),*) => {
        /// Dimensions as types, for [`Quantity`] and [`UnitOf`].
        pub mod of {
            $(
                #[doc = concat!("See [`Dimension::", stringify!($name), "`](super::Dimension).")]
                #[derive(Debug)]
                pub enum $name {}
                impl super::Of for $name {
                    const DIMENSION: super::Dimension = super::Dimension::$name;
                }
            )*
        }
        $(
            #[doc = concat!("A quantity of [`Dimension::", stringify!($name), "`].")]
            pub type $name = Quantity<of::$name>;
        )*
    };
}
dimensions!(
    Pressure,
    Absolute,
    Length,
    Area,
    Volume,
    Mass,
    Force,
    Time,
    Temperature,
    Power,
    VolumeRate,
    VolumePerLength,
    MassPerWork,
    Turning,
    Share,
    Resistance,
    Voltage,
    Angle,
    Number
);

impl Absolute {
    /// A gauge pressure over these surroundings, made absolute.
    ///
    /// ```
    /// use sootsayer::measure::{Absolute, Pressure, units};
    /// let air = Absolute::of(14.696, units::PSIA);
    /// assert!((air.plus(Pressure::of(80.0, units::PSI)).get(units::PSIA) - 94.696).abs() < 1e-9);
    /// ```
    pub fn plus(self, gauge: Pressure) -> Absolute {
        Absolute::from_si(self.si + gauge.si)
    }

    /// What a gauge shows of this pressure in `surroundings`.
    pub fn over(self, surroundings: Absolute) -> Pressure {
        Pressure::from_si(self.si - surroundings.si)
    }
}
