//! Turns between two poses at the mower's turning radius.
//!
//! A forward join is one of six words of arcs and a line (L. E. Dubins, "On curves of minimal
//! length with a constraint on average curvature", *American Journal of Mathematics* 79, 1957):
//! arc, line, arc, or three arcs; the plain U between two passes and the bulb are among them.
//! Mowers that may reverse also back up once: quarter forward, straight back, quarter forward, or
//! three arcs, the middle one backing. Both are words of J. A. Reeds and L. A. Shepp, "Optimal
//! paths for a car that goes both forwards and backwards", *Pacific Journal of Mathematics* 145,
//! 1990; shorter ones change gear more often, but these are driven in practice.
//!
//! All words that exist are listed, because the shortest may run over ground where the mower must
//! not go. Each is laid from both ends, so the chain of tracks meets both poses to rounding.

use crate::model::pose::{Pose, turn_rad};
use crate::model::track::{CircularArc, Gear, Segment, Track};
use geo_types::Coord;
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// Sweeps this near to nothing or a full circle are rounding, radians: at 6 m below a nanometre.
const SWEEP_ROUNDING_RAD: f64 = 1e-10;
/// Lines shorter than this are rounding, metres.
const LINE_ROUNDING_M: f64 = 5e-10;
/// Left is 1, right -1.
const SIDES: [(f64, f64); 4] = [(1.0, 1.0), (1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0)];

/// A join of two poses.
#[derive(Debug, Clone, PartialEq)]
pub struct Turn {
    /// Its lines and arcs in the order of travel, the reels up.
    pub tracks: Vec<Track>,
    /// Its length, metres.
    pub length_m: f64,
}

impl Turn {
    fn of(tracks: [Option<Track>; 3]) -> Self {
        let tracks: Vec<Track> = tracks.into_iter().flatten().collect();
        let length_m = tracks.iter().map(|t| t.path.length_m()).sum();
        Self { tracks, length_m }
    }
}

/// All forward joins of `from` and `to` with arcs of `radius_m`, shortest first.
///
/// Up to eight: the six words, the three-arc ones with a short and a long middle arc. At least
/// two always exist.
///
/// ```
/// use crossgrain_core::inside::driving::turns::forward_turns;
/// use crossgrain_core::Pose;
/// use geo_types::coord;
/// let up = Pose::new(coord! { x: 0.0, y: 0.0 }, 1.5707963267948966);
/// let down = Pose::new(coord! { x: 8.0, y: 0.0 }, -1.5707963267948966);
/// let u = &forward_turns(up, down, 3.0)[0];
/// assert!((u.length_m - (3.0 * std::f64::consts::PI + 2.0)).abs() < 1e-9);
/// ```
pub fn forward_turns(from: Pose, to: Pose, radius_m: f64) -> Vec<Turn> {
    let ends = TurnEnds::new(from, to, radius_m);
    let lines = SIDES.iter().filter_map(|&(first, last)| {
        let (a, _, b) = line_word(&ends, (first, last))?;
        Some(with_line(&ends, first * a, Gear::Forward, last * b))
    });
    let arcs = (SIDES.iter()).filter_map(|&sides| three_arcs(&ends, sides, Gear::Forward));
    shortest_first(lines.chain(arcs).collect())
}

/// All turns that back up once, shortest first; there may be none.
///
/// ```
/// use crossgrain_core::inside::driving::turns::backing_turns;
/// use crossgrain_core::Pose;
/// use geo_types::coord;
/// let here = Pose::new(coord! { x: 0.0, y: 0.0 }, 0.0);
/// // Facing about on the spot takes three sixths of a circle.
/// let turn = &backing_turns(here, here.reversed(), 1.0)[0];
/// assert!((turn.length_m - std::f64::consts::PI).abs() < 1e-9);
/// ```
pub fn backing_turns(from: Pose, to: Pose, radius_m: f64) -> Vec<Turn> {
    let ends = TurnEnds::new(from, to, radius_m);
    let arcs = (SIDES.iter()).filter_map(|&sides| three_arcs(&ends, sides, Gear::Reverse));
    let straight = turn_with_one_reverse(from, to, radius_m);
    shortest_first(arcs.chain(straight).collect())
}

/// The sort is stable, which keeps the order of equals fixed.
fn shortest_first(mut turns: Vec<Turn>) -> Vec<Turn> {
    turns.sort_by(|a, b| a.length_m.total_cmp(&b.length_m));
    turns
}

/// The turn with one reverse, when the two poses leave room for it.
///
/// Between opposite passes `w` apart its length is `pi r + 2 r - w` (after Bochtis &
/// Vougioukas, *Biosystems Engineering*, 2008; from memory, derived again). Both sides are
/// tried and the shorter one kept.
pub fn turn_with_one_reverse(from: Pose, to: Pose, radius_m: f64) -> Option<Turn> {
    let ends = TurnEnds::new(from, to, radius_m);
    let both = [1.0, -1.0].into_iter().filter_map(|side: f64| {
        // Backing from the first circle to the last, the mower faces from last to first. On one
        // circle for both there is nothing to back: the plain U is the limit of the formula.
        let (dx, dy, apart) = ends.between(side, side);
        let heading = if apart < 1e-9 {
            to.heading_rad
        } else {
            (-dy).atan2(-dx)
        };
        let a = sweep(side * (heading - from.heading_rad));
        let b = sweep(side * (to.heading_rad - heading));
        (a <= PI && b <= PI).then(|| with_line(&ends, side * a, Gear::Reverse, side * b))
    });
    both.min_by(|a, b| a.length_m.total_cmp(&b.length_m))
}

/// Length of the shortest forward join, metres, without laying it out.
pub fn shortest_forward_m(from: Pose, to: Pose, radius_m: f64) -> f64 {
    let ends = TurnEnds::new(from, to, radius_m);
    let lines = SIDES.iter().filter_map(|&sides| line_word(&ends, sides));
    let best = lines.fold(f64::INFINITY, |best, w| {
        best.min(radius_m * (w.0 + w.2) + w.1)
    });
    // Three arcs are the shortest only with more than half a circle in the middle (Dubins 1957).
    if best <= PI * radius_m {
        return best;
    }
    let arcs = SIDES.iter().filter_map(|&sides| arcs_word(&ends, sides));
    arcs.fold(best, |best, w| best.min(radius_m * (w.0 + w.1 + w.2)))
}

/// A sweep of at least zero, with rounding about a full circle taken as nothing.
fn sweep(angle_rad: f64) -> f64 {
    let t = turn_rad(angle_rad);
    if t > TAU - SWEEP_ROUNDING_RAD { 0.0 } else { t }
}

/// Where a turn begins and where it ends, and the centres of the circles beside: left, then right.
struct TurnEnds {
    from: Pose,
    to: Pose,
    radius_m: f64,
    first: [Coord<f64>; 2],
    last: [Coord<f64>; 2],
}

impl TurnEnds {
    fn new(from: Pose, to: Pose, radius_m: f64) -> Self {
        let [first, last] = [from, to].map(|pose| pose.offsets(0.0, [radius_m, -radius_m]));
        Self {
            from,
            to,
            radius_m,
            first,
            last,
        }
    }

    /// From the centre of the first circle to that of the last, and how far that is.
    fn between(&self, first: f64, last: f64) -> (f64, f64, f64) {
        let c1 = self.first[usize::from(first < 0.0)];
        let c3 = self.last[usize::from(last < 0.0)];
        let (dx, dy) = (c3.x - c1.x, c3.y - c1.y);
        (dx, dy, (dx * dx + dy * dy).sqrt())
    }
}

/// First sweep, line, metres, and last sweep of arc, line, arc.
fn line_word(ends: &TurnEnds, (first, last): (f64, f64)) -> Option<(f64, f64, f64)> {
    let r = ends.radius_m;
    let (from, to) = (ends.from.heading_rad, ends.to.heading_rad);
    let (dx, dy, apart) = ends.between(first, last);
    let (line, heading) = if first != last {
        // Circles that touch by rounding still have their common tangent.
        if apart < 2.0 * r * (1.0 - 1e-12) {
            return None;
        }
        let line = ((apart - 2.0 * r) * (apart + 2.0 * r)).max(0.0).sqrt();
        let slant = (2.0 * r / apart).min(1.0).asin();
        (line, dy.atan2(dx) + first * slant)
    } else if apart < LINE_ROUNDING_M {
        // One circle for both: no line, and all of the sweep is in the second arc.
        (0.0, from)
    } else {
        (apart, dy.atan2(dx))
    };
    let a = sweep(first * (heading - from));
    let b = sweep(last * (to - heading));
    Some((a, line, b))
}

/// The three sweeps, and the direction from the first circle to the one in the middle that `bend`
/// picks of two.
fn arcs_word(ends: &TurnEnds, (side, bend): (f64, f64)) -> Option<(f64, f64, f64, f64)> {
    let r = ends.radius_m;
    let (dx, dy, apart) = ends.between(side, side);
    if apart > 4.0 * r {
        return None;
    }
    let out = dy.atan2(dx) + bend * (apart / (4.0 * r)).acos();
    let c2 = on(Coord { x: 0.0, y: 0.0 }, 2.0 * r, out);
    let back = (c2.y - dy).atan2(c2.x - dx);
    // On the first and last circle the heading is a quarter turn on from the spoke.
    let a = sweep(side * (out - ends.from.heading_rad) + FRAC_PI_2);
    let m = sweep(-side * (back - out));
    let b = sweep(side * (ends.to.heading_rad - back) - FRAC_PI_2);
    Some((a, m, b, out))
}

/// Lays an arc of `first_rad`, the line on from it in its gear, and an arc of `last_rad`.
fn with_line(ends: &TurnEnds, first_rad: f64, gear: Gear, last_rad: f64) -> Turn {
    let opening = leaving(ends.from, ends.radius_m, first_rad);
    let closing = arriving(ends.to, ends.radius_m, last_rad);
    let from = opening.map_or(ends.from.at, |t| t.path.end().at);
    let to = closing.map_or(ends.to.at, |t| t.path.start().at);
    let line = raised(gear, Segment::Line { from, to });
    let line = (line.path.length_m() > LINE_ROUNDING_M).then_some(line);
    Turn::of([opening, line, closing])
}

/// Lays the three arcs; the one in the middle may be driven the other way round, backing.
fn three_arcs(ends: &TurnEnds, (side, bend): (f64, f64), middle: Gear) -> Option<Turn> {
    let (a, m, b, out) = arcs_word(ends, (side, bend))?;
    let r = ends.radius_m;
    let sweep_rad = match middle {
        Gear::Forward => -side * m,
        Gear::Reverse => side * sweep(-m),
    };
    let arc = CircularArc {
        centre: on(ends.first[usize::from(side < 0.0)], 2.0 * r, out),
        radius_m: r,
        from_rad: out + PI,
        sweep_rad,
    };
    let arc = raised(middle, Segment::Arc(arc));
    Some(Turn::of([
        leaving(ends.from, r, side * a),
        (sweep_rad.abs() > SWEEP_ROUNDING_RAD).then_some(arc),
        arriving(ends.to, r, side * b),
    ]))
}

/// A track with the reels up.
pub(super) fn raised(gear: Gear, path: Segment) -> Track {
    Track {
        gear,
        ..Track::up(path)
    }
}

/// The arc that begins in `pose`, unless the sweep is rounding.
fn leaving(pose: Pose, radius_m: f64, sweep_rad: f64) -> Option<Track> {
    let arc = CircularArc::leaving(pose, radius_m, sweep_rad);
    (sweep_rad.abs() > SWEEP_ROUNDING_RAD).then_some(Track::up(Segment::Arc(arc)))
}

/// The arc that ends in `pose` after `sweep_rad`, unless the sweep is rounding.
fn arriving(pose: Pose, radius_m: f64, sweep_rad: f64) -> Option<Track> {
    // Driven backward in time the same arc leaves the pose turned round, on the other side.
    let back = leaving(pose.reversed(), radius_m, -sweep_rad)?;
    Some(Track::up(back.path.reversed()))
}

fn on(centre: Coord<f64>, radius_m: f64, at_rad: f64) -> Coord<f64> {
    Pose::new(centre, at_rad).offset(radius_m, 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawn::pose;
    use crate::model::pose::fold_rad;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    /// Depth of the bulb beyond the end line: r + 2 r sin a with cos a = (w + 2 r) / (4 r)
    /// (derived).
    #[test]
    fn the_bulb_is_as_deep_as_derived() {
        let (up, down) = (pose(0.0, 0.0, FRAC_PI_2), pose(2.54, 0.0, -FRAC_PI_2));
        let bulb = &forward_turns(up, down, 3.0)[0];
        let places = bulb.tracks.iter().flat_map(|t| t.path.points(1e-9));
        let top = places.map(|c| c.y).fold(0.0, f64::max);
        assert_relative_eq!(top, 7.2151, epsilon = 1e-4);
    }

    proptest! {
        #[test]
        fn every_turn_meets_both_poses_and_never_kinks(
            x0 in -1e3..1e3f64, y0 in -1e3..1e3f64, h0 in -7.0..7.0f64,
            x1 in -30.0..30.0f64, y1 in -30.0..30.0f64, h1 in -7.0..7.0f64,
            r in 0.5..9.0f64,
        ) {
            let (from, to) = (pose(x0, y0, h0), pose(x0 + x1, y0 + y1, h1));
            let forward = forward_turns(from, to, r);
            prop_assert!(forward.len() >= 2);
            let least_m = shortest_forward_m(from, to, r);
            prop_assert!((least_m - forward[0].length_m).abs() < 1e-8);
            let backing = backing_turns(from, to, r);
            let all = forward.iter().map(|t| (t, 0, 1e-9));
            for (turn, backs, near_m) in all.chain(backing.iter().map(|t| (t, 1, 1e-8))) {
                let mut here = from;
                for t in &turn.tracks {
                    let start = t.start();
                    prop_assert!((start.at.x - here.at.x).hypot(start.at.y - here.at.y) < near_m);
                    // A line of millimetres has its direction only to rounding.
                    let slack = 1e-7 + near_m / 100.0 / t.path.length_m();
                    prop_assert!(fold_rad(start.heading_rad - here.heading_rad).abs() < slack);
                    prop_assert!(t.path.curvature_per_m().abs() <= (1.0 + 1e-12) / r);
                    here = t.end();
                }
                prop_assert!((to.at.x - here.at.x).hypot(to.at.y - here.at.y) < near_m);
                let backing = turn.tracks.iter().filter(|t| t.gear == Gear::Reverse);
                prop_assert!(backing.count() <= backs);
            }
        }
    }
}
