//! Lane coordinates: along the heading and to its left.

use crate::model::pose::Pose;
use crate::patterns::loops::ground::LaneGround;
use geo_types::{Coord, MultiPolygon, Polygon};

/// The extent of a block in lane coordinates: x along the heading, y to its left.
#[derive(Debug, Clone, Copy)]
pub struct LaneExtent {
    /// Direction of the lanes, radians counter-clockwise from east.
    pub heading_rad: f64,
    /// From and to along the heading, metres.
    pub along: (f64, f64),
    /// From and to across it, metres to the left.
    pub across: (f64, f64),
}

impl LaneExtent {
    /// The extent of a block; its extent is upside down where the block is empty.
    pub fn of(block: &LaneGround) -> Self {
        let (sin, cos) = block.heading_rad.sin_cos();
        let none = (f64::INFINITY, f64::NEG_INFINITY);
        let (mut along, mut across) = (none, none);
        for p in block.area.iter().flat_map(|p| &p.exterior().0) {
            let (x, y) = (p.x * cos + p.y * sin, p.y * cos - p.x * sin);
            along = (along.0.min(x), along.1.max(x));
            across = (across.0.min(y), across.1.max(y));
        }
        Self {
            heading_rad: block.heading_rad,
            along,
            across,
        }
    }

    /// How far the block reaches across the heading, metres; not above zero where it is empty.
    pub fn span_m(&self) -> f64 {
        self.across.1 - self.across.0
    }

    /// A place given in lane coordinates.
    pub fn world(&self, x: f64, y: f64) -> Coord<f64> {
        Pose::new(Coord { x: 0.0, y: 0.0 }, self.heading_rad).offset(x, y)
    }

    /// The strip between two heights as an area, `room` metres longer than the block at both ends.
    pub fn strip(&self, low: f64, high: f64, room: f64) -> MultiPolygon<f64> {
        let (a, b) = (self.along.0 - room, self.along.1 + room);
        MultiPolygon(vec![Polygon::new(
            vec![
                self.world(a, low),
                self.world(b, low),
                self.world(b, high),
                self.world(a, high),
            ]
            .into(),
            Vec::new(),
        )])
    }
}

/// At which corner of a block its first lane begins.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Begin {
    /// With the leftmost lane, looking along the heading, or the rightmost.
    pub left: bool,
    /// Along the heading, or against it.
    pub forward: bool,
}

impl Begin {
    /// The corner nearest to where the mower comes from.
    pub fn nearest(extent: &LaneExtent, from: Option<Coord<f64>>) -> Self {
        let first = Begin {
            left: true,
            forward: true,
        };
        let Some(from) = from else { return first };
        let distance = |b: &Begin| {
            let corner = extent.world(
                if b.forward {
                    extent.along.0
                } else {
                    extent.along.1
                },
                if b.left {
                    extent.across.1
                } else {
                    extent.across.0
                },
            );
            (corner.x - from.x).hypot(corner.y - from.y)
        };
        [(true, true), (false, true), (true, false), (false, false)]
            .map(|(left, forward)| Begin { left, forward })
            .into_iter()
            .min_by(|a, b| distance(a).total_cmp(&distance(b)))
            .unwrap_or(first)
    }
}
