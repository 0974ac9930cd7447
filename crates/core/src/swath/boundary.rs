//! The directed boundary of what the cutting units sweep.
//!
//! While the mower follows a track of curvature c, the point `a` metres left on a cutting line
//! moves forward at (1 - c a) times the speed of the axle. Where that is above zero the map
//! from (way driven, place on the line) to the ground keeps its orientation, so the winding
//! number of its boundary counts how often each point is passed over. Beyond the turning
//! centre (c a > 1: the inside of a turn tighter than half the deck) the line moves backward
//! and the count would be negative: there the unit is split at the centre and the inner part's
//! boundary is turned round, so that every part counts +1.
//!
//! Where only whether ground is cut matters, the strips that neighbouring units share are counted
//! once ([`crate::swath::seam`]): the same ground has far fewer edges.

use crate::model::mower::CuttingUnit;
use crate::model::track::{Gear, Reels, Segment, Track};
use crate::swath::edge::{Edges, Layer, Weight};
use crate::swath::seam::{Seam, SeamSide, right_neighbours, seam};
use geo_types::Coord;

/// Ends of neighbouring tracks closer than this are one and the same, metres: above the
/// rounding of a chain of tracks, far below anything that is drawn or driven. A joint with a
/// wider gap or a kink is kept as it is, with both cutting lines.
const WELD_M: f64 = 1e-9;

/// Tracks shorter than this cut nothing, metres.
const MIN_LENGTH_M: f64 = 1e-12;

/// An arc of more than this is no drive (16,000 turns on the spot), and its end could not be
/// placed well: the last digit of the angle is a length by then.
const MAX_SWEEP_RAD: f64 = 1e5;

/// The ends of a cutting line.
#[derive(Clone, Copy)]
struct CuttingLine {
    left: Coord<f64>,
    right: Coord<f64>,
}

/// Adds the boundary of everything the units sweep along `tracks` with the reels down: the winding
/// number is how often ground is cut.
pub fn add_swept(edges: &mut Edges, units: &[CuttingUnit], tracks: &[Track], layer: Layer) {
    add(edges, units, &vec![None; units.len()], tracks, layer);
}

/// The same with fewer edges, where it matters only whether ground is cut: the winding number is
/// above zero on the same ground, but what two units cut in one pass may count once.
pub fn add_cut(edges: &mut Edges, units: &[CuttingUnit], tracks: &[Track], layer: Layer) {
    add(edges, units, &right_neighbours(units), tracks, layer);
}

/// `right_of` is for each unit the neighbour on its right that it shares a seam with, if any.
fn add(
    edges: &mut Edges,
    units: &[CuttingUnit],
    right_of: &[Option<usize>],
    tracks: &[Track],
    layer: Layer,
) {
    for (i, unit) in units.iter().enumerate() {
        let to_right = right_of[i].map(|r| &units[r]);
        let to_left = right_of
            .iter()
            .position(|r| *r == Some(i))
            .map(|l| &units[l]);
        let mut open: Option<(CuttingLine, CuttingLine)> = None;
        for track in tracks {
            if track.reels == Reels::Up {
                close(edges, open.take(), layer);
                continue;
            }
            let path = match track.gear {
                Gear::Forward => track.path,
                // Backing takes up the same poses as driving the path the other way.
                Gear::Reverse => track.path.reversed(),
            };
            if !is_sound(&path, unit) {
                edges.broken = true;
                continue;
            }
            if path.length_m() < MIN_LENGTH_M {
                continue;
            }
            if turns_inside(&path, unit) || track.gear == Gear::Reverse {
                close(edges, open.take(), layer);
                apart(edges, &path, unit, layer);
                continue;
            }
            let mut first = line_at(edges, &path, unit, false);
            let last = line_at(edges, &path, unit, true);
            let start = match open {
                Some((start, end)) => {
                    let gap = distance(end.left, first.left).max(distance(end.right, first.right));
                    if gap <= WELD_M {
                        edges.weld_m2 += gap * unit.width_m;
                        first = end;
                        start
                    } else {
                        close(edges, Some((start, end)), layer);
                        first
                    }
                }
                None => first,
            };
            let whole =
                |other: &&CuttingUnit| is_sound(&path, other) && !turns_inside(&path, other);
            let on_right = to_right.filter(whole).and_then(|r| seam(&path, unit, r));
            let on_left = to_left.filter(whole).and_then(|l| seam(&path, l, unit));
            let weight = Weight { times: 1, layer };
            let seams = (on_right.map(|s| s.of_left), on_left.map(|s| s.of_right));
            sides(edges, &path, unit, (first, last), seams, weight);
            if let Some(s) = on_right {
                seam_ends(edges, &s, weight);
            }
            open = Some((start, last));
        }
        close(edges, open.take(), layer);
    }
}

/// A track by itself, the parts of the unit on either side of the turning centre apart.
fn apart(edges: &mut Edges, path: &Segment, unit: &CuttingUnit, layer: Layer) {
    for (part, times) in split(path, unit) {
        let first = line_at(edges, path, &part, false);
        let last = line_at(edges, path, &part, true);
        let w = Weight { times, layer };
        sides(edges, path, &part, (first, last), (None, None), w);
        cross(edges, first, w);
        cross(edges, last, w.less());
    }
}

fn is_sound(path: &Segment, unit: &CuttingUnit) -> bool {
    let numbers = match path {
        Segment::Line { from, to } => [from.x, from.y, to.x, to.y, 0.0],
        Segment::Arc(a) => [a.centre.x, a.centre.y, a.radius_m, a.from_rad, a.sweep_rad],
    };
    numbers
        .into_iter()
        .chain([unit.across_m, unit.ahead_m, unit.width_m])
        .all(f64::is_finite)
        && !matches!(path, Segment::Arc(a) if a.radius_m <= 0.0 || a.sweep_rad.abs() > MAX_SWEEP_RAD)
        && unit.width_m > 0.0
}

/// Signed distance of the turning centre to the left of the track, when it has one.
fn centre_left_m(path: &Segment) -> Option<f64> {
    match path {
        Segment::Line { .. } => None,
        Segment::Arc(a) => Some(a.radius_m.copysign(a.sweep_rad)),
    }
}

/// Whether some of the unit lies beyond the turning centre.
fn turns_inside(path: &Segment, unit: &CuttingUnit) -> bool {
    centre_left_m(path).is_some_and(|c| {
        if c > 0.0 {
            unit.left_m() > c
        } else {
            unit.right_m() < c
        }
    })
}

/// The parts of a unit on either side of the turning centre, each with the sign that makes it
/// count +1: below zero where it moves backward.
pub(crate) fn split(path: &Segment, unit: &CuttingUnit) -> Vec<(CuttingUnit, i32)> {
    let Some(c) = centre_left_m(path) else {
        return vec![(*unit, 1)];
    };
    let (right, left) = (unit.right_m(), unit.left_m());
    let forward = |part: &CuttingUnit| {
        if part.across_m * c.signum() < c.abs() {
            1
        } else {
            -1
        }
    };
    if c <= right || c >= left {
        return vec![(*unit, forward(unit))];
    }
    [(right, c), (c, left)]
        .into_iter()
        .map(|(from, to)| {
            let part = CuttingUnit {
                across_m: (from + to) / 2.0,
                width_m: to - from,
                ..*unit
            };
            (part, forward(&part))
        })
        .collect()
}

fn line_at(edges: &Edges, path: &Segment, unit: &CuttingUnit, end: bool) -> CuttingLine {
    let pose = if end { path.end() } else { path.start() };
    CuttingLine {
        left: edges.local(pose.offset(unit.ahead_m, unit.left_m())),
        right: edges.local(pose.offset(unit.ahead_m, unit.right_m())),
    }
}

/// The paths of the two ends of the cutting line, without the seams on its right and on its left.
fn sides(
    edges: &mut Edges,
    path: &Segment,
    unit: &CuttingUnit,
    (first, last): (CuttingLine, CuttingLine),
    (on_right, on_left): (Option<SeamSide>, Option<SeamSide>),
    right: Weight,
) {
    for (across_m, ends, seam, w) in [
        (unit.right_m(), (first.right, last.right), on_right, right),
        (
            unit.left_m(),
            (first.left, last.left),
            on_left,
            right.less(),
        ),
    ] {
        side(edges, path, (unit, across_m), ends, seam, w);
    }
}

/// The path of one end of a cutting line, `across_m` to the left, without its seam.
fn side(
    edges: &mut Edges,
    path: &Segment,
    (unit, across_m): (&CuttingUnit, f64),
    (from, to): (Coord<f64>, Coord<f64>),
    seam: Option<SeamSide>,
    w: Weight,
) {
    let Some(seam) = seam else {
        piece(edges, path, (unit, across_m), (from, to), None, w);
        return;
    };
    // Where the seam begins or ends with the path, the piece is of no length; it joins the two to the
    // bit.
    let (before, after) = seam.outside_rad;
    let (begins, ends) = (edges.local(seam.from), edges.local(seam.to));
    piece(
        edges,
        path,
        (unit, across_m),
        (from, begins),
        Some(before),
        w,
    );
    piece(edges, path, (unit, across_m), (ends, to), Some(after), w);
}

/// A piece of the path of one end; on an arc it turns by `sweep_rad`, or as far as the track.
fn piece(
    edges: &mut Edges,
    path: &Segment,
    (unit, across_m): (&CuttingUnit, f64),
    (from, to): (Coord<f64>, Coord<f64>),
    sweep_rad: Option<f64>,
    w: Weight,
) {
    match path {
        Segment::Line { .. } => edges.line(from, to, w),
        Segment::Arc(a) => {
            let off = across_m - a.radius_m.copysign(a.sweep_rad);
            let radius = unit.ahead_m.hypot(off);
            let sweep = sweep_rad.unwrap_or(a.sweep_rad);
            edges.arc(from, to, edges.local(a.centre), radius, sweep, w);
        }
    }
}

/// The two ends of a seam, which close what is left of its sides.
fn seam_ends(edges: &mut Edges, s: &Seam, w: Weight) {
    let places = [s.of_left.from, s.of_right.from, s.of_right.to, s.of_left.to];
    let [a, b, c, d] = places.map(|p| edges.local(p));
    edges.line(a, b, w);
    edges.line(c, d, w);
}

/// A cutting line as boundary, from left to right.
fn cross(edges: &mut Edges, at: CuttingLine, w: Weight) {
    edges.line(at.left, at.right, w);
}

fn close(edges: &mut Edges, open: Option<(CuttingLine, CuttingLine)>, layer: Layer) {
    if let Some((start, end)) = open {
        cross(edges, start, Weight { times: 1, layer });
        cross(edges, end, Weight { times: -1, layer });
    }
}

fn distance(a: Coord<f64>, b: Coord<f64>) -> f64 {
    (a.x - b.x).hypot(a.y - b.y)
}
