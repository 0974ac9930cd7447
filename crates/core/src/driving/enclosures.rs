//! Which pieces of ground barred ground closes off from each other.

use crate::driving::input::DriveInput;
use geo::{Area, Contains, Intersects};
use geo_types::{Coord, MultiPolygon, Point, Polygon};

/// The free pieces that keep-outs cut the plane into: which one a point lies in.
///
/// Keep-outs are grown by `grow_m` and merged; the holes of the result are closed off from the
/// rest. Piece 0 is the outside.
pub struct Enclosures {
    holes: Vec<Polygon<f64>>,
    solid: MultiPolygon<f64>,
}

impl Enclosures {
    /// The enclosures that a yard's keep-outs make for a mower that needs `grow_m` on each side.
    pub fn new(yard: &DriveInput<'_>, grow_m: f64) -> Self {
        let area: MultiPolygon<f64> = yard.fairway.barriers().map(|k| k.area.clone()).collect();
        // One plain polygon encloses nothing, and growing costs time.
        if area.0.len() < 2 && area.0.iter().all(|p| p.interiors().is_empty()) {
            return Self {
                holes: Vec::new(),
                solid: MultiPolygon(Vec::new()),
            };
        }
        let solid = crate::polygon::offset::offset(&area, grow_m);
        let holes = solid
            .iter()
            .flat_map(|p| p.interiors().iter())
            .map(|r| Polygon::new(r.clone(), Vec::new()))
            .collect();
        Self { holes, solid }
    }

    /// Whether nothing is closed off.
    pub fn none(&self) -> bool {
        self.holes.is_empty()
    }

    /// The piece that holds a point; none when it lies on grown keep-outs.
    pub fn piece(&self, c: Coord<f64>) -> Option<usize> {
        let p = Point(c);
        if self.solid.intersects(&p) {
            return None;
        }
        // Of nested holes the smallest that holds the point is its own.
        let around = self.holes.iter().enumerate().filter(|h| h.1.contains(&p));
        let own = around.min_by(|a, b| a.1.unsigned_area().total_cmp(&b.1.unsigned_area()));
        Some(own.map_or(0, |(i, _)| i + 1))
    }
}
