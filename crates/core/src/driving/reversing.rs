//! Turns that back up once on the way.
//!
//! The turn with one reverse: quarter forward, straight back, quarter forward; and the turn in three
//! arcs, the middle one backing. Both are words of J. A. Reeds and L. A. Shepp, "Optimal paths for a
//! car that goes both forwards and backwards", *Pacific Journal of Mathematics* 145, 1990; shorter
//! ones that change gear more often exist, but these are driven in practice. Only mowers that may
//! reverse are offered them.

use crate::driving::turns::{SIDES, Turn, TurnEnds, arriving, leaving, sweep, three_arcs};
use crate::model::pose::Pose;
use crate::model::track::{Gear, Segment, Track};
use std::f64::consts::PI;

/// All turns that back up once, shortest first; there may be none.
///
/// ```
/// use crossgrain_core::inside::driving::reversing::backing_turns;
/// use crossgrain_core::Pose;
/// use geo_types::coord;
/// let here = Pose::new(coord! { x: 0.0, y: 0.0 }, 0.0);
/// // Facing about on the spot takes three sixths of a circle.
/// let turn = &backing_turns(here, here.reversed(), 1.0)[0];
/// assert!((turn.length_m - std::f64::consts::PI).abs() < 1e-9);
/// ```
pub fn backing_turns(from: Pose, to: Pose, radius_m: f64) -> Vec<Turn> {
    let ends = TurnEnds::new(from, to, radius_m);
    let arcs =
        (SIDES.iter()).filter_map(|&(side, bend)| three_arcs(&ends, side, bend, Gear::Reverse));
    let mut out: Vec<Turn> = arcs
        .chain(turn_with_one_reverse(from, to, radius_m))
        .collect();
    out.sort_by(|a, b| a.length_m.total_cmp(&b.length_m));
    out
}

/// The turn with one reverse, when the two poses leave room for it.
///
/// Between opposite passes `w` apart its length is `pi r + 2 r - w` (after Bochtis &
/// Vougioukas, *Biosystems Engineering*, 2008; from memory, derived again). Both sides are
/// tried and the shorter one kept.
pub fn turn_with_one_reverse(from: Pose, to: Pose, radius_m: f64) -> Option<Turn> {
    let both = [1.0, -1.0].into_iter().filter_map(|side: f64| {
        let first = from.offset(0.0, side * radius_m);
        let last = to.offset(0.0, side * radius_m);
        let (dx, dy) = (first.x - last.x, first.y - last.y);
        // Backing from the first circle to the last, the mower faces from last to first. On one
        // circle for both there is nothing to back: the plain U is the limit of the formula.
        let heading = if dx.hypot(dy) < 1e-9 {
            to.heading_rad
        } else {
            dy.atan2(dx)
        };
        let a = sweep(side * (heading - from.heading_rad));
        let b = sweep(side * (to.heading_rad - heading));
        if a > PI || b > PI {
            return None;
        }
        let closing = arriving(to, radius_m, side * b);
        let mut tracks: Vec<Track> = leaving(from, radius_m, side * a).into_iter().collect();
        let path = Segment::Line {
            from: tracks.last().map_or(from.at, |t| t.path.end().at),
            to: closing.map_or(to.at, |t| t.path.start().at),
        };
        if path.length_m() > 0.0 {
            let gear = Gear::Reverse;
            tracks.push(Track {
                gear,
                ..Track::up(path)
            });
        }
        tracks.extend(closing);
        Some(Turn::of(tracks))
    });
    both.min_by(|a, b| a.length_m.total_cmp(&b.length_m))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawn::pose;
    use crate::model::pose::fold_rad;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn turns_that_back_up_once_meet_both_poses(
            x in -30.0..30.0f64, y in -30.0..30.0f64, h0 in -7.0..7.0f64, h1 in -7.0..7.0f64,
            r in 0.5..9.0f64,
        ) {
            let (from, to) = (pose(-500.0, 900.0, h0), pose(x - 500.0, y + 900.0, h1));
            for turn in backing_turns(from, to, r) {
                let mut here = from;
                for t in &turn.tracks {
                    let start = t.start();
                    prop_assert!((start.at.x - here.at.x).hypot(start.at.y - here.at.y) < 1e-8);
                    // A line of millimetres has its direction only to rounding.
                    let slack = 1e-7 + 1e-10 / t.path.length_m();
                    prop_assert!(fold_rad(start.heading_rad - here.heading_rad).abs() < slack);
                    prop_assert!(t.path.curvature_per_m().abs() <= (1.0 + 1e-12) / r);
                    here = t.end();
                }
                prop_assert!((to.at.x - here.at.x).hypot(to.at.y - here.at.y) < 1e-8);
                let backing = turn.tracks.iter().filter(|t| t.gear == Gear::Reverse);
                prop_assert!(backing.count() <= 1);
            }
        }
    }
}
