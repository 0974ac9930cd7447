//! A thin bound round each block of lines, so that a letter on the map says how far it holds.

use crate::drawing::{Mark, Pen, Shape, Spot, Stroke};
use crate::ink::{BLACK, THIN_MM};
use crate::view::View;
use crossgrain_core::{Mow, Mower, Reels, Segment, Step, StepKind};
use geo_types::{Coord, coord};
use std::collections::BTreeMap;
use std::ops::Range;

/// The bounds of the blocks and lanes among the steps that a page tells.
pub fn block_bounds(view: &View, mower: &Mower, mow: &Mow, steps: Range<usize>) -> Vec<Mark> {
    let mut pen = Pen::new();
    for step in mow.steps().get(steps).unwrap_or_default() {
        let half_m = match step.kind {
            StepKind::Block => mower.cutting_width_m() / 2.0,
            StepKind::Lanes => {
                mow.settings()
                    .lane_spacing_m
                    .unwrap_or(mower.cutting_width_m())
                    / 2.0
            }
            _ => continue,
        };
        let lines = lines(mow, step);
        let bound = bound(&lines, half_m);
        if bound.len() > 2 {
            let spots: Vec<Spot> = bound.into_iter().map(|p| view.spot(p)).collect();
            // A second set lies over the first: its bound is broken.
            let stroke = if step.set > 0 {
                Stroke::dashed(BLACK, THIN_MM, 3.0, 1.2)
            } else {
                Stroke::solid(BLACK, THIN_MM)
            };
            pen.stroke(Shape::points(spots, true), stroke);
        }
    }
    pen.marks
}

/// The lines of a step from the lowest number to the highest, as points; a lane as its two ends.
fn lines(mow: &Mow, step: &Step) -> Vec<Vec<Coord<f64>>> {
    let mut found: BTreeMap<u32, Vec<Coord<f64>>> = BTreeMap::new();
    for (i, leg) in mow
        .legs()
        .get(step.legs.clone())
        .unwrap_or_default()
        .iter()
        .enumerate()
    {
        let tracks = mow.tracks_of(leg);
        let cut = tracks.iter().filter(|t| t.reels == Reels::Down);
        let mut points: Vec<Coord<f64>> = cut.flat_map(|t| outline_points(&t.path)).collect();
        if points.len() < 2 {
            continue;
        }
        if step.kind == StepKind::Lanes {
            points = vec![points[0], points[points.len() - 1]];
        }
        found
            .entry(leg.line.unwrap_or(i as u32))
            .or_default()
            .extend(points);
    }
    found.into_values().collect()
}

/// The ends of a straight track; points a hand's breadth off a bent one.
fn outline_points(path: &Segment) -> Vec<Coord<f64>> {
    path.points(0.1)
}

/// A ring round lines that lie side by side, each `half_m` wide to either side.
fn bound(lines: &[Vec<Coord<f64>>], half_m: f64) -> Vec<Coord<f64>> {
    let (Some(low), Some(high)) = (lines.first(), lines.last()) else {
        return Vec::new();
    };
    let Some(along) = way(low) else {
        return Vec::new();
    };
    // From the low line to the high one; for one line either side will do.
    let (a, b) = (middle(low), middle(high));
    let right = coord! { x: along.y, y: -along.x };
    let to_high = dot(coord! { x: b.x - a.x, y: b.y - a.y }, right);
    // All lines the same way, and the high one to the right of it.
    let ahead = if to_high < 0.0 {
        coord! { x: -along.x, y: -along.y }
    } else {
        along
    };
    let right = coord! { x: ahead.y, y: -ahead.x };
    let sorted: Vec<Vec<Coord<f64>>> = lines
        .iter()
        .map(|l| {
            let mut l = l.clone();
            l.sort_by(|p, q| dot(*p, ahead).total_cmp(&dot(*q, ahead)));
            l
        })
        .collect();
    let shift = |p: Coord<f64>, by: f64| coord! { x: p.x + right.x * by, y: p.y + right.y * by };
    let mut ring: Vec<Coord<f64>> = Vec::new();
    ring.extend(sorted[0].iter().map(|p| shift(*p, -half_m)));
    // Through the middles of the ends, not round their corners: a staircase would read as a saw.
    let n = sorted.len();
    ring.extend(sorted.iter().map(|l| l[l.len() - 1]));
    ring.extend(sorted[n - 1].iter().rev().map(|p| shift(*p, half_m)));
    ring.extend(sorted.iter().rev().map(|l| l[0]));
    ring
}

fn way(line: &[Coord<f64>]) -> Option<Coord<f64>> {
    let (a, b) = (line.first()?, line.last()?);
    let v = coord! { x: b.x - a.x, y: b.y - a.y };
    let len = v.x.hypot(v.y);
    (len > 1e-6).then(|| coord! { x: v.x / len, y: v.y / len })
}

fn middle(line: &[Coord<f64>]) -> Coord<f64> {
    let n = line.len().max(1) as f64;
    let sum = line.iter().fold((0.0, 0.0), |s, p| (s.0 + p.x, s.1 + p.y));
    coord! { x: sum.0 / n, y: sum.1 / n }
}

fn dot(a: Coord<f64>, b: Coord<f64>) -> f64 {
    a.x * b.x + a.y * b.y
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_bound_runs_round_all_lines() {
        let up = |x: f64, top: f64| vec![coord! { x: x, y: 0.0 }, coord! { x: x, y: top }];
        let down = vec![coord! { x: 3.0, y: 12.0 }, coord! { x: 3.0, y: 0.0 }];
        let ring = bound(&[up(1.0, 10.0), down, up(5.0, 10.0)], 1.0);
        let twice: f64 = (0..ring.len())
            .map(|i| {
                let (a, b) = (ring[i], ring[(i + 1) % ring.len()]);
                a.x * b.y - a.y * b.x
            })
            .sum();
        // Three lines, 2 m wide each, of 10 m, 12 m and 10 m; straight from end to end of them.
        assert!((twice.abs() / 2.0 - 64.0).abs() < 1e-9);
    }
}
