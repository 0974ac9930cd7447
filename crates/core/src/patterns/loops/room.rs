//! Where along a lane whole loops fit: nothing of their disc outside the allowed ground.

use crate::ground::extent::span;
use crate::model::pose::Pose;
use crate::patterns::input::Site;
use crate::polygon::offset::offset;
use crate::polygon::overlay::Overlay;
use crate::swath::contact::Span;
use geo_types::{Coord, LineString, MultiPolygon};

/// Distance kept from all that bars a loop, metres: more than rounding and the chords of round
/// corners, less than a blade of grass.
const CLEAR_M: f64 = 0.002;

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

    #[test]
    fn an_axis_is_free_from_end_to_end_of_what_it_meets() {
        let room = MultiPolygon(vec![rect(10.0, 0.0, 20.0, 9.0), rect(40.0, 0.0, 5.0, 9.0)]);
        for (axis, known) in [
            (pose(0.0, 4.0, 0.0), [(10.0, 30.0), (40.0, 45.0)]),
            (
                pose(50.0, 4.0, std::f64::consts::PI),
                [(5.0, 10.0), (20.0, 40.0)],
            ),
        ] {
            let spans = free(&room, axis, 60.0);
            assert_eq!(spans.len(), 2);
            for (span, known) in spans.iter().zip(known) {
                assert_relative_eq!(span.0, known.0, epsilon = 1e-6);
                assert_relative_eq!(span.1, known.1, epsilon = 1e-6);
            }
        }
        assert!(free(&room, pose(0.0, 12.0, 0.0), 60.0).is_empty());
    }
}
