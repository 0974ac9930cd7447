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
/// A track is not cut nearer than this to its end, metres: no crumbs.
const CRUMB_M: f64 = 0.5;

/// The ways from each leg to the next added up, metres.
pub fn ways_m(legs: &[Leg], way_m: impl Fn(Pose, Pose) -> f64) -> f64 {
    legs.windows(2)
        .map(|w| way_m(ends(&w[0]).1, ends(&w[1]).0))
        .sum()
}

/// The beginnings worth weighing: for each, all legs in driving order.
pub fn beginnings(rings: &[Vec<Leg>], router: &Router) -> Vec<Vec<Leg>> {
    let Some((first, rest)) = rings.split_first() else {
        return Vec::new();
    };
    let entries = |ring: &Vec<Leg>| -> Vec<Pose> {
        let tried = places(ring);
        let entry = |i| begun(ring, (i, tried)).first().map(|l| ends(l).0);
        (0..tried).filter_map(entry).collect()
    };
    let rest: Vec<(&Vec<Leg>, Vec<Pose>)> = rest.iter().map(|r| (r, entries(r))).collect();
    // Evenly along the ring, so that all sides of the edge have their turn.
    let weighed = places(first).min(WEIGHED);
    let from = |i: usize| {
        let mut out = begun(first, (i, weighed));
        for (ring, entries) in &rest {
            let here = out.last().map_or(Pose::origin(), |l| ends(l).1);
            let ways_m = entries.iter().map(|e| router.floor_m(here, *e));
            let soonest = ways_m.enumerate().min_by(|a, b| a.1.total_cmp(&b.1));
            out.extend(begun(ring, (soonest.map_or(0, |s| s.0), entries.len())));
        }
        out
    };
    (0..weighed).map(from).collect()
}

/// The only leg of a closed ring, reels down throughout.
fn closed(ring: &[Leg]) -> Option<&Leg> {
    let [leg] = ring else { return None };
    let (a, b) = ends(leg);
    let down = |t: &Track| t.reels == Reels::Down && t.gear == Gear::Forward;
    (leg.tracks.iter().all(down)
        && (a.at.x - b.at.x).hypot(a.at.y - b.at.y) < CLOSED
        && fold_rad(a.heading_rad - b.heading_rad).abs() < CLOSED
        && leg.length_m() > 4.0 * CRUMB_M)
        .then_some(leg)
}

/// How many places there are to begin a ring at.
fn places(ring: &[Leg]) -> usize {
    closed(ring).map_or(ring.len(), |leg| {
        (leg.length_m() / TRY_EVERY_M).ceil().clamp(1.0, MAX_TRIED) as usize
    })
}

/// A ring begun at the `at.0`-th of `at.1` places.
fn begun(ring: &[Leg], at: (usize, usize)) -> Vec<Leg> {
    let Some(leg) = closed(ring) else {
        let mut out = ring.to_vec();
        out.rotate_left(at.0 * ring.len() / at.1.max(1));
        return out;
    };
    let (track, along_m) = place(leg, at);
    let mut tracks = leg.tracks.clone();
    tracks.rotate_left(track);
    if along_m > 0.0 {
        let cut = tracks[0];
        let part = |from_m, to_m| Track {
            path: cut.path.part(from_m, to_m),
            ..cut
        };
        tracks[0] = part(along_m, cut.path.length_m());
        tracks.push(part(0.0, along_m));
    }
    vec![Leg { tracks, ..*leg }]
}

/// The track that holds a place along a ring, and how far along it; never near one of its ends.
fn place(leg: &Leg, at: (usize, usize)) -> (usize, f64) {
    let mut left = leg.length_m() * at.0 as f64 / at.1 as f64;
    for (i, t) in leg.tracks.iter().enumerate() {
        let length = t.path.length_m();
        if left < length {
            let crumb = left < CRUMB_M || length < 2.0 * CRUMB_M;
            return (
                i,
                if crumb {
                    0.0
                } else {
                    left.min(length - CRUMB_M)
                },
            );
        }
        left -= length;
    }
    (0, 0.0)
}
