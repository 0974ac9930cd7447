//! Ways round barred ground: the shortest polyline by way of its corners.
//!
//! The shortest way among polygons bends only at their corners (visibility graph: T.
//! Lozano-Perez and M. A. Wesley, *Communications of the ACM* 22, 1979). Barred ground is
//! grown first so that a mower has room; the inner corners of the outline are added, for ways
//! round a dogleg. Sight lines are checked when they are first needed and kept.

use super::turning_ground::{AXLE_CLEAR_M, Room, Standing, TurningGround};
use crate::model::track::Path;
use geo_types::Coord;
use std::cell::RefCell;
use std::cmp::Ordering;
use std::collections::BinaryHeap;

/// Extra room beyond the deck's half-width at a corner, metres.
const ROOM_M: f64 = 0.5;
/// More corners than this would make the search slow; the rest is left out.
const MOST_CORNERS: usize = 400;

/// A step from corner to corner that may turn out to be blocked.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Step {
    bound_m: f64,
    way_m: f64,
    from: usize,
    to: usize,
}

impl Eq for Step {}

impl Ord for Step {
    // The heap gives the largest first; the shortest is wanted. Equal lengths go by number.
    fn cmp(&self, other: &Self) -> Ordering {
        other
            .bound_m
            .total_cmp(&self.bound_m)
            .then(other.to.cmp(&self.to))
            .then(other.from.cmp(&self.from))
    }
}

impl PartialOrd for Step {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

/// The corners by which barred ground can be passed.
pub struct Detour {
    corners: Vec<Coord<f64>>,
    // 0 unknown, 1 in sight, 2 not; with the margin kept and without.
    sight: RefCell<Vec<[u8; 2]>>,
}

impl Detour {
    /// Collects the corners of `ground`.
    pub fn new(ground: &TurningGround) -> Self {
        let mut corners: Vec<Coord<f64>> = ground
            .corners(ground.deck_clear_m + ROOM_M)
            .into_iter()
            .filter(|&c| ground.clearance_m(c, 2.0 * AXLE_CLEAR_M) >= 2.0 * AXLE_CLEAR_M)
            .collect();
        corners.truncate(MOST_CORNERS);
        let n = corners.len();
        Self {
            corners,
            sight: RefCell::new(vec![[0; 2]; n * n]),
        }
    }

    /// Corners of the shortest way from `a` to `b`, none when there is no way.
    pub fn corners(
        &self,
        ground: &TurningGround,
        a: Coord<f64>,
        b: Coord<f64>,
        room: Room,
    ) -> Option<Vec<Coord<f64>>> {
        let n = self.corners.len();
        // Nodes: the corners, then `a` (n) and `b` (n + 1).
        let at = |i: usize| match i {
            i if i < n => self.corners[i],
            i if i == n => a,
            _ => b,
        };
        let away = |i: usize, j: usize| {
            let (p, q) = (at(i), at(j));
            ((p.x - q.x) * (p.x - q.x) + (p.y - q.y) * (p.y - q.y)).sqrt()
        };
        let mut before = vec![usize::MAX; n + 2];
        let mut done = vec![false; n + 2];
        // The step with the shortest way so far plus what is left at least comes first (A*); a
        // sight line is only checked when its turn has come.
        let mut steps = BinaryHeap::from([Step {
            bound_m: 0.0,
            way_m: 0.0,
            from: n,
            to: n,
        }]);
        while let Some(step) = steps.pop() {
            let here = step.to;
            if done[here]
                || (here != step.from
                    && !self.sees(ground, step.from, here, at(step.from), at(here), room))
            {
                continue;
            }
            done[here] = true;
            before[here] = step.from;
            if here == n + 1 {
                break;
            }
            for to in (0..n + 2).filter(|&i| !done[i]) {
                let way_m = step.way_m + away(here, to);
                steps.push(Step {
                    bound_m: way_m + away(to, n + 1),
                    way_m,
                    from: here,
                    to,
                });
            }
        }
        if !done[n + 1] {
            return None;
        }
        let mut out = Vec::new();
        let mut i = before[n + 1];
        while i < n {
            out.push(self.corners[i]);
            i = before[i];
        }
        out.reverse();
        Some(out)
    }

    fn sees(
        &self,
        ground: &TurningGround,
        i: usize,
        j: usize,
        from: Coord<f64>,
        to: Coord<f64>,
        room: Room,
    ) -> bool {
        let n = self.corners.len();
        let slot = usize::from(room.margin);
        let (lo, hi) = (i.min(j), i.max(j));
        if hi < n {
            match self.sight.borrow()[lo * n + hi][slot] {
                1 => return true,
                2 => return false,
                _ => {}
            }
        }
        // The ends of a pass may lie nearer to barred ground than any corner.
        let room = Room {
            axle_m: if hi < n { AXLE_CLEAR_M } else { room.axle_m },
            deck_m: AXLE_CLEAR_M,
            margin: room.margin,
        };
        let standing = ground.standing(&Path::Line { from, to }, room, true);
        let clear = matches!(standing, Standing::Clear(_));
        if hi < n {
            self.sight.borrow_mut()[lo * n + hi][slot] = if clear { 1 } else { 2 };
        }
        clear
    }
}
