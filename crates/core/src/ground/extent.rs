//! How far an area reaches along a direction and to its left.

use crate::model::pose::Pose;
use geo_types::{Coord, MultiPolygon, Polygon};

/// The extent of an area along a heading and across it. Upside down where the area is empty.
#[derive(Debug, Clone, Copy)]
pub struct Extent {
    /// The heading, radians counter-clockwise from east.
    pub heading_rad: f64,
    /// From and to along the heading, metres.
    pub along: (f64, f64),
    /// From and to across it, metres to the left.
    pub across: (f64, f64),
}

/// The least and the greatest of some numbers; upside down where there are none.
pub fn span(values: impl Iterator<Item = f64>) -> (f64, f64) {
    values.fold((f64::INFINITY, f64::NEG_INFINITY), |s, v| {
        (s.0.min(v), s.1.max(v))
    })
}

impl Extent {
    /// The extent of an area.
    pub fn of(area: &MultiPolygon<f64>, heading_rad: f64) -> Self {
        let points = area.iter().flat_map(|p| &p.exterior().0);
        Self::of_points(points.copied(), heading_rad)
    }

    /// The extent of points.
    pub fn of_points(points: impl IntoIterator<Item = Coord<f64>>, heading_rad: f64) -> Self {
        let (sin, cos) = heading_rad.sin_cos();
        let points = points.into_iter();
        let turned = points.map(|p| (p.x * cos + p.y * sin, p.y * cos - p.x * sin));
        let (along, across): (Vec<f64>, Vec<f64>) = turned.unzip();
        Self {
            heading_rad,
            along: span(along.into_iter()),
            across: span(across.into_iter()),
        }
    }

    /// How far it reaches across the heading, metres; not above zero where the area is empty.
    pub fn span_m(&self) -> f64 {
        self.across.1 - self.across.0
    }

    /// A place given along the heading and to its left.
    pub fn world(&self, x: f64, y: f64) -> Coord<f64> {
        Pose::new(Coord::zero(), self.heading_rad).offset(x, y)
    }

    /// The strip between two heights as an area, `room` metres longer at both ends.
    pub fn strip(&self, low: f64, high: f64, room: f64) -> MultiPolygon<f64> {
        let (a, b) = (self.along.0 - room, self.along.1 + room);
        let ring = [(a, low), (b, low), (b, high), (a, high)].map(|(x, y)| self.world(x, y));
        Polygon::new(ring.to_vec().into(), Vec::new()).into()
    }
}
