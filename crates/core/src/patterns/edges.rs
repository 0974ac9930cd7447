//! The closed edges of a fairway's ground, and which of them a clean-up pass belongs to.
//!
//! Every part of the ground has an outer edge and one round each keep-out wholly within it. A pass
//! belongs to the edge it runs nearest to; one along the outer edge of its ring belongs to the
//! outline, also where a keep-out bites it.

use crate::model::ground::Fairway;
use crate::model::mow::Leg;
use crate::polygon::overlay::Overlay;
use geo::{Distance, Euclidean};
use geo_types::{Coord, LineString, Point, Polygon};

/// A closed edge.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct GroundEdge {
    /// The part of the ground, by its place among the polygons.
    pub part: usize,
    /// The keep-out it goes round, by its place in the fairway's list; none for the outline.
    pub keep_out: Option<usize>,
}

/// Places of a leg that are asked for their nearest edge.
const ASKED: usize = 24;

/// The edge of a fairway's ground that most of these legs run nearest to; with `outer` only
/// outlines are asked.
pub fn nearest_edge<'a>(fairway: &'a Fairway, legs: &[Leg], outer: bool) -> GroundEdge {
    let of_part = |(part, polygon): (usize, &'a Polygon<f64>)| {
        let edge = move |(i, ring): (usize, &'a LineString<f64>)| {
            // A hole drawn in the outline has no keep-out of its own: it goes by the nearest.
            let near = || nearest_keep_out(fairway, ring.0[0]).unwrap_or(0);
            let keep_out = (i > 0).then(near);
            (GroundEdge { part, keep_out }, ring, 0.0)
        };
        polygon.rings().enumerate().map(edge)
    };
    let parts = fairway.ground.iter().enumerate();
    let mut edges: Vec<_> = parts.flat_map(of_part).collect();
    edges.retain(|e| !outer || e.0.keep_out.is_none());
    let total = legs.iter().map(|l| l.tracks.len()).sum::<usize>();
    let step = total.div_ceil(ASKED).max(1);
    for track in legs.iter().flat_map(|l| &l.tracks).step_by(step) {
        let length = track.path.length_m();
        let middle = Point(track.path.pose_at(length / 2.0).at);
        let far = |e: &(_, &LineString<f64>, f64)| Euclidean.distance(&middle, e.1);
        let near = edges.iter_mut().min_by(|a, b| far(a).total_cmp(&far(b)));
        if let Some((_, _, votes)) = near {
            *votes += length;
        }
    }
    let most = edges.iter().rev().max_by(|a, b| a.2.total_cmp(&b.2));
    most.map_or_else(GroundEdge::default, |e| e.0)
}

/// The keep-out nearest to a place.
pub fn nearest_keep_out(fairway: &Fairway, at: Coord<f64>) -> Option<usize> {
    let far = |i: &usize| Euclidean.distance(&Point(at), &fairway.keep_outs[*i].area);
    (0..fairway.keep_outs.len()).min_by(|a, b| far(a).total_cmp(&far(b)))
}
