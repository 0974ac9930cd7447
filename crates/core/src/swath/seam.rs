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
use crate::model::track::{CircularArc, Segment};
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

/// For each unit the neighbour on its right that it overlaps, going by the straight.
pub(crate) fn right_neighbours(units: &[CuttingUnit]) -> Vec<Option<usize>> {
    let mut order: Vec<usize> = (0..units.len()).collect();
    order.sort_by(|&a, &b| {
        units[b]
            .across_m
            .total_cmp(&units[a].across_m)
            .then(a.cmp(&b))
    });
    let mut out = vec![None; units.len()];
    for pair in order.windows(2) {
        out[pair[0]] = Some(pair[1]);
    }
    out
}

/// The seam of two neighbours that both move forward all along a path, if they have one.
pub(crate) fn seam(path: &Segment, left: &CuttingUnit, right: &CuttingUnit) -> Option<Seam> {
    match path {
        Segment::Line { .. } => on_line(path, left, right),
        Segment::Arc(arc) => on_arc(arc, left, right),
    }
}

fn on_line(path: &Segment, left: &CuttingUnit, right: &CuttingUnit) -> Option<Seam> {
    let overlap = left.right_m() < right.left_m()
        && right.right_m() <= left.right_m()
        && right.left_m() <= left.left_m();
    // Both have begun where the unit ahead begins; the one behind is the first to end.
    let (first, last) = (
        left.ahead_m.max(right.ahead_m),
        left.ahead_m.min(right.ahead_m),
    );
    if !overlap || path.length_m() + last - first < MIN_SEAM_M {
        return None;
    }
    let (start, stop) = (path.start(), path.end());
    let side = |across_m: f64| SeamSide {
        from: start.offset(first, across_m),
        to: stop.offset(last, across_m),
        outside_rad: (0.0, 0.0),
    };
    Some(Seam {
        of_left: side(left.right_m()),
        of_right: side(right.left_m()),
    })
}

fn on_arc(arc: &CircularArc, left: &CuttingUnit, right: &CuttingUnit) -> Option<Seam> {
    let sign = 1.0_f64.copysign(arc.sweep_rad);
    let sweep = arc.sweep_rad.abs();
    if sweep > TAU {
        return None;
    }
    let outward = |across_m: f64| arc.radius_m - sign * across_m;
    let radius = |unit: &CuttingUnit, across_m: f64| unit.ahead_m.hypot(outward(across_m));
    let (of_left_m, of_right_m) = (radius(left, left.right_m()), radius(right, right.left_m()));
    // In a left turn the unit on the left is the inner one.
    let (low, high) = if sign > 0.0 {
        (of_right_m, of_left_m)
    } else {
        (of_left_m, of_right_m)
    };
    let holds = |unit: &CuttingUnit| {
        let (a, b) = (radius(unit, unit.left_m()), radius(unit, unit.right_m()));
        a.min(b) <= low && high <= a.max(b)
    };
    if low >= high || low <= 0.0 || !holds(left) || !holds(right) {
        return None;
    }
    // How far a unit is ahead, as an angle about the centre, at each side of the strip.
    let lead =
        |unit: &CuttingUnit, radius_m: f64| (unit.ahead_m / radius_m).clamp(-1.0, 1.0).asin();
    let leads = [
        lead(left, low),
        lead(left, high),
        lead(right, low),
        lead(right, high),
    ];
    let begin = leads.into_iter().fold(f64::MIN, f64::max);
    let end = sweep + leads.into_iter().fold(f64::MAX, f64::min);
    if (end - begin) * low < MIN_SEAM_M {
        return None;
    }
    let at = |radius_m: f64, turned: f64| {
        let angle = arc.from_rad + sign * turned;
        Coord {
            x: arc.centre.x + radius_m * angle.cos(),
            y: arc.centre.y + radius_m * angle.sin(),
        }
    };
    let side = |unit: &CuttingUnit, radius_m: f64| {
        let own = lead(unit, radius_m);
        let (before, after) = (begin - own, sweep + own - end);
        SeamSide {
            from: at(radius_m, begin),
            to: at(radius_m, end),
            outside_rad: (sign * before.max(0.0), sign * after.max(0.0)),
        }
    };
    Some(Seam {
        of_left: side(left, of_left_m),
        of_right: side(right, of_right_m),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawn::{pose, rect, unit};
    use crate::model::track::{Gear, Reels, Track};
    use crate::swath::boundary::{add_cut, add_swept};
    use crate::swath::edge::{Edges, Layer};
    use crate::swath::sweep::tally;
    use crate::swath::tally::Tally;
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
    fn run(legs: &[(f64, f64)], gear: Gear) -> Vec<Track> {
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
                Track {
                    gear,
                    reels: Reels::Down,
                    ..Track::down(path)
                }
            })
            .collect()
    }

    fn swept(
        add: impl Fn(&mut Edges, &[CuttingUnit], &[Track], Layer),
        units: &[CuttingUnit],
        tracks: &[Track],
    ) -> (Tally, usize) {
        let field = rect(0.0, 0.0, 44.0, 37.0);
        let mut edges = Edges::new(Coord { x: 20.0, y: 20.0 });
        add(&mut edges, units, tracks, Layer::Cut);
        let n = edges.count();
        edges.area(&field.clone().into(), Layer::Outer, Some(Layer::Hole));
        edges.area(&field.clone().into(), Layer::Reach, Some(Layer::Reach));
        (tally(&edges, field.unsigned_area()).0, n)
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
            let (units, tracks) = (deck(overlap_m), run(&legs, Gear::Forward));
            let (all, _) = swept(add_swept, &units, &tracks);
            let (once, _) = swept(add_cut, &units, &tracks);
            prop_assert!(!all.open && !once.open);
            prop_assert!(once.disorder_m2 < 1e-9, "{}", once.disorder_m2);
            prop_assert!((all.missed_m2 - once.missed_m2).abs() < 1e-8);
            prop_assert!((all.overrun_m2 - once.overrun_m2).abs() < 1e-8);
            prop_assert!((all.cut_once_m2 - once.cut_once_m2).abs() < 1e-8);
            prop_assert!(once.swept_m2 <= all.swept_m2 + 1e-8);
        }
    }

    #[test]
    fn a_long_line_keeps_its_two_outer_edges_and_little_else() {
        let (units, tracks) = (deck(0.06), run(&[(0.0, 5.0)], Gear::Forward));
        let length = |add: fn(&mut Edges, &[CuttingUnit], &[Track], Layer)| -> f64 {
            let mut edges = Edges::new(Coord { x: 0.0, y: 0.0 });
            add(&mut edges, &units, &tracks, Layer::Cut);
            edges
                .list
                .iter()
                .map(|e| (e.x1 - e.x0).hypot(e.y1 - e.y0))
                .sum()
        };
        let across = 5.0 * 0.56 * 2.0;
        assert_relative_eq!(length(add_swept), 10.0 * 20.0 + across, epsilon = 1e-9);
        // At each seam each side is left out but for the lead of one unit over the other.
        let seams = 4.0 * (2.0 * 1.22 + 2.0 * 0.06);
        assert_relative_eq!(length(add_cut), 2.0 * 20.0 + across + seams, epsilon = 1e-9);
        let ((all, _), (once, _)) = (
            swept(add_swept, &units, &tracks),
            swept(add_cut, &units, &tracks),
        );
        let seam_m2 = 4.0 * 0.06 * (20.0 - 1.22);
        assert_relative_eq!(once.swept_m2, all.swept_m2 - seam_m2, epsilon = 1e-9);
        assert_relative_eq!(once.cut_once_m2, all.cut_once_m2, epsilon = 1e-9);
    }

    #[test]
    fn units_that_leave_a_strip_keep_their_edges() {
        let (units, tracks) = (deck(-0.05), run(&[(0.0, 5.0)], Gear::Forward));
        let (all, n) = swept(add_swept, &units, &tracks);
        let (once, m) = swept(add_cut, &units, &tracks);
        assert_eq!(n, m);
        assert_eq!(all.missed_m2.to_bits(), once.missed_m2.to_bits());
    }
}
