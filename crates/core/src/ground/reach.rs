//! Where a deck of a given width can mow while staying on the fairway.
//!
//! The reach is the morphological opening of the ground by a disc whose diameter is the
//! cutting width (Serra, *Image Analysis and Mathematical Morphology*, 1982): every point that
//! some disc of that size covers without leaving the ground. The rest is trim.

use crate::polygon::offset::offset_in_steps;
use crate::polygon::overlay::Overlay;
use geo::Area;
use geo_types::MultiPolygon;

// Angle of one chord round a concave corner while shrinking, radians. What the chords let through,
// 0.4 mm for a deck of 2.5 m, mostly lies past the corner and is cut off again.
const SHRINK_STEP_RAD: f64 = 0.05;
// And while growing back: the chords lose a tenth of a millimetre for a deck of 2.5 m.
const GROW_STEP_RAD: f64 = 0.025;

/// The part of `ground` that a deck `cutting_width_m` wide can reach.
pub fn reach(ground: &MultiPolygon<f64>, cutting_width_m: f64) -> MultiPolygon<f64> {
    let half = cutting_width_m / 2.0;
    let core = offset_in_steps(ground, -half, SHRINK_STEP_RAD);
    // Round corners may bulge past the outline by rounding: what lies outside is cut off.
    offset_in_steps(&core, half, GROW_STEP_RAD).intersection(ground)
}

/// Area of the ground that a deck `cutting_width_m` wide cannot reach, square metres.
pub fn trim_m2(ground: &MultiPolygon<f64>, cutting_width_m: f64) -> f64 {
    (ground.unsigned_area() - reach(ground, cutting_width_m).unsigned_area()).max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawn::rect;
    use approx::assert_relative_eq;
    use geo_types::Polygon;
    use std::f64::consts::PI;

    #[test]
    fn only_the_corners_of_the_outline_are_out_of_reach() {
        // Every point beside a bunker is reached: some disc of the deck touches it from there.
        let bunker = rect(8.0, 8.0, 4.0, 3.0).exterior().clone();
        let ground = Polygon::new(rect(0.0, 0.0, 20.0, 20.0).exterior().clone(), vec![bunker]);
        for width in [0.8, 2.54, 5.0] {
            let corners_m2 = (1.0 - PI / 4.0) * width * width;
            let out_m2 = trim_m2(&ground.clone().into(), width);
            // Chords over the angle t lose t^2 / 12 of a circle, which is 1 part in 1,000 here.
            assert_relative_eq!(out_m2, corners_m2, max_relative = 2e-3);
        }
    }

    #[test]
    fn a_strip_narrower_than_the_deck_is_out_of_reach() {
        assert!(reach(&rect(0.0, 0.0, 50.0, 2.0).into(), 2.54).0.is_empty());
        assert!(reach(&MultiPolygon(vec![]), 2.54).0.is_empty());
    }
}
