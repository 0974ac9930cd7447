//! Closed rings: a ring may be begun anywhere, so it is begun where the mower gets there soonest.

use crate::driving::roads::Router;
use crate::model::mow::Leg;
use crate::model::pose::{Pose, fold_rad};
use crate::model::track::{Gear, Reels, Track};
use geo_types::Coord;

/// A ring is closed when its ends meet within this, metres and radians.
const CLOSED: f64 = 1e-6;
/// Places to begin at are tried this far apart, metres.
const TRY_EVERY_M: f64 = 1.5;
/// Never so many that a long ring costs time.
const MOST_TRIED: f64 = 400.0;
/// Joins looked for on the real ground.
const LOOKED_AT: usize = 6;
/// A track is not cut nearer than this to its end, metres: no crumbs.
const CRUMB_M: f64 = 0.5;

/// Whether a leg is one ring, reels down throughout.
pub fn is_closed(leg: &Leg) -> bool {
    let (Some(first), Some(last)) = (leg.tracks.first(), leg.tracks.last()) else {
        return false;
    };
    let (a, b) = (first.start(), last.end());
    let down = |t: &Track| t.reels == Reels::Down && t.gear == Gear::Forward;
    leg.tracks.iter().all(down)
        && (a.at.x - b.at.x).hypot(a.at.y - b.at.y) < CLOSED
        && fold_rad(a.heading_rad - b.heading_rad).abs() < CLOSED
        && length_m(leg) > 4.0 * CRUMB_M
}

fn length_m(leg: &Leg) -> f64 {
    leg.tracks.iter().map(|t| t.path.length_m()).sum()
}

/// The ring begun where the join from `here`, and to `next` if given, is shortest. A ring ends
/// where it begins.
pub fn begun_between(leg: &Leg, here: Pose, next: Option<Pose>, router: &Router) -> Leg {
    let floor = |p: Pose| router.floor_m(here, p) + next.map_or(0.0, |n| router.floor_m(p, n));
    let join = |a: Pose, b: Pose| router.cost_m(a, b);
    begun_at_best(leg, floor, |p| {
        join(here, p) + next.map_or(0.0, |n| join(p, n))
    })
}

/// The ring begun nearest to a point.
pub fn begun_near(leg: &Leg, point: Coord<f64>) -> Leg {
    let far = |p: Pose| (p.at.x - point.x).hypot(p.at.y - point.y);
    begun_at_best(leg, far, far)
}

fn begun_at_best(leg: &Leg, floor: impl Fn(Pose) -> f64, cost: impl Fn(Pose) -> f64) -> Leg {
    let total = length_m(leg);
    let n = (total / TRY_EVERY_M).ceil().clamp(1.0, MOST_TRIED);
    let mut places: Vec<(f64, usize, f64, Pose)> = (0..n as usize)
        .map(|i| {
            let (track, along) = place(leg, total * i as f64 / n);
            let pose = leg.tracks[track].path.pose_at(along);
            (floor(pose), track, along, pose)
        })
        .collect();
    places.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut best: Option<(f64, usize, f64)> = None;
    for &(floor_m, track, along, pose) in places.iter().take(LOOKED_AT) {
        if best.is_some_and(|b| floor_m >= b.0) {
            break;
        }
        let c = cost(pose);
        if best.is_none_or(|b| c < b.0) {
            best = Some((c, track, along));
        }
    }
    best.map_or_else(|| leg.clone(), |(_, track, along)| begun(leg, track, along))
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
