//! What a cutting unit sweeps along a line or an arc, spread over cells with the way it was laid.

use super::raster::{Raster, SUMS, Sums};
use crossgrain_core::{CircularArc, CuttingUnit, Segment};
use geo_types::Coord;
use std::f64::consts::FRAC_PI_2;

/// Largest step along an arc, radians (about 6 degrees).
pub const ARC_STEP_RAD: f64 = 0.1;
/// Most steps in one arc: enough for a hundred turns on the finest grid that makes sense.
const MAX_STEPS: f64 = 1e6;
/// Most parts that a cutting line is taken in on an arc.
const MAX_PARTS: f64 = 8.0;
/// An arc of more than this is no drive (16,000 turns on the spot) and lays nothing.
const MAX_SWEEP_RAD: f64 = ARC_STEP_RAD * MAX_STEPS;

pub(super) fn line(raster: &Raster, sums: &mut Sums, path: &Segment, unit: &CuttingUnit) {
    let (start, end) = (path.start(), path.end());
    if path.length_m() <= 0.0 {
        return;
    }
    let (s, c) = start.heading_rad.sin_cos();
    let values = [1.0, c, s, c * c - s * s, 2.0 * s * c];
    let corners = [
        start.offset(unit.ahead_m, unit.right_m()),
        end.offset(unit.ahead_m, unit.right_m()),
        end.offset(unit.ahead_m, unit.left_m()),
        start.offset(unit.ahead_m, unit.left_m()),
    ];
    quad(raster, sums, corners, &values);
}

pub(super) fn arc(raster: &Raster, sums: &mut Sums, arc: &CircularArc, unit: &CuttingUnit) {
    let numbers = [
        arc.centre.x,
        arc.centre.y,
        arc.radius_m,
        arc.from_rad,
        arc.sweep_rad,
    ];
    let unit_numbers = [unit.across_m, unit.ahead_m, unit.width_m];
    if arc.radius_m <= 0.0
        || arc.sweep_rad == 0.0
        || arc.sweep_rad.abs() > MAX_SWEEP_RAD
        || numbers.iter().chain(&unit_numbers).any(|v| !v.is_finite())
    {
        return;
    }
    for part in parts(arc, unit) {
        arc_part(raster, sums, arc, unit, part);
    }
}

/// The parts of the cutting line that are taken by themselves on an arc, across from right to left.
fn parts(arc: &CircularArc, unit: &CuttingUnit) -> Vec<(f64, f64)> {
    let centre = arc.radius_m.copysign(arc.sweep_rad);
    let (right, left) = (unit.right_m(), unit.left_m());
    // Parts on either side of the turning centre move opposite ways.
    let halves = if right < centre && centre < left {
        vec![(right, centre), (centre, left)]
    } else {
        vec![(right, left)]
    };
    // A line that does not point at the turning centre moves in other directions at its ends.
    let mut cuts = Vec::new();
    for (from, to) in halves {
        let seen = |a: f64| (unit.ahead_m / (a - centre)).atan();
        let parts = match (from == centre || to == centre, unit.ahead_m == 0.0) {
            (_, true) => 1.0,
            (true, false) => MAX_PARTS,
            (false, false) => ((seen(to) - seen(from)).abs() / ARC_STEP_RAD)
                .ceil()
                .clamp(1.0, MAX_PARTS),
        };
        let at = |i: f64| from + (to - from) * i / parts;
        cuts.extend((0..parts as usize).map(|i| (at(i as f64), at(i as f64 + 1.0))));
    }
    cuts
}

/// One part of the cutting line on an arc, step by step.
fn arc_part(
    raster: &Raster,
    sums: &mut Sums,
    arc: &CircularArc,
    unit: &CuttingUnit,
    (from, to): (f64, f64),
) {
    let centre = arc.radius_m.copysign(arc.sweep_rad);
    let centre_at = raster.local(arc.centre);
    let side = 1.0_f64.copysign(arc.sweep_rad);
    let mid = (from + to) / 2.0;
    let reach = unit
        .ahead_m
        .hypot((from - centre).abs().max((to - centre).abs()));
    let step = ARC_STEP_RAD.min(0.5 * raster.cell_m / reach);
    let n = (arc.sweep_rad.abs() / step).ceil().clamp(1.0, MAX_STEPS) as usize;
    let angle = arc.sweep_rad.abs() / n as f64;
    // Mean of e^(it) and e^(2it) over a step, and ring piece against quadrilateral.
    let swell = 1.0 / sinc(angle);
    let (mean1, mean2) = (swell * sinc(angle / 2.0), swell * sinc(angle));
    // A point moves square to its radius from the turning centre, whatever unit it is on.
    let off = mid - centre;
    let radius = unit.ahead_m.hypot(off).max(f64::MIN_POSITIVE);
    let (lead, drift) = (-side * off / radius, side * unit.ahead_m / radius);
    // Beyond the turning centre the corners run the other way round.
    let way = if off * side < 0.0 { 1.0 } else { -1.0 };
    // One end of the cutting line, seen in the mower's frame, put into the grid.
    let put = |across: f64, (s, c): (f64, f64)| Coord {
        x: centre_at.x + (unit.ahead_m * c - (across - centre) * s) / raster.cell_m,
        y: centre_at.y + (unit.ahead_m * s + (across - centre) * c) / raster.cell_m,
    };
    let heading = |i: f64| {
        let t = arc.from_rad + arc.sweep_rad * i / n as f64;
        (t + side * FRAC_PI_2).sin_cos()
    };
    let start = heading(0.0);
    let (mut a_from, mut a_to) = (put(from, start), put(to, start));
    let mut before = [0.0; SUMS];
    for i in 0..=n {
        let mut values = [0.0; SUMS];
        let mut next = None;
        if i < n {
            let (s, c) = heading(i as f64 + 0.5);
            let (x, y) = (lead * c - drift * s, lead * s + drift * c);
            values = [
                swell,
                mean1 * x,
                mean1 * y,
                mean2 * (x * x - y * y),
                mean2 * 2.0 * x * y,
            ];
            values = values.map(|v| way * v);
            let end = heading(i as f64 + 1.0);
            next = Some((put(from, end), put(to, end)));
        }
        // Neighbouring steps share a cutting line: only their difference crosses it.
        let mut line = before;
        for (l, v) in line.iter_mut().zip(&values) {
            *l -= v;
        }
        raster.edge(sums, a_from, a_to, &line);
        if let Some((b_from, b_to)) = next {
            raster.edge(sums, a_from, b_from, &values);
            raster.edge(sums, b_to, a_to, &values);
            (a_from, a_to) = (b_from, b_to);
        }
        before = values;
    }
}

/// Adds a quadrilateral, whichever way round its corners are given.
fn quad(raster: &Raster, sums: &mut Sums, corners: [Coord<f64>; 4], values: &[f64; SUMS]) {
    if corners.iter().any(|c| !c.x.is_finite() || !c.y.is_finite()) {
        return;
    }
    let p = corners.map(|c| raster.local(c));
    let twice = (p[2].x - p[0].x) * (p[3].y - p[1].y) - (p[3].x - p[1].x) * (p[2].y - p[0].y);
    let values = values.map(|v| v * twice.signum());
    for i in 0..4 {
        raster.edge(sums, p[i], p[(i + 1) % 4], &values);
    }
}

fn sinc(x: f64) -> f64 {
    if x.abs() < 1e-4 {
        1.0 - x * x / 6.0
    } else {
        x.sin() / x
    }
}
