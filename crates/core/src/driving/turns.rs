//! Turns between two poses at the mower's turning radius, driving forward.
//!
//! A forward join is one of six words of arcs and a line (L. E. Dubins, "On curves of minimal
//! length with a constraint on average curvature", *American Journal of Mathematics* 79, 1957):
//! arc, line, arc, or three arcs. The plain U between two passes and the bulb are the words
//! that come out shortest there. All words that exist are listed, shortest first, because the
//! shortest may run over ground where the mower must not go.
//!
//! Every word is laid from both ends, so the chain of tracks meets both poses to rounding.

use crate::model::pose::{Pose, turn_rad};
use crate::model::track::{CircularArc, Segment};
use geo_types::Coord;
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// Sweeps this near to nothing or to a full circle are rounding, radians. At a radius of 6 m
/// the place moves by less than a nanometre.
pub(super) const SWEEP_ROUNDING_RAD: f64 = 1e-10;
/// Lines shorter than this are rounding, metres.
const LINE_ROUNDING_M: f64 = 5e-10;

/// A join of two poses: lines and arcs, end to end, all driven forward.
#[derive(Debug, Clone, PartialEq)]
pub struct Turn {
    /// Its lines and arcs in the order of travel.
    pub paths: Vec<Segment>,
    /// Its length, metres.
    pub length_m: f64,
}

impl Turn {
    pub(crate) fn of(paths: Vec<Segment>) -> Self {
        let length_m = paths.iter().map(Segment::length_m).sum();
        Self { paths, length_m }
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
    forward_turns_if(from, to, radius_m, |_, _| true)
}

/// The same, but only those whose first and last arc are kept: asked with the side that each
/// turns to (1 left, -1 right) and its length, metres.
pub(super) fn forward_turns_if(
    from: Pose,
    to: Pose,
    radius_m: f64,
    keep: impl Fn((f64, f64), (f64, f64)) -> bool,
) -> Vec<Turn> {
    let ends = TurnEnds::new(from, to, radius_m);
    let mut out = Vec::with_capacity(8);
    let keep =
        |first: f64, a: f64, last: f64, b: f64| keep((first, radius_m * a), (last, radius_m * b));
    for first in [1.0, -1.0] {
        for last in [1.0, -1.0] {
            if let Some(w) = line_word(&ends, radius_m, (first, last))
                && keep(first, w.0, last, w.2)
            {
                out.push(with_line(from, to, radius_m, (first, last), w));
            }
        }
        for bend in [1.0, -1.0] {
            if let Some(w) = arcs_word(&ends, radius_m, first, bend)
                && keep(first, w.0, first, w.2)
            {
                out.push(three_arcs(from, to, radius_m, first, w));
            }
        }
    }
    // A stable sort keeps the order of equals fixed.
    out.sort_by(|a, b| a.length_m.total_cmp(&b.length_m));
    out
}

/// Length of the shortest forward join, metres, without laying it out.
pub fn shortest_forward_m(from: Pose, to: Pose, radius_m: f64) -> f64 {
    let stance = |pose| Stance::new(pose, radius_m);
    shortest_between_m(&stance(from), &stance(to))
}

/// The same between stances of one radius.
pub(super) fn shortest_between_m(from: &Stance, to: &Stance) -> f64 {
    let radius_m = from.radius_m;
    let ends = TurnEnds {
        from: *from,
        to: *to,
    };
    let sides = [(1.0, 1.0), (1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0)];
    let left_rad = turn_rad(to.pose.heading_rad - from.pose.heading_rad);
    let mut words = sides.map(|sides| {
        // To one side both arcs together turn by what the headings differ by; to both sides by no
        // less.
        let least_rad = match sides {
            (1.0, 1.0) => left_rad,
            (-1.0, -1.0) => TAU - left_rad,
            _ => left_rad.min(TAU - left_rad),
        };
        let rounding_m = radius_m * 4.0 * SWEEP_ROUNDING_RAD;
        let line_m = line_m(&ends, radius_m, sides);
        // No more than nothing where the headings differ by nothing or a full circle.
        let turning_m = if least_rad > TAU - 1e-6 {
            0.0
        } else {
            radius_m * least_rad
        };
        (line_m + turning_m - rounding_m, sides)
    });
    // The one that can be shortest first.
    words.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut best = f64::INFINITY;
    for (least_m, sides) in words {
        if least_m >= best {
            break;
        }
        if let Some((a, l, b, _)) = line_word(&ends, radius_m, sides) {
            best = best.min(radius_m * (a + b) + l);
        }
    }
    // Three arcs are the shortest only with more than half a circle in the middle (Dubins 1957).
    if best <= PI * radius_m {
        return best;
    }
    for side in [1.0, -1.0] {
        let share = ends.between(side, side).2 / (4.0 * radius_m);
        // Half a circle and twice the angle whose cosine is `share`, which is no less than this.
        let middle_rad = PI + 2.0 * (2.0 * (1.0 - share)).max(0.0).sqrt() - 1e-9;
        if share > 1.0 || radius_m * middle_rad >= best {
            continue;
        }
        if let Some((a, m, b, _)) = arcs_word(&ends, radius_m, side, side) {
            best = best.min(radius_m * (a + m + b));
        }
    }
    best
}

/// A sweep of at least zero, with rounding about a full circle taken as nothing.
pub(super) fn sweep(angle_rad: f64) -> f64 {
    let t = turn_rad(angle_rad);
    if t > TAU - SWEEP_ROUNDING_RAD { 0.0 } else { t }
}

/// Centre of the circle that touches `pose` on its left (`side` 1) or right (-1).
fn beside(pose: Pose, radius_m: f64, side: f64) -> Coord<f64> {
    pose.offset(0.0, side * radius_m)
}

/// A pose and the centres of the circles of one radius beside it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stance {
    pub pose: Pose,
    pub radius_m: f64,
    // Left, then right.
    centres: [Coord<f64>; 2],
}

impl Stance {
    pub fn new(pose: Pose, radius_m: f64) -> Self {
        let (s, c) = pose.heading_rad.sin_cos();
        let centres = [1.0, -1.0].map(|side| Coord {
            x: pose.at.x - side * radius_m * s,
            y: pose.at.y + side * radius_m * c,
        });
        Self {
            pose,
            radius_m,
            centres,
        }
    }

    fn centre(&self, side: f64) -> Coord<f64> {
        self.centres[usize::from(side < 0.0)]
    }
}

/// Where a turn begins and where it ends.
struct TurnEnds {
    from: Stance,
    to: Stance,
}

impl TurnEnds {
    fn new(from: Pose, to: Pose, radius_m: f64) -> Self {
        Self {
            from: Stance::new(from, radius_m),
            to: Stance::new(to, radius_m),
        }
    }

    /// From the centre of the first circle to that of the last, and how far that is.
    fn between(&self, first: f64, last: f64) -> (f64, f64, f64) {
        let (c1, c3) = (self.from.centre(first), self.to.centre(last));
        let (dx, dy) = (c3.x - c1.x, c3.y - c1.y);
        (dx, dy, (dx * dx + dy * dy).sqrt())
    }
}

/// Length of the line of arc, line, arc; infinite where there is none.
fn line_m(ends: &TurnEnds, r: f64, (first, last): (f64, f64)) -> f64 {
    let (_, _, apart) = ends.between(first, last);
    if first == last {
        // One circle for both: no line, and all of the sweep is in the second arc.
        return if apart < LINE_ROUNDING_M { 0.0 } else { apart };
    }
    // Circles that touch by rounding still have their common tangent.
    if apart < 2.0 * r * (1.0 - 1e-12) {
        return f64::INFINITY;
    }
    ((apart - 2.0 * r) * (apart + 2.0 * r)).max(0.0).sqrt()
}

/// First sweep, line, last sweep and the line's heading of arc, line, arc.
fn line_word(ends: &TurnEnds, r: f64, (first, last): (f64, f64)) -> Option<(f64, f64, f64, f64)> {
    let line = line_m(ends, r, (first, last));
    if line == f64::INFINITY {
        return None;
    }
    let (from, to) = (ends.from.pose.heading_rad, ends.to.pose.heading_rad);
    let (dx, dy, apart) = ends.between(first, last);
    let heading = if first != last {
        dy.atan2(dx) + first * (2.0 * r / apart).min(1.0).asin()
    } else if apart < LINE_ROUNDING_M {
        from
    } else {
        dy.atan2(dx)
    };
    let a = sweep(first * (heading - from));
    let b = sweep(last * (to - heading));
    Some((a, line, b, heading))
}

/// The three sweeps of arc, counter-arc, arc, and the direction of the middle circle from the
/// first. `bend` picks one of the two middle circles.
fn arcs_word(ends: &TurnEnds, r: f64, side: f64, bend: f64) -> Option<(f64, f64, f64, f64)> {
    let (from, to) = (ends.from.pose, ends.to.pose);
    let (c1, c3) = (ends.from.centre(side), ends.to.centre(side));
    let (dx, dy, apart) = ends.between(side, side);
    if apart > 4.0 * r {
        return None;
    }
    let out = dy.atan2(dx) + bend * (apart / (4.0 * r)).acos();
    let c2 = on(c1, 2.0 * r, out);
    let back = (c2.y - c3.y).atan2(c2.x - c3.x);
    // On the first and last circle the heading is a quarter turn on from the spoke.
    let a = sweep(side * (out - from.heading_rad) + FRAC_PI_2);
    let m = sweep(-side * (back - out));
    let b = sweep(side * (to.heading_rad - back) - FRAC_PI_2);
    Some((a, m, b, out))
}

/// Lays a [`line_word`] of the two sides.
fn with_line(
    from: Pose,
    to: Pose,
    r: f64,
    (first, last): (f64, f64),
    (a, _, b, _): (f64, f64, f64, f64),
) -> Turn {
    let mut paths = Vec::with_capacity(3);
    let mut here = from.at;
    if a > SWEEP_ROUNDING_RAD {
        let arc = Segment::Arc(CircularArc::leaving(from, r, first * a));
        here = arc.end().at;
        paths.push(arc);
    }
    let closing = arriving(to, r, last * b);
    let there = closing.as_ref().map_or(to.at, |p| p.start().at);
    push_line(&mut paths, here, there);
    paths.extend(closing);
    Turn::of(paths)
}

/// Lays an [`arcs_word`] that begins to one side.
fn three_arcs(
    from: Pose,
    to: Pose,
    r: f64,
    side: f64,
    (a, m, b, out): (f64, f64, f64, f64),
) -> Turn {
    let mut paths = Vec::with_capacity(3);
    if a > SWEEP_ROUNDING_RAD {
        paths.push(Segment::Arc(CircularArc::leaving(from, r, side * a)));
    }
    if m > SWEEP_ROUNDING_RAD {
        paths.push(Segment::Arc(CircularArc {
            centre: on(beside(from, r, side), 2.0 * r, out),
            radius_m: r,
            from_rad: out + PI,
            sweep_rad: -side * m,
        }));
    }
    paths.extend(arriving(to, r, side * b));
    Turn::of(paths)
}

/// The arc that ends in `pose` after `sweep_rad`, unless the sweep is rounding.
fn arriving(pose: Pose, radius_m: f64, sweep_rad: f64) -> Option<Segment> {
    // Driven backward in time the same arc leaves the pose turned round, on the other side.
    (sweep_rad.abs() > SWEEP_ROUNDING_RAD).then(|| {
        Segment::Arc(CircularArc::leaving(pose.reversed(), radius_m, -sweep_rad)).reversed()
    })
}

fn push_line(paths: &mut Vec<Segment>, from: Coord<f64>, to: Coord<f64>) {
    if (to.x - from.x).hypot(to.y - from.y) > LINE_ROUNDING_M {
        paths.push(Segment::Line { from, to });
    }
}

fn on(centre: Coord<f64>, radius_m: f64, at_rad: f64) -> Coord<f64> {
    let (s, c) = at_rad.sin_cos();
    Coord {
        x: centre.x + radius_m * c,
        y: centre.y + radius_m * s,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawn::pose;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    /// Depth of the bulb beyond the end line: r + 2 r sin a with cos a = (w + 2 r) / (4 r)
    /// (derived).
    #[test]
    fn the_bulb_is_as_deep_as_derived() {
        let (up, down) = (pose(0.0, 0.0, FRAC_PI_2), pose(2.54, 0.0, -FRAC_PI_2));
        let top = forward_turns(up, down, 3.0)[0]
            .paths
            .iter()
            .flat_map(|p| p.points(1e-9))
            .map(|c| c.y)
            .fold(0.0, f64::max);
        assert_relative_eq!(top, 7.2151, epsilon = 1e-4);
    }

    proptest! {
        #[test]
        fn every_word_meets_both_poses_and_never_kinks(
            x0 in -1e3..1e3f64, y0 in -1e3..1e3f64, h0 in -7.0..7.0f64,
            x1 in -30.0..30.0f64, y1 in -30.0..30.0f64, h1 in -7.0..7.0f64,
            r in 0.5..9.0f64,
        ) {
            let (from, to) = (pose(x0, y0, h0), pose(x0 + x1, y0 + y1, h1));
            let all = forward_turns(from, to, r);
            prop_assert!(all.len() >= 2);
            let least_m = shortest_forward_m(from, to, r);
            prop_assert!((least_m - all[0].length_m).abs() < 1e-8);
            for t in &all {
                let mut here = from;
                for p in &t.paths {
                    let s = p.start();
                    prop_assert!((s.at.x - here.at.x).hypot(s.at.y - here.at.y) < 1e-9);
                    // A line of millimetres has its direction only to rounding.
                    let slack = 1e-7 + 1e-11 / p.length_m();
                    prop_assert!(crate::model::pose::fold_rad(s.heading_rad - here.heading_rad).abs() < slack);
                    prop_assert!(p.curvature_per_m().abs() <= (1.0 + 1e-12) / r);
                    here = p.end();
                }
                prop_assert!((to.at.x - here.at.x).hypot(to.at.y - here.at.y) < 1e-9);
            }
        }
    }
}
