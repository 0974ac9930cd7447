//! A line that many passes can run parallel to: straight pieces joined by wide arcs.
//!
//! Passes that are offsets of straight pieces and of arcs about common centres are parallel
//! exactly. On the inside of a bend each pass turns tighter than the one before, so the guide's
//! own arcs are made wide enough for the innermost pass wherever the line leaves room for it.

use crate::curve::corners::Rounding;
use crate::curve::fillet::round_line;
use crate::model::pose::{Pose, fold_rad};
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
            let corners = run_on(&line.simplify(fit * GUIDE_FIT_M / 2.0).0, run_on_m)?;
            let (paths, tightest) = rounded(&corners, need);
            if best.as_ref().is_none_or(|(t, _)| tightest > *t) {
                best = Some((tightest, paths));
            }
            if tightest >= need {
                break;
            }
        }
        best.map(|(_, paths)| Self { paths, radius_m })
    }

    /// Distance of a point to the left of the guide, metres. The ends count as going on.
    pub fn left_of(&self, p: Coord<f64>) -> f64 {
        let last = self.paths.len().saturating_sub(1);
        self.paths
            .iter()
            .enumerate()
            .filter_map(|(i, path)| match path {
                Segment::Line { .. } => {
                    let s = path.start();
                    let (sin, cos) = s.heading_rad.sin_cos();
                    let d = p - s.at;
                    let x = d.x * cos + d.y * sin;
                    let y = d.y * cos - d.x * sin;
                    let within =
                        (i == 0 || x >= -1e-6) && (i == last || x <= path.length_m() + 1e-6);
                    within.then_some(y)
                }
                Segment::Arc(a) => {
                    let d = p - a.centre;
                    let side = a.sweep_rad.signum();
                    let turned = fold_rad(d.y.atan2(d.x) - a.from_rad) * side;
                    (turned >= -1e-9 && turned <= a.sweep_rad.abs() + 1e-9)
                        .then(|| side * (a.radius_m - d.x.hypot(d.y)))
                }
            })
            .min_by(|a, b| a.abs().total_cmp(&b.abs()))
            // Beyond the centre of a bend: nearest by the straight pieces' ends.
            .unwrap_or_else(|| {
                self.paths
                    .iter()
                    .flat_map(|q| [q.start(), q.end()])
                    .map(|s| {
                        let d = p - s.at;
                        let (sin, cos) = s.heading_rad.sin_cos();
                        (d.x.hypot(d.y), (d.y * cos - d.x * sin).signum())
                    })
                    .min_by(|a, b| a.0.total_cmp(&b.0))
                    .map_or(0.0, |(d, s)| d * s)
            })
    }

    /// How far along the guide a point lies beside it, metres from its first point. Beyond the
    /// centre of a bend the nearest straight end counts.
    pub fn station_of(&self, p: Coord<f64>) -> f64 {
        let last = self.paths.len().saturating_sub(1);
        let mut best = (f64::INFINITY, 0.0);
        let mut start = 0.0;
        for (i, path) in self.paths.iter().enumerate() {
            let length = path.length_m();
            let (along, off) = match path {
                Segment::Line { .. } => {
                    let s = path.start();
                    let (sin, cos) = s.heading_rad.sin_cos();
                    let d = p - s.at;
                    let along = d.x * cos + d.y * sin;
                    let low = if i == 0 { f64::NEG_INFINITY } else { 0.0 };
                    let high = if i == last { f64::INFINITY } else { length };
                    let along = along.max(low).min(high);
                    let at = s.offset(along, 0.0);
                    (along, (p.x - at.x).hypot(p.y - at.y))
                }
                Segment::Arc(a) => {
                    let d = p - a.centre;
                    let turned = fold_rad(d.y.atan2(d.x) - a.from_rad) * a.sweep_rad.signum();
                    let turned = turned.clamp(0.0, a.sweep_rad.abs());
                    let at = path.pose_at(turned * a.radius_m).at;
                    (turned * a.radius_m, (p.x - at.x).hypot(p.y - at.y))
                }
            };
            if off < best.0 {
                best = (off, start + along);
            }
            start += length;
        }
        best.1
    }

    /// The chains that run `left_m` metres to the left: one, exactly parallel, or several when
    /// a bend is too tight for this pass and its corner is too sharp to round.
    pub fn offset(&self, left_m: f64) -> Vec<Vec<Segment>> {
        let arcs_hold = self.paths.iter().all(|p| match p {
            Segment::Line { .. } => true,
            Segment::Arc(a) => a.radius_m - a.sweep_rad.signum() * left_m >= self.radius_m,
        });
        let moved = |p: &Segment| match p {
            Segment::Line { .. } => Segment::Line {
                from: p.start().offset(0.0, left_m),
                to: p.end().offset(0.0, left_m),
            },
            Segment::Arc(a) => Segment::Arc(CircularArc {
                radius_m: a.radius_m - a.sweep_rad.signum() * left_m,
                ..*a
            }),
        };
        if arcs_hold {
            return vec![self.paths.iter().map(moved).collect()];
        }
        // The bend is too tight on this side: meet the straight pieces in corners.
        let lines: Vec<Pose> = self
            .paths
            .iter()
            .filter(|p| matches!(p, Segment::Line { .. }))
            .map(|p| moved(p).start())
            .collect();
        let (Some(first), Some(last)) = (self.paths.first(), self.paths.last()) else {
            return Vec::new();
        };
        let mut corners = vec![moved(first).start().at];
        corners.extend(lines.windows(2).filter_map(|w| crossing(w[0], w[1])));
        corners.push(moved(last).end().at);
        round_line(
            &LineString(corners),
            &Rounding {
                radius_m: self.radius_m,
                fit_m: CORNER_FIT_M,
                sharp_rad: FRAC_PI_2,
                run_out_m: 0.0,
                clear_m: 0.0,
                short_m: 0.0,
                outer_m: 0.0,
            },
        )
        .into_iter()
        .map(|c| c.paths)
        .collect()
    }
}

fn run_on(points: &[Coord<f64>], by_m: f64) -> Option<Vec<Coord<f64>>> {
    let mut out = points.to_vec();
    out.dedup();
    let n = out.len();
    if n < 2 {
        return None;
    }
    let beyond = |a: Coord<f64>, b: Coord<f64>| {
        let d = (b.x - a.x).hypot(b.y - a.y);
        b + (b - a) * (by_m / d)
    };
    let (first, last) = (beyond(out[1], out[0]), beyond(out[n - 2], out[n - 1]));
    out[0] = first;
    out[n - 1] = last;
    Some(out)
}

/// Straight pieces and arcs through the corners, and the tightest radius.
fn rounded(corners: &[Coord<f64>], need_m: f64) -> (Vec<Segment>, f64) {
    let mut paths = Vec::new();
    let mut tightest = f64::INFINITY;
    let mut at = corners[0];
    for w in corners.windows(3) {
        let (u, v) = (w[1] - w[0], w[2] - w[1]);
        let (lu, lv) = (u.x.hypot(u.y), v.x.hypot(v.y));
        let heading = u.y.atan2(u.x);
        let turn = fold_rad(v.y.atan2(v.x) - heading);
        if turn.abs() < STRAIGHT_RAD {
            // A hair's bend would break tangency: run straight to the next corner instead.
            continue;
        }
        let half = turn.abs() / 2.0;
        let room = ARC_SHARE * lu.min(lv) / half.tan();
        // The arc leaves the corner by r (1 / cos(half) - 1).
        let by_eye = GUIDE_FIT_M / (1.0 / half.cos() - 1.0);
        let radius = need_m.max(by_eye).min(room);
        tightest = tightest.min(radius);
        let tangent = radius * half.tan();
        let start = w[1] - u * (tangent / lu);
        paths.push(Segment::Line {
            from: at,
            to: start,
        });
        let arc = Segment::Arc(CircularArc::leaving(
            Pose::new(start, heading),
            radius,
            turn,
        ));
        at = arc.end().at;
        paths.push(arc);
    }
    paths.push(Segment::Line {
        from: at,
        to: corners[corners.len() - 1],
    });
    (paths, tightest)
}

fn crossing(a: Pose, b: Pose) -> Option<Coord<f64>> {
    let (u, v) = (a.heading_rad.sin_cos(), b.heading_rad.sin_cos());
    let (u, v) = ((u.1, u.0), (v.1, v.0));
    let det = u.0 * v.1 - u.1 * v.0;
    if det.abs() < 1e-9 {
        return None;
    }
    let d = b.at - a.at;
    let t = (d.x * v.1 - d.y * v.0) / det;
    Some(a.at + Coord { x: u.0, y: u.1 } * t)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bend() -> LineString<f64> {
        LineString(vec![
            Coord { x: 0.0, y: 0.0 },
            Coord { x: 120.0, y: 0.0 },
            Coord { x: 200.0, y: 80.0 },
        ])
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
        let tight = g
            .paths
            .iter()
            .filter_map(|p| match p {
                Segment::Arc(a) => Some(a.radius_m),
                Segment::Line { .. } => None,
            })
            .fold(f64::INFINITY, f64::min);
        let chains = g.offset(tight);
        assert!(!chains.is_empty());
        for p in chains.iter().flatten() {
            assert!(p.curvature_per_m().abs() <= 0.5 + 1e-9);
        }
    }
}
