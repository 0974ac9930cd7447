//! The same shapes for another library: every swept piece as quadrilaterals.

use crate::plans::Plan;
use crossgrain_core::{Reels, Segment};
use geo_types::{Coord, LineString, Polygon};

/// The quadrilaterals that the units sweep, arcs in steps of `step_deg` degrees.
pub fn quads(plan: &Plan, step_deg: f64) -> Vec<Polygon<f64>> {
    let mut out = Vec::new();
    for track in plan.tracks.iter().filter(|t| t.reels == Reels::Down) {
        let length = track.path.length_m();
        let n = match track.path {
            Segment::Line { .. } => 1,
            Segment::Arc(a) => (a.sweep_rad.abs().to_degrees() / step_deg - 1e-9).ceil() as usize,
        };
        for unit in &plan.mower.units {
            let ends: Vec<[Coord<f64>; 2]> = (0..=n)
                .map(|i| {
                    let p = track.path.pose_at(length * i as f64 / n as f64);
                    [
                        p.offset(unit.ahead_m, unit.left_m()),
                        p.offset(unit.ahead_m, unit.right_m()),
                    ]
                })
                .collect();
            for e in ends.windows(2) {
                let ring = vec![e[0][1], e[1][1], e[1][0], e[0][0], e[0][1]];
                out.push(Polygon::new(LineString(ring), vec![]));
            }
        }
    }
    out
}
