//! A ring of corners made drivable: straight lines joined by arcs no tighter than the mower.
//!
//! Every corner gets the largest arc that stays within the fit tolerance and has room; at
//! least the turning radius. Corners too close together for that are merged into the crossing
//! of their outer lines. A corner sharper than the limit is not rounded: the chain ends there,
//! running straight on, and the next chain begins along the next edge.

use crate::curve::corners::{ARC_SHARE, Corners, Rounding, between, dist, distinct, tip, turn_at};
use crate::model::pose::Pose;
use crate::model::track::{CircularArc, Segment};
use geo::Simplify;
use geo_types::{Coord, LineString};

/// A tangent-continuous chain of lines and arcs.
#[derive(Debug, Clone, PartialEq)]
pub struct Chain {
    /// Lines and arcs, end to end.
    pub paths: Vec<Segment>,
    /// Whether the end meets the beginning.
    pub closed: bool,
}

// Wider arcs are not laid, metres: nobody steers them, and flattened by angle they are inexact.
const GENTLEST_M: f64 = 50.0;
// A shift of a barred corner is spread over so much of each edge, metres: the wheel hardly moves.
const SHIFT_REACH_M: f64 = 3.0;
// A shift onto the rough over less, metres, because all of it is overrun.
const OUTWARD_REACH_M: f64 = 1.5;
// The part of a tip of grass that a shift takes: all, with the last thread, is twice the overrun.
const OUTWARD_SHARE: f64 = 0.45;
// Farthest that a corner is moved outward, metres: within the usual allowed overrun.
const MAX_OUTWARD_M: f64 = 0.1;

/// Rounds a closed ring (first and last position the same), ground on its left.
/// `beside_barred` tells whether a corner goes round barred ground.
pub fn round_ring(
    ring: &LineString<f64>,
    rounding: &Rounding,
    beside_barred: &dyn Fn(Coord<f64>) -> bool,
) -> Vec<Chain> {
    let simple = ring.simplify(rounding.fit_m / 2.0);
    let places = distinct(&simple.0, true);
    if places.len() < 3 {
        return Vec::new();
    }
    let corners = Corners::merged(&places, true, rounding, &simple);
    let shifted = shift_corners(&corners, beside_barred);
    let mut corners = Corners::merged(&shifted, true, rounding, &simple);
    mark_sharp(&mut corners);
    join_short(&mut corners);
    let stretches = stretches(&corners);
    if stretches.is_empty() {
        // Begin on the longest edge, where the arcs of its two corners share it.
        let n = corners.list.len();
        let edge_m = |i: usize| dist(corners.at(i), corners.at(i + 1));
        let longest = (0..n).max_by(|&i, &j| edge_m(i).total_cmp(&edge_m(j)));
        let first = longest.unwrap_or(0);
        let need = |i: usize| (corners.list[i % n].turn.abs() / 2.0).tan() + 1e-6;
        let (a, b) = (need(first), need(first + 1));
        let mid = between(corners.at(first), corners.at(first + 1), a / (a + b));
        let round = (1..=n).map(|k| corners.at(first + k));
        let open: Vec<_> = [mid].into_iter().chain(round).chain([mid]).collect();
        return vec![chain(&open, rounding, true)];
    }
    let run_on = stretches.iter().map(|s| run_on(s, rounding.run_out_m));
    run_on.map(|s| chain(&s, rounding, false)).collect()
}

/// Rounds an open line; its ends stay where they are. It comes in several chains when a corner
/// is too sharp to follow.
pub fn round_line(line: &LineString<f64>, rounding: &Rounding) -> Vec<Chain> {
    let simple = line.simplify(rounding.fit_m / 2.0);
    let mut corners = Corners::merged(&distinct(&simple.0, false), false, rounding, &simple);
    mark_sharp(&mut corners);
    let stretches = stretches(&corners);
    stretches
        .iter()
        .map(|s| chain(s, rounding, false))
        .collect()
}

/// From each end or sharp corner to the next, which on a ring is the first one after the last.
fn stops(corners: &Corners<'_>) -> Vec<(usize, usize)> {
    let n = corners.list.len();
    let stop = |&i: &usize| corners.list[i].sharp || corners.is_end(i);
    let mut stops: Vec<usize> = (0..n).filter(stop).collect();
    if corners.closed {
        stops.extend(stops.first().map(|&first| first + n));
    }
    stops.windows(2).map(|w| (w[0], w[1])).collect()
}

/// The corners from stop to stop.
fn stretches(corners: &Corners<'_>) -> Vec<Vec<Coord<f64>>> {
    let points = |(from, to)| (from..=to).map(|i| corners.at(i)).collect();
    stops(corners).into_iter().map(points).collect()
}

/// Marks the corners that leave no room for the turning radius as sharp.
fn mark_sharp(corners: &mut Corners<'_>) {
    let n = corners.list.len();
    let worst = |corners: &Corners<'_>| {
        let bends = (0..n).filter(|&i| {
            let c = &corners.list[i];
            !corners.is_end(i) && !c.sharp && c.turn.abs() > 1e-9
        });
        let shares = bends.map(|i| {
            let [a, b] = [(i + n - 1) % n, (i + 1) % n].map(|j| corners.share(i, j));
            (i, a.max(b))
        });
        let tight = shares.filter(|s| s.1 > ARC_SHARE);
        tight.max_by(|a, b| a.1.total_cmp(&b.1))
    };
    // Worst first: a corner marked sharp gives its room to its neighbours.
    while let Some((i, _)) = worst(corners) {
        corners.list[i].sharp = true;
    }
}

/// Corners that turn more than this are followed in no case, radians (110 degrees).
const MAX_FOLLOWED_RAD: f64 = 1.92;

/// Follows the blunter of two sharp corners with a short run between, where its arc has room.
fn join_short(corners: &mut Corners<'_>) {
    let n = corners.list.len();
    let mut tried = vec![false; n];
    loop {
        let stops = stops(corners);
        if stops.len() < 2 {
            return;
        }
        // The shortest first; of its two corners the blunter one.
        let short = stops.into_iter().filter_map(|(from, to)| {
            let edges = (from..to).map(|i| dist(corners.at(i), corners.at(i + 1)));
            let length_m: f64 = edges.sum();
            let turn = |i: usize| corners.list[i].turn.abs();
            let ends = [from, to % n].into_iter().filter(|&i| !tried[i]);
            let blunter = ends.min_by(|&a, &b| turn(a).total_cmp(&turn(b)))?;
            (length_m < corners.rounding.short_m).then_some((length_m, blunter))
        });
        let Some((_, i)) = short.min_by(|a, b| a.0.total_cmp(&b.0)) else {
            return;
        };
        tried[i] = true;
        if corners.list[i].turn.abs() <= MAX_FOLLOWED_RAD {
            corners.list[i].sharp = false;
            let fits = |j: usize| corners.share(i, j % n) <= ARC_SHARE;
            corners.list[i].sharp = !(fits(i + n - 1) && fits(i + 1));
        }
    }
}

/// The same line of two corners or more, longer at both ends.
pub(super) fn run_on(points: &[Coord<f64>], by_m: f64) -> Vec<Coord<f64>> {
    let mut out = points.to_vec();
    let n = out.len();
    let beyond = |a, b| between(a, b, 1.0 + by_m / dist(a, b));
    let ends = (beyond(out[1], out[0]), beyond(out[n - 2], out[n - 1]));
    (out[0], out[n - 1]) = ends;
    out
}

/// Moves corners off the ring where an arc of the turning radius would cut something: to the
/// left, away from barred ground the ring goes round; to the right, onto the rough, where the
/// outer cut edge would leave a tip of grass.
fn shift_corners(
    corners: &Corners<'_>,
    beside_barred: &dyn Fn(Coord<f64>) -> bool,
) -> Vec<Coord<f64>> {
    // A shift below a tenth of a millimetre is rounding.
    const MIN_SIZE_M: f64 = 1e-4;
    let (n, rounding) = (corners.list.len(), corners.rounding);
    let mut out = Vec::with_capacity(n);
    for i in 0..n {
        let (a, v, b) = (corners.at(i + n - 1), corners.at(i), corners.at(i + 1));
        let (turn, barred) = (corners.list[i].turn, beside_barred(v));
        // To the left above zero, and over how much of the edges. Left turns beside barred ground
        // stay clear by themselves.
        let (shift, spread) = if turn.abs() > rounding.sharp_rad {
            (0.0, 0.0)
        } else if barred && turn < 0.0 {
            let cut = (rounding.radius_m - rounding.clear_m).max(0.0) * tip(turn);
            (cut, SHIFT_REACH_M)
        } else if !barred && turn > 0.0 && rounding.outer_m > 0.0 {
            let left = (rounding.radius_m + rounding.outer_m) * tip(turn);
            (-(OUTWARD_SHARE * left).min(MAX_OUTWARD_M), OUTWARD_REACH_M)
        } else {
            (0.0, 0.0)
        };
        if shift.abs() < MIN_SIZE_M {
            out.push(v);
            continue;
        }
        // Across the mean direction of the two edges.
        let (d0, d1) = (dist(a, v), dist(v, b));
        let mean = (v - a) / d0 + (b - v) / d1;
        let size = mean.x.hypot(mean.y);
        let (x, y) = (v.x - mean.y / size * shift, v.y + mean.x / size * shift);
        let beside =
            |end, far_m: f64| (far_m > 2.0 * spread).then(|| between(v, end, spread / far_m));
        out.extend(beside(a, d0));
        out.push(Coord { x, y });
        out.extend(beside(b, d1));
    }
    out
}

/// Rounds a line of two corners or more, none of them sharp.
fn chain(points: &[Coord<f64>], rounding: &Rounding, closed: bool) -> Chain {
    let tangent = |turn: f64| (turn.abs() / 2.0).tan();
    // Room each corner needs at the turning radius; neighbours share an edge in proportion.
    let inner = points.windows(3).map(|w| turn_at(w[0], w[1], w[2]));
    let inner = inner.map(|turn| rounding.radius_m * tangent(turn));
    let need: Vec<f64> = [0.0].into_iter().chain(inner).chain([0.0]).collect();
    let paths = through(points, 1e-9, |i, turn| {
        let share = |j: usize| {
            let edge = dist(points[i], points[j]);
            edge * ARC_SHARE * need[i] / (need[i] + need[j])
        };
        let room = share(i - 1).min(share(i + 1));
        let wide = (rounding.fit_m / tip(turn)).min(GENTLEST_M);
        (room / tangent(turn)).min(wide.max(rounding.radius_m))
    });
    Chain { paths, closed }
}

/// Straight lines and arcs through corners that turn `least_rad` or more, each of the radius given
/// for its place in the list and its turn, radians.
pub(super) fn through(
    points: &[Coord<f64>],
    least_rad: f64,
    mut radius_m: impl FnMut(usize, f64) -> f64,
) -> Vec<Segment> {
    let mut out = Vec::new();
    let mut from = points[0];
    for (i, w) in points.windows(3).enumerate() {
        let turn = turn_at(w[0], w[1], w[2]);
        if turn.abs() < least_rad {
            continue;
        }
        let radius_m = radius_m(i + 1, turn);
        let tangent_m = radius_m * (turn.abs() / 2.0).tan();
        let to = between(w[1], w[0], tangent_m / dist(w[0], w[1]));
        let heading_rad = (w[1].y - w[0].y).atan2(w[1].x - w[0].x);
        let arc = CircularArc::leaving(Pose::new(to, heading_rad), radius_m, turn);
        out.extend([Segment::Line { from, to }, Segment::Arc(arc)]);
        from = between(w[1], w[2], tangent_m / dist(w[1], w[2]));
    }
    let to = points[points.len() - 1];
    out.push(Segment::Line { from, to });
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::curve::corners::crossing;
    use crate::drawn::rect;
    use crate::model::pose::fold_rad;
    use proptest::prelude::*;

    fn rounding() -> Rounding {
        Rounding {
            radius_m: 2.0,
            fit_m: 0.005,
            sharp_rad: 0.9,
            run_out_m: 3.0,
            clear_m: 2.0,
            ..Rounding::default()
        }
    }

    /// No gap, no kink, no arc tighter than asked.
    fn check(chains: &[Chain]) {
        for w in chains.iter().flat_map(|c| c.paths.windows(2)) {
            let (a, b) = (w[0].end(), w[1].start());
            assert!(dist(a.at, b.at) < 1e-7, "gap {}", dist(a.at, b.at));
            let kink = fold_rad(a.heading_rad - b.heading_rad);
            assert!(kink.abs() < 1e-6, "kink {kink}");
        }
        for p in chains.iter().flat_map(|c| &c.paths) {
            if let Segment::Arc(a) = p {
                assert!(a.radius_m >= 2.0 - 1e-9, "radius {}", a.radius_m);
            }
        }
    }

    #[test]
    fn a_square_breaks_into_four_runs() {
        let ring = rect(0.0, 0.0, 30.0, 30.0);
        let chains = round_ring(ring.exterior(), &rounding(), &|_| false);
        assert_eq!(chains.len(), 4);
        for c in &chains {
            assert_eq!(c.paths.len(), 1);
            assert!((c.paths[0].length_m() - 36.0).abs() < 1e-9);
        }
    }

    /// A ring of `n` chords as far from the middle as told, with waves of three and of seven.
    fn wavy(n: usize, far: f64, a: f64, b: f64, phase: f64) -> Vec<Chain> {
        let place = |i: usize| {
            let t = std::f64::consts::TAU * (i % n) as f64 / n as f64;
            let d = far + a * (3.0 * t + phase).cos() + b * (7.0 * t).sin();
            (d * t.cos(), d * t.sin())
        };
        round_ring(&(0..=n).map(place).collect(), &rounding(), &|_| false)
    }

    #[test]
    fn a_circle_of_chords_becomes_one_closed_chain_near_the_circle() {
        let chains = wavy(90, 12.0, 0.0, 0.0, 0.0);
        assert_eq!(chains.len(), 1);
        assert!(chains[0].closed);
        check(&chains);
        for q in chains[0].paths.iter().flat_map(|p| p.points(1e-3)) {
            assert!((q.x.hypot(q.y) - 12.0).abs() < 0.03);
        }
    }

    #[test]
    fn the_seam_of_a_ring_leaves_its_arcs_their_room() {
        let (a, b, phase) = (1.8167691397727666, 1.3995508004842674, 3.6610485357505893);
        check(&wavy(116, 14.146117058435784, a, b, phase));
    }

    #[test]
    fn a_line_keeps_its_ends_where_corners_stand_too_near_to_them() {
        // The corners half a metre from either end leave no room for an arc of 2 m.
        let places = [
            (0.0, 0.0),
            (0.5, 0.0),
            (20.0, 9.0),
            (39.5, 0.0),
            (40.0, 0.0),
        ];
        let line: LineString<f64> = places.into_iter().collect();
        let sharp_rad = 1.2;
        let wide = Rounding {
            sharp_rad,
            ..rounding()
        };
        let chains = round_line(&line, &wide);
        assert_eq!(chains.len(), 1);
        check(&chains);
        let paths = &chains[0].paths;
        assert_eq!(paths[0].start().at, line.0[0]);
        assert!(dist(paths[paths.len() - 1].end().at, line.0[4]) < 1e-9);
        assert!(!chains[0].closed);
        // The one in the middle is rounded.
        assert!(paths.iter().any(|p| matches!(p, Segment::Arc(_))));
    }

    #[test]
    fn lines_break_at_sharp_corners_and_what_is_no_line_has_no_chain() {
        // Corners within a few millimetres are one.
        let (point, same) = ([(1.0, 1.0)], [(1.0, 1.0), (1.0, 1.004)]);
        let sharp = [(0.0, 0.0), (30.0, 0.0), (30.0, 30.0)];
        let cases: [(&[_], &[f64]); 3] = [(&sharp, &[30.0, 30.0]), (&point, &[]), (&same, &[])];
        for (line, lengths) in cases {
            let chains = round_line(&line.iter().copied().collect(), &rounding());
            let found: Vec<_> = chains.iter().map(|c| c.paths[0].length_m()).collect();
            assert_eq!(found, lengths, "{line:?}");
        }
        // At the seam of a ring too.
        let places = [
            (0.0, 0.0),
            (5.0, 0.0),
            (5.0, 0.004),
            (0.004, 0.0),
            (0.0, 0.0),
        ];
        let exact = Rounding {
            fit_m: 0.0,
            ..rounding()
        };
        let ring = places.into_iter().collect();
        assert_eq!(round_ring(&ring, &exact, &|_| false).len(), 0);
    }

    #[test]
    fn a_corner_cut_into_two_is_driven_through_where_its_sides_cross() {
        // Two turns of 0.4 a hand's breadth apart: one of 0.8, at the crossing.
        let (a, b) = (0.4_f64, 0.8_f64);
        let [start, corner, p, q] = [(0.0, 0.0), (20.0, 0.0), (0.0, 1.0), (9.0, 1.0)].map(at);
        let turned = corner + at((a.cos(), a.sin())) * 0.1;
        let end = turned + at((b.cos(), b.sin())) * 20.0;
        let line = [start, corner, turned, end].into_iter().collect();
        let chains = round_line(&line, &rounding());
        assert_eq!(chains.len(), 1);
        check(&chains);
        let arcs = chains[0].paths.iter();
        assert_eq!(arcs.filter(|p| matches!(p, Segment::Arc(_))).count(), 1);
        // Side by side they cross nowhere.
        assert_eq!(crossing(start, corner, p, q), None);
        let across = crossing(start, corner, at((5.0, -1.0)), at((5.0, 1.0)));
        assert_eq!(across, Some((0.25, at((5.0, 0.0)))));
    }

    fn at(place: (f64, f64)) -> Coord<f64> {
        place.into()
    }

    proptest! {
        #[test]
        fn wavy_rings_stay_drivable(
            a in 0.0..2.5f64, b in 0.0..1.5f64, phase in 0.0..6.0f64, n in 12usize..120, r in 12.0..40.0f64,
        ) {
            check(&wavy(n, r, a, b, phase));
        }
    }
}
