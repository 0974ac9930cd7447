//! Which way passes can run: the narrowest direction, the long axis, a clock face.

use crate::ground::extent::Extent;
use crate::model::ground::Fairway;
use crate::model::mow::Note;
use crate::model::pattern::Heading;
use crate::model::pose::fold_rad;
use crate::model::quantity::math_rad;
use geo::{ConvexHull, CoordsIter, LinesIter};
use geo_types::MultiPolygon;
use std::f64::consts::{FRAC_PI_2, FRAC_PI_6, PI};

/// The narrowest strip that holds an area.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MinimumWidth {
    /// Its width, metres.
    pub width_m: f64,
    /// The direction it runs in, radians counter-clockwise from east.
    pub along_rad: f64,
}

/// Minimum width over all directions by rotating calipers on the convex hull: the narrowest
/// strip has an edge of the hull on one side (Houle & Toussaint 1988; for passes, Huang 2001).
/// O(n log n) for the hull; the widths are taken edge by edge. `None` for an empty area.
pub fn minimum_width(area: &MultiPolygon<f64>) -> Option<MinimumWidth> {
    let hull = MultiPolygon::from(area.convex_hull());
    let widths = hull.lines_iter().map(|edge| {
        let along_rad = edge.dy().atan2(edge.dx());
        let width_m = width_across(&hull, along_rad);
        MinimumWidth { width_m, along_rad }
    });
    // A clear gain is needed, so that equal directions fall to the first, always the same.
    let clearly_less = |a: &MinimumWidth, b: &MinimumWidth| a.width_m < b.width_m * (1.0 - 1e-9);
    widths.reduce(|best, next| {
        if clearly_less(&next, &best) {
            next
        } else {
            best
        }
    })
}

/// Width of an area across a direction, metres; zero for an empty area.
pub fn width_across(area: &MultiPolygon<f64>, along_rad: f64) -> f64 {
    Extent::of(area, along_rad).span_m().max(0.0)
}

/// Direction of the long axis, radians: the principal axis of the area's second moments.
/// For a shape without a longer side it is whatever rounding says, but always the same.
pub fn long_axis_rad(area: &MultiPolygon<f64>) -> f64 {
    // Moments about a nearby point keep the cancellation small.
    let Some(origin) = area.coords_iter().next() else {
        return 0.0;
    };
    let mut m = [0.0; 6]; // area, x, y, xx, xy, yy
    // Exteriors run counter-clockwise and holes clockwise, so holes subtract by themselves.
    for edge in area.lines_iter() {
        let (a, b) = (edge.start - origin, edge.end - origin);
        let c = a.x * b.y - b.x * a.y;
        m[0] += c / 2.0;
        m[1] += c * (a.x + b.x) / 6.0;
        m[2] += c * (a.y + b.y) / 6.0;
        m[3] += c * (a.x * a.x + a.x * b.x + b.x * b.x) / 12.0;
        m[4] += c * (2.0 * a.x * a.y + a.x * b.y + b.x * a.y + 2.0 * b.x * b.y) / 24.0;
        m[5] += c * (a.y * a.y + a.y * b.y + b.y * b.y) / 12.0;
    }
    if m[0].abs() <= 0.0 {
        return 0.0;
    }
    let [x, y, xx, xy, yy] = [1, 2, 3, 4, 5].map(|k| m[k] / m[0]);
    0.5 * (2.0 * (xy - x * y)).atan2(xx - x * x - (yy - y * y))
}

/// The direction asked for, radians counter-clockwise from east, and a note when something had
/// to stand in for a missing hole line. Axes without a sense of their own point to the green.
pub fn resolve(heading: Heading, fairway: &Fairway) -> (f64, Option<Note>) {
    let hole = fairway.hole_direction_rad();
    let toward_green = |axis: f64| {
        // Without a hole line: the northern half of the compass.
        let away = hole.map_or(axis.sin() < 0.0, |h| fold_rad(axis - h).abs() > FRAC_PI_2);
        if away { axis + PI } else { axis }
    };
    let along = || toward_green(long_axis_rad(&fairway.ground));
    match (heading, hole) {
        (Heading::Bearing { deg }, _) => (math_rad(deg), None),
        (Heading::Along, _) => (along(), None),
        (Heading::Fewest, _) => {
            let narrowest = minimum_width(&fairway.ground);
            (toward_green(narrowest.map_or(0.0, |w| w.along_rad)), None)
        }
        (Heading::Clock { to_h, .. }, Some(noon)) => (noon - to_h * FRAC_PI_6, None),
        (Heading::Clock { to_h, .. }, None) => (along() - to_h * FRAC_PI_6, Some(Note::NoHoleLine)),
    }
}

/// Fewest passes that can cover a strip of `width_m`: ceil((H - W) / (W - o)) + 1, one at least.
///
/// ```
/// // 32 yd of fairway, a 100 in deck, 0.10 m overlap: 12 passes.
/// assert_eq!(crossgrain_core::inside::ground::heading::pass_floor(29.26, 2.54, 0.10), 12);
/// ```
pub fn pass_floor(width_m: f64, cutting_width_m: f64, overlap_m: f64) -> u32 {
    // A hair of slack: a strip that fits exactly must not cost one more pass by rounding.
    let extra = (width_m - cutting_width_m) / (cutting_width_m - overlap_m) - 1e-9;
    // Saturates for absurd widths; the work budget refuses those.
    extra.ceil().max(0.0) as u32 + 1
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawn::rect;
    use approx::assert_relative_eq;
    use geo::Rotate;
    use geo_types::polygon;

    #[test]
    fn the_minimum_width_lies_across_its_direction() {
        let triangle = polygon![(x: 0.0, y: 0.0), (x: 4.0, y: 0.0), (x: 0.0, y: 3.0)];
        for (p, width) in [(rect(0.0, 0.0, 7.0, 3.0), 3.0), (triangle, 2.4)] {
            let area = MultiPolygon(vec![p]);
            let w = minimum_width(&area).unwrap();
            assert_relative_eq!(w.width_m, width, epsilon = 1e-12);
            assert_relative_eq!(width_across(&area, w.along_rad), width, epsilon = 1e-12);
        }
    }

    #[test]
    fn the_long_axis_of_a_turned_rectangle_is_its_long_side() {
        for deg in [-80.0f64, -30.0, 0.0, 17.0, 60.0] {
            let turned = rect(900.0, -400.0, 90.0, 20.0).rotate_around_centroid(deg);
            let axis = long_axis_rad(&turned.into()).to_degrees();
            assert_relative_eq!(axis, deg, epsilon = 1e-7);
        }
    }
}
