//! What the cutting units cut along tracks, as polygons.
//!
//! Good to a stated tolerance on arcs. Planning asks this to see what is left; the exact
//! measure of a finished mow is the metrics crate's.

use crate::model::mower::Unit;
use crate::model::track::{Path, Reels, Track, arc_steps};
use geo::unary_union;
use geo_types::{Coord, LineString, MultiPolygon, Polygon};

/// The outlines of what each unit cuts along each lowered track, not merged.
pub fn swept_pieces(tracks: &[Track], units: &[Unit], tolerance_m: f64) -> Vec<Polygon<f64>> {
    let mut out = Vec::new();
    for t in tracks.iter().filter(|t| t.reels == Reels::Down) {
        for u in units {
            out.push(piece(&t.path, u, tolerance_m));
        }
    }
    out
}

/// The same, merged into one area.
pub fn swept_area(tracks: &[Track], units: &[Unit], tolerance_m: f64) -> MultiPolygon<f64> {
    let pieces = swept_pieces(tracks, units, tolerance_m);
    if pieces.is_empty() {
        return MultiPolygon(Vec::new());
    }
    unary_union(&pieces)
}

fn piece(path: &Path, unit: &Unit, tolerance_m: f64) -> Polygon<f64> {
    let steps = match path {
        Path::Line { .. } => 1,
        // The farthest point of the unit has the largest sagitta.
        Path::Arc(a) => {
            let far = a.radius_m + unit.left_m().abs().max(unit.right_m().abs());
            arc_steps(far.hypot(unit.ahead_m), a.sweep_rad, tolerance_m)
        }
    };
    let len = path.length_m();
    let side = |across: f64| -> Vec<Coord<f64>> {
        (0..=steps)
            .map(|i| {
                path.pose_at(len * i as f64 / steps as f64)
                    .offset(unit.ahead_m, across)
            })
            .collect()
    };
    let mut ring = side(unit.right_m());
    let mut back = side(unit.left_m());
    back.reverse();
    ring.append(&mut back);
    Polygon::new(LineString(ring), Vec::new())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::pose::Pose;
    use crate::model::track::Arc;
    use approx::assert_relative_eq;
    use geo::Area;
    use geo_types::coord;
    use std::f64::consts::PI;

    #[test]
    fn a_half_circle_cuts_half_an_annulus() {
        let arc = Path::Arc(Arc::leaving(
            Pose::new(coord! {x: 0.0, y: 0.0}, 0.0),
            6.0,
            PI,
        ));
        let unit = Unit {
            across_m: 0.0,
            ahead_m: 0.0,
            width_m: 2.0,
        };
        let a = swept_area(&[Track::down(arc)], &[unit], 1e-4).unsigned_area();
        assert_relative_eq!(a, PI / 2.0 * (49.0 - 25.0), max_relative = 1e-4);
    }
}
