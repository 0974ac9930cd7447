//! Circuits and rings: how often round, and which way.

use crossgrain_core::inside::ground::barriers::part_of;
use crossgrain_core::{Fairway, KeepOut, Mow, PlacedLeg, Reels, Role, Segment, Sense};
use geo::Centroid;
use geo_types::Coord;
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

/// The point that is gone round: the middle of the keep-out, or of the ground that the rounds lie
/// on. A step may be one of several on a part of the fairway that a path crosses.
pub(super) fn middle(
    fairway: &Fairway,
    mow: &Mow,
    legs: &[PlacedLeg],
    kept: Option<&KeepOut>,
) -> Coord<f64> {
    let start = legs.first().and_then(|l| mow.tracks_of(l).first());
    let on = start.map(|t| part_of(fairway.ground(), t.start().at));
    kept.map(|k| &k.area)
        .or_else(|| fairway.ground().0.get(on?))
        .and_then(Centroid::centroid)
        .map_or(Coord { x: 0.0, y: 0.0 }, |p| p.0)
}

/// Which way round every ring goes, by the area it sweeps about the middle; none where rings
/// disagree or nothing is swept.
pub(super) fn sense(mow: &Mow, legs: &[PlacedLeg], middle: Coord<f64>) -> Option<Sense> {
    let mut swept: BTreeMap<u32, f64> = BTreeMap::new();
    for leg in legs {
        let Some(ring) = ring(leg.role) else { continue };
        let tracks = mow.tracks_of(leg);
        let about: f64 = tracks
            .iter()
            .filter(|t| t.reels == Reels::Down)
            .map(|t| about_m2(&t.path, middle))
            .sum();
        *swept.entry(ring).or_default() += about;
    }
    let way = |m2: f64| {
        if m2 > 0.0 {
            Sense::CounterClockwise
        } else {
            Sense::Clockwise
        }
    };
    let mut ways = swept
        .values()
        .filter(|m2| m2.abs() > 1e-6)
        .map(|m2| way(*m2));
    let first = ways.next()?;
    ways.all(|w| w == first).then_some(first)
}

/// Twice the area between a path and a point, counter-clockwise positive.
fn about_m2(path: &Segment, c: Coord<f64>) -> f64 {
    // Only the sign counts: a tenth of a metre off the arc is near enough.
    path.points(0.1)
        .windows(2)
        .map(|w| (w[0].x - c.x) * (w[1].y - c.y) - (w[0].y - c.y) * (w[1].x - c.x))
        .sum()
}
