//! Where a join may run: clear of barred ground and within the margin of the outline.
//!
//! A path is followed in steps as long as the distance to the nearest barred edge allows (the
//! distance changes by no more than a metre per metre driven), so open ground costs a few steps.

use crate::driving::DriveInput;
use crate::driving::distance_field::{CELL_M, DistanceField};
use crate::ground::barriers::part_of;
use crate::model::pose::{Pose, fold_rad};
use crate::model::track::Segment;
use geo::orient::Direction;
use geo::{BoundingRect, Intersects, Orient, Simplify};
use geo_types::{Coord, LineString, Point, Polygon};
use std::f64::consts::FRAC_PI_2;

/// The axle keeps at least this far from barred ground, metres, unless the pass itself comes
/// nearer.
pub const AXLE_CLEAR_M: f64 = 0.06;
/// Shortest stride along the margin, metres; as much is allowed beyond it.
const MIN_STRIDE_M: f64 = 0.1;
/// A path that takes more strides than this creeps along an edge, nearer than its clearance.
const MAX_STRIDES: usize = 5_000;
/// The deck's half-width that should stay clear too, as a fraction of the cutting width: a
/// little under one half, so that a pass along an edge may be left and entered.
const DECK_SHARE: f64 = 0.45;
/// The table reaches this far beyond the margin, metres; farther out distances are searched.
const APRON_M: f64 = 30.0;
/// Corners of barred ground are looked for on outlines simplified by this, metres.
const CORNER_FIT_M: f64 = 1.0;
/// And those of the outline by this, metres: only real bends matter.
const OUTLINE_FIT_M: f64 = 3.0;
/// A corner that turns more than this is passed by more than one point, radians.
const CORNER_TURN_RAD: f64 = 1.05;

/// Whether and how well a path keeps to the turning ground, the best first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Standing {
    /// It may be driven.
    Clear {
        /// It comes nearer to barred ground than the deck wants.
        near: bool,
    },
    /// It leaves the margin but touches no barred ground.
    BeyondMargin,
    /// It enters barred ground or comes too near.
    Barred,
}

/// The clearances that a join has to keep.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Clearances {
    /// The axle's track stays at least this far from barred ground, metres.
    pub axle_m: f64,
    /// Wanted for the deck, metres.
    pub deck_m: f64,
    /// Whether to stay within the margin of the outline.
    pub margin: bool,
}

/// The ground on which joins are laid.
pub struct TurningGround {
    barred: DistanceField,
    outline: DistanceField,
    no_turn: Vec<Polygon<f64>>,
    margin_m: f64,
    /// Distance from barred ground that leaves room for the deck, metres.
    pub deck_clear_m: f64,
}

impl TurningGround {
    /// The turning ground of a yard.
    pub fn new(yard: &DriveInput<'_>) -> Self {
        let fairway = yard.fairway;
        let filled = |ring: &LineString<f64>| Polygon::new(ring.clone(), Vec::new());
        let no_turn = fairway.no_turn.0.clone();
        let mut barred: Vec<_> = fairway.barriers().map(|k| k.area.clone()).collect();
        // Holes drawn in an outline are barred: whatever they are, they are not fairway.
        let drawn = &fairway.outline;
        barred.extend(drawn.iter().flat_map(|p| p.interiors()).map(filled));
        barred.extend(no_turn.iter().cloned());
        let outline = drawn.iter().map(|p| filled(p.exterior())).collect();
        let reach = yard.margin_m.clamp(0.0, 100.0) + APRON_M;
        let apron = Coord { x: reach, y: reach };
        let bounds = drawn.bounding_rect();
        let (low, high) = bounds.map_or((-apron, apron), |b| (b.min() - apron, b.max() + apron));
        Self {
            barred: DistanceField::new(barred, low, high),
            outline: DistanceField::new(outline, low, high),
            no_turn,
            margin_m: yard.margin_m,
            deck_clear_m: DECK_SHARE * yard.mower.cutting_width_m(),
        }
    }

    /// Signed distance to barred ground, metres: below zero inside; capped at `enough_m`.
    pub fn clearance_m(&self, c: Coord<f64>, enough_m: f64) -> f64 {
        if self.barred.bounds_m(c).is_some_and(|b| b.0 >= enough_m) {
            return enough_m;
        }
        self.barred.signed_m(c).min(enough_m)
    }

    /// Whether a point lies on no-turn ground.
    pub fn on_no_turn(&self, c: Coord<f64>) -> bool {
        self.no_turn.iter().any(|p| p.intersects(&Point(c)))
    }

    /// The part of the outline that a point lies on or nearest to.
    pub fn part_of(&self, c: Coord<f64>) -> usize {
        part_of(&self.outline.polygons, c)
    }

    /// How far a point may move in any direction without leaving the margin of the outline, metres
    /// (a lower bound); below zero outside.
    pub fn margin_room_m(&self, c: Coord<f64>) -> f64 {
        if self.outline.is_empty() {
            return f64::INFINITY;
        }
        if let Some((_, most)) = self.outline.bounds_m(c)
            && most < self.margin_m
        {
            return self.margin_m - most;
        }
        self.margin_m + MIN_STRIDE_M - self.outline.signed_m(c)
    }

    /// Whether a path keeps the room wanted, followed in steps. With `stop_beyond` the first place
    /// beyond the margin ends it: such a path is of no use then, barred or not.
    pub fn standing(&self, path: &Segment, room: Clearances, stop_beyond: bool) -> Standing {
        let length = path.length_m();
        let (mut near, mut beyond, mut s) = (false, false, 0.0);
        for _ in 0..MAX_STRIDES {
            let at = path.point_at(s, length);
            // Signed where the path begins; where there is room in plenty, a lower bound will do.
            let quick = self.barred.bounds_m(at).map_or(0.0, |b| b.0);
            let d = if quick > room.deck_m + CELL_M {
                quick
            } else if s == 0.0 {
                self.barred.signed_m(at)
            } else {
                // Edges are never stepped over, so once outside always outside.
                self.barred.edge_m(at)
            };
            if d < room.axle_m {
                return Standing::Barred;
            }
            near |= d < room.deck_m;
            // Half of what is left to an edge: only the clearance can slip through, never the edge.
            let mut step = (d - room.deck_m).max(d / 2.0);
            if room.margin && !beyond {
                let left = self.margin_room_m(at);
                beyond = left < 0.0;
                if beyond && stop_beyond {
                    return Standing::BeyondMargin;
                }
                step = step.min(left.max(MIN_STRIDE_M));
            }
            if s >= length {
                return if beyond {
                    Standing::BeyondMargin
                } else {
                    Standing::Clear { near }
                };
            }
            s = (s + step).min(length);
        }
        // It creeps along an edge.
        Standing::Barred
    }

    /// Points by which barred ground and the outline's inner corners can be passed, `grow_m`
    /// off barred ground.
    pub fn corners(&self, grow_m: f64) -> Vec<Coord<f64>> {
        let mut out = Vec::new();
        for p in &self.barred.polygons {
            let simple = p.simplify(CORNER_FIT_M).orient(Direction::Default);
            for ring in std::iter::once(simple.exterior()).chain(simple.interiors()) {
                ring_corners(ring, grow_m, &mut out);
            }
        }
        for p in &self.outline.polygons {
            // Seen from the rough the outline's inner corners stick out.
            let simple = p.simplify(OUTLINE_FIT_M).orient(Direction::Reversed);
            ring_corners(simple.exterior(), 0.0, &mut out);
        }
        out
    }
}

/// Corners that stick out of the ground on the left of the ring, moved off it by `grow_m`.
fn ring_corners(ring: &LineString<f64>, grow_m: f64, out: &mut Vec<Coord<f64>>) {
    let corners = &ring.0[..ring.0.len().saturating_sub(1)];
    let n = corners.len();
    for i in 0..n {
        let (v, edges) = (corners[i], [(i + n - 1) % n, (i + 1) % n]);
        let [into, on] = [v - corners[edges[0]], corners[edges[1]] - v].map(|d| d.y.atan2(d.x));
        let turn = fold_rad(on - into);
        if turn <= 0.0 {
            continue;
        }
        // Sharp corners are passed by several points, so that none is far off.
        let steps = (turn / CORNER_TURN_RAD).ceil().max(1.0);
        let far = grow_m / (turn / steps / 2.0).cos();
        out.extend((0..steps as usize).map(|k| {
            let off = into - FRAC_PI_2 + turn * (k as f64 + 0.5) / steps;
            Pose::new(v, off).offset(far, 0.0)
        }));
    }
}
