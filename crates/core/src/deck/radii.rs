//! The ring that one cutting unit cuts while the mower drives a circle.
//!
//! The driven circle is the path of the fixed axle's midpoint, so the turning centre lies on
//! the axle's line (no side slip of the wheels). Seen from there, a point of the mower `x`
//! ahead of the axle and `u` outward of its midpoint runs on a circle of radius
//! sqrt((R + u)^2 + x^2).

use crate::model::mower::CuttingUnit;
use crate::model::pattern::Sense;

/// The radii that a unit's cutting line passes over, metres from the turning centre.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ring {
    /// Nearest to the centre, metres.
    pub inner_m: f64,
    /// Farthest from the centre, metres.
    pub outer_m: f64,
}

/// How far outward of the axle's midpoint a place `across_m` to the left lies, metres: in a
/// left turn (counter-clockwise) the right side of the mower is the outside.
pub fn outward_m(across_m: f64, sense: Sense) -> f64 {
    -sense.sign() * across_m
}

/// The ring a unit cuts on a circle of `radius_m` (the axle's midpoint), metres.
///
/// When the turning centre's foot lies within the cutting line, the nearest point is not an
/// end of the line but the foot, at |x|.
///
/// ```
/// use crossgrain_core::inside::deck::ring;
/// use crossgrain_core::{CuttingUnit, Sense};
/// let bar = CuttingUnit { across_m: 0.0, ahead_m: 0.0, width_m: 2.0 };
/// let r = ring(&bar, 5.0, Sense::Clockwise);
/// assert_eq!((r.inner_m, r.outer_m), (4.0, 6.0));
/// ```
pub fn ring(unit: &CuttingUnit, radius_m: f64, sense: Sense) -> Ring {
    let middle = radius_m + outward_m(unit.across_m, sense);
    let (low, high) = (middle - unit.width_m / 2.0, middle + unit.width_m / 2.0);
    let (near, far) = if low.abs() <= high.abs() {
        (low, high)
    } else {
        (high, low)
    };
    let foot_inside = low < 0.0 && high > 0.0;
    Ring {
        inner_m: if foot_inside {
            unit.ahead_m.abs()
        } else {
            near.hypot(unit.ahead_m)
        },
        outer_m: far.hypot(unit.ahead_m),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawn::unit;
    use approx::assert_relative_eq;

    #[test]
    fn a_unit_over_the_centre_reaches_in_to_its_own_lead() {
        // Left turn of radius 1: the centre's foot is the middle of the unit.
        let r = ring(&unit(1.0, 0.5, 1.0), 1.0, Sense::CounterClockwise);
        assert_relative_eq!(r.inner_m, 0.5);
        assert_relative_eq!(r.outer_m, 0.5f64.hypot(0.5));
    }

    #[test]
    fn the_other_sense_is_the_mirror_image() {
        let (left, right) = (unit(0.8, 1.2, 0.7), unit(-0.8, 1.2, 0.7));
        for radius in [0.2, 1.0, 3.0, 30.0] {
            assert_eq!(
                ring(&left, radius, Sense::Clockwise),
                ring(&right, radius, Sense::CounterClockwise)
            );
        }
    }

    #[test]
    fn a_unit_ahead_swings_out() {
        let r = ring(&unit(0.0, 1.5, 0.0), 3.0, Sense::Clockwise);
        assert_relative_eq!(r.inner_m, 11.25f64.sqrt());
    }
}
