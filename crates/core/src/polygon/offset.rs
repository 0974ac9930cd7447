//! Ground grown or shrunk by a distance (Minkowski sum or difference with a disc).

use crate::polygon::overlay::{MAX_COORDINATE_M, area as area_of, paths, wound};
use geo::{Area, BoundingRect};
use geo_types::{Coord, MultiPolygon, Polygon, Rect};
use i_overlay::float::overlay::OverlayOptions;
use i_overlay::mesh::float::outline::offset::OutlineOffset;
use i_overlay::mesh::float::style::{LineJoin, OutlineStyle};
use i_overlay::mesh::math::MathMode;
use std::f64::consts::PI;

/// How far a chord of a round corner may stay inside its circle, metres: a tenth of what passes
/// along it are fitted to.
pub const CORNER_FIT_M: f64 = 0.0004;
// No chord turns more than this, radians: at the smallest distances it is fine enough.
const MAX_STEP_RAD: f64 = 0.1;

/// Grows (`distance_m` above zero) or shrinks (below zero) an area with round corners.
///
/// Nothing is left by a distance that is not finite, nor by one larger than
/// [`MAX_COORDINATE_M`]. Polygons with a coordinate that is not finite or farther out are left out.
pub fn offset(area: &MultiPolygon<f64>, distance_m: f64) -> MultiPolygon<f64> {
    // A chord over the angle t stays r (1 - cos(t / 2)) inside, r t^2 / 8 to first order.
    let step = (8.0 * CORNER_FIT_M / distance_m.abs()).sqrt();
    offset_in_steps(area, distance_m, step.min(MAX_STEP_RAD))
}

/// A box so much larger on all sides, metres.
pub fn grown(r: Rect<f64>, by_m: f64) -> Rect<f64> {
    let by = Coord { x: by_m, y: by_m };
    Rect::new(r.min() - by, r.max() + by)
}

/// The same with chords of `step_rad` radians along round corners, each inside its circle.
pub fn offset_in_steps(
    area: &MultiPolygon<f64>,
    distance_m: f64,
    step_rad: f64,
) -> MultiPolygon<f64> {
    if distance_m == 0.0 {
        return area.clone();
    }
    if !(0.0..=MAX_COORDINATE_M).contains(&distance_m.abs()) {
        return MultiPolygon(Vec::new());
    }
    let style = OutlineStyle::new(distance_m)
        .line_join(LineJoin::Round(step_rad))
        .math(MathMode::Float);
    // The library tells ground from holes by how rings are wound.
    let rings = paths(&wound(&area.0));
    area_of(rings.outline_custom(&style, OverlayOptions::ogc()))
}

/// What discs of `radius_m` within a piece cover: what of it is no thread (the morphological
/// opening: Serra, *Image Analysis and Mathematical Morphology*, 1982).
pub fn without_threads(piece: &Polygon<f64>, radius_m: f64, step_rad: f64) -> MultiPolygon<f64> {
    let across = 2.0 * radius_m;
    // Most pieces hold none, going by their area and their box.
    let fits = piece.unsigned_area() > PI * radius_m * radius_m
        && piece
            .bounding_rect()
            .is_some_and(|r| r.width() > across && r.height() > across);
    if !fits {
        return MultiPolygon(Vec::new());
    }
    let alone = MultiPolygon(vec![piece.clone()]);
    offset_in_steps(
        &offset_in_steps(&alone, -radius_m, step_rad),
        radius_m,
        step_rad,
    )
}
