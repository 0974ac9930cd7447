//! Where along a lane whole loops fit: nothing of their disc outside the allowed ground.
//!
//! The middle of a disc of radius r may lie where no edge of the allowed ground is nearer than r.
//! Each edge bars the middles within r of it, a stadium; the lane's axis crosses a stadium in one
//! stretch, because it is convex. What no edge bars is free from end to end, and so is all that a
//! disc sweeps that rolls along it.

use crate::model::pose::Pose;
use crate::patterns::input::Site;
use crate::polygon::offset::offset;
use crate::polygon::overlay::Overlay;
use crate::swath::contact::{Prepared, Span, subtract, union};
use geo_types::Coord;

/// Distance kept from all that bars a loop, metres: more than rounding, less than a blade of
/// grass.
const CLEAR_M: f64 = 0.002;

/// The room for loops on one fairway.
#[derive(Debug, Clone)]
pub struct Room {
    /// The outline with its holes filled, grown by the allowed overrun.
    allowed: Prepared,
    /// Keep-outs and holes.
    barred: Prepared,
    /// The edges of both.
    edges: Vec<(Coord<f64>, Coord<f64>)>,
}

impl Room {
    /// The room that a site leaves: the outline and the allowed overrun, less all keep-outs.
    pub fn of(site: &Site<'_>) -> Self {
        let grown = offset(&site.barriers.solid, site.settings.loop_overrun_m);
        let rings = grown.rings().chain(site.barriers.area.rings());
        let edges = rings.flat_map(|r| r.0.windows(2)).map(|w| (w[0], w[1]));
        let edges = edges.collect();
        Self {
            allowed: Prepared::new(&grown),
            barred: site.barriers.prepared.clone(),
            edges,
        }
    }

    /// The stretches of an axis, metres from its pose, on which the middle of a disc may lie.
    pub fn free(&self, axis: Pose, length_m: f64, radius_m: f64) -> Vec<Span> {
        let radius = radius_m + CLEAR_M;
        let (sin, cos) = axis.heading_rad.sin_cos();
        let local = |p: Coord<f64>| {
            let (dx, dy) = (p.x - axis.at.x, p.y - axis.at.y);
            (dx * cos + dy * sin, dy * cos - dx * sin)
        };
        let barred = self
            .edges
            .iter()
            .filter_map(|(a, b)| barred_by(local(*a), local(*b), radius))
            .collect();
        let mut free = subtract(&[(0.0, length_m)], &union(barred));
        free.retain(|s| {
            let middle = axis.offset((s.0 + s.1) / 2.0, 0.0);
            self.allowed.contains(middle) && !self.barred.contains(middle)
        });
        free
    }
}

/// The stretch of the x axis nearer than `radius` to an edge.
fn barred_by(a: (f64, f64), b: (f64, f64), radius: f64) -> Option<Span> {
    if a.1.min(b.1) >= radius || a.1.max(b.1) <= -radius {
        return None;
    }
    let mut out: Option<Span> = None;
    let mut add = |from: f64, to: f64| {
        if from < to {
            out = Some(out.map_or((from, to), |o| (o.0.min(from), o.1.max(to))));
        }
    };
    for end in [a, b] {
        let half = radius * radius - end.1 * end.1;
        if half > 0.0 {
            add(end.0 - half.sqrt(), end.0 + half.sqrt());
        }
    }
    // Beside the edge: between its two ends, and within the radius of its line.
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let length = dx.hypot(dy);
    if length > 0.0 {
        let (ux, uy) = (dx / length, dy / length);
        // Along the edge (x - ax) ux - ay uy, to its left -(x - ax) uy - ay ux.
        let beside = between(ux, -a.1 * uy, 0.0, length);
        let near = between(-uy, -a.1 * ux, -radius, radius);
        if let (Some(s), Some(n)) = (beside, near) {
            add(a.0 + s.0.max(n.0), a.0 + s.1.min(n.1));
        }
    }
    out
}

/// Where `slope` x + `at` lies between two values.
fn between(slope: f64, at: f64, low: f64, high: f64) -> Option<Span> {
    if slope == 0.0 {
        return (low < at && at < high).then_some((f64::NEG_INFINITY, f64::INFINITY));
    }
    let (p, q) = ((low - at) / slope, (high - at) / slope);
    Some((p.min(q), p.max(q)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    #[test]
    fn an_edge_across_the_axis_bars_its_radius_on_both_sides() {
        let s = barred_by((10.0, -20.0), (10.0, 20.0), 4.0).unwrap();
        assert_relative_eq!(s.0, 6.0, epsilon = 1e-12);
        assert_relative_eq!(s.1, 14.0, epsilon = 1e-12);
    }

    #[test]
    fn an_edge_along_the_axis_bars_its_length_and_a_cap_at_both_ends() {
        let s = barred_by((10.0, 3.0), (30.0, 3.0), 5.0).unwrap();
        assert_relative_eq!(s.0, 6.0, epsilon = 1e-12);
        assert_relative_eq!(s.1, 34.0, epsilon = 1e-12);
        assert_eq!(barred_by((10.0, 5.0), (30.0, 5.0), 5.0), None);
    }

    proptest! {
        #[test]
        fn what_is_barred_is_what_lies_within_the_radius(
            ax in -20.0f64..20.0, ay in -9.0f64..9.0, bx in -20.0f64..20.0, by in -9.0f64..9.0,
            radius in 0.5f64..6.0, x in -30.0f64..30.0,
        ) {
            // The distance from (x, 0) to the edge, by projecting on it.
            let (dx, dy) = (bx - ax, by - ay);
            let t = (((x - ax) * dx - ay * dy) / (dx * dx + dy * dy)).clamp(0.0, 1.0);
            let far = (ax + t * dx - x).hypot(ay + t * dy);
            prop_assume!((far - radius).abs() > 1e-9);
            let barred = barred_by((ax, ay), (bx, by), radius)
                .is_some_and(|s| s.0 < x && x < s.1);
            prop_assert_eq!(barred, far < radius);
        }
    }
}
