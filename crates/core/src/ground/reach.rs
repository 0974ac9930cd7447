//! Where a deck of a given width can mow while staying on the fairway.
//!
//! The reach is the morphological opening of the ground by a disc whose diameter is the
//! cutting width (Serra, *Image Analysis and Mathematical Morphology*, 1982): every point that
//! some disc of that size covers without leaving the ground. The rest is trim.

use crate::polygon::offset::offset_in_steps;
use crate::polygon::overlay::Overlay;
use geo::Area;
use geo_types::{Coord, LineString, MultiPolygon, Polygon};

// Angle of one chord round a concave corner while shrinking, radians. What the chords let through,
// `half (1 - cos(step / 2))` or 0.4 mm for a deck of 2.5 m, mostly lies past the corner and is cut
// off again; only opposite a corner in a narrow place does it count as reach, at most a 50,000th
// of a fairway of 60 square metres.
const SHRINK_STEP_RAD: f64 = 0.05;
// And while growing back: this is where the reach is round. The chords lose a tenth of a millimetre
// for a deck of 2.5 m.
const GROW_STEP_RAD: f64 = 0.025;
// A corner to the right that turns by no more than this stands among the chords round a concave
// corner, radians: no chord turns more than was asked for, and a tenth is for rounding.
const CHORD_RAD: f64 = 1.1 * SHRINK_STEP_RAD;
// Points nearer to each other are one, metres: the direction of so short an edge is rounding.
const SAME_M: f64 = 1e-6;
// Chords round one concave corner meet this near to each other, metres, just past the corner.
const CLUSTER_M: f64 = 1e-3;

/// The part of `ground` that a deck `cutting_width_m` wide can reach.
pub fn reach(ground: &MultiPolygon<f64>, cutting_width_m: f64) -> MultiPolygon<f64> {
    let half = cutting_width_m / 2.0;
    let core = offset_in_steps(ground, -half, SHRINK_STEP_RAD);
    if core.0.is_empty() {
        return core;
    }
    // Round corners may bulge past the outline by rounding, and the lines of two sides of a narrow
    // place cross: what lies outside is cut off and what lies inside twice counts once.
    match grown_back(&core, half) {
        Some(grown) => grown.shared_by_winding(ground),
        None => offset_in_steps(&core, half, GROW_STEP_RAD).intersection(ground),
    }
}

/// What was shrunk, grown back by as much: rings that may cross themselves, wound as before.
///
/// Growing takes each concave corner of the ground to a point again, where the lines of all its
/// chords cross, which is slow to clip; here neighbours among them just meet. Nothing if a corner
/// is none that shrinking leaves.
fn grown_back(core: &MultiPolygon<f64>, by_m: f64) -> Option<MultiPolygon<f64>> {
    let ring = |r: &LineString<f64>| ring_grown_back(r, by_m);
    core.iter()
        .map(|p| {
            let holes: Option<Vec<_>> = p.interiors().iter().map(ring).collect();
            Some(Polygon::new(ring(p.exterior())?, holes?))
        })
        .collect::<Option<Vec<_>>>()
        .map(MultiPolygon)
}

/// The same for one ring with the area on its left.
fn ring_grown_back(ring: &LineString<f64>, by_m: f64) -> Option<LineString<f64>> {
    let mut points = ring.0.clone();
    points.pop();
    points.dedup_by(|next, kept| within(*next, *kept, SAME_M));
    while points.len() > 1 && within(points[0], points[points.len() - 1], SAME_M) {
        points.pop();
    }
    let n = points.len();
    if n < 3 {
        return None;
    }
    // Away from the area, one for each edge.
    let normals: Vec<Coord<f64>> = (0..n)
        .map(|i| {
            let d = points[(i + 1) % n] - points[i];
            Coord { x: d.y, y: -d.x } / (d.x * d.x + d.y * d.y).sqrt()
        })
        .collect();
    let mut out = Vec::with_capacity(2 * n);
    for (i, &at) in points.iter().enumerate() {
        let (before, after) = (normals[(i + n - 1) % n], normals[i]);
        let turn = (before.x * after.y - before.y * after.x)
            .atan2(before.x * after.x + before.y * after.y);
        if turn < -CHORD_RAD {
            return None;
        }
        if turn < 0.0 {
            let meet = at + (before + after) * (by_m / (1.0 + turn.cos()));
            if out
                .last()
                .is_none_or(|&last| !within(last, meet, CLUSTER_M))
            {
                out.push(meet);
            }
            continue;
        }
        let steps = (turn / GROW_STEP_RAD).ceil().max(1.0);
        let from = before.y.atan2(before.x);
        let each = turn / steps;
        out.extend((0..=steps as u32).map(|k| {
            let (s, c) = (from + each * f64::from(k)).sin_cos();
            at + Coord { x: c, y: s } * by_m
        }));
    }
    Some(LineString(out))
}

fn within(a: Coord<f64>, b: Coord<f64>, far_m: f64) -> bool {
    (a.x - b.x).abs() < far_m && (a.y - b.y).abs() < far_m
}

/// Area of the ground that a deck `cutting_width_m` wide cannot reach, square metres.
pub fn trim_m2(ground: &MultiPolygon<f64>, cutting_width_m: f64) -> f64 {
    (ground.unsigned_area() - reach(ground, cutting_width_m).unsigned_area()).max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawn::rect;
    use geo_types::coord;
    use std::f64::consts::PI;

    #[test]
    fn growing_back_is_as_good_as_growing() {
        // Two greens joined by a neck that the deck does not fit through, a round bunker in one,
        // and two bunkers so near to each other that the deck passes outside them only.
        let round = |x: f64, y: f64, r: f64| {
            let at = |i: i32| {
                let (s, c) = (f64::from(i) / 18.0 * -2.0 * PI).sin_cos();
                coord! {x: x + r * c, y: y + r * s}
            };
            LineString((0..=18).map(at).collect())
        };
        let ground = MultiPolygon(vec![Polygon::new(
            LineString::from(vec![
                (0.0, 0.0),
                (30.0, -4.0),
                (33.0, 9.0),
                (45.0, 9.5),
                (47.0, 1.0),
                (80.0, 0.0),
                (76.0, 30.0),
                (46.0, 26.0),
                (45.0, 11.5),
                (33.0, 11.0),
                (29.0, 28.0),
                (2.0, 25.0),
                (0.0, 0.0),
            ]),
            vec![
                round(12.0, 12.0, 3.0),
                round(58.0, 12.0, 3.0),
                round(65.5, 13.0, 3.5),
            ],
        )]);
        for width in [0.8, 2.54, 5.0, 9.0] {
            let core = offset_in_steps(&ground, -width / 2.0, SHRINK_STEP_RAD);
            let grown = grown_back(&core, width / 2.0).unwrap();
            let back = grown.shared_by_winding(&ground);
            let library = offset_in_steps(&core, width / 2.0, GROW_STEP_RAD / 4.0);
            let library = library.intersection(&ground);
            let differ = back.difference(&library).unsigned_area()
                + library.difference(&back).unsigned_area();
            // A chord lies at most r t^2 / 8 inside its arc; there are a few turns of arcs.
            let sagitta = width / 2.0 * GROW_STEP_RAD * GROW_STEP_RAD / 8.0;
            let limit = sagitta * 4.0 * PI * width;
            assert!(differ < limit, "{width}: {differ} {limit}");
        }
    }

    #[test]
    fn corners_that_shrinking_never_leaves_are_not_grown_here() {
        let notched = LineString::from(vec![
            (0.0, 0.0),
            (9.0, 0.0),
            (9.0, 9.0),
            (5.0, 2.0),
            (0.0, 9.0),
            (0.0, 0.0),
        ]);
        let notched = MultiPolygon(vec![Polygon::new(notched, Vec::new())]);
        assert_eq!(grown_back(&notched, 1.0), None);
    }

    #[test]
    fn a_strip_narrower_than_the_deck_is_out_of_reach() {
        assert!(reach(&rect(0.0, 0.0, 50.0, 2.0).into(), 2.54).0.is_empty());
    }
}
