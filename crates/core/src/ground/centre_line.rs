//! The line down the middle of a fairway, from the tee end to the green end.
//!
//! With a hole line that runs through the fairway that line is it. Without one it follows the
//! ridge of the distance to the outline: on a grid of cells the cheapest way between the two
//! ends of the fairway is sought, where a step costs the more the nearer it is to the edge, so
//! the way keeps to the middle. (The ridge is the medial axis of Blum, "A transformation for
//! extracting new descriptors of shape", 1967; the branches into corners are left out.) The way
//! is smoothed over about half the fairway's width, which also takes out the grid.
//!
//! Cost: some 6,000 cells times the edges of the outline, and three shortest-path searches.
//! Limit: the line is good to about a cell, a metre or two; nothing that must be exact is
//! measured from it, it only gives passes their shape.

use crate::ground::extent::Extent;
use crate::ground::heading::{long_axis_rad, resolve};
use crate::model::ground::Fairway;
use crate::model::pattern::Heading;
use crate::polygon::overlay::Overlay;
use crate::swath::contact::Prepared;
use geo::{Area, BoundingRect, Distance, Euclidean, Length, Simplify};
use geo_types::{Coord, LineString, MultiPolygon, Polygon};
use std::cmp::Reverse;
use std::collections::BinaryHeap;
use std::f64::consts::SQRT_2;

/// Cells of the grid; a hectare then has cells of about 1.3 m.
const CELLS: f64 = 6000.0;
/// A hole line counts when at least this part of the fairway's length lies along it.
const ENOUGH_OF_HOLE: f64 = 0.5;
/// A way leads out of a corner while it is shorter than this times its distance from the edge.
const CORNER: f64 = 1.5;

/// The centre line, toward the green, or along the heading `Along` when no hole line is known.
/// `None` only for empty ground.
pub fn centre_line(fairway: &Fairway) -> Option<LineString<f64>> {
    let largest = fairway
        .outline
        .iter()
        .max_by(|a, b| a.unsigned_area().total_cmp(&b.unsigned_area()))?;
    if let Some(hole) = &fairway.hole_line
        && Euclidean.length(&fairway.outline.along(hole))
            >= ENOUGH_OF_HOLE * long_m(&fairway.outline)
    {
        return Some(hole.clone());
    }
    let mut line = ridge(largest).unwrap_or_else(|| axis(largest));
    let (heading, _) = resolve(Heading::Along, fairway);
    let (a, b) = (*line.0.first()?, *line.0.last()?);
    if (b.x - a.x) * heading.cos() + (b.y - a.y) * heading.sin() < 0.0 {
        line.0.reverse();
    }
    Some(line)
}

/// Length along the long axis, metres.
fn long_m(area: &MultiPolygon<f64>) -> f64 {
    let (from, to) = Extent::of(area, long_axis_rad(area)).along;
    (to - from).max(0.0)
}

/// The long axis through the middle, for ground too small or odd for a ridge.
fn axis(polygon: &Polygon<f64>) -> LineString<f64> {
    let area = MultiPolygon(vec![polygon.clone()]);
    let (sin, cos) = long_axis_rad(&area).sin_cos();
    let half = long_m(&area) / 2.0 + 1.0;
    let middle = polygon
        .bounding_rect()
        .map_or(Coord::zero(), |r| r.center());
    let along = Coord { x: cos, y: sin } * half;
    LineString(vec![middle - along, middle + along])
}

struct RidgeGrid {
    corner: Coord<f64>,
    cell: f64,
    nx: usize,
    /// Distance of each cell's middle from the outline, metres; 0 outside.
    clear: Vec<f64>,
}

impl RidgeGrid {
    fn new(polygon: &Polygon<f64>) -> Option<Self> {
        let r = polygon.bounding_rect()?;
        let cell = (polygon.unsigned_area() / CELLS).sqrt();
        if cell.is_nan() || cell <= 0.0 {
            return None;
        }
        let nx = (r.width() / cell).ceil() as usize + 1;
        let ny = (r.height() / cell).ceil() as usize + 1;
        // A long thin strip across its box would need too many cells.
        if nx.checked_mul(ny)? > 400 * CELLS as usize {
            return None;
        }
        // Holes are keep-outs: the line goes by the outline.
        let ring = MultiPolygon(vec![Polygon::new(polygon.exterior().clone(), Vec::new())]);
        let ready = Prepared::new(&ring);
        let simple = polygon.exterior().simplify(cell / 10.0);
        let mut grid = Self {
            corner: r.min(),
            cell,
            nx,
            clear: Vec::new(),
        };
        let clear_m = |p: Coord<f64>| {
            let edges = simple.lines();
            edges
                .map(|e| Euclidean.distance(p, &e))
                .fold(f64::INFINITY, f64::min)
        };
        let clear = (0..nx * ny).map(|i| grid.point(i));
        let clear = clear.map(|p| if ready.contains(p) { clear_m(p) } else { 0.0 });
        grid.clear = clear.collect();
        Some(grid)
    }

    fn point(&self, i: usize) -> Coord<f64> {
        self.corner
            + Coord {
                x: (i % self.nx) as f64 * self.cell,
                y: (i / self.nx) as f64 * self.cell,
            }
    }

    /// The cells round one, and how many cells away their middles are.
    fn round(&self, i: usize) -> impl Iterator<Item = (usize, f64)> + '_ {
        let (x, y) = (i % self.nx, i / self.nx);
        (0..9).filter(|k| *k != 4).filter_map(move |k| {
            let (u, v) = ((x + k % 3).checked_sub(1)?, (y + k / 3).checked_sub(1)?);
            let step = if k % 2 == 1 { 1.0 } else { SQRT_2 };
            (u < self.nx).then_some((v * self.nx + u, step))
        })
    }

    /// Costs from `from` to every cell, and the cell each was reached from.
    fn spread(&self, from: usize, price: impl Fn(f64) -> f64) -> (Vec<f64>, Vec<usize>) {
        let mut cost = vec![f64::INFINITY; self.clear.len()];
        let mut back = vec![from; self.clear.len()];
        // No cost is below zero, and the bits of such numbers are in order as they are. Of equal
        // costs the lowest cell comes first, so that ties always fall alike.
        let mut heap = BinaryHeap::from([Reverse((0, from))]);
        cost[from] = 0.0;
        while let Some(Reverse((bits, i))) = heap.pop() {
            let so_far = f64::from_bits(bits);
            if so_far > cost[i] {
                continue;
            }
            for (j, step) in self.round(i) {
                let clear = self.clear.get(j).copied().unwrap_or(0.0);
                let next = so_far + step * self.cell * price(clear.max(self.cell / 4.0));
                if clear > 0.0 && next < cost[j] {
                    cost[j] = next;
                    back[j] = i;
                    heap.push(Reverse((next.to_bits(), j)));
                }
            }
        }
        (cost, back)
    }

    fn farthest(&self, cost: &[f64]) -> usize {
        (0..cost.len())
            .filter(|&i| cost[i].is_finite())
            .max_by(|&a, &b| cost[a].total_cmp(&cost[b]))
            .unwrap_or(0)
    }
}

fn ridge(polygon: &Polygon<f64>) -> Option<LineString<f64>> {
    let grid = RidgeGrid::new(polygon)?;
    let deepest = (0..grid.clear.len()).max_by(|&a, &b| grid.clear[a].total_cmp(&grid.clear[b]))?;
    let most = grid.clear[deepest];
    if most <= 0.0 {
        return None;
    }
    let (cost, _) = grid.spread(deepest, |_| 1.0);
    let first = grid.farthest(&cost);
    let (cost, _) = grid.spread(first, |_| 1.0);
    let last = grid.farthest(&cost);
    let (_, back) = grid.spread(first, |clear| (most / clear).powi(2));
    let mut way = vec![last];
    let mut at = last;
    while at != first && way.len() <= grid.clear.len() {
        at = back[at];
        way.push(at);
    }
    let mut usual: Vec<f64> = way.iter().map(|&i| grid.clear[i]).collect();
    usual.sort_by(f64::total_cmp);
    let half = usual[usual.len() / 2];
    // The ends run into corners of the outline; the middle proper begins about half a width in.
    let from = corner_length(&grid, way.iter());
    let to = way
        .len()
        .checked_sub(corner_length(&grid, way.iter().rev()))?;
    let middle = way.get(from..to).filter(|m| m.len() > 2)?;
    let points: Vec<Coord<f64>> = middle.iter().map(|&i| grid.point(i)).collect();
    let smooth = smoothed(&points, grid.cell, half);
    Some(LineString(run_on(&smooth, 2.0 * half)))
}

/// How many cells at the beginning of a way lead out of a corner: until the way is longer than
/// one and a half times its distance from the edge. From a square corner to the middle it is
/// the square root of two times that.
fn corner_length<'a>(grid: &RidgeGrid, way: impl Iterator<Item = &'a usize> + Clone) -> usize {
    let (mut length, mut clear) = (0.0, 0.0f64);
    let steps = way.clone().zip(way.skip(1));
    let leads_out = |&(&i, &next): &(&usize, &usize)| {
        clear = clear.max(grid.clear[i]);
        let out = length < CORNER * clear;
        length += Euclidean.distance(grid.point(i), grid.point(next));
        out
    };
    steps.take_while(leads_out).count()
}

/// Averages a way of points over `window_m` to both sides, three times over, ends kept.
pub(crate) fn smoothed(points: &[Coord<f64>], step_m: f64, window_m: f64) -> Vec<Coord<f64>> {
    let mut line = resampled(points, step_m);
    let reach = (window_m / step_m).round().max(1.0) as usize;
    for _ in 0..3 {
        line = (0..line.len())
            .map(|i| {
                // Narrower toward the ends, so that they neither move nor turn.
                let w = reach.min(i).min(line.len() - 1 - i);
                let some = &line[i - w..=i + w];
                some.iter().fold(Coord::zero(), |a, &b| a + b) / some.len() as f64
            })
            .collect();
    }
    line
}

/// Adds a straight piece at both ends, in the direction of the last `length_m`.
fn run_on(points: &[Coord<f64>], length_m: f64) -> Vec<Coord<f64>> {
    let (a, b) = (points[0], points[points.len() - 1]);
    let off = |end| move |p: &&Coord<f64>| Euclidean.distance(**p, end) >= length_m / 2.0;
    let beyond = |end: Coord<f64>, far: Option<&Coord<f64>>, other: Coord<f64>| {
        let back = end - *far.unwrap_or(&other);
        let d = back.x.hypot(back.y);
        end + if d > 0.0 { back * (length_m / d) } else { back }
    };
    let mut out = vec![beyond(a, points.iter().find(off(a)), b)];
    out.extend_from_slice(points);
    out.push(beyond(b, points.iter().rev().find(off(b)), a));
    out
}

/// Points every `step_m` along a way, both ends included.
pub(crate) fn resampled(points: &[Coord<f64>], step_m: f64) -> Vec<Coord<f64>> {
    let mut out: Vec<Coord<f64>> = points.first().copied().into_iter().collect();
    let mut left = step_m;
    for w in points.windows(2) {
        let len = (w[1].x - w[0].x).hypot(w[1].y - w[0].y);
        let mut at = left;
        while at < len {
            out.push(w[0] + (w[1] - w[0]) * (at / len));
            at += step_m;
        }
        left = at - len;
    }
    out.extend(points.last().filter(|_| points.len() > 1));
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawn::plain;
    use std::f64::consts::{FRAC_PI_4, PI};

    fn at(x: f64, y: f64) -> Coord<f64> {
        Coord { x, y }
    }

    /// The end of a dogleg: 120 m east, then 120 m at 45 degrees.
    fn end() -> Coord<f64> {
        let (s, c) = FRAC_PI_4.sin_cos();
        at(120.0 + 120.0 * c, 120.0 * s)
    }

    /// The dogleg, 30 m wide.
    fn bent() -> Fairway {
        let (s, c) = FRAC_PI_4.sin_cos();
        let left = 15.0 * (PI / 8.0).tan();
        let aside = at(15.0 * s, -15.0 * c);
        let near = [at(0.0, -15.0), at(120.0 + left, -15.0), end() + aside];
        let far = [end() - aside, at(120.0 - left, 15.0), at(0.0, 15.0)];
        let outline = Polygon::new([near, far].concat().into(), Vec::new());
        plain(outline.into())
    }

    #[test]
    fn the_middle_of_a_dogleg_is_found() {
        let f = bent();
        let line = centre_line(&f).unwrap();
        let (tee, bend) = (at(0.0, 0.0), at(120.0, 0.0));
        let ready = Prepared::new(&f.outline);
        let mut inside = resampled(&line.0, 2.0);
        inside.retain(|p| ready.contains(*p));
        for p in &inside {
            let bent = LineString(vec![tee, bend, end()]);
            let off = Euclidean.distance(&geo_types::Point(*p), &bent);
            // Smoothing cuts the corner of the bend.
            assert!(off < 5.0, "{off} at {p:?}");
        }
        assert!(inside.len() > 90, "{}", inside.len());
        assert!(line.0[0].x < line.0[line.0.len() - 1].x);
    }

    #[test]
    fn a_hole_line_through_the_fairway_is_taken_as_it_is() {
        let with = |hole: &[Coord<f64>]| Fairway {
            hole_line: Some(hole.to_vec().into()),
            ..bent()
        };
        let hole = [at(-30.0, 2.0), at(125.0, 2.0), at(220.0, 95.0)];
        assert_eq!(centre_line(&with(&hole)).unwrap().0, hole);
        // One that hardly touches it is not.
        let beside = with(&[at(-30.0, 100.0), at(20.0, 200.0)]);
        assert!(centre_line(&beside).unwrap().0.len() > 3);
    }
}
