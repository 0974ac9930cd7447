//! Corners of a ring before they are rounded: how far each turns, how much room its arc takes, and
//! which are merged.

use crate::model::pose::fold_rad;
use geo::{Distance, Euclidean};
use geo_types::{Coord, LineString, Point};

/// How a ring is rounded.
#[derive(Debug, Clone, Copy, Default)]
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
    let mut out = points.to_vec();
    out.dedup_by(|p, before| dist(*p, *before) < SAME_CORNER_M);
    while closed && out.len() > 1 && dist(out[0], out[out.len() - 1]) < SAME_CORNER_M {
        out.pop();
    }
    out
}

/// What an arc of radius 1 leaves between itself and a corner that turns by `turn`.
pub(super) fn tip(turn: f64) -> f64 {
    1.0 / (turn.abs() / 2.0).cos() - 1.0
}

/// Whether rounding a corner would leave more than rounding the sharpest allowed one. A corner
/// merged from several lies outside the ring; its arc leaves the less the farther out it is.
fn too_sharp(v: Coord<f64>, turn: f64, rounding: &Rounding, ring: &LineString<f64>) -> bool {
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

/// A corner of a ring or of a line.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Corner {
    pub(super) at: Coord<f64>,
    /// Radians, left above zero; nothing at the ends of a line.
    pub(super) turn: f64,
    /// How much of the edges beside it an arc of the turning radius takes, metres.
    room_m: f64,
    /// Whether it is not rounded.
    pub(super) sharp: bool,
    /// Whether the edge that starts here stays as it is.
    alone: bool,
}

/// The corners of a simplified ring or line.
pub(super) struct Corners<'a> {
    pub(super) list: Vec<Corner>,
    pub(super) closed: bool,
    pub(super) rounding: &'a Rounding,
    ring: &'a LineString<f64>,
}

impl<'a> Corners<'a> {
    /// Corners that leave no room for arcs of the turning radius between them are merged.
    pub(super) fn merged(
        places: &[Coord<f64>],
        closed: bool,
        rounding: &'a Rounding,
        ring: &'a LineString<f64>,
    ) -> Self {
        let corner = |&at: &Coord<f64>| Corner {
            at,
            ..Corner::default()
        };
        let mut out = Self {
            list: places.iter().map(corner).collect(),
            closed,
            rounding,
            ring,
        };
        for i in 0..places.len() {
            out.look(i);
        }
        out.merge_close();
        out
    }

    /// The place of a corner; they go round.
    pub(super) fn at(&self, i: usize) -> Coord<f64> {
        self.list[i % self.list.len()].at
    }

    /// Whether a corner is an end of a line.
    pub(super) fn is_end(&self, i: usize) -> bool {
        !self.closed && (i == 0 || i + 1 == self.list.len())
    }

    fn look(&mut self, i: usize) {
        let n = self.list.len();
        let turn = if self.is_end(i) {
            0.0
        } else {
            turn_at(self.at(i + n - 1), self.at(i), self.at(i + 1))
        };
        self.list[i] = Corner {
            turn,
            room_m: self.rounding.radius_m * (turn.abs() / 2.0).tan(),
            sharp: too_sharp(self.at(i), turn, self.rounding, self.ring),
            ..self.list[i]
        };
    }

    /// The share of the edge between two corners that their arcs take.
    pub(super) fn share(&self, i: usize, j: usize) -> f64 {
        let need = |c: Corner| if c.sharp { 0.0 } else { c.room_m };
        (need(self.list[i]) + need(self.list[j])) / dist(self.at(i), self.at(j))
    }

    /// The edge of which most is needed, if that is too much.
    fn tightest(&self) -> Option<usize> {
        let n = self.list.len();
        let edges = (0..n).filter(|&i| !self.list[i].alone && (self.closed || i + 1 < n));
        let shares = edges.map(|i| (i, self.share(i, (i + 1) % n)));
        let too_much = shares.filter(|s| s.1 > ARC_SHARE);
        too_much.max_by(|a, b| a.1.total_cmp(&b.1)).map(|s| s.0)
    }

    /// Drops a corner; `moved` if the one before it lies elsewhere now.
    fn drop_corner(&mut self, i: usize, moved: bool) {
        self.list.remove(i);
        let n = self.list.len();
        let back = |k: usize| (i + k * n - k) % n;
        // The two before it and the one after.
        for k in 0..n.min(3) {
            self.look(back(k));
        }
        self.list[back(1)].alone = false;
        if moved {
            self.list[back(2)].alone = false;
        }
    }

    fn merge_close(&mut self) {
        // Every round removes a corner or marks an edge as left alone, so this ends.
        while self.list.len() >= 3
            && let Some(i) = self.tightest()
        {
            let n = self.list.len();
            let j = (i + 1) % n;
            let (ti, tj) = (self.list[i].turn, self.list[j].turn);
            let ends = self.is_end(i) || self.is_end(j);
            if !ends && ti * tj > 0.0 && (ti + tj).abs() < MAX_MITRE_RAD && n > 3 {
                let met = crossing(self.at(i + n - 1), self.at(i), self.at(j), self.at(j + 1));
                // It lies ahead, or the corners would not turn the same way. Driven through at the
                // crossing, the outermost ring may run far over the rough; two sharp corners do not.
                let far = |x| {
                    let outermost = self.rounding.outer_m > 0.0;
                    outermost && too_sharp(x, ti + tj, self.rounding, self.ring)
                };
                match met.filter(|m| m.0 >= 1.0 - 1e-9 && !far(m.1)) {
                    Some((_, x)) => {
                        self.list[i].at = x;
                        self.drop_corner(j, true);
                    }
                    None => self.list[i].alone = true,
                }
                continue;
            }
            // A wiggle, or the tip of something narrow: drop the lesser corner if it hardly matters.
            let lesser = if self.is_end(i) || (!ends && ti.abs() > tj.abs()) {
                j
            } else {
                i
            };
            let (before, after) = (self.at(lesser + n - 1), self.at(lesser + 1));
            if off_line(before, self.at(lesser), after) <= WIGGLE_M && n > 3 {
                self.drop_corner(lesser, false);
            } else {
                self.list[i].alone = true;
            }
        }
    }
}

pub(super) fn dist(a: Coord<f64>, b: Coord<f64>) -> f64 {
    let d = b - a;
    (d.x * d.x + d.y * d.y).sqrt()
}

pub(super) fn between(a: Coord<f64>, b: Coord<f64>, t: f64) -> Coord<f64> {
    a + (b - a) * t
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

/// Where the line a-b meets the line c-d: how many times its length from `a`, and the place.
pub(super) fn crossing(
    a: Coord<f64>,
    b: Coord<f64>,
    c: Coord<f64>,
    d: Coord<f64>,
) -> Option<(f64, Coord<f64>)> {
    let (r, s, off) = (b - a, d - c, c - a);
    let cross = r.x * s.y - r.y * s.x;
    if cross.abs() <= 1e-12 * (r.x.hypot(r.y) * s.x.hypot(s.y)) {
        return None;
    }
    let t = (off.x * s.y - off.y * s.x) / cross;
    Some((t, between(a, b, t)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_is_as_far_off_a_line_without_length_as_off_its_end() {
        let [end, place, far] = [(1.0, 1.0), (4.0, 5.0), (9.0, 1.0)].map(Coord::from);
        assert_eq!(off_line(end, place, end), 5.0);
        assert_eq!(off_line(end, place, far), 4.0);
    }
}
