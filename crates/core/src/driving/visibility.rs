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
use std::cmp::Ordering;
use std::collections::{BTreeMap, BinaryHeap};

/// Extra room beyond the deck's half-width at a corner, metres.
const ROOM_M: f64 = 0.5;
/// More corners than this would make the search slow; the rest is left out.
const MAX_CORNERS: usize = 400;

/// A step from corner to corner that may turn out to be blocked.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Hop {
    bound_m: f64,
    way_m: f64,
    from: usize,
    to: usize,
}

impl Eq for Hop {}

impl Ord for Hop {
    // The heap gives the largest first; the shortest is wanted. Equal lengths go by number.
    fn cmp(&self, other: &Self) -> Ordering {
        other
            .bound_m
            .total_cmp(&self.bound_m)
            .then(other.to.cmp(&self.to))
            .then(other.from.cmp(&self.from))
    }
}

impl PartialOrd for Hop {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

/// The corners by which barred ground can be passed.
pub struct Detour {
    corners: Vec<Coord<f64>>,
    // Whether corners see each other, where known; without the margin kept and with it.
    sight: RefCell<Vec<[Option<bool>; 2]>>,
    // The same from other places, in rows by corner. Many ways are sought from the end of one
    // pass.
    from_ends: RefCell<BTreeMap<SightEnd, Vec<Option<bool>>>>,
}

/// A place that is no corner, what a sight line from it must keep, and whether the line leads away
/// from it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct SightEnd {
    // Place and the axle's room, metres, by their bits.
    at: (u64, u64),
    axle: u64,
    margin: bool,
    away: bool,
}

impl SightEnd {
    fn new(at: Coord<f64>, room: Clearances, away: bool) -> Self {
        Self {
            at: (at.x.to_bits(), at.y.to_bits()),
            axle: room.axle_m.to_bits(),
            margin: room.margin,
            away,
        }
    }
}

/// So many corners are looked at from another in the time of one turn.
const CORNERS_A_TURN: u64 = 100;

/// Rows kept at most; then they are forgotten and sought anew.
const MAX_ENDS: usize = 4_000;

impl Detour {
    /// Collects the corners of `ground`.
    pub fn new(ground: &TurningGround) -> Self {
        let mut corners: Vec<Coord<f64>> = ground
            .corners(ground.deck_clear_m + ROOM_M)
            .into_iter()
            .filter(|&c| ground.clearance_m(c, 2.0 * AXLE_CLEAR_M) >= 2.0 * AXLE_CLEAR_M)
            .collect();
        corners.truncate(MAX_CORNERS);
        let n = corners.len();
        Self {
            corners,
            sight: RefCell::new(vec![[None; 2]; n * n]),
            from_ends: RefCell::new(BTreeMap::new()),
        }
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
        let mut from_a = self.row(SightEnd::new(a, room, true));
        let mut to_b = self.row(SightEnd::new(b, room, false));
        let found = self.searched(ground, (a, b), room, work, (&mut from_a, &mut to_b));
        self.keep(SightEnd::new(a, room, true), from_a);
        self.keep(SightEnd::new(b, room, false), to_b);
        found
    }

    /// The same; what is known of the sight lines of both ends is kept in their rows.
    fn searched(
        &self,
        ground: &TurningGround,
        (a, b): (Coord<f64>, Coord<f64>),
        room: Clearances,
        work: &Work,
        (from_a, to_b): (&mut [Option<bool>], &mut [Option<bool>]),
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
        // Whoever sees no corner from the end, nor the end itself, need not search for a way there.
        let seen_from_end = |j: usize, to_b: &mut [Option<bool>]| {
            *to_b[j].get_or_insert_with(|| in_sight(ground, self.corners[j], b, true, room))
        };
        if !in_sight(ground, a, b, true, room) && !(0..n).any(|j| seen_from_end(j, to_b)) {
            return None;
        }
        let mut before = vec![usize::MAX; n + 2];
        let mut done = vec![false; n + 2];
        // The step with the shortest way so far plus what is left at least comes first (A*); a
        // sight line is only checked when its turn has come.
        let mut steps = BinaryHeap::from([Hop {
            bound_m: 0.0,
            way_m: 0.0,
            from: n,
            to: n,
        }]);
        while let Some(step) = steps.pop() {
            let here = step.to;
            if done[here] {
                continue;
            }
            let ends = step.from >= n || here >= n;
            let look = || in_sight(ground, at(step.from), at(here), ends, room);
            // Looked at once and kept, but for the line from one end to the other.
            let clear = match (step.from, here) {
                (i, j) if i == j => true,
                (i, j) if !ends => *self.sight.borrow_mut()[i.min(j) * n + i.max(j)]
                    [usize::from(room.margin)]
                .get_or_insert_with(look),
                (_, j) if j < n => *from_a[j].get_or_insert_with(look),
                (i, _) if i < n => *to_b[i].get_or_insert_with(look),
                _ => look(),
            };
            if !clear {
                continue;
            }
            work.spend(1 + n as u64 / CORNERS_A_TURN);
            if work.over() {
                break;
            }
            done[here] = true;
            before[here] = step.from;
            if here == n + 1 {
                break;
            }
            for to in (0..n + 2).filter(|&i| !done[i]) {
                let way_m = step.way_m + away(here, to);
                steps.push(Hop {
                    bound_m: way_m + away(to, n + 1),
                    way_m,
                    from: here,
                    to,
                });
            }
        }
        done[n + 1].then(|| self.trace(&before))
    }

    /// The corners on the way to the last node, from what comes before each.
    fn trace(&self, before: &[usize]) -> Vec<Coord<f64>> {
        let n = self.corners.len();
        let mut out = Vec::new();
        let mut i = before[n + 1];
        while i < n {
            out.push(self.corners[i]);
            i = before[i];
        }
        out.reverse();
        out
    }

    /// What is known of the sight lines of a place, by corner.
    fn row(&self, end: SightEnd) -> Vec<Option<bool>> {
        let known = self.from_ends.borrow_mut().remove(&end);
        known.unwrap_or_else(|| vec![None; self.corners.len()])
    }

    fn keep(&self, end: SightEnd, row: Vec<Option<bool>>) {
        let mut ends = self.from_ends.borrow_mut();
        if ends.len() >= MAX_ENDS {
            ends.clear();
        }
        ends.insert(end, row);
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
    matches!(standing, Standing::Clear(_))
}
