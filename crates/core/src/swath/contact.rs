//! Where along a path the cutting lines of a deck touch an area, exact by events.
//!
//! On a line the cutting line of a unit moves parallel to itself, so the answer is the shadow
//! of (area within the unit's band) on the direction of travel. On an arc it turns about the
//! centre: a point at distance d from the centre is met at one turning angle only, and that
//! angle is monotone along a straight edge. In both cases every edge gives an interval; where
//! no edge is met the cutting line is wholly inside or wholly outside, and one point decides.

use crate::model::mower::CuttingUnit;
use crate::model::pose::fold_rad;
use crate::model::track::{CircularArc, Segment};
use crate::polygon::overlay::Overlay;
use crate::swath::boundary::split;
use geo_types::{Coord, Line, LineString, MultiPolygon, Point};
use rstar::primitives::CachedEnvelope;
use rstar::{AABB, RTree};
use std::f64::consts::{FRAC_PI_2, TAU};

/// A stretch of a path, metres from its start.
pub type Span = (f64, f64);

/// An area made ready for many questions.
#[derive(Debug, Clone, Default)]
pub struct Prepared {
    edges: RTree<CachedEnvelope<Line<f64>>>,
}

/// A box round points.
type Bounds = AABB<Point<f64>>;

/// Boxes are taken this much larger than they need be, metres: above rounding.
const SLACK_M: f64 = 1e-6;

impl Prepared {
    /// Prepares an area; empty areas are fine and touch nothing.
    pub fn new(area: &MultiPolygon<f64>) -> Self {
        let edges = area.rings().flat_map(LineString::lines);
        let edges = edges.filter(|l| l.start != l.end).map(CachedEnvelope::new);
        Self {
            edges: RTree::bulk_load(edges.collect()),
        }
    }

    /// Whether there is nothing in it.
    pub fn is_empty(&self) -> bool {
        self.edges.size() == 0
    }

    /// Whether a point lies inside (even-odd; a point on the edge may go either way).
    pub fn contains(&self, p: Coord<f64>) -> bool {
        let ray = Bounds::from_corners(p.into(), Point::new(f64::MAX, p.y));
        let crosses = |l: &&CachedEnvelope<Line<f64>>| {
            let (a, d) = (l.start, l.delta());
            (a.y > p.y) != (l.end.y > p.y) && p.x < a.x + (p.y - a.y) / d.y * d.x
        };
        let met = self.edges.locate_in_envelope_intersecting(&ray);
        met.filter(crosses).count() % 2 == 1
    }
}

/// The box that a cutting line stays in along a path; `lo..hi` is across from the path.
fn swept_box(path: &Segment, ahead_m: f64, lo_m: f64, hi_m: f64) -> Bounds {
    let ends = [path.start(), path.end()].map(|p| p.offsets(ahead_m, [lo_m, hi_m]));
    let bulge_m = match path {
        Segment::Line { .. } => 0.0,
        // Between its ends an arc lies no farther from the chord than this.
        Segment::Arc(a) => {
            let centre = a.radius_m.copysign(a.sweep_rad);
            let far = ahead_m.hypot((lo_m - centre).abs().max((hi_m - centre).abs()));
            far * (1.0 - (a.sweep_rad.abs().min(TAU) / 2.0).cos())
        }
    };
    let by = Coord::from([bulge_m + SLACK_M; 2]);
    let corners = ends.as_flattened().iter();
    let corners = corners.flat_map(|&p| [Point(p - by), Point(p + by)]);
    Bounds::from_points(&corners.collect::<Vec<_>>())
}

/// The stretches of `path` along which any cutting line touches `area`, sorted and disjoint.
pub fn touch_spans(path: &Segment, units: &[CuttingUnit], area: &Prepared) -> Vec<Span> {
    let mut spans = Vec::new();
    for unit in units.iter().filter(|_| !area.is_empty()) {
        match path {
            Segment::Line { .. } => spans.extend(line_spans(path, unit, area)),
            // A unit that straddles the centre is two lines, each of which keeps to its side.
            Segment::Arc(arc) => {
                let parts = split(path, unit);
                spans.extend(
                    parts
                        .iter()
                        .flat_map(|(part, _)| arc_spans(arc, part, area)),
                );
            }
        }
    }
    union(spans)
}

fn line_spans(path: &Segment, unit: &CuttingUnit, area: &Prepared) -> Vec<Span> {
    let len = path.length_m();
    if len <= 0.0 {
        return Vec::new();
    }
    let start = path.start();
    let (sin, cos) = start.heading_rad.sin_cos();
    let (lo, hi) = (unit.right_m(), unit.left_m());
    let near = swept_box(path, unit.ahead_m, lo, hi);
    let local = |p: Coord<f64>| {
        let d = p - start.at;
        (d.x * cos + d.y * sin - unit.ahead_m, d.y * cos - d.x * sin)
    };
    let mut met = Vec::new();
    for edge in area.edges.locate_in_envelope_intersecting(&near) {
        let (p, q) = (local(edge.start), local(edge.end));
        let (a, b) = if p.1 > q.1 { (q, p) } else { (p, q) };
        if b.1 < lo || a.1 > hi {
            continue;
        }
        // The edge's piece within the band.
        let at = |y: f64| a.0 + (y - a.1) / (b.1 - a.1) * (b.0 - a.0);
        let x0 = if a.1 < lo { at(lo) } else { a.0 };
        let x1 = if b.1 > hi { at(hi) } else { b.0 };
        let (x0, x1) = (x0.min(x1), x0.max(x1));
        if x1 >= 0.0 && x0 <= len {
            met.push((x0.max(0.0), x1.min(len)));
        }
    }
    let mid = (lo + hi) / 2.0;
    with_gaps(met, len, |s| {
        area.contains(path.pose_at(s).offset(unit.ahead_m, mid))
    })
}

/// Of a cutting line that lies wholly on one side of the centre.
fn arc_spans(arc: &CircularArc, line: &CuttingUnit, area: &Prepared) -> Vec<Span> {
    let centre = arc.radius_m.copysign(arc.sweep_rad);
    // Across from the centre.
    let (lo, hi) = (line.right_m() - centre, line.left_m() - centre);
    let ahead = line.ahead_m;
    let turn = if arc.sweep_rad >= 0.0 { 1.0 } else { -1.0 };
    let sweep = arc.sweep_rad.abs();
    let across_sign = if lo + hi >= 0.0 { 1.0 } else { -1.0 };
    let from_centre = |across: f64| (ahead * ahead + across * across).sqrt();
    let near_d = from_centre(lo.abs().min(hi.abs()));
    let far_d = from_centre(lo.abs().max(hi.abs()));
    let near = swept_box(&Segment::Arc(*arc), ahead, lo + centre, hi + centre);
    // Heading at which the cutting line passes through a point at polar (d, angle).
    let heading = |p: Coord<f64>| {
        let d = p - arc.centre;
        let spoke = d.y.atan2(d.x);
        if ahead == 0.0 {
            // A bar over the axle lies along the spoke wherever it is.
            return spoke - across_sign * FRAC_PI_2;
        }
        let across = across_sign * (d.x * d.x + d.y * d.y - ahead * ahead).max(0.0).sqrt();
        spoke - across.atan2(ahead)
    };
    let start_heading = arc.from_rad + turn * FRAC_PI_2;
    let mut met = Vec::new();
    for edge in area.edges.locate_in_envelope_intersecting(&near) {
        for (p, q) in within_ring(edge, arc.centre, near_d, far_d) {
            let (h0, h1) = (heading(p), heading((p + q) / 2.0));
            let to_end = fold_rad(h1 - h0) + fold_rad(heading(q) - h1);
            // Turning angle from the start of the arc, unrolled over every full turn.
            let (t0, t1) = (turn * (h0 - start_heading), turn * to_end);
            let turns = ((t0 + t1.min(0.0)) / TAU).floor() + 1.0;
            let mut a = t0.min(t0 + t1) - turns * TAU;
            let mut b = t0.max(t0 + t1) - turns * TAU;
            while a <= sweep {
                if b >= 0.0 {
                    met.push((a.max(0.0), b.min(sweep)));
                }
                a += TAU;
                b += TAU;
            }
        }
    }
    let mid = (lo + hi) / 2.0;
    let spans = with_gaps(met, sweep, |t| {
        let (s, c) = (start_heading + turn * t).sin_cos();
        let (x, y) = (ahead * c - mid * s, ahead * s + mid * c);
        area.contains(arc.centre + Coord { x, y })
    });
    let metres = |(a, b)| (a * arc.radius_m, b * arc.radius_m);
    spans.into_iter().map(metres).collect()
}

/// Pieces of a segment between two distances from a centre, split where it comes nearest.
fn within_ring(
    edge: &Line<f64>,
    centre: Coord<f64>,
    near: f64,
    far: f64,
) -> impl Iterator<Item = (Coord<f64>, Coord<f64>)> {
    let (p, d, to) = (edge.start, edge.delta(), centre - edge.start);
    let len = (d.x * d.x + d.y * d.y).sqrt();
    let u = d / len;
    let along = to.x * u.x + to.y * u.y;
    let off = to.x * u.y - to.y * u.x;
    let met = off.abs() <= far;
    let [half, inner] = [far, near].map(|r| (r * r - off * off).max(0.0).sqrt());
    let at = move |s: f64| p + u * s;
    [(along - half, along - inner), (along + inner, along + half)]
        .into_iter()
        .map(move |(a, b)| (a.max(0.0), b.min(len)))
        .filter(move |(a, b)| met && a < b)
        .map(move |(a, b)| (at(a), at(b)))
}

/// What is met, and what of the rest lies inside: between two edges all does or nothing.
fn with_gaps(met: Vec<Span>, length: f64, inside: impl Fn(f64) -> bool) -> Vec<Span> {
    let mut met = union(met);
    let mut gaps = subtract(&[(0.0, length)], &met);
    gaps.retain(|(a, b)| inside((a + b) / 2.0));
    met.append(&mut gaps);
    met
}

/// Sorted, disjoint spans with the same points.
pub fn union(mut spans: Vec<Span>) -> Vec<Span> {
    spans.retain(|s| s.0 <= s.1);
    spans.sort_by(|a, b| a.0.total_cmp(&b.0));
    joined(spans, |end, start| start <= end)
}

/// Sorted spans, neighbours made one where `join` says so of the end of one and the start of the
/// next.
pub(crate) fn joined(spans: Vec<Span>, join: impl Fn(f64, f64) -> bool) -> Vec<Span> {
    let mut out: Vec<Span> = Vec::with_capacity(spans.len());
    for s in spans {
        match out.last_mut() {
            Some(last) if join(last.1, s.0) => last.1 = last.1.max(s.1),
            _ => out.push(s),
        }
    }
    out
}

/// What of `spans` is left without `holes`; both sorted and disjoint.
pub fn subtract(spans: &[Span], holes: &[Span]) -> Vec<Span> {
    let mut out = Vec::new();
    for &(a, b) in spans {
        let mut at = a;
        for &(c, d) in holes.iter().filter(|h| h.1 > a && h.0 < b) {
            if c > at {
                out.push((at, c));
            }
            at = at.max(d);
        }
        if at < b {
            out.push((at, b));
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawn::{line, pose, rect, unit};
    use approx::assert_relative_eq;
    use geo::Intersects;
    use geo_types::polygon;
    use proptest::prelude::*;
    use std::f64::consts::PI;

    fn square(x0: f64, y0: f64, x1: f64, y1: f64) -> Prepared {
        Prepared::new(&rect(x0, y0, x1 - x0, y1 - y0).into())
    }

    #[test]
    fn a_square_is_met_from_edge_to_edge_all_along_and_once_a_turn() {
        let path = line(-10.0, 0.0, 30.0, 0.0);
        for (ahead_m, from_m) in [(0.0, 10.0), (1.5, 8.5)] {
            let area = square(0.0, 0.5, 10.0, 20.0);
            let s = touch_spans(&path, &[unit(0.0, ahead_m, 2.0)], &area);
            assert_eq!(s.len(), 1);
            assert_relative_eq!(s[0].0, from_m, epsilon = 1e-12);
            assert_relative_eq!(s[0].1, from_m + 10.0, epsilon = 1e-12);
        }
        let path = line(4.0, 4.0, 6.0, 6.0);
        let s = touch_spans(&path, &[unit(0.0, 0.0, 1.0)], &square(0.0, 0.0, 10.0, 10.0));
        assert_eq!(s, [(0.0, path.length_m())]);
        let arc = Segment::Arc(CircularArc::leaving(pose(0.0, -5.0, 0.0), 5.0, 4.0 * PI));
        let s = touch_spans(&arc, &[unit(0.0, 0.0, 1.0)], &square(4.8, -0.1, 5.2, 0.1));
        assert_eq!(s.len(), 2);
        assert_relative_eq!(s[1].0 - s[0].0, 10.0 * PI, epsilon = 1e-9);
    }

    proptest! {
        // Brute force: sample the path finely and ask whether the cutting line touches.
        #[test]
        fn events_agree_with_sampling(
            x in -6.0..6.0f64, y in -6.0..6.0f64, h in -3.2..3.2f64,
            r in 1.5..8.0f64, sweep in -7.0..7.0f64,
            ahead in -1.5..1.5f64, across in -2.0..2.0f64, width in 0.3..3.0f64,
            straight in any::<bool>(),
        ) {
            prop_assume!(sweep.abs() > 0.1);
            let area = MultiPolygon(vec![polygon![
                (x: -4.0, y: -3.0), (x: 3.5, y: -2.0), (x: 1.0, y: 0.0), (x: 4.0, y: 3.0), (x: -3.0, y: 2.5)
            ]]);
            let pose = pose(x, y, h);
            let path = if straight {
                Segment::Line { from: pose.at, to: pose.offset(12.0, 0.0) }
            } else {
                Segment::Arc(CircularArc::leaving(pose, r, sweep))
            };
            let unit = unit(across, ahead, width);
            let spans = touch_spans(&path, &[unit], &Prepared::new(&area));
            let len = path.length_m();
            for i in 0..=400 {
                let s = len * f64::from(i) / 400.0;
                let [a, b] = path.pose_at(s).offsets(ahead, [unit.right_m(), unit.left_m()]);
                let touches = Line::new(a, b).intersects(&area);
                let ours = spans.iter().any(|t| t.0 <= s && s <= t.1);
                // Near an event the two may differ by rounding.
                let near_event = spans.iter().any(|t| (t.0 - s).abs() < 1e-6 || (t.1 - s).abs() < 1e-6);
                prop_assert!(ours == touches || near_event, "at {s} of {len}: ours {ours}, sampled {touches}, spans {spans:?}");
            }
        }
    }
}
