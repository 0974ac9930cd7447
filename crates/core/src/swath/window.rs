//! A large area seen through a small window.
//!
//! Clipping a few square metres against a whole fairway takes as long as the fairway has corners,
//! unless all that lies far off is left out first.

use geo::{BoundingRect, Intersects};
use geo_types::{Coord, LineString, MultiPolygon, Polygon, Rect};

/// What lies within a box, to be clipped against something that lies well inside it.
///
/// Each ring is cut along the four sides of the box one after the other (I. E. Sutherland, G. W.
/// Hodgman, "Reentrant polygon clipping", *Communications of the ACM* 17(1), 1974). What comes
/// apart stays joined by sides that run to and fro along the box; they enclose nothing.
pub fn within(area: &MultiPolygon<f64>, window: &Rect<f64>) -> MultiPolygon<f64> {
    let through = |ring: &LineString<f64>| -> Option<LineString<f64>> {
        let bounds = ring.bounding_rect()?;
        if !bounds.intersects(window) {
            return None;
        }
        let ring = cut(ring, window);
        (ring.0.len() >= 4).then_some(ring)
    };
    area.iter()
        .filter_map(|p| {
            let outer = through(p.exterior())?;
            let holes = p.interiors().iter().filter_map(through).collect();
            Some(Polygon::new(outer, holes))
        })
        .collect()
}

fn cut(ring: &LineString<f64>, window: &Rect<f64>) -> LineString<f64> {
    let (low, high) = (window.min(), window.max());
    let mut points = ring.0.clone();
    points.pop();
    points = beyond(&points, |c| c.x - low.x);
    points = beyond(&points, |c| high.x - c.x);
    points = beyond(&points, |c| c.y - low.y);
    points = beyond(&points, |c| high.y - c.y);
    let first = points.first().copied();
    points.extend(first);
    LineString(points)
}

/// The corners of a ring on the side of a line where `depth` is not below zero.
fn beyond(points: &[Coord<f64>], depth: impl Fn(&Coord<f64>) -> f64) -> Vec<Coord<f64>> {
    let Some(mut last) = points.last().copied() else {
        return Vec::new();
    };
    let mut was = depth(&last);
    let mut out = Vec::with_capacity(points.len() + 4);
    for &here in points {
        let is = depth(&here);
        if (was < 0.0) != (is < 0.0) {
            out.push(last + (here - last) * (was / (was - is)));
        }
        if is >= 0.0 {
            out.push(here);
        }
        (last, was) = (here, is);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::polygon::overlay::Overlay;
    use approx::assert_relative_eq;
    use geo::Area;
    use geo_types::{coord, polygon};

    #[test]
    fn clipped_through_a_window_it_is_as_clipped_whole() {
        // A comb, whose teeth come apart in some windows, and a hole.
        let mut outer = vec![coord! {x: 0.0, y: -9.0}, coord! {x: 40.0, y: -9.0}];
        for i in 0..8 {
            let x = 40.0 - 5.0 * f64::from(i);
            outer.extend([
                coord! {x: x, y: 30.0 + f64::from(i)},
                coord! {x: x - 2.0, y: 30.0},
                coord! {x: x - 3.0, y: 2.0},
            ]);
        }
        let hole = polygon![(x: 5.0, y: -7.0), (x: 15.0, y: -7.0), (x: 15.0, y: -2.0)];
        let comb = MultiPolygon(vec![Polygon::new(
            LineString(outer),
            vec![hole.exterior().clone()],
        )]);
        for (x, y) in [
            (3.0, 8.0),
            (-2.0, -12.0),
            (11.0, -6.0),
            (30.0, 25.0),
            (90.0, 0.0),
        ] {
            let piece = polygon![
                (x: x, y: y + 1.0), (x: x + 7.0, y: y), (x: x + 9.0, y: y + 8.0), (x: x + 1.0, y: y + 9.0),
            ];
            let window = Rect::new(
                coord! {x: x - 0.5, y: y - 0.5},
                coord! {x: x + 9.5, y: y + 9.5},
            );
            let seen = within(&comb, &window);
            assert_relative_eq!(
                piece.intersection(&seen).unsigned_area(),
                piece.intersection(&comb).unsigned_area(),
                epsilon = 1e-5
            );
            assert_relative_eq!(
                piece.difference(&seen).unsigned_area(),
                piece.difference(&comb).unsigned_area(),
                epsilon = 1e-5
            );
        }
    }
}
