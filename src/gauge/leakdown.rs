//! The leak-down (two-gauge differential) test: what a reading says of the
//! leak, and what the same leak would show on another tester.
//!
//! Both holes are nozzles ([`nozzle`](super::nozzle)). With the restrictor
//! known, the reading gives an effective leak area; without it, only the
//! percentage and the ratio of areas.

use super::Figure;
use super::nozzle;
use super::quantity::{Absolute, Area, Length, Pressure, Share, of};
use super::range::Range;
use super::units;
use crate::problem::Problem;
use std::f64::consts::PI;

/// Diameters of restrictors that testers have.
pub const RESTRICTOR: Range<of::Length> = Range::new("restrictor", 0.2, 5.0, units::MM);
/// Supplies that testers are set to.
pub const SUPPLY: Range<of::Pressure> = Range::new("supply", 35.0, 1050.0, units::KPA);
/// What a cylinder's gauge can show.
pub const CYLINDER: Range<of::Pressure> = Range::new("cylinder pressure", 0.0, 1050.0, units::KPA);
/// Bores of engines of this kind.
pub const BORE: Range<of::Length> = Range::new("bore", 15.0, 400.0, units::MM);
/// Leakage in percent.
pub const LEAKAGE: Range<of::Share> = Range::new("leakage", 0.0, 100.0, units::PERCENT);

/// A leak-down tester as set up, and the air around it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tester {
    /// Diameter of the restrictor, where it is known.
    pub restrictor: Option<Length>,
    /// Regulated supply, as its gauge shows it.
    pub supply: Pressure,
    /// The air around.
    pub around: Absolute,
}

impl Tester {
    /// The tester that bands of percent are taken to mean: a 0.040 in
    /// restrictor at 80 psi (FAA AC 43.13-1B, 8-14, for bores under 5.00 in),
    /// at sea level.
    pub fn reference() -> Self {
        Tester {
            restrictor: Some(Length::of(0.040, units::INCHES)),
            supply: Pressure::of(80.0, units::PSI),
            around: super::air::SEA_LEVEL,
        }
    }

    /// The tester again, if it can exist.
    ///
    /// # Errors
    /// A restrictor, supply or air outside its range.
    pub fn check(self) -> Result<Self, Problem> {
        if let Some(restrictor) = self.restrictor {
            RESTRICTOR.check(restrictor)?;
        }
        SUPPLY.check(self.supply)?;
        super::air::BAROMETER.check(self.around)?;
        Ok(self)
    }

    /// Area of the restrictor, where it is known.
    pub fn restrictor_area(&self) -> Option<Area> {
        self.restrictor
            .map(|d| Area::from_si(PI / 4.0 * d.si() * d.si()))
    }

    /// What a leak of `ratio` times the restrictor's area shows: percent lost.
    ///
    /// # Errors
    /// A tester that cannot be.
    pub fn shows_ratio(&self, ratio: f64) -> Result<Share, Problem> {
        self.check()?;
        let supply = self.around.plus(self.supply);
        let cylinder = nozzle::settled(supply, ratio, self.around).over(self.around);
        Ok(Share::from_si(1.0 - cylinder / self.supply))
    }

    /// What a leak of this effective area shows: percent lost.
    ///
    /// # Errors
    /// A tester whose restrictor is not known, or that cannot be.
    pub fn shows(&self, leak: Area) -> Result<Share, Problem> {
        match self.restrictor_area() {
            Some(area) => self.shows_ratio(leak / area),
            None => Err(Problem::new("the restrictor of the tester is not known")
                .hint("without it only the percentage can be used")),
        }
    }
}

/// A reading, worked out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeakDown {
    /// Share of the supply lost, as the tester shows it.
    pub lost: Share,
    /// The cylinder's gauge.
    pub cylinder: Pressure,
    /// Effective area of the leak over the restrictor's; infinite when nothing is held.
    pub ratio: f64,
    /// Effective area of the leak, where the restrictor is known and something is held.
    pub area: Option<Area>,
    /// Whether the restrictor is choked: then the leak alone sets the reading.
    pub restrictor_choked: bool,
    /// Whether the leak is choked.
    pub leak_choked: bool,
}

/// Refuses the two gauges of a reading as typed, in the unit that was typed.
///
/// # Errors
/// A supply or a cylinder pressure that cannot be; a cylinder above its supply.
pub fn check_typed(figure: &Figure) -> Result<(), Problem> {
    let Some(over) = figure.over else {
        return Ok(());
    };
    let gauge = |value| Pressure::from_si(figure.unit.to_si(value));
    SUPPLY.check_in(gauge(over), figure.unit)?;
    CYLINDER.check_in(gauge(figure.value), figure.unit)?;
    match figure.value > over {
        true => Err(Problem::new(format!(
            "the cylinder's gauge shows {} {}, above the supply's {} {}",
            super::short(figure.value),
            figure.unit,
            super::short(over),
            figure.unit
        ))
        .hint("write the cylinder first, then the supply: `60/80 psi`; zero both gauges")),
        false => Ok(()),
    }
}

impl LeakDown {
    /// Works out a two-gauge reading.
    ///
    /// ```
    /// use sootsayer::gauge::{Pressure, leakdown::{LeakDown, Tester}, units};
    /// // The familiar 60/80 on a 0.040 in restrictor: a leak of about 0.86 mm2.
    /// let leak = LeakDown::of_gauges(&Tester::reference(), Pressure::of(60.0, units::PSI)).unwrap();
    /// assert!((leak.ratio - 1.059).abs() < 0.001);
    /// assert!((leak.area.unwrap().get(units::MM2) - 0.86).abs() < 0.005);
    /// assert!((leak.lost.get(units::PERCENT) - 25.0).abs() < 1e-9);
    /// ```
    ///
    /// # Errors
    /// A tester that cannot be, a cylinder above its supply or below nothing.
    pub fn of_gauges(tester: &Tester, cylinder: Pressure) -> Result<Self, Problem> {
        tester.check()?;
        if cylinder > tester.supply {
            return Err(Problem::new(format!(
                "the cylinder's gauge shows {} psi, above the supply's {} psi",
                super::short(cylinder.get(units::PSI)),
                super::short(tester.supply.get(units::PSI))
            ))
            .hint("write the cylinder first, then the supply: `60/80 psi`; zero both gauges"));
        }
        CYLINDER.check(cylinder)?;
        let supply = tester.around.plus(tester.supply);
        let between = tester.around.plus(cylinder);
        let ratio = nozzle::area_ratio(supply, between, tester.around);
        Ok(LeakDown {
            lost: Share::from_si(1.0 - cylinder / tester.supply),
            cylinder,
            ratio,
            area: tester
                .restrictor_area()
                .filter(|_| ratio.is_finite())
                .map(|area| area * ratio),
            restrictor_choked: nozzle::choked(supply, between),
            leak_choked: nozzle::choked(between, tester.around),
        })
    }

    /// Works out a reading in percent lost.
    ///
    /// # Errors
    /// A tester that cannot be, a percentage outside 0 to 100.
    pub fn of_percent(tester: &Tester, lost: Share) -> Result<Self, Problem> {
        LEAKAGE.check(lost)?;
        let held = (1.0 - lost.si()).clamp(0.0, 1.0);
        LeakDown::of_gauges(tester, tester.supply * held)
    }

    /// What the same leak would show on another tester: percent lost. A tester
    /// of unknown restrictor is taken to have the other's.
    ///
    /// # Errors
    /// A tester that cannot be.
    pub fn on(&self, tester: &Tester) -> Result<Share, Problem> {
        match (self.area, tester.restrictor) {
            (Some(area), Some(_)) => tester.shows(area),
            _ => tester.shows_ratio(self.ratio),
        }
    }

    /// Effective area for each metre of the bore's circumference, in metres
    /// (square metre per metre), so that a small and a large cylinder compare.
    ///
    /// # Errors
    /// An impossible bore.
    pub fn per_circumference(&self, bore: Length) -> Result<Option<Length>, Problem> {
        let around = PI * BORE.check(bore)?.si();
        Ok(self.area.map(|area| Length::from_si(area.si() / around)))
    }
}
