//! Ways round barred ground: the shortest polyline by way of its corners.
//!
//! The shortest way among polygons bends only at their corners (visibility graph: T.
//! Lozano-Perez and M. A. Wesley, *Communications of the ACM* 22, 1979). Barred ground is
//! grown first so that a mower has room; the inner corners of the outline are added, for ways
//! round a dogleg. Sight lines are checked when they are first needed and kept.

use crate::driving::clearance::{AXLE_CLEAR_M, Clearances, Standing, TurningGround};
use crate::model::track::Segment;
use crate::work::Work;
use geo_types::Coord;
use std::cell::RefCell;
use std::cmp::Reverse;
use std::collections::BinaryHeap;
use std::iter::successors;

/// Extra room beyond the deck's half-width at a corner, metres.
const ROOM_M: f64 = 0.5;
/// More corners than this would make the search slow; the rest is left out.
const MAX_CORNERS: usize = 400;

/// The corners by which barred ground can be passed.
pub struct Detour {
    corners: Vec<Coord<f64>>,
    // Whether corners see each other, where known; without the margin kept and with it.
    sight: RefCell<Vec<[Option<bool>; 2]>>,
}

/// So many corners are looked at from another in the time of one turn.
const CORNERS_A_TURN: u64 = 100;

impl Detour {
    /// Collects the corners of `ground`.
    pub fn new(ground: &TurningGround) -> Self {
        let mut corners = ground.corners(ground.deck_clear_m + ROOM_M);
        let least_m = 2.0 * AXLE_CLEAR_M;
        corners.retain(|&c| ground.clearance_m(c, least_m) >= least_m);
        corners.truncate(MAX_CORNERS);
        let sight = RefCell::new(vec![[None; 2]; corners.len() * corners.len()]);
        Self { corners, sight }
    }

    /// Corners of the shortest way from `a` to `b`, none when there is no way.
    pub fn corners(
        &self,
        ground: &TurningGround,
        a: Coord<f64>,
        b: Coord<f64>,
        room: Clearances,
        work: &Work,
    ) -> Option<Vec<Coord<f64>>> {
        let n = self.corners.len();
        // Nodes: the corners, then `a` (n) and `b` (n + 1).
        let at = |i: usize| {
            self.corners
                .get(i)
                .copied()
                .unwrap_or(if i == n { a } else { b })
        };
        let away = |i: usize, j: usize| {
            let d = at(i) - at(j);
            (d.x * d.x + d.y * d.y).sqrt()
        };
        // Whoever sees no corner from the end, nor the end itself, need not search for a way there.
        let seen_from_end = |&p: &Coord<f64>| in_sight(ground, p, b, true, room);
        if !seen_from_end(&a) && !self.corners.iter().any(seen_from_end) {
            return None;
        }
        let mut before = vec![None; n + 2];
        // The step with the shortest way so far plus what is left at least comes first (A*); a
        // sight line is only checked when its turn has come. Lengths are never below zero, so their
        // bits come in the same order: of the way and what is left, then to where and from where.
        let mut steps = BinaryHeap::from([Reverse((0, n, n, 0.0_f64.to_bits()))]);
        while let Some(Reverse((_, here, from, way))) = steps.pop() {
            if before[here].is_some() {
                continue;
            }
            let ends = from >= n || here >= n;
            let look = || in_sight(ground, at(from), at(here), ends, room);
            let clear = match (from.min(here), from.max(here)) {
                (i, j) if i == j => true,
                (i, j) if j < n => *self.sight.borrow_mut()[i * n + j][usize::from(room.margin)]
                    .get_or_insert_with(look),
                _ => look(),
            };
            if !clear {
                continue;
            }
            work.spend(1 + n as u64 / CORNERS_A_TURN);
            if work.over() {
                break;
            }
            before[here] = Some(from);
            if here == n + 1 {
                let on_way = successors(Some(here), |&i| before[i].filter(|&j| j < n));
                let mut corners: Vec<_> = on_way.skip(1).map(at).collect();
                corners.reverse();
                return Some(corners);
            }
            for to in (0..n + 2).filter(|&i| before[i].is_none()) {
                let way_m = f64::from_bits(way) + away(here, to);
                let bound_m = way_m + away(to, n + 1);
                steps.push(Reverse((bound_m.to_bits(), to, here, way_m.to_bits())));
            }
        }
        None
    }
}

/// Whether a mower can drive straight from place to place; an end of a pass (`ends`) may lie nearer
/// to barred ground than any corner.
fn in_sight(
    ground: &TurningGround,
    from: Coord<f64>,
    to: Coord<f64>,
    ends: bool,
    room: Clearances,
) -> bool {
    let room = Clearances {
        axle_m: if ends { room.axle_m } else { AXLE_CLEAR_M },
        deck_m: AXLE_CLEAR_M,
        margin: room.margin,
    };
    let standing = ground.standing(&Segment::Line { from, to }, room, true);
    matches!(standing, Standing::Clear { .. })
}
