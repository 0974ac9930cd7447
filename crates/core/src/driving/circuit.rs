//! Circuits and rings: where they are begun, and how one ring follows the other.
//!
//! The legs of a ring keep their order and their sense. A closed ring may be begun anywhere, one
//! with lifts at any of its legs; the next ring is begun where the mower gets there soonest.

use crate::driving::roads::Router;
use crate::model::mow::{Leg, ends};
use crate::model::pose::{Pose, fold_rad};
use crate::model::track::{Gear, Reels, Track};

/// A ring is closed when its ends meet within this, metres and radians.
const CLOSED: f64 = 1e-6;
/// Beginnings of a circuit that are weighed against each other when steps are ordered.
const WEIGHED: usize = 12;
/// Places to begin a closed ring at are tried this far apart, metres.
const TRY_EVERY_M: f64 = 1.5;
/// Never so many that a long ring costs time.
const MAX_TRIED: f64 = 400.0;
/// Ways looked for on the real ground when a ring is begun at last.
const LOOKED_AT: usize = 6;
/// A track is not cut nearer than this to its end, metres: no crumbs.
const CRUMB_M: f64 = 0.5;

/// Whether a leg is one ring, reels down throughout.
fn is_closed(leg: &Leg) -> bool {
    let (Some(first), Some(last)) = (leg.tracks.first(), leg.tracks.last()) else {
        return false;
    };
    let (a, b) = (first.start(), last.end());
    let down = |t: &Track| t.reels == Reels::Down && t.gear == Gear::Forward;
    leg.tracks.iter().all(down)
        && (a.at.x - b.at.x).hypot(a.at.y - b.at.y) < CLOSED
        && fold_rad(a.heading_rad - b.heading_rad).abs() < CLOSED
        && leg.length_m() > 4.0 * CRUMB_M
}

/// The closed ring that a list of legs is, if it is one.
fn closed(ring: &[Leg]) -> Option<&Leg> {
    match ring {
        [only] if is_closed(only) => Some(only),
        _ => None,
    }
}

/// The beginnings worth weighing: for each, all legs in driving order.
pub fn beginnings(rings: &[Vec<Leg>], router: &Router) -> Vec<Vec<Leg>> {
    let Some(first) = rings.first() else {
        return Vec::new();
    };
    let starts: Vec<Vec<Leg>> = match closed(first) {
        Some(ring) => {
            let total = ring.length_m();
            (0..WEIGHED)
                .map(|i| {
                    let (track, along) = place(ring, total * i as f64 / WEIGHED as f64);
                    vec![begun(ring, track, along)]
                })
                .collect()
        }
        None => {
            // Evenly among the legs, so that all sides of the edge have their turn.
            let step = first.len().div_ceil(WEIGHED).max(1);
            let from = (0..first.len()).step_by(step);
            from.map(|i| turned(first, i)).collect()
        }
    };
    starts
        .into_iter()
        .map(|start| followed(start, &rings[1..], router))
        .collect()
}

/// The first ring as given, each further one begun where it is reached soonest.
fn followed(first: Vec<Leg>, rest: &[Vec<Leg>], router: &Router) -> Vec<Leg> {
    let mut out = first;
    for ring in rest {
        let Some(here) = out.last().map(|l| ends(l).1) else {
            out.extend(ring.iter().cloned());
            continue;
        };
        match closed(ring) {
            Some(only) => out.push(begun_nearest(only, |p| router.floor_m(here, p))),
            None => {
                let near = |i: &usize| router.floor_m(here, ends(&ring[*i]).0);
                let first = (0..ring.len()).min_by(|a, b| near(a).total_cmp(&near(b)));
                out.extend(turned(ring, first.unwrap_or(0)));
            }
        }
    }
    out
}

/// A circuit taken as `legs`, begun anew where the ways from `here` and to `next` are shortest; it
/// stays as it is where that gains nothing.
pub fn begun_between(
    rings: &[Vec<Leg>],
    legs: Vec<Leg>,
    here: Option<Pose>,
    next: Option<Pose>,
    router: &Router,
) -> Vec<Leg> {
    let (Some(ring), Some(here)) = (rings.first().and_then(|r| closed(r)), here) else {
        return legs;
    };
    let cost = |legs: &[Leg]| {
        let within = ways_m(legs, |a, b| router.cost_m(a, b));
        let first = legs.first().map_or(0.0, |l| router.cost_m(here, ends(l).0));
        let last = match (legs.last(), next) {
            (Some(l), Some(n)) => router.cost_m(ends(l).1, n),
            _ => 0.0,
        };
        first + within + last
    };
    let floor = |p: Pose| router.floor_m(here, p) + next.map_or(0.0, |n| router.floor_m(p, n));
    let mut places = places(ring, floor);
    places.truncate(LOOKED_AT);
    let mut best = (cost(&legs), legs);
    for (floor_m, track, along) in places {
        if floor_m >= best.0 {
            break;
        }
        let again = followed(vec![begun(ring, track, along)], &rings[1..], router);
        let new = cost(&again);
        if new < best.0 {
            best = (new, again);
        }
    }
    best.1
}

/// The ways from each leg to the next added up, metres.
pub fn ways_m(legs: &[Leg], way_m: impl Fn(Pose, Pose) -> f64) -> f64 {
    legs.windows(2)
        .map(|w| way_m(ends(&w[0]).1, ends(&w[1]).0))
        .sum()
}

/// The ring begun where the cost of its first pose is least.
fn begun_nearest(ring: &Leg, cost: impl Fn(Pose) -> f64) -> Leg {
    match places(ring, cost).first() {
        Some(&(_, track, along)) => begun(ring, track, along),
        None => ring.clone(),
    }
}

/// Places to begin at, the cheapest first: cost, track and metres along it.
fn places(ring: &Leg, cost: impl Fn(Pose) -> f64) -> Vec<(f64, usize, f64)> {
    let total = ring.length_m();
    let n = (total / TRY_EVERY_M).ceil().clamp(1.0, MAX_TRIED);
    let mut out: Vec<(f64, usize, f64)> = (0..n as usize)
        .map(|i| {
            let (track, along) = place(ring, total * i as f64 / n);
            (cost(ring.tracks[track].path.pose_at(along)), track, along)
        })
        .collect();
    out.sort_by(|a, b| a.0.total_cmp(&b.0));
    out
}

/// The legs of a ring, begun at one of them.
fn turned(ring: &[Leg], first: usize) -> Vec<Leg> {
    let mut out = ring.to_vec();
    out.rotate_left(first);
    out
}

/// The track that holds the place `s` metres along the ring, and how far along that track;
/// moved to the track's end when it is near.
fn place(leg: &Leg, s: f64) -> (usize, f64) {
    let mut left = s;
    for (i, t) in leg.tracks.iter().enumerate() {
        let length = t.path.length_m();
        if left < length {
            if left < CRUMB_M || length < 2.0 * CRUMB_M {
                return (i, 0.0);
            }
            return (i, left.min(length - CRUMB_M));
        }
        left -= length;
    }
    (0, 0.0)
}

fn begun(leg: &Leg, track: usize, along_m: f64) -> Leg {
    let cut = leg.tracks[track];
    let mut tracks = Vec::with_capacity(leg.tracks.len() + 1);
    if along_m > 0.0 {
        let path = cut.path.part(along_m, cut.path.length_m());
        tracks.push(Track { path, ..cut });
    } else {
        tracks.push(cut);
    }
    tracks.extend_from_slice(&leg.tracks[track + 1..]);
    tracks.extend_from_slice(&leg.tracks[..track]);
    if along_m > 0.0 {
        let path = cut.path.part(0.0, along_m);
        tracks.push(Track { path, ..cut });
    }
    Leg {
        tracks,
        ..leg.clone()
    }
}
