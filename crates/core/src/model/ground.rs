//! The course: fairways, keep-outs, the hole line, where turning is barred.

use geo::Area;
use geo_types::{Coord, LineString, MultiPolygon, Polygon};

/// What a keep-out is; the cautions on a sheet depend on it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
#[non_exhaustive]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum KeepOutKind {
    /// Sand.
    Bunker,
    /// A pond, lake or river.
    Water,
    /// A stream or ditch; crossed only at a bridge.
    Stream,
    /// A wetland: soft, often wet.
    Wetland,
    /// Trees or a wood.
    Trees,
    /// Bushes, a hedge, heath.
    Scrub,
    /// A putting green.
    Green,
    /// A teeing ground.
    Tee,
    /// Ground beyond the course.
    OutOfBounds,
    /// A path, a road or a bridge: crossed with the reels up.
    Path,
    /// Ground the crew keeps off for now: soft, new, under repair.
    KeepOff,
    /// A flower bed, a building or anything else.
    Other,
}

impl KeepOutKind {
    /// All kinds.
    pub const ALL: [KeepOutKind; 12] = [
        KeepOutKind::Bunker,
        KeepOutKind::Water,
        KeepOutKind::Stream,
        KeepOutKind::Wetland,
        KeepOutKind::Trees,
        KeepOutKind::Scrub,
        KeepOutKind::Green,
        KeepOutKind::Tee,
        KeepOutKind::OutOfBounds,
        KeepOutKind::Path,
        KeepOutKind::KeepOff,
        KeepOutKind::Other,
    ];

    /// The word for it in every file.
    pub fn word(self) -> &'static str {
        match self {
            KeepOutKind::Bunker => "bunker",
            KeepOutKind::Water => "water",
            KeepOutKind::Stream => "stream",
            KeepOutKind::Wetland => "wetland",
            KeepOutKind::Trees => "trees",
            KeepOutKind::Scrub => "scrub",
            KeepOutKind::Green => "green",
            KeepOutKind::Tee => "tee",
            KeepOutKind::OutOfBounds => "out-of-bounds",
            KeepOutKind::Path => "path",
            KeepOutKind::KeepOff => "keep-off",
            KeepOutKind::Other => "other",
        }
    }

    /// Whether the mower may drive over it with the reels up. On everything else not even a
    /// wheel stands.
    pub fn drivable(self) -> bool {
        self == KeepOutKind::Path
    }

    /// Whether a mower can sink or drown there.
    pub fn wet(self) -> bool {
        matches!(
            self,
            KeepOutKind::Water | KeepOutKind::Stream | KeepOutKind::Wetland
        )
    }
}

/// Ground where no reel is ever down.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
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
/// Made by [`Fairway::builder`], which checks and repairs what it is given. So the ground is sound:
/// finite coordinates, simple rings, exteriors counter-clockwise, holes clockwise.
#[derive(Debug, Clone, PartialEq)]
pub struct Fairway {
    pub(crate) name: String,
    pub(crate) outline: MultiPolygon<f64>,
    pub(crate) ground: MultiPolygon<f64>,
    pub(crate) keep_outs: Vec<KeepOut>,
    pub(crate) no_turn: MultiPolygon<f64>,
    pub(crate) hole_line: Option<LineString<f64>>,
    pub(crate) way_in: Option<Coord<f64>>,
}

/// Keep-outs are carried with a fairway when they come this near to it, metres: a deck that turns
/// off the end of a pass swings well inside this.
pub const KEEP_OUT_RANGE_M: f64 = 20.0;

impl Fairway {
    /// Number or name as the crew says it.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Gives it another number or name.
    pub fn rename(&mut self, name: impl Into<String>) {
        self.name = name.into();
    }

    /// Turns the hole line round, where tee and green were mixed up. False without a hole line.
    pub fn turn_round(&mut self) -> bool {
        let turned = self.hole_line.as_mut().map(|line| line.0.reverse());
        turned.is_some()
    }

    /// The outline as drawn, repaired, keep-outs not taken out.
    pub fn outline(&self) -> &MultiPolygon<f64> {
        &self.outline
    }

    /// The ground to mow: outline minus keep-outs; exteriors counter-clockwise.
    pub fn ground(&self) -> &MultiPolygon<f64> {
        &self.ground
    }

    /// Every keep-out within 20 m of the outline, whole.
    pub fn keep_outs(&self) -> &[KeepOut] {
        &self.keep_outs
    }

    /// Ground where a turn must not go (steep banks, soft ground), near the outline.
    pub fn no_turn(&self) -> &MultiPolygon<f64> {
        &self.no_turn
    }

    /// The hole line from tee to green, when known.
    pub fn hole_line(&self) -> Option<&LineString<f64>> {
        self.hole_line.as_ref()
    }

    /// Where the mower comes onto the fairway, when it is known.
    pub fn way_in(&self) -> Option<Coord<f64>> {
        self.way_in
    }

    /// Area of the ground to mow, square metres.
    pub fn ground_m2(&self) -> f64 {
        self.ground.unsigned_area()
    }

    /// All keep-outs as one multipolygon, not merged.
    #[doc(hidden)]
    pub fn keep_out_area(&self) -> MultiPolygon<f64> {
        MultiPolygon(self.keep_outs.iter().map(|k| k.area.clone()).collect())
    }

    /// The keep-outs that the mower must go round, also with the reels up.
    #[doc(hidden)]
    pub fn barriers(&self) -> impl Iterator<Item = &KeepOut> {
        self.keep_outs.iter().filter(|k| !k.kind.drivable())
    }

    /// Where a drive should start: the way in, else the tee.
    pub(crate) fn entrance(&self) -> Option<Coord<f64>> {
        let tee = || self.hole_line.as_ref()?.0.first().copied();
        self.way_in.or_else(tee)
    }

    /// A part of its ground as a fairway of its own; it lies along the same hole.
    pub(crate) fn alone(&self, ground: MultiPolygon<f64>) -> Fairway {
        let filled = |p: &Polygon<f64>| Polygon::new(p.exterior().clone(), Vec::new());
        Fairway {
            outline: ground.iter().map(filled).collect(),
            ground,
            ..self.clone()
        }
    }

    /// Mathematical direction from tee to green, radians, when the hole line is known.
    #[doc(hidden)]
    pub fn hole_direction_rad(&self) -> Option<f64> {
        let line = self.hole_line.as_ref()?;
        let along = *line.0.last()? - *line.0.first()?;
        (along != Coord::zero()).then(|| along.y.atan2(along.x))
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
