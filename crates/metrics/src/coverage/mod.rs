//! The coverage measure: how much ground is cut exactly k times, for every k.
//!
//! The *directed boundary* of everything that the cutting units sweep is laid over the ground, and
//! its winding number at a point is the number of times the point is cut: each pass of each unit
//! over a point counts once, also where two units overlap. On the inside of a turn tighter than half
//! the deck a cutting line moves backward; there the unit is split at the turning centre and the
//! inner part's boundary turned round.
//!
//! # How
//!
//! 1. *Boundary.* For each unit and each run of tracks that meet without a kink: the paths of
//!    the line's two ends, and the cutting lines where the run starts and stops. Arcs stay arcs of
//!    circles. The rings of ground, keep-outs and reach are boundaries too, each with its own count.
//! 2. *Tiles.* Edges are cut where they turn round in x or y, then into square tiles about as
//!    wide as a few edges are apart (half a metre to eight metres). A tile is told the winding
//!    at its lower left corner, and where it jumps along its left border: both neighbours use the
//!    same number, so the counts always close (Ganacim, Lima, de Figueiredo & Nehab,
//!    "Massively-parallel vector graphics", ACM Trans. Graphics 33(6), 2014).
//! 3. *Slabs.* Within a tile all crossings of edges are found. Between two neighbouring heights of
//!    ends and crossings the edges have one order, and the area between neighbours is exact: the
//!    trapezoid of the chords and the segments between chords and arcs.
//!
//! With n edges, each passing few tiles, and d edges in a tile, time is O(n d); tiles are sized so
//! that d stays about the same for stripes, rings and loops. Memory is linear: 64 bytes for each
//! edge (an arc of a full turn is four or five), 4 bytes for each row of tiles that an edge passes.
//! Measured figures stand in the `benches` package.
//!
//! # Error bound
//!
//! [`Coverage::error_bound_m2`] holds for each area and is the sum of three parts. On a fairway of
//! 1 ha under 426 loops it is about 3e-8 m2, or 3e-12 of the area. It says nothing about how well
//! the tracks are driven, or the outline surveyed.
//!
//! - *Order.* Neighbours in a slab that are the wrong way round by a distance d, because rounding
//!   hid a crossing, misplace at most d times the slab's height, once for each of the at most m^2/4
//!   pairs of the m edges whose order the gap can spoil.
//! - *Joints.* Ends of tracks that differ by no more than a nanometre are made one; that moves
//!   the boundary by the gap over the unit's width.
//! - *Rounding.* Each x is computed within a few units in the last place of the largest
//!   coordinate or radius, which moves an edge's area by at most that times the edge's length;
//!   eight units are taken. Sums of t positive terms are off by at most t units of their size.
//!
//! Tracks and rings with numbers that are not finite, and arcs of more than 1e5 radians, are left
//! out and the bound is then infinite. Ground cut more than 65,535 times is booked as cut that often.
//! Rings count by what they enclose, whichever way round they are; ground that overlaps itself
//! counts once.
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
use crossgrain_core::{CuttingUnit, Mower, Track};
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

/// Measures a scene.
pub fn cover(scene: &Scene<'_>) -> Coverage {
    tally(&boundary(scene, add_swept), scene.ground.unsigned_area())
}

/// Areas of a scene and the outlines of what was missed, by one sweep. Each outline lies within
/// `tolerance_m` of the true shape; shapes of less than `tolerance_m` squared are left out.
/// Neighbours may touch or overlap by as much as they are simplified.
pub fn cover_and_missed(scene: &Scene<'_>, tolerance_m: f64) -> (Coverage, MultiPolygon<f64>) {
    with_missed(scene, add_swept, tolerance_m)
}

/// The same where it matters only whether ground is cut, not how often: what two units cut in one
/// pass may count once in `times_cut_m2` and `swept_m2`. Quicker with several units.
pub fn cut_and_missed(scene: &Scene<'_>, tolerance_m: f64) -> (Coverage, MultiPolygon<f64>) {
    with_missed(scene, add_cut, tolerance_m)
}

fn with_missed(scene: &Scene<'_>, add: Add, tolerance_m: f64) -> (Coverage, MultiPolygon<f64>) {
    let area_m2 = scene.ground.unsigned_area();
    survey(
        &boundary(scene, add),
        area_m2,
        tolerance_m,
        State::is_missed,
    )
}

/// How many boundary edges the sweep of a scene works on, for judging cost.
pub fn edge_count(scene: &Scene<'_>) -> usize {
    boundary(scene, add_swept).count()
}

/// Adds what units sweep along tracks.
type Add = fn(&mut Edges, &[CuttingUnit], &[Track], Layer);

/// All directed boundaries of a scene.
fn boundary(scene: &Scene<'_>, add: Add) -> Edges {
    // A place near the ground, in whole metres so that shifting to it loses little.
    let corners = scene.ground.iter().flat_map(|p| &p.exterior().0).copied();
    let mut places = corners.chain(scene.tracks.iter().map(|t| t.path.start().at));
    let place = places.find(|c| c.x.is_finite() && c.y.is_finite());
    let (x, y) = place.unwrap_or_default().x_y();
    let mut edges = Edges::new(Coord::from((x.round(), y.round())));
    add(&mut edges, &scene.mower.units, scene.tracks, Layer::Cut);
    edges.area(scene.ground, Layer::Outer, Some(Layer::Hole));
    edges.area(scene.keep_outs, Layer::Keep, Some(Layer::Keep));
    edges.area(scene.reach, Layer::Reach, Some(Layer::Reach));
    edges
}
