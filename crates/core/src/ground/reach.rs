//! Where a deck of a given width can mow while staying on the fairway.
//!
//! The reach is the morphological opening of the ground by a disc whose diameter is the
//! cutting width (Serra, *Image Analysis and Mathematical Morphology*, 1982): every point that
//! some disc of that size covers without leaving the ground. The rest is trim.

use super::offset::offset_in_steps;
use geo::{Area, BooleanOps};
use geo_types::MultiPolygon;

// Angle of one chord round a concave corner while shrinking, radians. Growing back takes every
// such corner to a point again, where all its chords cross: half the angle takes four times as
// long. What the chords let through, `half (1 - cos(step / 2))` or 0.4 mm for a deck of 2.5 m,
// mostly lies past that point and is cut off again; only opposite a corner in a narrow place
// does it count as reach, at most a 50,000th of a fairway of 60 square metres.
const SHRINK_STEP_RAD: f64 = 0.05;
// And while growing back: this is where the reach is round. The chords lose 0.02 mm.
const GROW_STEP_RAD: f64 = 0.0125;

/// The part of `ground` that a deck `cutting_width_m` wide can reach.
pub fn reach(ground: &MultiPolygon<f64>, cutting_width_m: f64) -> MultiPolygon<f64> {
    let half = cutting_width_m / 2.0;
    let core = offset_in_steps(ground, -half, SHRINK_STEP_RAD);
    if core.0.is_empty() {
        return core;
    }
    // Chords of the round corners may bulge past the outline by rounding: cut them off.
    offset_in_steps(&core, half, GROW_STEP_RAD).intersection(ground)
}

/// Area of the ground that a deck `cutting_width_m` wide cannot reach, square metres.
pub fn trim_m2(ground: &MultiPolygon<f64>, cutting_width_m: f64) -> f64 {
    (ground.unsigned_area() - reach(ground, cutting_width_m).unsigned_area()).max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use geo_types::{Rect, coord};
    use std::f64::consts::PI;

    #[test]
    fn a_square_loses_only_its_corners() {
        let square = MultiPolygon(vec![
            Rect::new(coord! {x: 0.0, y: 0.0}, coord! {x: 20.0, y: 20.0}).to_polygon(),
        ]);
        let r = reach(&square, 4.0).unsigned_area();
        // Four corners lose r^2 (1 - pi / 4) each.
        assert_relative_eq!(r, 400.0 - 4.0 * 4.0 * (1.0 - PI / 4.0), epsilon = 4e-3);
    }

    #[test]
    fn a_strip_narrower_than_the_deck_is_out_of_reach() {
        let strip = MultiPolygon(vec![
            Rect::new(coord! {x: 0.0, y: 0.0}, coord! {x: 50.0, y: 2.0}).to_polygon(),
        ]);
        assert!(reach(&strip, 2.54).0.is_empty());
    }
}
