//! What a lattice of loops leaves uncut, measured exactly with the real cutting units.
//!
//! A piece of ground two lane spacings high and two advances long, in the middle of enough lanes and
//! loops, stands for all the ground. Every second lane is shifted along by a phase: nobody starts two
//! lanes at the same place. A strip between two units of one loop may be cut by the next loops or
//! the next lane; this is the figure that tells.

use crate::coverage::{Scene, cover};
use crossgrain_core::{CircularArc, CuttingUnit, LoopForm, Mower, Pose, Segment, Sense, Track};
use geo_types::{Coord, MultiPolygon, Rect, coord};
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// A lattice of loops: straight lanes along x, the same way round and the same way along.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lanes {
    /// How each loop is closed.
    pub form: LoopForm,
    /// Mean diameter, metres.
    pub diameter_m: f64,
    /// Advance per loop, metres; above zero, and for a drift below twice the diameter.
    pub advance_m: f64,
    /// From lane to lane, metres; above zero.
    pub lane_spacing_m: f64,
    /// Which way round.
    pub sense: Sense,
}

/// The width of a strip between units changes little from one phase to the next.
const PHASES: u32 = 8;

/// Part of the ground, 0 to 1, that stays uncut when every second lane is shifted along by
/// `phase` of the advance.
pub fn uncut_part(mower: &Mower, lanes: &Lanes, phase: f64) -> f64 {
    let (p, s) = (lanes.advance_m, lanes.lane_spacing_m);
    let corner = coord! { x: 2.0 * p, y: 2.0 * s };
    let ground = MultiPolygon(vec![Rect::new(Coord::zero(), corner).to_polygon()]);
    // No cut edge lies farther from the lane's start of loop than this.
    let far = |u: &CuttingUnit| u.left_m().abs().max(u.right_m().abs()).hypot(u.ahead_m);
    let swing = mower.units.iter().map(far).fold(0.0, f64::max);
    let reach = lanes.diameter_m + p + swing;
    let loops = (reach / p).ceil() as i64 + 2;
    let rows = (reach / s).ceil() as i64 + 1;
    let mut tracks = Vec::new();
    for row in -rows..=rows + 2 {
        let shift = row.rem_euclid(2) as f64 * phase * p;
        for k in -loops..=loops + 2 {
            one_loop(lanes, k as f64 * p + shift, row as f64 * s, &mut tracks);
        }
    }
    let covered = cover(&Scene {
        ground: &ground,
        reach: &ground,
        keep_outs: &MultiPolygon(Vec::new()),
        mower,
        tracks: &tracks,
    });
    covered.uncut_m2() / covered.ground_m2()
}

/// The largest uncut part over eight phases between neighbouring lanes.
pub fn worst_uncut_part(mower: &Mower, lanes: &Lanes) -> f64 {
    let part = |i| uncut_part(mower, lanes, f64::from(i) / f64::from(PHASES));
    (0..PHASES).map(part).fold(0.0, f64::max)
}

/// One loop of a lane whose axis is the line y = `axis_y`, along x.
fn one_loop(lanes: &Lanes, from_x: f64, axis_y: f64, out: &mut Vec<Track>) {
    let side = lanes.sense.sign();
    let mean = lanes.diameter_m / 2.0;
    let mut arc = |pose: Pose, radius: f64, sweep: f64| {
        let path = Segment::Arc(CircularArc::leaving(pose, radius, sweep));
        out.push(Track::down(path));
        path.end()
    };
    match lanes.form {
        LoopForm::Drift => {
            // Across the axis, the wide half forward, the tight half back.
            let start = Pose::new(coord! { x: from_x, y: axis_y }, -side * FRAC_PI_2);
            let half = arc(start, mean + lanes.advance_m / 4.0, side * PI);
            arc(half, mean - lanes.advance_m / 4.0, side * PI);
        }
        LoopForm::Roll => {
            let start = Pose::new(coord! { x: from_x, y: axis_y - side * mean }, 0.0);
            arc(start, mean, side * TAU);
            out.push(Track::down(Segment::Line {
                from: start.at,
                to: coord! { x: start.at.x + lanes.advance_m, y: start.at.y },
            }));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lanes(form: LoopForm, sense: Sense, advance_m: f64, lane_spacing_m: f64) -> Lanes {
        Lanes {
            form,
            diameter_m: 12.0,
            advance_m,
            lane_spacing_m,
            sense,
        }
    }

    #[test]
    fn loops_join_end_to_end() {
        for form in [LoopForm::Drift, LoopForm::Roll] {
            for sense in [Sense::Clockwise, Sense::CounterClockwise] {
                let (l, mut t) = (lanes(form, sense, 2.5, 14.0), Vec::new());
                one_loop(&l, 0.0, 3.0, &mut t);
                one_loop(&l, 2.5, 3.0, &mut t);
                for w in t.windows(2) {
                    let gap = w[1].path.start().at - w[0].path.end().at;
                    assert!(gap.x.hypot(gap.y) < 1e-9, "{gap:?}");
                }
            }
        }
    }

    #[test]
    fn the_half_band_is_where_a_gap_begins() {
        // Full circles at a small advance, derived: h = sqrt((R + W/2)^2 - p^2/4) = 7.1414 for
        // R 6, W 2.5, p 2.5; a roll's lower half reaches R + W/2.
        let m = Mower::bar(2.5);
        let rolls = |p, s| lanes(LoopForm::Roll, Sense::CounterClockwise, p, s);
        let full = 7.25 + 7.1414;
        for phase in [0.0, 0.3] {
            assert!(uncut_part(&m, &rolls(2.5, full - 0.01), phase) < 1e-9);
        }
        assert!(worst_uncut_part(&m, &rolls(2.5, full + 0.05)) > 1e-6);
        // An advance of more than W leaves ground inside the half band uncut.
        assert!(worst_uncut_part(&m, &rolls(3.0, 13.0)) > 1e-4);
    }
}
