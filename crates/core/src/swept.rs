//! What the cutting units cut along tracks, as polygons.
//!
//! Good to a stated tolerance on arcs. Planning asks this to see what is left; the exact
//! measure of a finished mow is the metrics crate's.

use crate::model::mower::Unit;
use crate::model::track::{Path, Reels, Track, arc_steps};
use geo::algorithm::bool_ops::FillRule;
use geo::orient::{Direction, Orient};
use geo::{BooleanOps, unary_union};
use geo_types::{Coord, LineString, MultiPolygon, Polygon};

/// The outlines of what each unit cuts along each lowered track, not merged.
pub fn swept_pieces(tracks: &[Track], units: &[Unit], tolerance_m: f64) -> Vec<Polygon<f64>> {
    let mut out = Vec::new();
    for t in tracks.iter().filter(|t| t.reels == Reels::Down) {
        for u in units.iter().flat_map(|u| halves(&t.path, u)) {
            out.push(piece(&t.path, &u, tolerance_m));
        }
    }
    out
}

/// The unit as it is; in two where the mower turns about a point between its ends, because the
/// two sides of that point sweep opposite ways.
fn halves(path: &Path, unit: &Unit) -> impl Iterator<Item = Unit> + use<> {
    let centre_m = match path {
        Path::Line { .. } => f64::INFINITY,
        Path::Arc(a) => a.radius_m * a.sweep_rad.signum(),
    };
    let (right, left) = (unit.right_m(), unit.left_m());
    let part = |from: f64, to: f64| Unit {
        across_m: (from + to) / 2.0,
        width_m: to - from,
        ..*unit
    };
    let split = right < centre_m && centre_m < left;
    let first = if split { part(right, centre_m) } else { *unit };
    std::iter::once(first).chain(split.then(|| part(centre_m, left)))
}

/// The same, merged into one area.
pub fn swept_area(tracks: &[Track], units: &[Unit], tolerance_m: f64) -> MultiPolygon<f64> {
    let pieces = swept_pieces(tracks, units, tolerance_m);
    if pieces.is_empty() {
        return MultiPolygon(Vec::new());
    }
    unary_union(&pieces)
}

/// What of `area` the units do not cut along the tracks.
///
/// `area` must be wound as areas are here: exteriors counter-clockwise, holes clockwise.
pub fn without_swept(
    area: &MultiPolygon<f64>,
    tracks: &[Track],
    units: &[Unit],
    tolerance_m: f64,
) -> MultiPolygon<f64> {
    let pieces = MultiPolygon(swept_pieces(tracks, units, tolerance_m));
    // One overlay does for both merging and taking away.
    area.difference_with_fill_rule(&pieces, FillRule::NonZero)
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
    // A part on the far side of the turning centre comes out clockwise; merged with the others
    // it would take away from them.
    Polygon::new(LineString(ring), Vec::new()).orient(Direction::Default)
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
    fn a_deck_that_turns_about_a_point_inside_it_cuts_both_sides() {
        // The right end sweeps a sector of radius 1.4 m, the left end one of 0.6 m opposite;
        // over 4 rad the two share twice 4 - pi.
        let arc = Path::Arc(Arc::leaving(
            Pose::new(coord! {x: 0.0, y: 0.0}, 0.4),
            0.7,
            4.0,
        ));
        let unit = Unit {
            across_m: 0.3,
            ahead_m: 0.0,
            width_m: 2.0,
        };
        let tracks = [Track::down(arc)];
        let shared = 2.0 * (4.0 - PI) * 0.6 * 0.6 / 2.0;
        let known = 4.0 / 2.0 * (1.4 * 1.4 + 0.6 * 0.6) - shared;
        let cut = swept_area(&tracks, &[unit], 1e-6).unsigned_area();
        assert_relative_eq!(cut, known, max_relative = 1e-5);
        let square = MultiPolygon(vec![
            geo_types::Rect::new(coord! {x: -9.0, y: -9.0}, coord! {x: 9.0, y: 9.0}).to_polygon(),
        ]);
        let left = without_swept(&square, &tracks, &[unit], 1e-6).unsigned_area();
        assert_relative_eq!(left, 324.0 - known, max_relative = 1e-6);
    }

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
