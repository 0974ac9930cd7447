//! Touch-up passes: short straight runs over ground that rings and pattern leave.
//!
//! Corners beside keep-outs and bends tighter than the mower can follow leave small pieces. The
//! largest are taken one by one: a run along a nearby edge or along the piece itself, laid where
//! it cuts most of what is left, never into barred ground, with the least overrun. It stops when
//! what is left is small enough or nothing more can be cut.

use crate::ground::barriers::Barriers;
use crate::ground::heading::long_axis_rad;
use crate::model::ground::Fairway;
use crate::model::mow::{Leg, Role};
use crate::model::mower::Mower;
use crate::model::track::{Path, Track};
use crate::polygon::overlay::Overlay;
use crate::swath::bands::Bands;
use crate::swath::contact::{Handling, Prepared, lowered, tracks_between};
use crate::swath::swept::{swept_area, touches, without_swept};
use crate::work::Work;
use geo::{Area, BoundingRect, Centroid};
use geo_types::{Coord, MultiPolygon, Polygon, Rect};

/// What may be left of the reach, as a fraction of it: a fourth of a part in a thousand is a
/// square metre of threads on 0.4 ha, less than the divots.
pub const LEFT_ENOUGH: f64 = 2.5e-4;

// Pieces smaller than this are not worth a run by themselves, square metres.
const SMALLEST_M2: f64 = 0.5;
// Both this and the worth of a metre driven are less on ground smaller than this, square metres:
// there a thread is a larger part of the whole.
const LARGE_M2: f64 = 1000.0;
// On small ground a run comes nearer to the edge and may gain less, down to this share.
const LEAST_SHARE: f64 = 0.2;
// More runs than this on one fairway would be a plan nobody follows.
const MOST_RUNS: usize = 40;
// Directions of edges tried round a piece.
const MOST_HEADINGS: usize = 6;
// The deck's side is laid this far inside the edge of the piece, metres, so that it does not
// touch a keep-out that bounds the piece.
const INSET_M: f64 = 0.004;
// Flattening of arcs when looking for what is left, metres.
const LOOK_M: f64 = 0.002;
// And of the pattern's: its passes overlap by far more.
const PATTERN_M: f64 = 0.02;
// A square metre of overrun is counted as this much of a square metre not gained.
const OVERRUN_WEIGHT: f64 = 0.5;
// And each metre driven as this, square metres: a shorter run of equal gain wins.
const LENGTH_WEIGHT: f64 = 0.002;

/// A run that is tried is clipped against what is left: as long as so many turns.
const RUN_STEPS: u64 = 10;

/// Runs over what `tracks` leave of `uncut`. A fraction of `reach_m2` may stay.
pub fn touch_ups(
    fairway: &Fairway,
    mower: &Mower,
    barriers: &Barriers,
    uncut: &MultiPolygon<f64>,
    reach_m2: f64,
    tracks: &[Track],
    work: &Work,
) -> Vec<Leg> {
    let mut left = without_swept(uncut, tracks, &mower.units, PATTERN_M);
    let enough = reach_m2 * LEFT_ENOUGH;
    let scale = (reach_m2 / LARGE_M2).min(1.0);
    let mut skipped: Vec<Coord<f64>> = Vec::new();
    let mut out = Vec::new();
    while out.len() < MOST_RUNS && !work.over() {
        if left.unsigned_area() <= enough {
            break;
        }
        let Some(piece) = left
            .iter()
            .filter(|p| p.unsigned_area() >= SMALLEST_M2 * scale)
            .filter(|p| first(p).is_some_and(|c| !skipped.contains(&c)))
            .max_by(|a, b| a.unsigned_area().total_cmp(&b.unsigned_area()))
            .cloned()
        else {
            break;
        };
        match best_run(&piece, fairway, mower, barriers, &left, scale, work) {
            Some(tracks) => {
                let cut = swept_area(&tracks, &mower.units, LOOK_M);
                let (near, far) = parted(left, cut.bounding_rect());
                left = far;
                left.0.extend(near.difference(&cut).0);
                out.push(Leg {
                    tracks,
                    role: Role::TouchUp,
                    reversible: true,
                });
            }
            None => skipped.extend(first(&piece)),
        }
    }
    out
}

/// The pieces that a box meets, and the others.
fn parted(
    pieces: MultiPolygon<f64>,
    near: Option<Rect<f64>>,
) -> (MultiPolygon<f64>, MultiPolygon<f64>) {
    let (a, b) = pieces.into_iter().partition(|p| meets(p, near.as_ref()));
    (MultiPolygon(a), MultiPolygon(b))
}

fn meets(p: &Polygon<f64>, near: Option<&Rect<f64>>) -> bool {
    near.is_some_and(|near| touches(p, near))
}

fn first(p: &Polygon<f64>) -> Option<Coord<f64>> {
    p.exterior().0.first().copied()
}

fn best_run(
    piece: &Polygon<f64>,
    fairway: &Fairway,
    mower: &Mower,
    barriers: &Barriers,
    left: &MultiPolygon<f64>,
    scale: f64,
    work: &Work,
) -> Option<Vec<Track>> {
    let area = piece.unsigned_area();
    let alone = MultiPolygon(vec![piece.clone()]);
    let wanted = Prepared::new(&alone);
    let share = scale.sqrt().max(LEAST_SHARE);
    let inset = INSET_M * share;
    let width = mower.cutting_width_m();
    let handling = Handling {
        bridge_m: 3.0,
        shortest_m: 0.05,
        ..Handling::default()
    };
    let run_out = width + mower.front_m().abs().max(mower.rear_m().abs());
    // No run over the piece cuts anything beyond this box.
    let near = piece.bounding_rect().map(|r| {
        let far = r.width().hypot(r.height()) + 2.0 * (run_out + width);
        Rect::new(
            Coord {
                x: r.min().x - far,
                y: r.min().y - far,
            },
            Coord {
                x: r.max().x + far,
                y: r.max().y + far,
            },
        )
    });
    let left = MultiPolygon(
        left.iter()
            .filter(|p| meets(p, near.as_ref()))
            .cloned()
            .collect(),
    );
    let mut best: Option<(f64, Vec<Track>)> = None;
    for Direction { heading, edge_m } in directions(piece, fairway) {
        let (sin, cos) = heading.sin_cos();
        let local: Vec<(f64, f64)> = piece
            .exterior()
            .0
            .iter()
            .map(|p| (p.x * cos + p.y * sin, p.y * cos - p.x * sin))
            .collect();
        let (mut f0, mut f1, mut n0, mut n1) = (
            f64::INFINITY,
            f64::NEG_INFINITY,
            f64::INFINITY,
            f64::NEG_INFINITY,
        );
        for (f, n) in local {
            f0 = f0.min(f);
            f1 = f1.max(f);
            n0 = n0.min(n);
            n1 = n1.max(n);
        }
        // The deck's left side at the piece's left end, its right side at the right end, between.
        let left_flush = n1 - inset - mower.left_m();
        let right_flush = n0 + inset - mower.right_m();
        // Along a bunker that bulges into the ground the edge itself is the line to keep to: the
        // rest of the piece lies behind it. The ground is on the left of its edges.
        let along_edge = edge_m.map(|n| n + inset - mower.right_m());
        let middle = (left_flush + right_flush) / 2.0;
        for across in [left_flush, right_flush, middle]
            .into_iter()
            .chain(along_edge)
        {
            let world = |f: f64| Coord {
                x: f * cos - across * sin,
                y: f * sin + across * cos,
            };
            let path = Path::Line {
                from: world(f0 - run_out),
                to: world(f1 + run_out),
            };
            let down = lowered(
                &[path],
                &mower.units,
                &wanted,
                &barriers.prepared,
                &handling,
            );
            for span in down {
                work.spend(RUN_STEPS);
                let tracks = tracks_between(&[path], &[span], span.0, span.1);
                let each = tracks
                    .iter()
                    .flat_map(|t| mower.units.iter().map(|u| (&t.path, u)));
                let Some(cut) = Bands::new(each) else {
                    continue;
                };
                let gain = cut.cut_of_m2(&left);
                if gain < 0.2 * share * area && gain < 0.1 * share {
                    continue;
                }
                let overrun = (cut.area_m2() - cut.cut_of_m2(&barriers.solid)).max(0.0);
                let score =
                    gain - LENGTH_WEIGHT * scale * (span.1 - span.0) - OVERRUN_WEIGHT * overrun;
                if score > 0.0 && best.as_ref().is_none_or(|b| score > b.0 + 1e-9) {
                    best = Some((score, tracks));
                }
            }
        }
    }
    best.map(|b| b.1)
}

/// A direction for a run.
struct Direction {
    /// Radians counter-clockwise from east.
    heading: f64,
    /// How far to the left the edge it follows lies, metres across the direction.
    edge_m: Option<f64>,
}

/// Directions worth trying: the ground's edges nearest to the piece, and the piece's own axis.
fn directions(piece: &Polygon<f64>, fairway: &Fairway) -> Vec<Direction> {
    let mut out = vec![Direction {
        heading: long_axis_rad(&MultiPolygon(vec![piece.clone()])),
        edge_m: None,
    }];
    let Some(centre) = piece.centroid() else {
        return out;
    };
    let mut near: Vec<(f64, f64, Coord<f64>)> = Vec::new();
    for p in &fairway.ground {
        for r in std::iter::once(p.exterior()).chain(p.interiors()) {
            for w in r.0.windows(2) {
                let (dx, dy) = (w[1].x - w[0].x, w[1].y - w[0].y);
                let len2 = dx * dx + dy * dy;
                if len2 <= 0.0 {
                    continue;
                }
                let t = (((centre.x() - w[0].x) * dx + (centre.y() - w[0].y) * dy) / len2)
                    .clamp(0.0, 1.0);
                let d = (w[0].x + t * dx - centre.x()).hypot(w[0].y + t * dy - centre.y());
                near.push((d, dy.atan2(dx), w[0]));
            }
        }
    }
    near.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    for (_, h, at) in near {
        // Within a degree or so it is the same direction.
        if out.len() > MOST_HEADINGS {
            break;
        }
        if !out
            .iter()
            .any(|o| o.edge_m.is_some() && (2.0 * (o.heading - h)).cos() > 0.9994)
        {
            out.push(Direction {
                heading: h,
                edge_m: Some(at.y * h.cos() - at.x * h.sin()),
            });
        }
    }
    out
}
