//! Seams: the strips that two neighbouring cutting units both cut, left out where it only matters
//! whether ground is cut, not how often.
//!
//! On a line or an arc each end of a cutting line keeps its distance from the path, or its radius.
//! Where two units overlap, the strip between the inner end of one and the inner end of the other
//! is cut twice: by the unit ahead first, then by the one behind. From the place where both have
//! begun to the place where the first of them ends, that strip is taken out once. Its sides are
//! the paths of the two ends, which then vanish: what is left of them are short pieces where the
//! track begins and ends. A deck of five units keeps two long edges instead of ten.
//!
//! Every point keeps a count of one at least: a point in several seams of one deck lies under one
//! unit more than there are seams.

use crate::model::mower::CuttingUnit;
use crate::model::track::Segment;
use geo_types::Coord;
use std::f64::consts::TAU;

/// A seam shorter than this is left as it is, metres: four short edges would take the place of
/// two.
const MIN_SEAM_M: f64 = 0.5;

/// The end of a cutting line that lies in a seam, where the seam begins and ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct SeamSide {
    /// Where the seam begins, metres.
    pub(crate) from: Coord<f64>,
    /// Where it ends.
    pub(crate) to: Coord<f64>,
    /// On an arc: how far the end of the line turns before the seam begins, and after it ends,
    /// radians, with the arc's sign.
    pub(crate) outside_rad: (f64, f64),
}

/// A strip that two neighbours both cut.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Seam {
    /// The right end of the unit on the left.
    pub(crate) of_left: SeamSide,
    /// The left end of the unit on the right.
    pub(crate) of_right: SeamSide,
}

/// The seam of two neighbours that both move forward all along a path, if they have one.
///
/// The ends of cutting lines run on lanes: parallels of a line, as far to the right of it as told,
/// or circles about the centre of an arc, by their radius. How far a mower has come is metres on a
/// line and radians on an arc.
pub(crate) fn seam(path: &Segment, left: &CuttingUnit, right: &CuttingUnit) -> Option<Seam> {
    let (sign, length) = match path {
        Segment::Line { .. } => (1.0, path.length_m()),
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
    let lanes = (lane(left, left.right_m()), lane(right, right.left_m()));
    // In a left turn, as on a line, the unit on the left is the inner one.
    let (low, high) = if sign > 0.0 {
        (lanes.1, lanes.0)
    } else {
        lanes
    };
    let holds = |unit: &CuttingUnit| {
        let (a, b) = (lane(unit, unit.left_m()), lane(unit, unit.right_m()));
        a.min(b) <= low && high <= a.max(b)
    };
    let metres = match path {
        Segment::Line { .. } => 1.0,
        Segment::Arc(arc) if arc.sweep_rad.abs() <= TAU => low,
        Segment::Arc(_) => return None,
    };
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
        let outside = [begin - own, length + own - end].map(|o| sign * o.max(0.0));
        SeamSide {
            from: at(lane, begin),
            to: at(lane, end),
            outside_rad: (outside[0], outside[1]),
        }
    };
    Some(Seam {
        of_left: side(left, lanes.0),
        of_right: side(right, lanes.1),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawn::{pose, rect, unit};
    use crate::model::track::{CircularArc, Track};
    use crate::swath::boundary::{add_cut, add_swept};
    use crate::swath::coverage::Coverage;
    use crate::swath::edge::{Edges, Layer};
    use crate::swath::sweep::tally;
    use approx::assert_relative_eq;
    use geo::Area;
    use proptest::prelude::*;

    /// Three rows of units, such as a light machine has, with a little overlap or none.
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
                let path = if radius_m == 0.0 {
                    Segment::Line {
                        from: at.at,
                        to: at.ahead(by.abs() * 4.0).at,
                    }
                } else {
                    Segment::Arc(CircularArc::leaving(at, radius_m, by))
                };
                at = path.end();
                Track::down(path)
            })
            .collect()
    }

    fn swept(
        add: impl Fn(&mut Edges, &[CuttingUnit], &[Track], Layer),
        units: &[CuttingUnit],
        tracks: &[Track],
    ) -> (Coverage, usize) {
        let field = rect(0.0, 0.0, 44.0, 37.0);
        let mut edges = Edges::new(Coord { x: 20.0, y: 20.0 });
        add(&mut edges, units, tracks, Layer::Cut);
        let n = edges.count();
        edges.area(&field.clone().into(), Layer::Outer, Some(Layer::Hole));
        edges.area(&field.clone().into(), Layer::Reach, Some(Layer::Reach));
        (tally(&edges, field.unsigned_area()), n)
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
            let (all, _) = swept(add_swept, &units, &tracks);
            let (once, _) = swept(add_cut, &units, &tracks);
            prop_assert!(all.error_bound_m2 < 1e-6 && once.error_bound_m2 < 1e-6, "{all:?} {once:?}");
            prop_assert!((all.missed_m2 - once.missed_m2).abs() < 1e-8);
            prop_assert!((all.overrun_m2 - once.overrun_m2).abs() < 1e-8);
            prop_assert!((all.cut_m2 - once.cut_m2).abs() < 1e-8);
            prop_assert!(once.swept_m2 <= all.swept_m2 + 1e-8);
        }
    }

    #[test]
    fn a_long_line_keeps_its_two_outer_edges_and_little_else() {
        let (units, tracks) = (deck(0.06), run(&[(0.0, 5.0)]));
        let length = |add: fn(&mut Edges, &[CuttingUnit], &[Track], Layer)| -> f64 {
            let mut edges = Edges::new(Coord { x: 0.0, y: 0.0 });
            add(&mut edges, &units, &tracks, Layer::Cut);
            let lengths = edges.list.iter().map(|e| (e.x1 - e.x0).hypot(e.y1 - e.y0));
            lengths.sum()
        };
        let across = 5.0 * 0.56 * 2.0;
        assert_relative_eq!(length(add_swept), 10.0 * 20.0 + across, epsilon = 1e-9);
        // At each seam each side is left out but for the lead of one unit over the other.
        let seams = 4.0 * (2.0 * 1.22 + 2.0 * 0.06);
        assert_relative_eq!(length(add_cut), 2.0 * 20.0 + across + seams, epsilon = 1e-9);
        let (all, _) = swept(add_swept, &units, &tracks);
        let (once, _) = swept(add_cut, &units, &tracks);
        let seam_m2 = 4.0 * 0.06 * (20.0 - 1.22);
        assert_relative_eq!(once.swept_m2, all.swept_m2 - seam_m2, epsilon = 1e-9);
        assert_relative_eq!(once.cut_m2, all.cut_m2, epsilon = 1e-9);
    }

    #[test]
    fn units_that_leave_a_strip_keep_their_edges() {
        let (units, tracks) = (deck(-0.05), run(&[(0.0, 5.0)]));
        let (all, n) = swept(add_swept, &units, &tracks);
        let (once, m) = swept(add_cut, &units, &tracks);
        assert_eq!(n, m);
        assert_eq!(all.missed_m2.to_bits(), once.missed_m2.to_bits());
    }
}
