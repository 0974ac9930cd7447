//! What a cutting unit sweeps along a line or an arc, spread over cells with the way it was laid.
//!
//! Each edge of a shape adds signed areas to the cells it passes, and one running sum along each row
//! of cells fills in the rest, as vector rasterisers compute coverage.

use crossgrain_core::inside::swath::is_sound;
use crossgrain_core::{CircularArc, CuttingUnit, Segment};
use geo_types::Coord;
use std::f64::consts::FRAC_PI_2;

/// Largest step along an arc, radians (about 6 degrees).
pub const ARC_STEP_RAD: f64 = 0.1;
/// Most steps in one arc: enough for a hundred turns on the finest grid that makes sense.
const MAX_STEPS: f64 = 1e6;
/// Most parts that a cutting line is taken in on an arc.
const MAX_PARTS: f64 = 8.0;

/// Sums per cell: area, e^(it), e^(2it).
pub(super) const SUMS: usize = 5;
/// What is summed up in every cell, row by row.
pub(super) type Sums = Vec<[f64; SUMS]>;

/// A grid of square cells.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Raster {
    pub cell_m: f64,
    /// The south west corner.
    pub corner: Coord<f64>,
    pub columns: usize,
    pub rows: usize,
}

impl Raster {
    pub fn empty(&self) -> Sums {
        vec![[0.0; SUMS]; self.columns * self.rows]
    }

    /// A point in cells from the corner.
    pub fn local(&self, p: Coord<f64>) -> Coord<f64> {
        (p - self.corner) / self.cell_m
    }

    /// One directed edge, in cells: adds to each cell it passes the area to its right within
    /// the cell, and to the next cell what all cells further right gain.
    pub fn edge(&self, sums: &mut Sums, a: Coord<f64>, b: Coord<f64>, values: &[f64; SUMS]) {
        let up = a.y <= b.y;
        let (lo, hi) = if up { (a, b) } else { (b, a) };
        let sign = if up { -1.0 } else { 1.0 };
        let (mut y, end_y) = (lo.y.max(0.0), hi.y.min(self.rows as f64));
        let slope = (hi.x - lo.x) / (hi.y - lo.y);
        let x_at = |y: f64| (lo.x + (y - lo.y) * slope).clamp(lo.x.min(hi.x), lo.x.max(hi.x));
        let mut put = |row: usize, column: usize, share: f64| {
            if column < self.columns {
                let cell = &mut sums[row * self.columns + column];
                for (s, v) in cell.iter_mut().zip(values) {
                    *s += share * v;
                }
            }
        };
        while y < end_y {
            let row = (y as usize).min(self.rows - 1);
            let next = ((row + 1) as f64).min(end_y);
            if next <= y {
                break;
            }
            // Within this row of cells, from the left end of the edge to the right end.
            let (xa, xb) = (x_at(y), x_at(next));
            let (mut x, right) = (xa.min(xb), xa.max(xb));
            let (width, height) = (right - x, next - y);
            while x < self.columns as f64 {
                // Left of the grid: everything in the row is to its right.
                let column = x.max(0.0) as usize;
                let end = right.min(if x < 0.0 { 0.0 } else { (column + 1) as f64 });
                let part = if width > 0.0 { (end - x) / width } else { 1.0 };
                let mean = ((x + end) / 2.0 - column as f64).max(0.0);
                put(row, column, sign * height * part * (1.0 - mean));
                put(row, column + 1, sign * height * part * mean);
                if end >= right {
                    break;
                }
                x = end;
            }
            y = next;
        }
    }

    /// Turns what edges left behind into what each cell holds, square metres.
    pub fn fill(&self, sums: &mut Sums) {
        let whole = self.cell_m * self.cell_m;
        for row in sums.chunks_mut(self.columns) {
            let mut run = [0.0; SUMS];
            for cell in row {
                for (r, c) in run.iter_mut().zip(cell) {
                    *r += *c;
                    *c = *r * whole;
                }
            }
        }
    }
}

/// Spreads what a unit sweeps along a path. A path of numbers that make no sense lays nothing.
pub(super) fn path(raster: &Raster, sums: &mut Sums, path: &Segment, unit: &CuttingUnit) {
    let (from, to, length_m) = (path.start().at, path.end().at, path.length_m());
    let mut numbers = [from.x, from.y, to.x, to.y, length_m].into_iter();
    if !is_sound(path, unit) || length_m <= 0.0 || !numbers.all(f64::is_finite) {
        return;
    }
    match path {
        Segment::Line { .. } => {
            let (s, c) = path.start().heading_rad.sin_cos();
            let across = [unit.right_m(), unit.left_m()];
            let [a, b] = path.start().offsets(unit.ahead_m, across);
            let [d, e] = path.end().offsets(unit.ahead_m, across);
            let corners = [a, d, e, b].map(|p| raster.local(p));
            quad(raster, sums, corners, &values(1.0, 1.0, 1.0, (c, s)));
        }
        Segment::Arc(arc) => {
            for part in parts(arc, unit) {
                arc_part(raster, sums, arc, unit.ahead_m, part);
            }
        }
    }
}

/// What is summed up for an area laid in a direction: of each power of its vector so much.
fn values(area: f64, single: f64, double: f64, (x, y): (f64, f64)) -> [f64; SUMS] {
    [
        area,
        single * x,
        single * y,
        double * (x * x - y * y),
        double * 2.0 * x * y,
    ]
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
    let cut = |(from, to): (f64, f64)| {
        let seen = |a: f64| unit.ahead_m.atan2((a - centre).abs());
        let parts = ((seen(to) - seen(from)).abs() / ARC_STEP_RAD).ceil();
        let parts = parts.clamp(1.0, MAX_PARTS);
        let at = move |i: usize| from + (to - from) * i as f64 / parts;
        (0..parts as usize).map(move |i| (at(i), at(i + 1)))
    };
    halves.into_iter().flat_map(cut).collect()
}

/// One part of the cutting line on an arc, step by step.
fn arc_part(
    raster: &Raster,
    sums: &mut Sums,
    arc: &CircularArc,
    ahead_m: f64,
    (from, to): (f64, f64),
) {
    let side = 1.0_f64.copysign(arc.sweep_rad);
    let centre = side * arc.radius_m;
    let widest = (from - centre).abs().max((to - centre).abs());
    let step = ARC_STEP_RAD.min(0.5 * raster.cell_m / ahead_m.hypot(widest));
    let n = (arc.sweep_rad.abs() / step).ceil().clamp(1.0, MAX_STEPS) as usize;
    let angle = arc.sweep_rad.abs() / n as f64;
    // Mean of e^(it) and e^(2it) over a step, and ring piece against quadrilateral.
    let swell = 1.0 / sinc(angle);
    let (single, double) = (swell * sinc(angle / 2.0), swell * sinc(angle));
    // A point moves square to its radius from the turning centre, whatever unit it is on.
    let off = (from + to) / 2.0 - centre;
    let radius = ahead_m.hypot(off).max(f64::MIN_POSITIVE);
    let (lead, drift) = (-side * off / radius, side * ahead_m / radius);
    let heading = |i: f64| {
        let t = arc.from_rad + arc.sweep_rad * i / n as f64;
        (t + side * FRAC_PI_2).sin_cos()
    };
    // Both ends of the cutting line, seen from the turning centre.
    let ends = |i: usize| {
        let (s, c) = heading(i as f64);
        [from - centre, to - centre].map(|out| {
            let (x, y) = (ahead_m * c - out * s, ahead_m * s + out * c);
            raster.local(arc.centre + Coord { x, y })
        })
    };
    let [mut a, mut b] = ends(0);
    for i in 0..n {
        let (s, c) = heading(i as f64 + 0.5);
        let way = (lead * c - drift * s, lead * s + drift * c);
        let ([d, e], laid) = (ends(i + 1), values(swell, single, double, way));
        quad(raster, sums, [a, d, e, b], &laid);
        (a, b) = (d, e);
    }
}

/// Adds a quadrilateral, in cells, whichever way round its corners are given.
fn quad(raster: &Raster, sums: &mut Sums, p: [Coord<f64>; 4], values: &[f64; SUMS]) {
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
