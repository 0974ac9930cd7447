//! The ground by direction of lanes, and where along a lane whole loops fit: nothing of their disc
//! outside the allowed ground.

use crate::ground::centre_line::centre_line;
use crate::ground::extent::{Extent, span};
use crate::model::pattern::{Guide, LoopTrain};
use crate::model::pose::{Pose, fold_rad};
use crate::patterns::Site;
use crate::patterns::stripes::{PartGround, parts};
use crate::polygon::offset::offset;
use crate::polygon::overlay::Overlay;
use crate::swath::contact::Span;
use geo::{Area, BoundingRect, Simplify};
use geo_types::{Coord, LineString, MultiPolygon, Polygon};

/// Ground that shares one direction of lanes.
#[derive(Debug, Clone)]
pub struct LaneGround {
    /// The part of the fairway it lies on.
    pub part: usize,
    /// The ground.
    pub area: MultiPolygon<f64>,
    /// Direction of the lanes, radians counter-clockwise from east.
    pub heading_rad: f64,
}

impl LaneGround {
    /// Its extent along the lanes and across them.
    pub fn extent(&self) -> Extent {
        Extent::of(&self.area, self.heading_rad)
    }
}

/// Lanes along the centre line run straight for at least this many loop diameters: each bend costs
/// the lanes on both sides of it about one diameter of lead.
const STRAIGHT_DIAMETERS: f64 = 5.0;
/// Bends of the centre line below this are not worth a new direction, radians (10 degrees).
const BEND_RAD: f64 = 0.175;

/// Kept from all that bars a loop, metres: more than rounding and the chords of round corners.
const CLEAR_M: f64 = 0.002;

/// The ground by direction of lanes. Lanes along the centre line run straight from bend to
/// bend: on straight lanes the lattice is proven, on curved ones the outer side of the bend
/// would open. The ground is parted along the line that halves each bend.
pub fn blocks(site: &Site<'_>, train: &LoopTrain, heading_rad: f64) -> Vec<LaneGround> {
    let line = match train.guide {
        Guide::Straight => None,
        Guide::CentreLine | Guide::LeftSide | Guide::RightSide => centre_line(site.fairway),
    };
    let shortest_m = STRAIGHT_DIAMETERS * train.diameter_min_m;
    let width_m = site.mower.cutting_width_m();
    let bends = line.map_or(Vec::new(), |l| straightened(&l, shortest_m, width_m));
    let last_rad = match bends[..] {
        [.., a, b] => direction_rad(a, b),
        _ => heading_rad,
    };
    let mut out = Vec::new();
    for PartGround { part, wanted, .. } in parts(site) {
        let mut block = |area: MultiPolygon<f64>, heading_rad: f64| {
            if area.unsigned_area() > 0.0 {
                out.push(LaneGround {
                    part,
                    area,
                    heading_rad,
                });
            }
        };
        let across = wanted.bounding_rect();
        let room = 10.0 + across.map_or(0.0, |b| b.width().hypot(b.height()));
        let mut left = wanted;
        for w in bends.windows(3) {
            // All ground on this side of the line that halves the bend.
            let heading_rad = direction_rad(w[0], w[1]);
            let turn = fold_rad(direction_rad(w[1], w[2]) - heading_rad);
            let cut = Pose::new(w[1], heading_rad + turn / 2.0);
            let sides = [-2.0 * room, 2.0 * room];
            let [a, b] = cut.offsets(0.0, sides);
            let [d, c] = cut.offsets(-3.0 * room, sides);
            let behind = Polygon::new(vec![a, b, c, d].into(), Vec::new());
            block(left.intersection(&behind), heading_rad);
            left = left.difference(&behind);
        }
        block(left, last_rad);
    }
    out
}

fn direction_rad(from: Coord<f64>, to: Coord<f64>) -> f64 {
    (to.y - from.y).atan2(to.x - from.x)
}

/// The corners of a line made of few long straight pieces.
fn straightened(line: &LineString<f64>, shortest_m: f64, width_m: f64) -> Vec<Coord<f64>> {
    // Coarser and coarser, until every piece is long enough or the last fit is made.
    let fit = |i: i32| line.simplify(width_m * 1.5_f64.powi(i)).0;
    let long = |w: &[Coord<f64>]| (w[1].x - w[0].x).hypot(w[1].y - w[0].y) >= shortest_m;
    let fitting = (0..5).map(fit).find(|f| f.windows(2).all(long));
    let mut corners = fitting.unwrap_or_else(|| fit(5));
    let blunt = |w: &[Coord<f64>]| {
        let turn = direction_rad(w[1], w[2]) - direction_rad(w[0], w[1]);
        fold_rad(turn).abs() < BEND_RAD
    };
    while let Some(i) = corners.windows(3).position(blunt) {
        corners.remove(i + 1);
    }
    corners
}

/// Where the middle of a disc may lie: on the outline grown by the allowed overrun, and as far as
/// its radius from that edge and from all keep-outs and holes.
pub fn room(site: &Site<'_>, radius_m: f64) -> MultiPolygon<f64> {
    let grown = offset(&site.barriers.solid, site.settings.loop_overrun_m);
    let allowed = grown.difference(&site.barriers.area);
    offset(&allowed, -(radius_m + CLEAR_M))
}

/// The stretches of an axis that lie in an area, metres from its pose.
pub fn free(room: &MultiPolygon<f64>, axis: Pose, length_m: f64) -> Vec<Span> {
    let (sin, cos) = axis.heading_rad.sin_cos();
    let station = |at: &Coord<f64>| (at.x - axis.at.x) * cos + (at.y - axis.at.y) * sin;
    let whole = LineString(vec![axis.at, axis.offset(length_m, 0.0)]);
    let along = |l: LineString<f64>| span(l.0.iter().map(station));
    let mut out: Vec<Span> = room.along(&whole).into_iter().map(along).collect();
    out.sort_by(|a, b| a.0.total_cmp(&b.0));
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawn::{pose, rect};
    use approx::assert_relative_eq;
    use std::f64::consts::PI;

    #[test]
    fn an_axis_is_free_from_end_to_end_of_what_it_meets() {
        let room = MultiPolygon(vec![rect(10.0, 0.0, 20.0, 9.0), rect(40.0, 0.0, 5.0, 9.0)]);
        for (axis, known) in [
            (pose(0.0, 4.0, 0.0), [10.0, 30.0, 40.0, 45.0]),
            (pose(50.0, 4.0, PI), [5.0, 10.0, 20.0, 40.0]),
        ] {
            let spans = free(&room, axis, 60.0);
            let ends: Vec<f64> = spans.iter().flat_map(|s| [s.0, s.1]).collect();
            assert_relative_eq!(ends[..], known, epsilon = 1e-6);
        }
        assert!(free(&room, pose(0.0, 12.0, 0.0), 60.0).is_empty());
    }
}
