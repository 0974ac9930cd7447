//! Ground, lowered tracks and cutting units for the tests of this crate.

use crossgrain_core::{CircularArc, CuttingUnit, Segment, Track};
use geo_types::{Polygon, Rect, coord};

pub(crate) fn rect(x0: f64, y0: f64, x1: f64, y1: f64) -> Polygon<f64> {
    Rect::new(coord! { x: x0, y: y0 }, coord! { x: x1, y: y1 }).to_polygon()
}

pub(crate) fn line(x0: f64, y0: f64, x1: f64, y1: f64) -> Track {
    Track::down(Segment::Line {
        from: coord! { x: x0, y: y0 },
        to: coord! { x: x1, y: y1 },
    })
}

pub(crate) fn unit(across_m: f64, ahead_m: f64, width_m: f64) -> CuttingUnit {
    CuttingUnit {
        across_m,
        ahead_m,
        width_m,
    }
}

pub(crate) fn arc(x: f64, y: f64, radius_m: f64, from_rad: f64, sweep_rad: f64) -> Track {
    Track::down(Segment::Arc(CircularArc {
        centre: coord! { x: x, y: y },
        radius_m,
        from_rad,
        sweep_rad,
    }))
}
