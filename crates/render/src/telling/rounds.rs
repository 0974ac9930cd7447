//! Circuits and rings: how often round, and which way.

use crossgrain_core::{Fairway, KeepOut, Mow, PlacedLeg, Reels, Role, Segment, Sense};
use geo::LinesIter;
use geo_types::{Coord, Line, Point};
use rstar::RTree;
use std::collections::{BTreeMap, BTreeSet};

fn ring(role: Role) -> Option<u32> {
    match role {
        Role::CleanUp { ring } | Role::Ring { ring } => Some(ring),
        _ => None,
    }
}

/// How many rings the legs belong to.
pub(super) fn count(legs: &[PlacedLeg]) -> usize {
    let rings: BTreeSet<u32> = legs.iter().filter_map(|l| ring(l.role)).collect();
    rings.len()
}

/// Where less than this share of a ring agrees on a side, no way round is told: more than three
/// metres in four go the same way.
const CLEAR_SHARE: f64 = 0.5;

/// Which way round every ring goes: clockwise round the ground keeps its edge on the left, clockwise
/// round a keep-out keeps that on the right. None where rings disagree or one goes both ways.
///
/// The side of the nearest edge tells it at every place, also of a round of which only a piece is
/// driven, and where the edge bends back on itself.
pub(super) fn sense(
    fairway: &Fairway,
    mow: &Mow,
    legs: &[PlacedLeg],
    kept: Option<&KeepOut>,
) -> Option<Sense> {
    let edges: RTree<Line<f64>> = RTree::bulk_load(match kept {
        Some(k) => k.area.exterior().lines().collect(),
        None => fairway.ground().lines_iter().collect(),
    });
    // Metres with the edge on the left less those with the edge on the right, and all of them.
    let mut rings: BTreeMap<u32, (f64, f64)> = BTreeMap::new();
    for leg in legs {
        let Some(ring) = ring(leg.role) else { continue };
        let sum = rings.entry(ring).or_default();
        for t in mow.tracks_of(leg).iter().filter(|t| t.reels == Reels::Down) {
            let (left, all) = edge_on_left_m(&t.path, &edges);
            sum.0 += left;
            sum.1 += all;
        }
    }
    let way = |(left, all): (f64, f64)| {
        let share = if all > 0.0 { left / all } else { 0.0 };
        let cw = (share > 0.0) == kept.is_none();
        (share.abs() > CLEAR_SHARE).then_some(if cw {
            Sense::Clockwise
        } else {
            Sense::CounterClockwise
        })
    };
    let mut ways = rings.into_values().map(way);
    let first = ways.next()??;
    ways.all(|w| w == Some(first)).then_some(first)
}

/// Metres of a path with its nearest edge on the left less those with it on the right, and all.
fn edge_on_left_m(path: &Segment, edges: &RTree<Line<f64>>) -> (f64, f64) {
    // Only the side counts: a tenth of a metre off an arc and a look every three metres are enough.
    const OFF_ARC_M: f64 = 0.1;
    const EVERY_M: f64 = 3.0;
    let (mut left, mut all) = (0.0, 0.0);
    for w in path.points(OFF_ARC_M).windows(2) {
        let d = w[1] - w[0];
        let len = d.x.hypot(d.y);
        let n = (len / EVERY_M).ceil().max(1.0);
        for i in 0..n as usize {
            let at = w[0] + d * ((i as f64 + 0.5) / n);
            let Some(to) = nearest(at, edges).map(|edge| edge - at) else {
                continue;
            };
            all += len / n;
            left += (len / n) * (d.x * to.y - d.y * to.x).signum();
        }
    }
    (left, all)
}

/// The nearest place on any of the edges.
fn nearest(at: Coord<f64>, edges: &RTree<Line<f64>>) -> Option<Coord<f64>> {
    let edge = edges.nearest_neighbor(&Point(at))?;
    let d = edge.delta();
    let len2 = d.x * d.x + d.y * d.y;
    let t = if len2 > 0.0 {
        ((at - edge.start).x * d.x + (at - edge.start).y * d.y) / len2
    } else {
        0.0
    };
    Some(edge.start + d * t.clamp(0.0, 1.0))
}
