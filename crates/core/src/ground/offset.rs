//! Ground grown or shrunk by a distance (Minkowski sum or difference with a disc).

use geo::algorithm::buffer::{Buffer, BufferStyle, LineJoin};
use geo_types::{MultiPolygon, Polygon};

/// How far a chord of a round corner may stay inside its circle, metres: a tenth of what passes
/// along it are fitted to.
pub const CORNER_FIT_M: f64 = 0.0004;
// No chord turns more than this, radians: at the smallest distances it is fine enough.
const LARGEST_STEP_RAD: f64 = 0.1;

/// Grows (`distance_m` above zero) or shrinks (below zero) an area with round corners.
///
/// Empty rings and empty polygons are dropped first, because the library panics on them.
/// Coordinates must be finite; [`crate::ground::fairway()`] guarantees that.
pub fn offset(area: &MultiPolygon<f64>, distance_m: f64) -> MultiPolygon<f64> {
    // A chord over the angle t stays r (1 - cos(t / 2)) inside, r t^2 / 8 to first order.
    let step = (8.0 * CORNER_FIT_M / distance_m.abs()).sqrt();
    offset_in_steps(area, distance_m, step.min(LARGEST_STEP_RAD))
}

/// The same with chords of `step_rad` radians along round corners, each inside its circle.
pub fn offset_in_steps(
    area: &MultiPolygon<f64>,
    distance_m: f64,
    step_rad: f64,
) -> MultiPolygon<f64> {
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
    area.buffer_with_style(BufferStyle::new(distance_m).line_join(LineJoin::Round(step_rad)))
}
