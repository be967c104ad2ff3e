//! Cylinder balance: how much speed each cylinder is worth.
//!
//! With one cylinder cut out a sound engine loses about as much speed whichever
//! it is; the one that costs least gives least.

use super::quantity::{Turning, of};
use super::range::Range;
use super::units;
use crate::problem::Problem;

/// Falls of speed.
pub const DROP: Range<of::Turning> = Range::new("fall of speed", -100.0, 2000.0, units::RPM);

/// A cylinder beside the others.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Worth {
    /// Speed lost with it cut out.
    pub drop: Turning,
    /// That over the middle of the others (with two cylinders, over the greater).
    pub share: f64,
    /// How it stands.
    pub standing: Standing,
}

/// How a cylinder stands beside the others.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// Gives what the others give.
    Even,
    /// Gives clearly less: under 60 % (judgement), or on a twin a difference of more than 75 rpm.
    Weak,
    /// Gives next to nothing: under 15 % (judgement).
    Dead,
}

/// Each cylinder's worth, in cylinder order.
///
/// ```
/// use sootsayer::gauge::{Turning, balance::{Standing, worth}, units};
/// // Printed example of a twin: 3400 rpm on both, losses of 100 and 300: cylinder 1 is weak.
/// let rpm = |v| Turning::of(v, units::RPM);
/// let found = worth(&[rpm(100.0), rpm(300.0)]).unwrap();
/// assert_eq!(found[0].standing, Standing::Weak);
/// assert_eq!(found[1].standing, Standing::Even);
/// ```
///
/// # Errors
/// Fewer than two cylinders, a fall that cannot be, no fall on any.
pub fn worth(drops: &[Turning]) -> Result<Vec<Worth>, Problem> {
    if drops.len() < 2 {
        return Err(Problem::new("one cylinder cannot be balanced")
            .hint("give every cylinder's fall of speed"));
    }
    for drop in drops {
        DROP.check(*drop)?;
    }
    let rpm: Vec<f64> = drops.iter().map(|d| d.get(units::RPM)).collect();
    let mut found = Vec::new();
    for (at, own) in rpm.iter().enumerate() {
        let mut others: Vec<f64> = rpm
            .iter()
            .enumerate()
            .filter(|(i, _)| *i != at)
            .map(|(_, v)| *v)
            .collect();
        others.sort_by(f64::total_cmp);
        let middle = match others.as_slice() {
            [only] => only.max(*own),
            _ => others[others.len() / 2],
        };
        if middle <= 0.0 {
            return Err(
                Problem::new("cutting out the other cylinders costs no speed")
                    .hint("hold the throttle; an engine that governs its speed must be held still"),
            );
        }
        let share = own / middle;
        let twin_weak = rpm.len() == 2 && middle - own > 75.0;
        found.push(Worth {
            drop: drops[at],
            share,
            standing: match share {
                _ if share < 0.15 => Standing::Dead,
                _ if share < 0.60 || twin_weak => Standing::Weak,
                _ => Standing::Even,
            },
        });
    }
    Ok(found)
}
