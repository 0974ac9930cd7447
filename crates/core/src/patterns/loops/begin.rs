//! At which corner of a block the lanes begin.

use crate::ground::extent::Extent;
use geo_types::Coord;

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
    pub fn nearest(extent: &Extent, from: Option<Coord<f64>>) -> Self {
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
