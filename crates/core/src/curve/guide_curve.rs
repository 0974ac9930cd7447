//! A line that many passes can run parallel to: straight pieces joined by wide arcs.
//!
//! Passes that are offsets of straight pieces and of arcs about common centres are parallel
//! exactly. On the inside of a bend each pass turns tighter than the one before, so the guide's
//! own arcs are made wide enough for the innermost pass wherever the line leaves room for it.

use crate::curve::corners::{Rounding, crossing, dist, tip};
use crate::curve::fillet::{round_line, run_on, through};
use crate::model::pose::fold_rad;
use crate::model::track::{CircularArc, Segment};
use geo::Simplify;
use geo_types::{Coord, LineString};
use std::f64::consts::FRAC_PI_2;

/// How far the guide may leave the line it follows at a bend, metres, unless the passes inside
/// the bend need more: the passes lie well as long as they follow the fairway by eye.
pub const GUIDE_FIT_M: f64 = 3.0;
/// Bends below this are straight, radians.
const STRAIGHT_RAD: f64 = 1e-3;
/// A share of each straight piece stays straight between two arcs.
const ARC_SHARE: f64 = 0.49;
/// Fit of the arcs that stand in where a pass would turn too tightly, metres.
const CORNER_FIT_M: f64 = 0.005;

/// A tangent-continuous chain of lines and arcs, straight at both ends.
#[derive(Debug, Clone, PartialEq)]
pub struct GuideLine {
    /// Lines and arcs, in order.
    pub paths: Vec<Segment>,
    /// Tightest radius that a pass may drive, metres.
    radius_m: f64,
}

impl GuideLine {
    /// Follows `line` so that passes up to `inner_m` to either side turn no tighter than
    /// `radius_m`, where there is room for it; runs on straight by `run_on_m` at both ends.
    pub fn new(line: &LineString<f64>, inner_m: f64, radius_m: f64, run_on_m: f64) -> Option<Self> {
        let need = inner_m + radius_m;
        let mut best: Option<(f64, Vec<Segment>)> = None;
        // Fewer corners leave more room for wide arcs.
        for fit in [0.5, 1.0, 2.0, 4.0] {
            let mut corners = line.simplify(fit * GUIDE_FIT_M / 2.0).0;
            corners.dedup();
            if corners.len() < 2 {
                return None;
            }
            let (paths, tightest) = rounded(&run_on(&corners, run_on_m), need);
            if best.as_ref().is_none_or(|(t, _)| tightest > *t) {
                best = Some((tightest, paths));
            }
            if tightest >= need {
                break;
            }
        }
        best.map(|(_, paths)| Self { paths, radius_m })
    }

    /// Distance of a point to the left of the guide, metres.
    pub fn left_of(&self, p: Coord<f64>) -> f64 {
        self.beside(p).1
    }

    /// How far along the guide its nearest place to a point is, and how far to its left the point,
    /// metres. The ends count as going on.
    pub fn beside(&self, p: Coord<f64>) -> (f64, f64) {
        let last = self.paths.len().saturating_sub(1);
        let (mut nearest, mut best, mut start) = (f64::INFINITY, (0.0, 0.0), 0.0);
        for (i, path) in self.paths.iter().enumerate() {
            let length = path.length_m();
            let along = match path {
                Segment::Line { .. } => {
                    let s = path.start();
                    let (sin, cos) = s.heading_rad.sin_cos();
                    (p.x - s.at.x) * cos + (p.y - s.at.y) * sin
                }
                Segment::Arc(a) => {
                    let d = p - a.centre;
                    let turned = fold_rad(d.y.atan2(d.x) - a.from_rad);
                    turned * a.sweep_rad.signum() * a.radius_m
                }
            };
            let low = if i == 0 { f64::NEG_INFINITY } else { 0.0 };
            let high = if i == last { f64::INFINITY } else { length };
            let along = along.max(low).min(high);
            let at = path.pose_at(along);
            let (sin, cos) = at.heading_rad.sin_cos();
            let off = p - at.at;
            let distance = off.x.hypot(off.y);
            if distance < nearest {
                nearest = distance;
                best = (start + along, distance.copysign(off.y * cos - off.x * sin));
            }
            start += length;
        }
        best
    }

    /// The chains that run `left_m` metres to the left: one, exactly parallel, or several when
    /// a bend is too tight for this pass and its corner is too sharp to round.
    pub fn offset(&self, left_m: f64) -> Vec<Vec<Segment>> {
        let radius_m = |a: &CircularArc| a.radius_m - a.sweep_rad.signum() * left_m;
        let holds = |p: &Segment| match p {
            Segment::Line { .. } => true,
            Segment::Arc(a) => radius_m(a) >= self.radius_m,
        };
        let moved = |p: &Segment| match p {
            Segment::Line { .. } => Segment::Line {
                from: p.start().offset(0.0, left_m),
                to: p.end().offset(0.0, left_m),
            },
            Segment::Arc(a) => Segment::Arc(CircularArc {
                radius_m: radius_m(a),
                ..*a
            }),
        };
        if self.paths.iter().all(holds) {
            return vec![self.paths.iter().map(moved).collect()];
        }
        // The bend is too tight on this side: meet the straight pieces in corners.
        let straight = |p: &Segment| match moved(p) {
            Segment::Line { from, to } => Some([from, to]),
            Segment::Arc(_) => None,
        };
        let lines: Vec<[Coord<f64>; 2]> = self.paths.iter().filter_map(straight).collect();
        let (Some(first), Some(last)) = (lines.first(), lines.last()) else {
            return Vec::new();
        };
        let met = |w: &[[Coord<f64>; 2]]| crossing(w[0][0], w[0][1], w[1][0], w[1][1]);
        let between = lines.windows(2).filter_map(met).map(|m| m.1);
        let corners = [first[0]].into_iter().chain(between).chain([last[1]]);
        let rounding = Rounding {
            radius_m: self.radius_m,
            fit_m: CORNER_FIT_M,
            sharp_rad: FRAC_PI_2,
            ..Rounding::default()
        };
        let chains = round_line(&corners.collect(), &rounding);
        chains.into_iter().map(|c| c.paths).collect()
    }
}

/// Straight pieces and arcs through the corners, and the tightest radius.
fn rounded(corners: &[Coord<f64>], need_m: f64) -> (Vec<Segment>, f64) {
    let mut tightest = f64::INFINITY;
    // A hair's bend would break tangency: it runs straight to the next corner instead.
    let paths = through(corners, STRAIGHT_RAD, |i, turn| {
        let (c, half) = (corners[i], turn.abs() / 2.0);
        let edge = dist(corners[i - 1], c).min(dist(c, corners[i + 1]));
        let room = ARC_SHARE * edge / half.tan();
        let radius = need_m.max(GUIDE_FIT_M / tip(turn)).min(room);
        tightest = tightest.min(radius);
        radius
    });
    (paths, tightest)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bend() -> LineString<f64> {
        LineString::from(vec![(0.0, 0.0), (120.0, 0.0), (200.0, 80.0)])
    }

    #[test]
    fn offsets_are_exactly_parallel_and_tangent() {
        let g = GuideLine::new(&bend(), 15.0, 2.0, 50.0).unwrap();
        for left in [-15.0, -3.0, 0.0, 7.5, 15.0] {
            let chains = g.offset(left);
            assert_eq!(chains.len(), 1);
            for p in &chains[0] {
                for k in 0..=10 {
                    let at = p.pose_at(p.length_m() * f64::from(k) / 10.0).at;
                    assert!((g.left_of(at) - left).abs() < 1e-9, "{left} {at:?}");
                }
                assert!(p.curvature_per_m().abs() <= 0.5 + 1e-9);
            }
            for w in chains[0].windows(2) {
                let (a, b) = (w[0].end(), w[1].start());
                assert!((a.at.x - b.at.x).hypot(a.at.y - b.at.y) < 1e-9);
                assert!(fold_rad(a.heading_rad - b.heading_rad).abs() < 1e-9);
            }
        }
    }

    #[test]
    fn a_pass_too_far_inside_a_bend_gets_a_corner_it_can_drive() {
        let g = GuideLine::new(&bend(), 5.0, 2.0, 50.0).unwrap();
        let radii = g.paths.iter().map(|p| 1.0 / p.curvature_per_m().abs());
        let tight = radii.fold(f64::INFINITY, f64::min);
        let chains = g.offset(tight);
        assert!(!chains.is_empty());
        for p in chains.iter().flatten() {
            assert!(p.curvature_per_m().abs() <= 0.5 + 1e-9);
        }
    }
}
