//! The course: fairways, keep-outs, the hole line, where turning is barred.

use geo::Area;
use geo_types::{Coord, LineString, MultiPolygon, Polygon};

/// What a keep-out is; the cautions on a sheet depend on it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum KeepOutKind {
    /// Sand.
    Bunker,
    /// A pond, stream or ditch.
    Water,
    /// Trees or a wood.
    Trees,
    /// A putting green.
    Green,
    /// A teeing ground.
    Tee,
    /// A flower bed, path or anything else.
    Other,
}

/// Ground where no reel is ever down.
#[derive(Debug, Clone, PartialEq)]
pub struct KeepOut {
    /// What it is.
    pub kind: KeepOutKind,
    /// Its name in the file, if any.
    pub name: Option<String>,
    /// Its outline, metres.
    pub area: Polygon<f64>,
}

/// One fairway in the course's plane. Metres, x east, y north.
///
/// Made by [`crate::ground::fairway()`], which checks and repairs what it is given.
#[derive(Debug, Clone, PartialEq)]
pub struct Fairway {
    /// Number or name as the crew says it.
    pub name: String,
    /// The outline as drawn, repaired, keep-outs not taken out.
    pub outline: MultiPolygon<f64>,
    /// The ground to mow: outline minus keep-outs; exteriors counter-clockwise.
    pub ground: MultiPolygon<f64>,
    /// Every keep-out within [`KEEP_OUT_RANGE_M`] of the outline, whole.
    pub keep_outs: Vec<KeepOut>,
    /// Ground where a turn must not go (steep banks, soft ground), near the outline.
    pub no_turn: MultiPolygon<f64>,
    /// The hole line from tee to green, when known.
    pub hole_line: Option<LineString<f64>>,
    /// Where the mower comes onto the fairway, when the file says so.
    pub way_in: Option<Coord<f64>>,
}

/// Keep-outs are carried with a fairway when they come this near to it, metres.
/// A deck that turns off the end of a pass still swings well inside this.
pub const KEEP_OUT_RANGE_M: f64 = 20.0;

impl Fairway {
    /// Area of the ground to mow, square metres.
    pub fn ground_m2(&self) -> f64 {
        self.ground.unsigned_area()
    }

    /// All keep-outs as one multipolygon, not merged.
    pub fn keep_out_area(&self) -> MultiPolygon<f64> {
        MultiPolygon(self.keep_outs.iter().map(|k| k.area.clone()).collect())
    }

    /// Mathematical direction from tee to green, radians, when the hole line is known.
    pub fn hole_direction_rad(&self) -> Option<f64> {
        let line = self.hole_line.as_ref()?;
        let (a, b) = (line.0.first()?, line.0.last()?);
        let (dx, dy) = (b.x - a.x, b.y - a.y);
        (dx.hypot(dy) > 0.0).then(|| dy.atan2(dx))
    }
}

/// A whole course in one local plane.
#[derive(Debug, Clone, PartialEq)]
pub struct Course {
    /// The course's name, or the file's.
    pub name: String,
    /// Longitude of the plane's origin, degrees east (WGS 84).
    pub origin_lon_deg: f64,
    /// Latitude of the plane's origin, degrees north (WGS 84).
    pub origin_lat_deg: f64,
    /// Fairways in the order of the file.
    pub fairways: Vec<Fairway>,
    /// Everything drawn on the course that is no fairway, for maps of the whole course.
    pub features: Vec<KeepOut>,
}
