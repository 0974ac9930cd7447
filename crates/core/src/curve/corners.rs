//! Corners of a ring before they are rounded: how far each turns, how much room its arc takes, and
//! which are merged.

use crate::model::pose::fold_rad;
use geo::{Distance, Euclidean};
use geo_types::{Coord, LineString, Point};

/// How a ring is rounded.
#[derive(Debug, Clone, Copy)]
pub struct Rounding {
    /// Tightest radius, metres.
    pub radius_m: f64,
    /// How far the rounded path may leave the ring where there is a choice, metres.
    pub fit_m: f64,
    /// Corners that turn more than this, radians, end the chain.
    pub sharp_rad: f64,
    /// How far a chain runs straight on past a sharp corner, metres.
    pub run_out_m: f64,
    /// Distance of the ring from barred ground it goes round, metres. Corners that turn right
    /// there are moved off it, so that an arc of the turning radius does not cut across it.
    pub clear_m: f64,
    /// Chains shorter than this, metres, are joined to a neighbour where its corner can be
    /// followed; 0 leaves them.
    pub short_m: f64,
    /// From the path to the outer cut edge, metres. Corners that turn left are moved outward by
    /// part of what the outer edge would leave there; 0 leaves them.
    pub outer_m: f64,
}

// Corners nearer to each other than this are one corner, metres: below any steering.
pub(super) const SAME_CORNER_M: f64 = 0.005;
// A share of each edge is left straight, so that no line is so short that its direction is noise.
pub(super) const ARC_SHARE: f64 = 0.999;
// Beyond this turn two lines no longer cross usefully (the crossing runs far away), radians.
const MAX_MITRE_RAD: f64 = 2.4;
// A wiggle of this size may be dropped when it is too short to drive, metres.
const WIGGLE_M: f64 = 0.05;

pub(super) fn distinct(points: &[Coord<f64>], closed: bool) -> Vec<Coord<f64>> {
    let mut out: Vec<Coord<f64>> = Vec::with_capacity(points.len());
    for &p in points {
        if out.last().is_none_or(|&q| dist(p, q) >= SAME_CORNER_M) {
            out.push(p);
        }
    }
    if closed {
        while out.len() > 1 && dist(out[0], out[out.len() - 1]) < SAME_CORNER_M {
            out.pop();
        }
    }
    out
}

/// What an arc of radius 1 leaves between itself and a corner that turns by `turn`.
pub(super) fn tip(turn: f64) -> f64 {
    1.0 / (turn.abs() / 2.0).cos() - 1.0
}

/// Whether rounding a corner would leave more than rounding the sharpest allowed one. A corner
/// merged from several lies outside the ring; its arc leaves the less the farther out it is.
pub(super) fn too_sharp(
    v: Coord<f64>,
    turn: f64,
    rounding: &Rounding,
    ring: &LineString<f64>,
) -> bool {
    if turn.abs() <= rounding.sharp_rad {
        return false;
    }
    if !(0.0..=MAX_MITRE_RAD).contains(&turn) {
        return true;
    }
    let outside = Euclidean.distance(&Point(v), ring);
    let left = if outside > SAME_CORNER_M {
        rounding.radius_m * tip(turn) - outside
    } else {
        (rounding.radius_m + rounding.outer_m) * tip(turn)
    };
    left > (rounding.radius_m + rounding.outer_m) * tip(rounding.sharp_rad)
}

/// What corners need, kept while corners are dropped one by one.
struct Rooms<'a> {
    closed: bool,
    rounding: &'a Rounding,
    ring: &'a LineString<f64>,
    // How far the ring turns at each corner, radians.
    turns: Vec<f64>,
    // How much of the edges beside it an arc of the turning radius takes, metres.
    rooms: Vec<f64>,
    // Whether the edge that starts there stays as it is.
    alone: Vec<bool>,
    // The share of that edge that both its ends need; zero if it stays as it is.
    shares: Vec<f64>,
}

impl<'a> Rooms<'a> {
    fn new(
        corners: &[Coord<f64>],
        closed: bool,
        rounding: &'a Rounding,
        ring: &'a LineString<f64>,
    ) -> Self {
        let mut out = Self {
            closed,
            rounding,
            ring,
            turns: vec![0.0; corners.len()],
            rooms: vec![0.0; corners.len()],
            alone: vec![false; corners.len()],
            shares: vec![0.0; corners.len()],
        };
        for i in 0..corners.len() {
            out.look(corners, i);
        }
        for i in 0..corners.len() {
            out.share(corners, i);
        }
        out
    }

    fn look(&mut self, corners: &[Coord<f64>], i: usize) {
        let n = corners.len();
        let turn = if !self.closed && (i == 0 || i == n - 1) {
            0.0
        } else {
            turn_at(corners[(i + n - 1) % n], corners[i], corners[(i + 1) % n])
        };
        self.turns[i] = turn;
        self.rooms[i] = if too_sharp(corners[i], turn, self.rounding, self.ring) {
            0.0
        } else {
            self.rounding.radius_m * (turn.abs() / 2.0).tan()
        };
    }

    fn share(&mut self, corners: &[Coord<f64>], i: usize) {
        let n = corners.len();
        let j = (i + 1) % n;
        self.shares[i] = if self.alone[i] || (!self.closed && j == 0) {
            0.0
        } else {
            (self.rooms[i] + self.rooms[j]) / dist(corners[i], corners[j])
        };
    }

    /// Leaves an edge as it is.
    fn leave_alone(&mut self, i: usize) {
        self.alone[i] = true;
        self.shares[i] = 0.0;
    }

    /// The edge of which most is needed, if that is too much.
    fn tightest(&self) -> Option<usize> {
        let shares = self.shares.iter().enumerate();
        let too_much = shares.filter(|s| *s.1 > ARC_SHARE);
        too_much.max_by(|a, b| a.1.total_cmp(b.1)).map(|s| s.0)
    }

    /// Drops a corner; `moved` if the one before it lies elsewhere now.
    fn drop_corner(&mut self, corners: &mut Vec<Coord<f64>>, i: usize, moved: bool) {
        corners.remove(i);
        self.turns.remove(i);
        self.rooms.remove(i);
        self.alone.remove(i);
        self.shares.remove(i);
        let n = corners.len();
        let back = |k: usize| (i + k * n - k) % n;
        // The two before it and the one after.
        for k in 0..n.min(3) {
            self.look(corners, back(k));
        }
        self.alone[back(1)] = false;
        if moved {
            self.alone[back(2)] = false;
        }
        for k in 0..n.min(4) {
            self.share(corners, back(k));
        }
    }
}

/// Merges corners that leave no room for arcs of the turning radius between them.
pub(super) fn merge_close(
    corners: &mut Vec<Coord<f64>>,
    closed: bool,
    rounding: &Rounding,
    ring: &LineString<f64>,
) {
    let mut rooms = Rooms::new(corners, closed, rounding, ring);
    // Every round removes a corner or marks an edge as left alone, so this ends.
    while corners.len() >= 3
        && let Some(i) = rooms.tightest()
    {
        let n = corners.len();
        let at = |i: usize| corners[i % n];
        let j = (i + 1) % n;
        let (ti, tj) = (rooms.turns[i], rooms.turns[j]);
        let ends = !closed && (i == 0 || j == n - 1);
        if !ends && ti * tj > 0.0 && (ti + tj).abs() < MAX_MITRE_RAD && n > 3 {
            let (before, after) = (at(i + n - 1), at(j + 1));
            match crossing(before, at(i), at(j), after) {
                // Driven through at the crossing, the outermost ring would run far over the
                // rough; two sharp corners do not.
                Some(x) if rounding.outer_m > 0.0 && too_sharp(x, ti + tj, rounding, ring) => {
                    rooms.leave_alone(i);
                }
                Some(x) => {
                    corners[i] = x;
                    rooms.drop_corner(corners, j, true);
                }
                None => rooms.leave_alone(i),
            }
            continue;
        }
        // A wiggle, or the tip of something narrow: drop the lesser corner if it hardly matters.
        let lesser = if ends {
            if i == 0 { j } else { i }
        } else if ti.abs() <= tj.abs() {
            i
        } else {
            j
        };
        let off = off_line(at(lesser + n - 1), at(lesser), at(lesser + 1));
        if off <= WIGGLE_M && n > 3 {
            rooms.drop_corner(corners, lesser, false);
        } else {
            rooms.leave_alone(i);
        }
    }
}

pub(super) fn dist(a: Coord<f64>, b: Coord<f64>) -> f64 {
    let (dx, dy) = (b.x - a.x, b.y - a.y);
    (dx * dx + dy * dy).sqrt()
}

pub(super) fn between(a: Coord<f64>, b: Coord<f64>, t: f64) -> Coord<f64> {
    Coord {
        x: a.x + t * (b.x - a.x),
        y: a.y + t * (b.y - a.y),
    }
}

/// Signed turn at `v` coming from `a` and going to `b`, radians; left is above zero.
pub(crate) fn turn_at(a: Coord<f64>, v: Coord<f64>, b: Coord<f64>) -> f64 {
    fold_rad((b.y - v.y).atan2(b.x - v.x) - (v.y - a.y).atan2(v.x - a.x))
}

pub(super) fn off_line(a: Coord<f64>, v: Coord<f64>, b: Coord<f64>) -> f64 {
    let d = dist(a, b);
    if d <= 0.0 {
        return dist(a, v);
    }
    ((b.x - a.x) * (v.y - a.y) - (b.y - a.y) * (v.x - a.x)).abs() / d
}

/// Where the line a-b meets the line c-d.
pub(super) fn crossing(
    a: Coord<f64>,
    b: Coord<f64>,
    c: Coord<f64>,
    d: Coord<f64>,
) -> Option<Coord<f64>> {
    let (rx, ry, sx, sy) = (b.x - a.x, b.y - a.y, d.x - c.x, d.y - c.y);
    let cross = rx * sy - ry * sx;
    if cross.abs() <= 1e-12 * (rx.hypot(ry) * sx.hypot(sy)) {
        return None;
    }
    let t = ((c.x - a.x) * sy - (c.y - a.y) * sx) / cross;
    // The crossing lies ahead of b, or the corners would not turn the same way.
    (t >= 1.0 - 1e-9).then(|| between(a, b, t))
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo_types::coord;

    #[test]
    fn a_place_is_as_far_off_a_line_without_length_as_off_its_end() {
        assert_eq!(
            off_line(
                coord! {x: 1.0, y: 1.0},
                coord! {x: 4.0, y: 5.0},
                coord! {x: 1.0, y: 1.0}
            ),
            5.0
        );
        assert_eq!(
            off_line(
                coord! {x: 0.0, y: 0.0},
                coord! {x: 4.0, y: 5.0},
                coord! {x: 9.0, y: 0.0}
            ),
            5.0
        );
    }
}
