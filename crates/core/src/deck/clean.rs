//! From which diameter on the units leave no strip, by closed form.
//!
//! Let the inner unit's outer end lie `b` outward of the axle's midpoint and `xi` ahead, the
//! outer unit's inner end `a` outward and `xo` ahead; on the straight they overlap by
//! o = b - a. On a circle of radius R they just touch when
//! (R + a)^2 + xo^2 = (R + b)^2 + xi^2. The squares of R cancel:
//!
//! R = (xo^2 - xi^2) / (2 o) - (a + b) / 2.
//!
//! Below that radius a strip stands between them (derived; with a rear unit on the axle,
//! xi = 0, it is R = xo^2 / (2 o) - (a + b) / 2).
//!
//! A third unit may cover the strip, and near the turning centre a ring may fold over: strips need
//! not come and go once only. [`striped_radii`] takes every radius at which any two ends of rings
//! can meet; between two such radii the order of the ends cannot change, so one look in the middle
//! decides the whole stretch.

use crate::deck::strips::{outward_m, strips};
use crate::model::mower::{CuttingUnit, Mower};
use crate::model::pattern::Sense;

/// A stretch of radii at which the deck leaves at least one strip.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Striped {
    /// Smallest radius of the stretch (axle's midpoint), metres.
    pub from_m: f64,
    /// Largest, metres; infinite when the strip stays open however wide the circle is.
    pub to_m: f64,
}

/// Radii closer together than this are one, metres: far below what a tape shows.
const SAME_RADIUS_M: f64 = 1e-9;

/// All stretches of radii at which strips are left, from the smallest up, in one sense. Their ends,
/// where the rings just touch, are exact to rounding.
pub fn striped_radii(units: &[CuttingUnit], sense: Sense) -> Vec<Striped> {
    let mut bounds = meeting_radii(units, sense);
    bounds.insert(0, 0.0);
    bounds.push(f64::INFINITY);
    let mut out: Vec<Striped> = Vec::new();
    for w in bounds.windows(2) {
        let (from_m, to_m) = (w[0], w[1]);
        // Beyond the last meeting nothing changes any more.
        let look = if to_m.is_finite() {
            0.5 * (from_m + to_m)
        } else {
            2.0 * from_m + 1.0
        };
        if strips(units, look, sense).is_empty() {
            continue;
        }
        match out.last_mut() {
            Some(last) if last.to_m == from_m => last.to_m = to_m,
            _ => out.push(Striped { from_m, to_m }),
        }
    }
    out
}

/// The radius from which on no strip is left at any larger radius, metres; `None` when strips
/// are left however wide the circle is (a gap on the straight, or no overlap at all between a
/// unit and one farther from the axle on its outside).
///
/// Zero when the deck never leaves a strip, as a plain bar. There may be smaller radii that
/// are clean too: see [`striped_radii`].
///
/// ```
/// use crossgrain_core::inside::deck::clean_from_radius_m;
/// use crossgrain_core::{CuttingUnit, Sense};
/// let rear = CuttingUnit { across_m: 0.4, ahead_m: 0.0, width_m: 0.85 };
/// let front = CuttingUnit { across_m: -0.4, ahead_m: 1.0, width_m: 0.85 };
/// let r = clean_from_radius_m(&[rear, front], Sense::CounterClockwise);
/// // x^2 / (2 o) - (a + b) / 2 with x = 1, o = 0.05 and a = -b = -0.025.
/// assert!((r.unwrap() - 10.0).abs() < 1e-9);
/// ```
pub fn clean_from_radius_m(units: &[CuttingUnit], sense: Sense) -> Option<f64> {
    match striped_radii(units, sense).last() {
        None => Some(0.0),
        Some(s) if s.to_m.is_finite() => Some(s.to_m),
        Some(_) => None,
    }
}

/// The tightest radius that a mower drives with the reels down, metres: its own, or the smallest
/// at which the units leave no strip turning either way. A deck with gaps on the straight leaves
/// strips at any radius; it is driven as it can turn.
pub fn clean_radius_m(mower: &Mower) -> f64 {
    let clean = [Sense::Clockwise, Sense::CounterClockwise]
        .map(|sense| clean_from_radius_m(&mower.units, sense));
    let clean = clean.into_iter().flatten();
    clean.fold(mower.turning_radius_m, f64::max)
}

/// Every radius at which two ends of rings can meet or a ring folds over, sorted, above zero.
fn meeting_radii(units: &[CuttingUnit], sense: Sense) -> Vec<f64> {
    // Ends of all cutting lines as (outward, ahead).
    let of = |u: &CuttingUnit| [u.left_m(), u.right_m()].map(|a| (outward_m(a, sense), u.ahead_m));
    let ends: Vec<(f64, f64)> = units.iter().flat_map(of).collect();
    let mut radii = Vec::new();
    for (i, &(a, xa)) in ends.iter().enumerate() {
        // The turning centre is level with the end of the line: the ring folds.
        radii.push(-a);
        for &(b, xb) in &ends[..i] {
            let o = b - a;
            if o != 0.0 {
                radii.push((xa * xa - xb * xb) / (2.0 * o) - (a + b) / 2.0);
            }
        }
        // Another unit's folded inner edge, at its own |x|, meets this end.
        for u in units {
            let rest = u.ahead_m * u.ahead_m - xa * xa;
            if rest >= 0.0 {
                radii.push(rest.sqrt() - a);
                radii.push(-rest.sqrt() - a);
            }
        }
    }
    radii.retain(|r| r.is_finite() && *r > SAME_RADIUS_M);
    radii.sort_by(f64::total_cmp);
    radii.dedup_by(|b, a| *b - *a <= SAME_RADIUS_M);
    radii
}

/// Two units that lie side by side on the straight.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Neighbours {
    /// The unit on the right, by its place in the list.
    pub right_unit: usize,
    /// The unit on the left.
    pub left_unit: usize,
    /// Overlap on the straight, metres; below zero is a gap.
    pub overlap_m: f64,
    /// Radius below which these two leave a strip turning right (clockwise), metres; zero when
    /// they never do, `None` when they always do.
    pub opens_below_cw_m: Option<f64>,
    /// The same turning left (counter-clockwise).
    pub opens_below_ccw_m: Option<f64>,
}

/// The units in their order from right to left, pair by pair. Units that lie wholly behind or
/// in front of others, and so are no edge of the cut, are left out.
pub fn neighbours(units: &[CuttingUnit]) -> Vec<Neighbours> {
    let mut row: Vec<usize> = (0..units.len()).collect();
    row.sort_by(|&a, &b| units[a].right_m().total_cmp(&units[b].right_m()));
    let mut reach_m = f64::NEG_INFINITY;
    row.retain(|&i| {
        let farther = units[i].left_m() > reach_m;
        reach_m = reach_m.max(units[i].left_m());
        farther
    });
    let beside = |w: &[usize]| {
        let pair = [units[w[0]], units[w[1]]];
        Neighbours {
            right_unit: w[0],
            left_unit: w[1],
            overlap_m: pair[0].left_m() - pair[1].right_m(),
            opens_below_cw_m: clean_from_radius_m(&pair, Sense::Clockwise),
            opens_below_ccw_m: clean_from_radius_m(&pair, Sense::CounterClockwise),
        }
    };
    row.windows(2).map(beside).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawn::unit;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    #[test]
    fn a_bar_is_clean_a_gap_never_closes_and_no_overlap_opens_on_one_side_only() {
        let clean = |u: &[CuttingUnit]| {
            [Sense::Clockwise, Sense::CounterClockwise].map(|s| clean_from_radius_m(u, s))
        };
        assert_eq!(clean(&[unit(0.0, 0.7, 2.54)]), [Some(0.0); 2]);
        let apart = [unit(-0.6, 1.0, 1.0), unit(0.6, 0.0, 1.0)];
        assert_eq!(clean(&apart), [None; 2]);
        // Edge to edge, the front unit on the right: turning left it swings away for ever.
        let even = clean(&[unit(-0.5, 1.0, 1.0), unit(0.5, 0.0, 1.0)]);
        assert_eq!(even, [Some(0.0), None]);
    }

    #[test]
    fn neighbours_open_where_the_formula_says() {
        let pair = neighbours(&[unit(-0.45, 1.1, 1.0), unit(0.45, -0.3, 1.0)])[0];
        assert_relative_eq!(pair.overlap_m, 0.1, epsilon = 1e-12);
        let known = (1.21 - 0.09) / 0.2;
        assert_relative_eq!(pair.opens_below_ccw_m.unwrap(), known, epsilon = 1e-9);
    }

    #[test]
    fn a_strip_may_close_again_at_a_smaller_radius() {
        // Between the front unit and the rear one a strip opens below 10 m, but near 3 m the
        // third unit, far ahead, swings out over it.
        let u = [
            unit(0.4, 0.0, 0.85),
            unit(-0.4, 1.0, 0.85),
            unit(0.25, 1.35, 0.3),
        ];
        let s = striped_radii(&u, Sense::CounterClockwise);
        assert!(s.len() >= 2, "{s:?}");
        assert_relative_eq!(s.last().unwrap().to_m, 10.0, epsilon = 1e-9);
        let between = 0.5 * (s[s.len() - 2].to_m + s[s.len() - 1].from_m);
        assert!(strips(&u, between, Sense::CounterClockwise).is_empty());
    }

    fn deck() -> impl Strategy<Value = Vec<CuttingUnit>> {
        let piece = (0.3f64..1.2, 0.03f64..0.15, -1.5f64..2.5);
        prop::collection::vec(piece, 2..7).prop_map(|pieces| {
            let mut edge = -pieces.iter().map(|p| p.0 - p.1).sum::<f64>() / 2.0;
            let of = |(width, overlap, ahead)| {
                let made = unit(edge + width / 2.0, ahead, width);
                edge += width - overlap;
                made
            };
            pieces.into_iter().map(of).collect()
        })
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(1000))]

        #[test]
        fn strips_are_left_within_the_stretches_and_nowhere_else(
            units in deck(),
            radii in prop::collection::vec(0.0f64..80.0, 12),
        ) {
            for sense in [Sense::Clockwise, Sense::CounterClockwise] {
                let all = striped_radii(&units, sense);
                prop_assert!(all.iter().all(|s| s.to_m.is_finite()));
                // Half a millimetre of radius is a millimetre of diameter.
                let beside = |s: &Striped| [s.from_m, s.to_m].map(|r| [r - 5e-4, r + 5e-4]);
                let ends = all.iter().flat_map(beside).flatten();
                for r in radii.iter().copied().chain(ends) {
                    let near = |end: f64| (end - r).abs() < 4e-4;
                    if all.iter().any(|s| near(s.from_m) || near(s.to_m)) || r < 0.0 {
                        continue;
                    }
                    let within = all.iter().any(|s| s.from_m < r && r < s.to_m);
                    prop_assert_eq!(strips(&units, r, sense).is_empty(), !within, "{}", r);
                }
            }
        }
    }
}
