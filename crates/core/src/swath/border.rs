//! The border of many pieces that lie side by side and share their corners.
//!
//! Along what two neighbours share one runs one way and the other the other way: the two cancel,
//! and what is left is the border. No piece is clipped against another, so the time grows with
//! the number of pieces, and however thin they are there is an end.

use geo::{Area, Contains};
use geo_types::{Coord, LineString, Point, Polygon};
use std::cmp::Ordering;
use std::collections::BTreeMap;
use std::f64::consts::TAU;

/// A corner on a fine grid, in its steps.
type Corner = (i64, i64);

/// Sides of pieces, with the pieces on their left.
#[derive(Debug)]
pub(crate) struct Border {
    grid_m: f64,
    // From where to where along each horizontal and each vertical, and +1 if that way, -1 if back.
    level: BTreeMap<i64, Vec<(i64, i64, i32)>>,
    upright: BTreeMap<i64, Vec<(i64, i64, i32)>>,
    slant: Vec<(Corner, Corner, i32)>,
}

impl Border {
    /// Of no piece yet. Corners are put on a grid of `grid_m` metres.
    pub(crate) fn new(grid_m: f64) -> Self {
        Self {
            grid_m,
            level: BTreeMap::new(),
            upright: BTreeMap::new(),
            slant: Vec::new(),
        }
    }

    fn corner(&self, c: Coord<f64>) -> Corner {
        let steps = |v: f64| (v / self.grid_m).round() as i64;
        (steps(c.x), steps(c.y))
    }

    /// Adds a piece by its corners, counter-clockwise; the last is joined to the first.
    pub(crate) fn add(&mut self, ring: &[Coord<f64>]) {
        for (i, &from) in ring.iter().enumerate() {
            let to = ring[(i + 1) % ring.len()];
            self.side(self.corner(from), self.corner(to));
        }
    }

    fn side(&mut self, a: Corner, b: Corner) {
        if a == b {
            return;
        }
        let (low, high, way) = if a < b { (a, b, 1) } else { (b, a, -1) };
        if a.1 == b.1 {
            self.level
                .entry(a.1)
                .or_default()
                .push((low.0, high.0, way));
        } else if a.0 == b.0 {
            self.upright
                .entry(a.0)
                .or_default()
                .push((low.1, high.1, way));
        } else {
            self.slant.push((low, high, way));
        }
    }

    /// What is left of the sides, each from where to where.
    fn left_over(mut self) -> Vec<(Corner, Corner)> {
        let mut out = Vec::new();
        let mut push = |a: Corner, b: Corner, net: i32| {
            let (from, to) = if net > 0 { (a, b) } else { (b, a) };
            out.extend((0..net.abs()).map(|_| (from, to)));
        };
        self.slant.sort_unstable();
        for same in self.slant.chunk_by(|s, t| (s.0, s.1) == (t.0, t.1)) {
            push(same[0].0, same[0].1, same.iter().map(|s| s.2).sum());
        }
        for (y, sides) in self.level {
            along(sides, |a, b, net| push((a, y), (b, y), net));
        }
        for (x, sides) in self.upright {
            along(sides, |a, b, net| push((x, a), (x, b), net));
        }
        out.sort_unstable();
        out
    }

    /// The areas within, each with its holes. Where two touch in a corner only they are two.
    pub(crate) fn areas(self) -> Vec<Polygon<f64>> {
        let grid_m = self.grid_m;
        let sides = self.left_over();
        let place = |c: Corner| Coord {
            x: c.0 as f64 * grid_m,
            y: c.1 as f64 * grid_m,
        };
        let rings = rings(&sides).into_iter().map(|r| {
            let ring: LineString<f64> = r.into_iter().map(place).collect();
            Polygon::new(ring, Vec::new())
        });
        let (mut outer, holes): (Vec<Polygon<f64>>, Vec<Polygon<f64>>) =
            rings.partition(|p| p.signed_area() > 0.0);
        outer.sort_by(|a, b| a.unsigned_area().total_cmp(&b.unsigned_area()));
        let shells = outer.clone();
        for hole in holes {
            let (ring, _) = hole.into_inner();
            // A corner of the hole may touch its shell; the middle of a side hardly does.
            let Some(w) = ring.0.windows(2).next() else {
                continue;
            };
            let inside = Point((w[0] + w[1]) / 2.0);
            // The smallest one round it.
            if let Some(i) = shells.iter().position(|s| s.contains(&inside)) {
                outer[i].interiors_push(ring);
            }
        }
        outer
    }
}

/// Nets the sides along one line: sides that run opposite ways cancel where they overlap.
fn along(sides: Vec<(i64, i64, i32)>, mut push: impl FnMut(i64, i64, i32)) {
    let mut turns: Vec<(i64, i32)> = sides
        .into_iter()
        .flat_map(|(a, b, way)| [(a, way), (b, -way)])
        .collect();
    turns.sort_unstable();
    let mut net = 0;
    for w in turns.windows(2) {
        net += w[0].1;
        if net != 0 && w[0].0 < w[1].0 {
            push(w[0].0, w[1].0, net);
        }
    }
}

/// Links sides into rings. Every corner has as many sides that come as go, so each ring closes.
fn rings(sides: &[(Corner, Corner)]) -> Vec<Vec<Corner>> {
    let mut used = vec![false; sides.len()];
    // Sides are sorted: those that leave a corner stand together.
    let leaving = |at: Corner| {
        let first = sides.partition_point(|s| s.0 < at);
        let last = sides.partition_point(|s| s.0 <= at);
        first..last
    };
    let mut out = Vec::new();
    for start in 0..sides.len() {
        if used[start] {
            continue;
        }
        used[start] = true;
        let mut ring = vec![sides[start].0];
        let mut here = sides[start];
        while here.1 != sides[start].0 {
            ring.push(here.1);
            // The next side clockwise from where it came bounds the same piece.
            let next = leaving(here.1)
                .filter(|&i| !used[i])
                .min_by(|&a, &b| clockwise(here, sides[a], sides[b]));
            let Some(next) = next else {
                break;
            };
            used[next] = true;
            here = sides[next];
        }
        out.push(ring);
    }
    out
}

/// Which of two sides comes first, turning clockwise from the way back.
fn clockwise(came: (Corner, Corner), a: (Corner, Corner), b: (Corner, Corner)) -> Ordering {
    let way = |s: (Corner, Corner)| ((s.1.0 - s.0.0) as f64, (s.1.1 - s.0.1) as f64);
    let (x, y) = way(came);
    let turn = |s| {
        let (u, v) = way(s);
        // Clockwise from the way back, from 0 to a whole turn.
        let angle = (-x * v + y * u).atan2(-x * u - y * v);
        if angle < 0.0 { -angle } else { TAU - angle }
    };
    turn(a).total_cmp(&turn(b))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn box_of(x0: f64, y0: f64, x1: f64, y1: f64) -> Vec<Coord<f64>> {
        [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
            .map(Coord::from)
            .to_vec()
    }

    fn areas(pieces: &[Vec<Coord<f64>>]) -> Vec<Polygon<f64>> {
        let mut border = Border::new(1e-6);
        for p in pieces {
            border.add(p);
        }
        border.areas()
    }

    #[test]
    fn neighbours_of_unlike_length_become_one() {
        // One long piece, two short ones on it, and a slanted one beside the first of those.
        let made = areas(&[
            box_of(0.0, 0.0, 9.0, 1.0),
            box_of(0.0, 1.0, 2.0, 3.0),
            box_of(4.0, 1.0, 5.0, 2.0),
            [(2.0, 1.0), (3.0, 1.0), (2.5, 3.0), (2.0, 3.0)]
                .map(Coord::from)
                .to_vec(),
        ]);
        assert_eq!(made.len(), 1);
        assert_relative_eq!(made[0].signed_area(), 9.0 + 4.0 + 1.0 + 1.5, epsilon = 1e-9);
        assert!(made[0].interiors().is_empty());
    }

    #[test]
    fn a_frame_has_a_hole_and_what_stands_in_it_is_its_own() {
        let made = areas(&[
            box_of(0.0, 0.0, 9.0, 1.0),
            box_of(0.0, 8.0, 9.0, 9.0),
            box_of(0.0, 1.0, 1.0, 8.0),
            box_of(8.0, 1.0, 9.0, 8.0),
            box_of(4.0, 4.0, 5.0, 5.0),
        ]);
        assert_eq!(made.len(), 2);
        assert_relative_eq!(made[0].signed_area(), 1.0, epsilon = 1e-9);
        assert_eq!(made[1].interiors().len(), 1);
        assert_relative_eq!(made[1].unsigned_area(), 81.0 - 49.0, epsilon = 1e-9);
    }

    #[test]
    fn pieces_that_touch_in_a_corner_stay_two() {
        let made = areas(&[box_of(0.0, 0.0, 1.0, 1.0), box_of(1.0, 1.0, 2.0, 2.0)]);
        assert_eq!(made.len(), 2);
        assert!(made.iter().all(|p| p.exterior().0.len() == 5));
    }

    #[test]
    fn wedges_that_meet_in_one_corner_stay_apart_whichever_way_they_point() {
        for turned in 0..24 {
            let at = |deg: f64| {
                let a = (deg + 15.0 * f64::from(turned)).to_radians();
                Coord::from((3.0 * a.cos(), 3.0 * a.sin()))
            };
            let wedges = [(0.0, 40.0), (50.0, 70.0), (110.0, 200.0), (215.0, 330.0)];
            let made =
                areas(&wedges.map(|(from, to)| vec![Coord::from((0.0, 0.0)), at(from), at(to)]));
            assert_eq!(made.len(), wedges.len(), "turned {turned}");
            let mut sines = wedges.map(|(from, to)| (to - from).to_radians().sin());
            sines.sort_by(f64::total_cmp);
            for (area, sine) in made.iter().zip(sines) {
                assert_relative_eq!(area.unsigned_area(), 4.5 * sine, epsilon = 1e-4);
                assert_eq!(area.exterior().0.len(), 4);
            }
        }
    }
}
