//! The directed boundary of what the cutting units sweep.
//!
//! While the mower follows a track of curvature c, the point `a` metres left on a cutting line moves
//! forward at (1 - c a) times the speed of the axle. Where that is above zero the winding number of
//! the boundary counts how often a point is passed over. Beyond the turning centre (c a > 1: the
//! inside of a turn tighter than half the deck) the line moves backward and the count would be
//! negative: there the unit is split, and the inner part's boundary is turned round.

use crate::model::mower::CuttingUnit;
use crate::model::track::{Gear, Reels, Segment, Track};
use crate::swath::edge::{Edges, Layer, Weight};
use crate::swath::seam::{SeamSide, seam};
use geo::{Distance, Euclidean};
use geo_types::Coord;

/// Ends of neighbouring tracks closer than this are one and the same, metres: above the rounding of
/// a chain of tracks. A joint with a wider gap or a kink keeps both cutting lines.
const WELD_M: f64 = 1e-9;

/// Tracks shorter than this cut nothing, metres.
const MIN_LENGTH_M: f64 = 1e-12;

/// An arc of more than this is no drive (16,000 turns on the spot), and its end is not placed well.
const MAX_SWEEP_RAD: f64 = 1e5;

/// The ends of a cutting line, left and right.
type CuttingLine = [Coord<f64>; 2];

/// Adds the boundary of everything the units sweep along `tracks` with the reels down: the winding
/// number is how often ground is cut.
pub fn add_swept(edges: &mut Edges, units: &[CuttingUnit], tracks: &[Track], layer: Layer) {
    for unit in units {
        add(edges, unit, [None, None], tracks, layer);
    }
}

/// The same with far fewer edges, where it matters only whether ground is cut: the winding number
/// is above zero on the same ground, but the strips that neighbouring units share count once.
pub fn add_cut(edges: &mut Edges, units: &[CuttingUnit], tracks: &[Track], layer: Layer) {
    let mut row: Vec<&CuttingUnit> = units.iter().collect();
    row.sort_by(|a, b| b.across_m.total_cmp(&a.across_m));
    for (i, unit) in row.iter().enumerate() {
        let beside = [i.wrapping_sub(1), i + 1].map(|k| row.get(k).copied());
        add(edges, unit, beside, tracks, layer);
    }
}

/// The paths of tracks with the reels down: backing takes up the same poses as driving a path the
/// other way.
pub fn mown(tracks: &[Track]) -> impl Iterator<Item = Segment> {
    let down = tracks.iter().filter(|t| t.reels == Reels::Down);
    down.map(|t| match t.gear {
        Gear::Forward => t.path,
        Gear::Reverse => t.path.reversed(),
    })
}

/// What one unit sweeps; it may share seams with the neighbours on its left and on its right.
fn add(
    edges: &mut Edges,
    unit: &CuttingUnit,
    [on_left, on_right]: [Option<&CuttingUnit>; 2],
    tracks: &[Track],
    layer: Layer,
) {
    // Where the boundary is open still, because the next track may go on from there.
    let mut open: Option<CuttingLine> = None;
    let close = |edges: &mut Edges, open: Option<CuttingLine>| {
        if let Some([left, right]) = open {
            edges.line(left, right, Weight { times: -1, layer });
        }
    };
    for path in mown(tracks) {
        if !is_sound(&path, unit) {
            edges.broken = true;
            continue;
        }
        if path.length_m() < MIN_LENGTH_M {
            continue;
        }
        for (part, times) in split(&path, unit) {
            let w = Weight { times, layer };
            let whole = moves_forward(&path, unit);
            let [mut first, last] = [path.start(), path.end()].map(|pose| {
                let ends = pose.offsets(part.ahead_m, [part.left_m(), part.right_m()]);
                ends.map(|p| edges.local(p))
            });
            let before = open.take();
            let gap_m = |end: &CuttingLine| {
                let gaps = [0, 1].map(|i| Euclidean.distance(end[i], first[i]));
                gaps[0].max(gaps[1])
            };
            match before {
                Some(end) if whole && gap_m(&end) <= WELD_M => {
                    edges.weld_m2 += gap_m(&end) * unit.width_m;
                    first = end;
                }
                _ => {
                    close(edges, before);
                    edges.line(first[0], first[1], w);
                }
            }
            let shares = |other: &&CuttingUnit| {
                whole && is_sound(&path, other) && moves_forward(&path, other)
            };
            let seam = |l, r| seam(edges.origin, &path, l, r);
            let right = on_right.filter(shares).and_then(|r| seam(unit, r));
            let left = on_left.filter(shares).and_then(|l| seam(l, unit));
            let right_end = (part.right_m(), first[1], last[1]);
            let left_end = (part.left_m(), first[0], last[0]);
            let (inner, outer) = (right.map(|s| s[0]), left.map(|s| s[1]));
            side(edges, &path, part.ahead_m, right_end, inner, w);
            side(edges, &path, part.ahead_m, left_end, outer, w.by(-1));
            if let Some([l, r]) = right {
                // The two ends of the seam close what is left of its sides.
                edges.line(l.from, r.from, w);
                edges.line(r.to, l.to, w);
            }
            if whole {
                open = Some(last);
            } else {
                edges.line(last[0], last[1], w.by(-1));
            }
        }
    }
    close(edges, open);
}

/// Whether a unit can be swept along a path: numbers are finite, and lengths above zero.
pub fn is_sound(path: &Segment, unit: &CuttingUnit) -> bool {
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

/// Whether nothing of the unit lies beyond the turning centre.
fn moves_forward(path: &Segment, unit: &CuttingUnit) -> bool {
    matches!(split(path, unit)[..], [(_, 1)])
}

/// The parts of a unit on either side of the turning centre, each with the sign that makes it
/// count +1: below zero where it moves backward.
pub(crate) fn split(path: &Segment, unit: &CuttingUnit) -> Vec<(CuttingUnit, i32)> {
    let (right, left) = (unit.right_m(), unit.left_m());
    let Segment::Arc(a) = path else {
        return vec![(*unit, 1)];
    };
    // How far to the left of the track its centre lies.
    let centre = a.radius_m.copysign(a.sweep_rad);
    let count = |u: CuttingUnit| {
        let forward = u.across_m * centre.signum() < a.radius_m;
        (u, if forward { 1 } else { -1 })
    };
    if centre <= right || centre >= left {
        return vec![count(*unit)];
    }
    let parts = [(right, centre), (centre, left)].map(|(from, to)| CuttingUnit {
        across_m: (from + to) / 2.0,
        width_m: to - from,
        ..*unit
    });
    parts.map(count).to_vec()
}

/// The path of one end of a cutting line, `across_m` to the left, without its seam.
fn side(
    edges: &mut Edges,
    path: &Segment,
    ahead_m: f64,
    (across_m, from, to): (f64, Coord<f64>, Coord<f64>),
    seam: Option<SeamSide>,
    w: Weight,
) {
    let mut piece = |from, to, sweep_rad: Option<f64>| match path {
        Segment::Line { .. } => edges.line(from, to, w),
        Segment::Arc(a) => {
            let off = across_m - a.radius_m.copysign(a.sweep_rad);
            let (centre, radius) = (edges.local(a.centre), ahead_m.hypot(off));
            let sweep_rad = sweep_rad.unwrap_or(a.sweep_rad);
            edges.arc(from, to, centre, radius, sweep_rad, w);
        }
    };
    let Some(s) = seam else {
        piece(from, to, None);
        return;
    };
    // A piece of no length, where the seam begins or ends with the path, joins the two to the bit.
    piece(from, s.from, Some(s.outside_rad[0]));
    piece(s.to, to, Some(s.outside_rad[1]));
}
