//! Ground grown or shrunk by a distance (Minkowski sum or difference with a disc).

use geo::algorithm::buffer::{Buffer, BufferStyle, LineJoin};
use geo_types::{MultiPolygon, Polygon};

/// Angle of one chord of a round corner, radians. At a radius of 4 m the chord stays within
/// 4 (1 - cos(0.0125)) = 0.3 mm of the circle.
pub const CORNER_STEP_RAD: f64 = 0.025;

/// Grows (`distance_m` above zero) or shrinks (below zero) an area with round corners.
///
/// Empty rings and empty polygons are dropped first, because the library panics on them.
/// Coordinates must be finite; [`crate::ground::fairway()`] guarantees that.
pub fn offset(area: &MultiPolygon<f64>, distance_m: f64) -> MultiPolygon<f64> {
    let sound: Vec<Polygon<f64>> = area
        .iter()
        .filter(|p| p.exterior().0.len() >= 4)
        .map(|p| {
            Polygon::new(
                p.exterior().clone(),
                p.interiors()
                    .iter()
                    .filter(|r| r.0.len() >= 4)
                    .cloned()
                    .collect(),
            )
        })
        .collect();
    if sound.is_empty() {
        return MultiPolygon(Vec::new());
    }
    let area = MultiPolygon(sound);
    if distance_m == 0.0 {
        return area;
    }
    area.buffer_with_style(BufferStyle::new(distance_m).line_join(LineJoin::Round(CORNER_STEP_RAD)))
}
