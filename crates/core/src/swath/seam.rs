//! Seams: the strips that two neighbouring cutting units both cut, left out where it only matters
//! whether ground is cut, not how often.
//!
//! On a line or an arc each end of a cutting line keeps its distance from the path, or its radius.
//! Where two units overlap, the strip between their inner ends is cut twice. From where both have
//! begun to where the first of them ends, that strip is taken out once: its sides, the paths of the
//! two ends, vanish but for short pieces where the track begins and ends. A deck of five units keeps
//! two long edges instead of ten. Every point keeps a count of one at least: in several seams of one
//! deck it lies under one unit more than there are seams.

use crate::model::mower::CuttingUnit;
use crate::model::track::Segment;
use geo_types::Coord;
use std::f64::consts::TAU;

/// A shorter seam is left as it is, metres: four short edges would take the place of two.
const MIN_SEAM_M: f64 = 0.5;

/// The end of a cutting line that lies in a seam: where the seam begins and ends and, on an arc, how
/// far the end of the line turns before and after it, radians, with the arc's sign.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct SeamSide {
    pub(crate) from: Coord<f64>,
    pub(crate) to: Coord<f64>,
    pub(crate) outside_rad: [f64; 2],
}

/// The seam of two neighbours that both move forward all along a path, if they have one: of the right
/// end of the unit on the left, and of the left end of the one on the right. Places are taken from
/// `origin`.
///
/// The ends of cutting lines run on lanes: parallels of a line, as far to the right of it as told,
/// or circles about the centre of an arc, by their radius. How far a mower has come is metres on a
/// line and radians on an arc.
pub(crate) fn seam(
    origin: Coord<f64>,
    path: &Segment,
    left: &CuttingUnit,
    right: &CuttingUnit,
) -> Option<[SeamSide; 2]> {
    let (sign, length) = match path {
        Segment::Line { .. } => (1.0, path.length_m()),
        Segment::Arc(arc) if arc.sweep_rad.abs() > TAU => return None,
        Segment::Arc(arc) => (1.0_f64.copysign(arc.sweep_rad), arc.sweep_rad.abs()),
    };
    let lane = |unit: &CuttingUnit, across_m: f64| match path {
        Segment::Line { .. } => -across_m,
        Segment::Arc(arc) => unit.ahead_m.hypot(arc.radius_m - sign * across_m),
    };
    let lead = |unit: &CuttingUnit, lane: f64| match path {
        Segment::Line { .. } => unit.ahead_m,
        Segment::Arc(_) => (unit.ahead_m / lane).clamp(-1.0, 1.0).asin(),
    };
    let start = path.start();
    let at = |lane: f64, come: f64| match path {
        Segment::Line { .. } => start.offset(come, -lane),
        Segment::Arc(arc) => {
            let (s, c) = (arc.from_rad + sign * come).sin_cos();
            arc.centre + Coord { x: c, y: s } * lane
        }
    };
    let (of_left, of_right) = (lane(left, left.right_m()), lane(right, right.left_m()));
    // In a left turn, as on a line, the unit on the left is the inner one.
    let (mut low, mut high) = (of_right, of_left);
    if sign < 0.0 {
        (low, high) = (of_left, of_right);
    }
    let holds = |unit: &CuttingUnit| {
        let (a, b) = (lane(unit, unit.left_m()), lane(unit, unit.right_m()));
        a.min(b) <= low && high <= a.max(b)
    };
    let on_line = matches!(path, Segment::Line { .. });
    let metres = if on_line { 1.0 } else { low };
    if low >= high || metres <= 0.0 || !holds(left) || !holds(right) {
        return None;
    }
    // Both have begun where the last of their corners begins; the first to end ends it.
    let leads = [left, right].map(|unit| [lead(unit, low), lead(unit, high)]);
    let leads = leads.as_flattened().iter().copied();
    let begin = leads.clone().fold(f64::MIN, f64::max);
    let end = length + leads.fold(f64::MAX, f64::min);
    if (end - begin) * metres < MIN_SEAM_M {
        return None;
    }
    let side = |unit: &CuttingUnit, lane: f64| {
        let own = lead(unit, lane);
        SeamSide {
            from: at(lane, begin) - origin,
            to: at(lane, end) - origin,
            outside_rad: [begin - own, length + own - end].map(|o| sign * o.max(0.0)),
        }
    };
    Some([side(left, of_left), side(right, of_right)])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawn::{pose, rect, unit};
    use crate::model::track::{CircularArc, Track};
    use crate::swath::boundary::{add_cut, add_swept};
    use crate::swath::coverage::Coverage;
    use crate::swath::edge::{Edges, Layer};
    use crate::swath::rows::tally;
    use approx::assert_relative_eq;
    use geo::Area;
    use proptest::prelude::*;

    /// Units in two rows, such as a light machine has, with a little overlap or none.
    fn deck(overlap_m: f64) -> Vec<CuttingUnit> {
        (-2..=2)
            .map(|i| {
                let ahead = if i % 2 == 0 { 0.72 } else { -0.5 };
                unit(0.5 * f64::from(i), ahead, 0.5 + overlap_m)
            })
            .collect()
    }

    /// A run of lines and arcs that meet without a kink, from a place on the field.
    fn run(legs: &[(f64, f64)]) -> Vec<Track> {
        let mut at = pose(20.0, 20.0, 0.3);
        legs.iter()
            .map(|&(radius_m, by)| {
                let to = at.ahead(by.abs() * 4.0).at;
                let path = if radius_m == 0.0 {
                    Segment::Line { from: at.at, to }
                } else {
                    Segment::Arc(CircularArc::leaving(at, radius_m, by))
                };
                at = path.end();
                Track::down(path)
            })
            .collect()
    }

    type Add = fn(&mut Edges, &[CuttingUnit], &[Track], Layer);

    /// What is cut on a field, and the length of the edges of what is swept.
    fn swept(add: Add, units: &[CuttingUnit], tracks: &[Track]) -> (Coverage, f64) {
        let field = rect(0.0, 0.0, 44.0, 37.0);
        let mut edges = Edges::new(Coord { x: 20.0, y: 20.0 });
        add(&mut edges, units, tracks, Layer::Cut);
        let lengths = edges
            .list
            .iter()
            .map(|e| (e.hi.x - e.lo.x).hypot(e.hi.y - e.lo.y));
        let length_m = lengths.sum();
        edges.area(&field.clone().into(), Layer::Outer, Some(Layer::Hole));
        edges.area(&field.clone().into(), Layer::Reach, Some(Layer::Reach));
        (tally(&edges, field.unsigned_area()), length_m)
    }

    proptest! {
        #[test]
        fn the_same_ground_is_cut_with_seams_and_without(
            overlap_m in -0.05..0.2_f64,
            legs in proptest::collection::vec(
                (prop_oneof![Just(0.0), 0.4..9.0_f64], prop_oneof![-6.2..-0.05_f64, 0.05..6.2_f64]),
                1..7,
            ),
        ) {
            let (units, tracks) = (deck(overlap_m), run(&legs));
            let [all, once] = [add_swept as Add, add_cut].map(|a| swept(a, &units, &tracks).0);
            prop_assert!(all.error_bound_m2 < 1e-6 && once.error_bound_m2 < 1e-6, "{all:?} {once:?}");
            prop_assert!((all.missed_m2 - once.missed_m2).abs() < 1e-8);
            prop_assert!((all.overrun_m2 - once.overrun_m2).abs() < 1e-8);
            prop_assert!((all.cut_m2 - once.cut_m2).abs() < 1e-8);
            prop_assert!(once.swept_m2 <= all.swept_m2 + 1e-8);
        }
    }

    #[test]
    fn a_long_line_keeps_its_two_outer_edges_and_little_else() {
        let tracks = run(&[(0.0, 5.0)]);
        let both =
            |units: &[CuttingUnit]| [add_swept as Add, add_cut].map(|a| swept(a, units, &tracks));
        let [(all, long_m), (once, short_m)] = both(&deck(0.06));
        let across = 5.0 * 0.56 * 2.0;
        assert_relative_eq!(long_m, 10.0 * 20.0 + across, epsilon = 1e-9);
        // At each seam each side is left out but for the lead of one unit over the other.
        let seams = 4.0 * (2.0 * 1.22 + 2.0 * 0.06);
        assert_relative_eq!(short_m, 2.0 * 20.0 + across + seams, epsilon = 1e-9);
        let seam_m2 = 4.0 * 0.06 * (20.0 - 1.22);
        assert_relative_eq!(once.swept_m2, all.swept_m2 - seam_m2, epsilon = 1e-9);
        assert_relative_eq!(once.cut_m2, all.cut_m2, epsilon = 1e-9);
        // Units that leave a strip keep their edges.
        let [(all, long_m), (once, short_m)] = both(&deck(-0.05));
        assert_relative_eq!(long_m, short_m, epsilon = 1e-9);
        assert_eq!(all.missed_m2.to_bits(), once.missed_m2.to_bits());
    }
}
