//! Air through a hole: the isentropic nozzle that the leak-down test rests on.
//!
//! Source: Equations, Tables and Charts for Compressible Flow, NACA Report
//! 1135 (1953), for a perfect gas of gamma 1.4. Discharge coefficient and
//! temperature are taken alike at both holes, so that they cancel.

use super::quantity::Absolute;

/// Ratio of specific heats of air.
pub const GAMMA: f64 = 1.4;

/// Outlet over inlet pressure at and below which the flow is choked:
/// `(2 / (g + 1))^(g / (g - 1))`, 0.5283 for air.
pub fn critical_ratio() -> f64 {
    (2.0 / (GAMMA + 1.0)).powf(GAMMA / (GAMMA - 1.0))
}

/// Mass flow function of a nozzle at an absolute pressure ratio `r` (outlet
/// over inlet), without dimension:
/// `psi(r) = sqrt(2 g / (g - 1) (r^(2/g) - r^((g+1)/g)))`, and its maximum at
/// and below the critical ratio. 0 at `r` of 1 and more.
///
/// ```
/// use sootsayer::gauge::nozzle::{critical_ratio, psi};
/// // Flow against choked flow at Mach 0.60, p/p0 0.7840: A*/A is 1/1.1882 in the tables for k 1.4.
/// let choked = psi(critical_ratio());
/// assert!((psi(0.7840) / choked - 1.0 / 1.1882).abs() < 2e-4);
/// assert_eq!(psi(0.2), choked);
/// ```
pub fn psi(r: f64) -> f64 {
    let r = r.clamp(critical_ratio(), 1.0);
    let flow = r.powf(2.0 / GAMMA) - r.powf((GAMMA + 1.0) / GAMMA);
    (2.0 * GAMMA / (GAMMA - 1.0) * flow.max(0.0)).sqrt()
}

/// Mass flow per area from one pressure to another, up to a factor that all
/// holes at one temperature share: `P psi(P_out / P)`.
pub fn flow(from: Absolute, to: Absolute) -> f64 {
    if from <= to {
        0.0
    } else {
        from.si() * psi(to / from)
    }
}

/// Whether the flow from one pressure to another is choked.
pub fn choked(from: Absolute, to: Absolute) -> bool {
    to / from <= critical_ratio()
}

/// Area of the leak over area of the restrictor, from the pressures before the
/// restrictor, between the two, and around. Infinite when nothing is held.
///
/// `A_l / A_o = Ps psi(Pc / Ps) / (Pc psi(Pa / Pc))`: the same mass goes in
/// through the restrictor as out through the leak.
pub fn area_ratio(supply: Absolute, between: Absolute, around: Absolute) -> f64 {
    let out = flow(between, around);
    if out == 0.0 {
        f64::INFINITY
    } else {
        flow(supply, between) / out
    }
}

/// The pressure that settles between restrictor and leak; the inverse of
/// [`area_ratio`], by bisection to the last bit.
///
/// ```
/// use sootsayer::gauge::{Absolute, nozzle, units};
/// let psia = |p| Absolute::of(p, units::PSIA);
/// let between = nozzle::settled(psia(94.696), 1.059, psia(14.696));
/// assert!((between.get(units::PSIA) - 74.696).abs() < 0.02);
/// ```
pub fn settled(supply: Absolute, ratio: f64, around: Absolute) -> Absolute {
    let (mut low, mut high) = (around, supply);
    if ratio <= 0.0 {
        return supply;
    }
    for _ in 0..200 {
        let middle = (low + high) / 2.0;
        if middle <= low || middle >= high {
            break;
        }
        if area_ratio(supply, middle, around) > ratio {
            low = middle;
        } else {
            high = middle;
        }
    }
    (low + high) / 2.0
}
