//! The coverage measure: how much ground is cut exactly k times, for every k.
//!
//! Uniting the swept shapes would lose the count. Instead the *directed boundary* of everything
//! that the cutting units sweep is laid over the ground, and the winding number of that boundary
//! at a point is the number of times the point is cut. It holds as long as every cutting line
//! moves forward; on the inside of a turn tighter than half the deck it moves backward, and
//! there the unit is split at the turning centre and the inner part's boundary turned round.
//! So each pass of each unit over a point counts once, also where two units overlap.
//!
//! # How
//!
//! 1. *Boundary.* For each unit and each run of tracks that meet without a kink: the paths of
//!    the line's two ends, and the cutting lines where the run starts and stops. Between tracks
//!    of a run the cutting lines cancel and are left out. Arcs stay arcs of circles. The rings
//!    of ground, keep-outs and reach are boundaries too, each with its own count.
//! 2. *Tiles.* Edges are cut where they turn round in x or y, then into square tiles about as
//!    wide as a few edges are apart (half a metre to eight metres). A tile is told the winding
//!    at its lower left corner, and where it jumps along its left border, from the edges that
//!    pass there; both neighbours use the same number, so the counts always close. This is
//!    known from rasterisers of vector graphics (Ganacim, Lima, de Figueiredo & Nehab,
//!    "Massively-parallel vector graphics", ACM Trans. Graphics 33(6), 2014).
//! 3. *Slabs.* Within a tile all crossings of edges are found (line with line, line with circle,
//!    circle with circle). Between two neighbouring heights of ends and crossings no edge
//!    crosses another, so they have one order, and the area between neighbours is exact: the
//!    trapezoid of the chords and the segments between chords and arcs. It is added to the table
//!    at the row of its counts.
//!
//! # Cost
//!
//! With n edges, each passing few tiles, and d edges in a tile: time is O(n d) and the number of
//! crossings enters only through d. Tiles are sized so that d stays about the same for stripes,
//! rings and loops; at a fixed overlap depth time is linear in n. Memory is linear: 64 bytes for
//! each edge (an arc of a full turn is four or five), 4 bytes for each row of tiles that an edge
//! passes, and the storage of one row; tiles are not kept. Measured figures stand in the
//! `benches` package.
//!
//! # Error bound
//!
//! [`Coverage::error_bound_m2`] holds for each area and is the sum of three parts.
//!
//! - *Order.* The order of the edges of each slab is checked at both ends. Neighbours that are
//!   the wrong way round by a distance d, because rounding hid a crossing, misplace at most d times
//!   the slab's height, once for each of the at most m^2/4 pairs of the m edges whose order the gap
//!   can spoil.
//! - *Joints.* Ends of tracks that differ by no more than a nanometre are made one; that moves
//!   the boundary by the gap over the unit's width.
//! - *Rounding.* Each x is computed within a few units in the last place of the largest
//!   coordinate or radius, which moves an edge's area by at most that times the edge's length;
//!   eight units are taken. Sums of t positive terms are off by at most t units of their size.
//!
//! On a fairway of 1 ha under 426 loops the bound is about 3e-8 m2, or 3e-12 of the area. It
//! says nothing about the input: how well the tracks are driven, or the outline surveyed.
//!
//! # Limits
//!
//! Tracks and rings with numbers that are not finite, and arcs of more than 1e5 radians, are
//! left out and the bound is then infinite. Ground cut more
//! than 65,535 times is booked as cut that often. Rings count by what they enclose, whichever
//! way round they are; ground that overlaps itself counts once.
//!
//! # Example
//!
//! ```
//! use crossgrain_core::{Mower, Segment, Track};
//! use crossgrain_metrics::coverage::{Scene, cover};
//! use geo_types::{MultiPolygon, coord, polygon};
//!
//! let ground = MultiPolygon(vec![
//!     polygon![(x: 0.0, y: 0.0), (x: 40.0, y: 0.0), (x: 40.0, y: 4.0), (x: 0.0, y: 4.0)],
//! ]);
//! let pass = |y: f64| Track::down(Segment::Line { from: coord! {x: 0.0, y: y}, to: coord! {x: 40.0, y: y} });
//! let c = cover(&Scene {
//!     ground: &ground,
//!     reach: &ground,
//!     keep_outs: &MultiPolygon(vec![]),
//!     mower: &Mower::bar(2.5),
//!     tracks: &[pass(1.25), pass(2.75)],
//! });
//! // Two passes of 2.5 m over 4 m share 1 m.
//! assert!((c.times_cut_m2[1] - 3.0 * 40.0).abs() < 1e-9);
//! assert!((c.times_cut_m2[2] - 1.0 * 40.0).abs() < 1e-9);
//! assert!(c.error_bound_m2 < 1e-6 * c.ground_m2());
//! ```

#[cfg(test)]
mod tests;

pub use crossgrain_core::inside::swath::Coverage;
use crossgrain_core::inside::swath::shapes::survey;
use crossgrain_core::inside::swath::{Edges, Layer, State, add_cut, add_swept, tally};
use crossgrain_core::{CuttingUnit, Fairway, Mow, Mower, Track};
use geo::Area;
use geo_types::{Coord, MultiPolygon};

/// How far an outline may lie from the true shape, metres: a hair's breadth at any scale a
/// sheet is drawn at.
pub const OUTLINE_TOLERANCE_M: f64 = 0.01;

/// What is measured: ground, reach, keep-outs, and the tracks of one mow.
#[derive(Debug, Clone, Copy)]
pub struct Scene<'a> {
    /// The ground to mow.
    pub ground: &'a MultiPolygon<f64>,
    /// Where a deck of this width can mow: see [`crossgrain_core::inside::ground::reach`].
    pub reach: &'a MultiPolygon<f64>,
    /// Where no reel may be down.
    pub keep_outs: &'a MultiPolygon<f64>,
    /// The mower.
    pub mower: &'a Mower,
    /// The drive.
    pub tracks: &'a [Track],
}

/// Measures one mow of one fairway, of which the mower reaches `reach`.
pub fn of(fairway: &Fairway, mower: &Mower, mow: &Mow, reach: &MultiPolygon<f64>) -> Coverage {
    let keep_outs = fairway.keep_out_area();
    cover(&scene(fairway, mower, mow, reach, &keep_outs))
}

pub(crate) fn scene<'a>(
    fairway: &'a Fairway,
    mower: &'a Mower,
    mow: &'a Mow,
    reach: &'a MultiPolygon<f64>,
    keep_outs: &'a MultiPolygon<f64>,
) -> Scene<'a> {
    Scene {
        ground: fairway.ground(),
        reach,
        keep_outs,
        mower,
        tracks: mow.tracks().as_slice(),
    }
}

/// Measures a scene.
pub fn cover(scene: &Scene<'_>) -> Coverage {
    tally(&boundary(scene, add_swept), scene.ground.unsigned_area())
}

/// What a mow left and what it cut too much.
#[derive(Debug, Clone, PartialEq)]
pub struct Outlines {
    /// Ground inside the reach that was never cut.
    pub missed: MultiPolygon<f64>,
    /// Where a lowered reel went outside the outline, keep-outs aside.
    pub overrun: MultiPolygon<f64>,
    /// Where a lowered reel went into a keep-out.
    pub keepout_cut: MultiPolygon<f64>,
}

/// The outlines of a scene. Each lies within `tolerance_m` of the true shape; shapes of less
/// than `tolerance_m` squared are left out. Neighbours may touch or overlap by as much as they are
/// simplified.
pub fn outlines(scene: &Scene<'_>, tolerance_m: f64) -> Outlines {
    let kind = |s: &State| {
        let kinds = [s.is_missed(), s.is_overrun(), s.is_keepout_cut()];
        kinds.iter().position(|k| *k)
    };
    let edges = boundary(scene, add_swept);
    let (_, [missed, overrun, keepout_cut]) =
        survey(&edges, scene.ground.unsigned_area(), tolerance_m, kind);
    Outlines {
        missed,
        overrun,
        keepout_cut,
    }
}

/// Areas of a scene and the outlines of what was missed, by one sweep: see [`outlines`].
pub fn cover_and_missed(scene: &Scene<'_>, tolerance_m: f64) -> (Coverage, MultiPolygon<f64>) {
    with_missed(scene, add_swept, tolerance_m)
}

/// The same where it matters only whether ground is cut, not how often: what two units cut in one
/// pass may count once in `times_cut_m2` and `swept_m2`. Quicker with several units.
pub fn cut_and_missed(scene: &Scene<'_>, tolerance_m: f64) -> (Coverage, MultiPolygon<f64>) {
    with_missed(scene, add_cut, tolerance_m)
}

fn with_missed(scene: &Scene<'_>, add: Add, tolerance_m: f64) -> (Coverage, MultiPolygon<f64>) {
    let kind = |s: &State| s.is_missed().then_some(0);
    let edges = boundary(scene, add);
    let (cover, [missed]) = survey(&edges, scene.ground.unsigned_area(), tolerance_m, kind);
    (cover, missed)
}

/// How many boundary edges the sweep of a scene works on, for judging cost.
pub fn edge_count(scene: &Scene<'_>) -> usize {
    boundary(scene, add_swept).count()
}

/// Adds what units sweep along tracks.
type Add = fn(&mut Edges, &[CuttingUnit], &[Track], Layer);

/// All directed boundaries of a scene.
fn boundary(scene: &Scene<'_>, add: Add) -> Edges {
    let mut edges = Edges::new(origin(scene));
    add(&mut edges, &scene.mower.units, scene.tracks, Layer::Cut);
    edges.area(scene.ground, Layer::Outer, Some(Layer::Hole));
    edges.area(scene.keep_outs, Layer::Keep, Some(Layer::Keep));
    edges.area(scene.reach, Layer::Reach, Some(Layer::Reach));
    edges
}

/// A place near the ground, in whole metres so that shifting to it loses little.
fn origin(scene: &Scene<'_>) -> Coord<f64> {
    let corners = scene.ground.iter().flat_map(|p| &p.exterior().0).copied();
    let starts = scene.tracks.iter().map(|t| t.path.start().at);
    let place = corners
        .chain(starts)
        .find(|c| c.x.is_finite() && c.y.is_finite())
        .unwrap_or_default();
    (place.x.round(), place.y.round()).into()
}
