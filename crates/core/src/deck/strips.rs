//! What the units leave between them: gaps on the straight, strips on a circle.
//!
//! The driven circle is the path of the fixed axle's midpoint, so the turning centre lies on
//! the axle's line (no side slip of the wheels). Seen from there, a point of the mower `x`
//! ahead of the axle and `u` outward of its midpoint runs on a circle of radius
//! sqrt((R + u)^2 + x^2).

use crate::model::mower::CuttingUnit;
use crate::model::pattern::Sense;

/// Thinner than this is rounding, not grass, metres.
const THINNEST_STRIP_M: f64 = 1e-9;

/// Uncut grass between two units: a band on the straight, a ring on a circle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strip {
    /// The units on either side of it, by their places in the list: on the straight the one on its
    /// right first, on a circle the inner one.
    pub between_units: [usize; 2],
    /// Where it begins, metres: left of the axle's midpoint, or from the turning centre.
    pub from_m: f64,
    /// Where it ends, metres.
    pub to_m: f64,
}

impl Strip {
    /// Width, metres.
    pub fn width_m(&self) -> f64 {
        self.to_m - self.from_m
    }
}

/// How far outward of the axle's midpoint a place `across_m` to the left lies, metres: in a
/// left turn (counter-clockwise) the right side of the mower is the outside.
pub fn outward_m(across_m: f64, sense: Sense) -> f64 {
    -sense.sign() * across_m
}

/// The ring a unit cuts on a circle of `radius_m` (the axle's midpoint): the inner and the outer
/// radius that its cutting line passes over, metres from the turning centre.
///
/// ```
/// use crossgrain_core::inside::deck::ring;
/// use crossgrain_core::{CuttingUnit, Sense};
/// let bar = CuttingUnit { across_m: 0.0, ahead_m: 0.0, width_m: 2.0 };
/// let r = ring(&bar, 5.0, Sense::Clockwise);
/// assert_eq!(r, (4.0, 6.0));
/// ```
pub fn ring(unit: &CuttingUnit, radius_m: f64, sense: Sense) -> (f64, f64) {
    let middle = radius_m + outward_m(unit.across_m, sense);
    let (low, high) = (middle - unit.width_m / 2.0, middle + unit.width_m / 2.0);
    let (near, far) = if low.abs() <= high.abs() {
        (low, high)
    } else {
        (high, low)
    };
    // Where the turning centre is level with the cutting line, that place is the nearest.
    let near = if low < 0.0 && high > 0.0 { 0.0 } else { near };
    (near.hypot(unit.ahead_m), far.hypot(unit.ahead_m))
}

/// Gaps between the units when the mower drives straight, from right to left.
pub fn gaps_on_the_straight(units: &[CuttingUnit]) -> Vec<Strip> {
    let bands = units.iter().map(|u| (u.right_m(), u.left_m()));
    between(&bands.collect::<Vec<_>>())
}

/// Strips left on a circle of `radius_m` (the path of the axle's midpoint), from the inside
/// out. The uncut disc in the middle of the circle is no strip.
///
/// ```
/// use crossgrain_core::inside::deck::strips;
/// use crossgrain_core::{CuttingUnit, Sense};
/// let ahead = CuttingUnit { across_m: -0.4, ahead_m: 1.0, width_m: 0.85 };
/// let behind = CuttingUnit { across_m: 0.4, ahead_m: -0.2, width_m: 0.85 };
/// // A left turn of 2 m: the front unit swings out and leaves the rear one.
/// assert_eq!(strips(&[ahead, behind], 2.0, Sense::CounterClockwise).len(), 1);
/// assert!(strips(&[ahead, behind], 2.0, Sense::Clockwise).is_empty());
/// ```
pub fn strips(units: &[CuttingUnit], radius_m: f64, sense: Sense) -> Vec<Strip> {
    let rings = units.iter().map(|u| ring(u, radius_m, sense));
    between(&rings.collect::<Vec<_>>())
}

/// Holes in the union of intervals, one for each unit.
fn between(spans: &[(f64, f64)]) -> Vec<Strip> {
    let mut order: Vec<usize> = (0..spans.len()).collect();
    order.sort_by(|&a, &b| spans[a].0.total_cmp(&spans[b].0));
    let mut out = Vec::new();
    let mut top = order.first().copied().unwrap_or(0);
    for i in order {
        let (from_m, to_m) = (spans[top].1, spans[i].0);
        if to_m > from_m + THINNEST_STRIP_M {
            out.push(Strip {
                between_units: [top, i],
                from_m,
                to_m,
            });
        }
        if spans[i].1 > from_m {
            top = i;
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawn::unit;
    use approx::assert_relative_eq;

    #[test]
    fn a_gap_on_the_straight_names_both_sides() {
        let g = gaps_on_the_straight(&[unit(1.0, 0.0, 0.9), unit(0.0, 0.5, 0.9)]);
        assert_eq!(g.len(), 1);
        assert_eq!(g[0].between_units, [1, 0]);
        assert_relative_eq!(g[0].width_m(), 0.1, epsilon = 1e-12);
        // Units that touch leave nothing, and a wide one may cover the gap of two others.
        let (touching, wide) = (unit(0.0, 0.0, 1.0), unit(0.0, 0.0, 1.4));
        let apart = [unit(-1.0, 1.0, 0.8), unit(1.0, 1.0, 0.8)];
        assert!(gaps_on_the_straight(&[touching, unit(1.0, 0.0, 1.0)]).is_empty());
        assert!(gaps_on_the_straight(&[apart[0], apart[1], wide]).is_empty());
        assert!(strips(&[], 3.0, Sense::Clockwise).is_empty());
    }

    #[test]
    fn strip_edges_are_the_units_own_radii() {
        let u = [unit(0.4, -0.2, 0.85), unit(-0.4, 1.0, 0.85)];
        let s = strips(&u, 2.0, Sense::CounterClockwise);
        assert_eq!(s.len(), 1);
        assert_eq!(s[0].between_units, [0, 1]);
        // Inner unit's outer end: across 0.4 - 0.425, so 0.025 outward; outer unit's inner
        // end: across -0.4 + 0.425, so 0.025 inward.
        assert_relative_eq!(s[0].from_m, 2.025f64.hypot(0.2), epsilon = 1e-12);
        assert_relative_eq!(s[0].to_m, 1.975f64.hypot(1.0), epsilon = 1e-12);
    }

    #[test]
    fn a_unit_over_the_centre_reaches_in_to_its_own_lead_and_one_ahead_swings_out() {
        // Left turn of radius 1: the centre's foot is the middle of the unit.
        let r = ring(&unit(1.0, 0.5, 1.0), 1.0, Sense::CounterClockwise);
        assert_relative_eq!(r.0, 0.5);
        assert_relative_eq!(r.1, 0.5f64.hypot(0.5));
        let r = ring(&unit(0.0, 1.5, 0.0), 3.0, Sense::Clockwise);
        assert_relative_eq!(r.0, 11.25f64.sqrt());
        // The other sense is the mirror image.
        let (left, right) = (unit(0.8, 1.2, 0.7), unit(-0.8, 1.2, 0.7));
        for radius in [0.2, 1.0, 3.0, 30.0] {
            let mirrored = ring(&right, radius, Sense::CounterClockwise);
            assert_eq!(ring(&left, radius, Sense::Clockwise), mirrored);
        }
    }
}
