//! What the units leave between them: gaps on the straight, strips on a circle.

use crate::deck::radii::ring;
use crate::model::mower::CuttingUnit;
use crate::model::pattern::Sense;

/// Thinner than this is rounding, not grass, metres.
pub const THINNEST_STRIP_M: f64 = 1e-9;

/// Uncut ground between two units on the straight.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gap {
    /// Unit on its right side, by its place in the list.
    pub right_unit: usize,
    /// Unit on its left side.
    pub left_unit: usize,
    /// Right edge of the gap, metres left of the axle's midpoint.
    pub from_m: f64,
    /// Left edge of the gap, metres left of the axle's midpoint.
    pub to_m: f64,
}

impl Gap {
    /// Width, metres.
    pub fn width_m(&self) -> f64 {
        self.to_m - self.from_m
    }
}

/// A ring of uncut grass between two units on a circle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strip {
    /// Unit that cuts up to it from the centre's side, by its place in the list.
    pub inner_unit: usize,
    /// Unit that cuts on from its outside.
    pub outer_unit: usize,
    /// Inner radius of the strip, metres.
    pub from_m: f64,
    /// Outer radius of the strip, metres.
    pub to_m: f64,
}

impl Strip {
    /// Width, metres.
    pub fn width_m(&self) -> f64 {
        self.to_m - self.from_m
    }
}

/// Gaps between the units when the mower drives straight, from right to left.
pub fn gaps_on_the_straight(units: &[CuttingUnit]) -> Vec<Gap> {
    let bands: Vec<(f64, f64)> = units.iter().map(|u| (u.right_m(), u.left_m())).collect();
    between(&bands)
        .into_iter()
        .map(|(right_unit, left_unit, from_m, to_m)| Gap {
            right_unit,
            left_unit,
            from_m,
            to_m,
        })
        .collect()
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
    let rings: Vec<(f64, f64)> = units
        .iter()
        .map(|u| {
            let r = ring(u, radius_m, sense);
            (r.inner_m, r.outer_m)
        })
        .collect();
    between(&rings)
        .into_iter()
        .map(|(inner_unit, outer_unit, from_m, to_m)| Strip {
            inner_unit,
            outer_unit,
            from_m,
            to_m,
        })
        .collect()
}

/// Holes in the union of intervals: below, above, from, to.
fn between(spans: &[(f64, f64)]) -> Vec<(usize, usize, f64, f64)> {
    let mut order: Vec<usize> = (0..spans.len()).collect();
    order.sort_by(|&a, &b| spans[a].0.total_cmp(&spans[b].0).then(a.cmp(&b)));
    let mut out = Vec::new();
    let Some(&first) = order.first() else {
        return out;
    };
    let mut top = first;
    for &i in &order[1..] {
        if spans[i].0 > spans[top].1 + THINNEST_STRIP_M {
            out.push((top, i, spans[top].1, spans[i].0));
        }
        if spans[i].1 > spans[top].1 {
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
        assert_eq!((g[0].right_unit, g[0].left_unit), (1, 0));
        assert_relative_eq!(g[0].width_m(), 0.1, epsilon = 1e-12);
    }

    #[test]
    fn units_that_touch_leave_nothing() {
        assert!(gaps_on_the_straight(&[unit(0.0, 0.0, 1.0), unit(1.0, 0.0, 1.0)]).is_empty());
    }

    #[test]
    fn a_wide_unit_may_cover_the_gap_of_two_others() {
        let u = [
            unit(-1.0, 1.0, 0.8),
            unit(1.0, 1.0, 0.8),
            unit(0.0, 0.0, 1.4),
        ];
        assert!(gaps_on_the_straight(&u).is_empty());
    }

    #[test]
    fn strip_edges_are_the_units_own_radii() {
        let u = [unit(0.4, -0.2, 0.85), unit(-0.4, 1.0, 0.85)];
        let s = strips(&u, 2.0, Sense::CounterClockwise);
        assert_eq!(s.len(), 1);
        assert_eq!((s[0].inner_unit, s[0].outer_unit), (0, 1));
        // Inner unit's outer end: across 0.4 - 0.425, so 0.025 outward; outer unit's inner
        // end: across -0.4 + 0.425, so 0.025 inward.
        assert_relative_eq!(s[0].from_m, 2.025f64.hypot(0.2), epsilon = 1e-12);
        assert_relative_eq!(s[0].to_m, 1.975f64.hypot(1.0), epsilon = 1e-12);
    }

    #[test]
    fn no_units_no_strips() {
        assert!(strips(&[], 3.0, Sense::Clockwise).is_empty());
    }
}
