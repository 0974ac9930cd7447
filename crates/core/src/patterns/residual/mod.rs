//! What is left: ends trimmed and places touched up.

pub mod ends;
pub mod needless;
mod touch_up;

use crate::ground::barriers::{Barriers, part_of};
use crate::limits::{MAX_CORNER_GAP_M, MAX_PATCH_GAP_M, MIN_PATCH_DECKS};
use crate::model::ground::Fairway;
use crate::model::mow::Leg;
use crate::model::mower::Mower;
use crate::model::track::{Segment, Track};
use crate::swath::shapes::uncut;
use crate::work::Work;
use ends::trim_ends;
use geo::{BoundingRect, Distance, Euclidean};
use geo_types::{Coord, LineString, MultiPoint, MultiPolygon, Point, Rect};
use needless::without_needless;
use std::cmp::Ordering;

/// How far what is left may be drawn off, metres.
pub const LOOK_M: f64 = 0.002;

/// Places are looked for once more after the ends of passes were trimmed.
const ROUNDS: usize = 2;

/// Passes over places near each other that lie beside one edge of one part.
#[derive(Debug, Clone, PartialEq)]
pub struct Patch {
    /// The part of the fairway: the place of the polygon in its ground.
    pub part: usize,
    /// The keep-out they lie beside; none where that is the outline.
    pub keep_out: Option<usize>,
    /// The passes, in no order.
    pub legs: Vec<Leg>,
}

/// A fairway and the deck that mows it.
#[derive(Clone, Copy)]
pub struct Ground<'a> {
    /// The fairway.
    pub fairway: &'a Fairway,
    /// The mower.
    pub mower: &'a Mower,
    /// Where no reel may be down.
    pub barriers: &'a Barriers,
    /// Where the deck can mow.
    pub reach: &'a MultiPolygon<f64>,
}

/// A pass over a place, and the middle of the place.
type TouchUp = (Leg, Coord<f64>);

/// Passes over the places of what is left by the legs of the clean-up passes and of the pattern, in
/// patches.
pub fn patches(
    ground: &Ground<'_>,
    left: &MultiPolygon<f64>,
    clean_up: &[Leg],
    pattern: &[&Leg],
    work: &Work,
) -> Vec<Patch> {
    let mower = ground.mower;
    let mut all: Vec<Leg> = clean_up.to_vec();
    all.extend(pattern.iter().map(|l| (*l).clone()));
    // Trimming may take off what hangs over the rough, not most of a pass.
    let shortest_m = MIN_PATCH_DECKS / 2.0 * mower.cutting_width_m();
    let mut passes: Vec<TouchUp> = Vec::new();
    let mut rest = left.clone();
    for _ in 0..ROUNDS {
        let (legs, middles): (Vec<Leg>, Vec<Coord<f64>>) =
            touch_up::runs(ground, rest, work).into_iter().unzip();
        if legs.is_empty() {
            break;
        }
        let first = all.len();
        let laid_m: f64 = legs.iter().map(Leg::length_m).sum();
        all.extend(legs);
        trim_ends(&mut all, first, ground, work);
        let trimmed = all.split_off(first).into_iter().zip(middles);
        let trimmed = trimmed.filter(|(l, _)| l.length_m() >= shortest_m);
        let first = passes.len();
        passes.extend(trimmed);
        let kept_m: f64 = passes[first..].iter().map(|p| p.0.length_m()).sum();
        if kept_m >= laid_m * (1.0 - 1e-9) {
            // Nothing was taken off, so nothing new is left.
            break;
        }
        all.extend(passes[first..].iter().map(|p| p.0.clone()));
        let tracks: Vec<Track> = passes.iter().flat_map(|p| p.0.tracks.clone()).collect();
        rest = uncut(left, &tracks, &mower.units, LOOK_M);
    }
    if passes.is_empty() {
        return Vec::new();
    }
    let kept = without_needless(passes, left, ground, work);
    in_patches(ground.fairway, kept.into_iter())
}

/// The box round all that a mower may cut along tracks.
fn around(tracks: &[Track], mower: &Mower) -> Option<Rect<f64>> {
    Some(grown(
        box_of(tracks.iter().map(|t| &t.path))?,
        mower.run_out_m(),
    ))
}

/// A box round paths. Between the places asked an arc bulges by less than what a deck is wider than
/// it reaches to one side.
fn box_of<'a>(paths: impl Iterator<Item = &'a Segment>) -> Option<Rect<f64>> {
    let asked = paths.flat_map(|p| {
        let at = |share: f64| p.pose_at(share * p.length_m()).at;
        [0.0, 0.25, 0.5, 0.75, 1.0].map(at)
    });
    MultiPoint::from_iter(asked).bounding_rect()
}

fn grown(r: Rect<f64>, by_m: f64) -> Rect<f64> {
    let by = Coord { x: by_m, y: by_m };
    Rect::new(r.min() - by, r.max() + by)
}

/// Groups passes by part, edge and nearness, in the order in which their places were found.
fn in_patches(fairway: &Fairway, passes: impl Iterator<Item = (Leg, Coord<f64>)>) -> Vec<Patch> {
    let mut out: Vec<(Patch, Vec<Coord<f64>>)> = Vec::new();
    for (leg, place) in passes {
        let (part, keep_out) = beside(fairway, place);
        let near = |p: &(Patch, Vec<Coord<f64>>)| {
            let most_m = if p.0.keep_out == keep_out {
                MAX_PATCH_GAP_M
            } else {
                MAX_CORNER_GAP_M
            };
            let far = |at: &Coord<f64>| (*at - place).x.hypot((*at - place).y);
            p.0.part == part && p.1.iter().any(|at| far(at) <= most_m)
        };
        // A place between two patches makes them one.
        let (met, rest): (Vec<_>, Vec<_>) = out.into_iter().partition(near);
        let mut one = (
            Patch {
                part,
                keep_out,
                legs: Vec::new(),
            },
            Vec::new(),
        );
        for (patch, places) in met {
            one.0.legs.extend(patch.legs);
            one.1.extend(places);
        }
        one.0.legs.push(leg);
        one.1.push(place);
        out = rest;
        out.push(one);
    }
    out.into_iter().map(|(patch, _)| patch).collect()
}

/// The part nearest to a place, and the keep-out, or none for the outline, whichever is nearer.
fn beside(fairway: &Fairway, place: Coord<f64>) -> (usize, Option<usize>) {
    let at = Point(place);
    let nearest = |far: &mut dyn Iterator<Item = f64>| {
        far.enumerate()
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .filter(|n| n.1.is_finite())
    };
    let edge = |r: &LineString<f64>| Euclidean.distance(&at, r);
    let keep_outs = fairway.keep_outs.iter();
    let keep_out = nearest(&mut keep_outs.map(|k| edge(k.area.exterior())));
    let outlines = fairway.outline.iter();
    let outline = nearest(&mut outlines.map(|p| edge(p.exterior())));
    let keep_out = match (keep_out, outline) {
        (Some(k), Some(o)) if k.1.total_cmp(&o.1) == Ordering::Less => Some(k.0),
        (Some(k), None) => Some(k.0),
        _ => None,
    };
    (part_of(&fairway.ground.0, place), keep_out)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawn::{bunker, line, plain, rect};
    use crate::model::mow::Role;
    use geo_types::coord;

    /// Two parts, the first with a bunker in its middle.
    fn fairway() -> Fairway {
        let parts = vec![rect(0.0, 0.0, 80.0, 80.0), rect(200.0, 0.0, 40.0, 40.0)];
        let mut fairway = plain(MultiPolygon(parts));
        let sand = rect(35.0, 35.0, 10.0, 10.0);
        fairway.ground.0[0].interiors_push(sand.exterior().clone());
        fairway.keep_outs.push(bunker(sand));
        fairway
    }

    fn pass(at: Coord<f64>) -> (Leg, Coord<f64>) {
        let leg = Leg {
            tracks: vec![Track::down(line(at.x, at.y, at.x + 2.0, at.y))],
            role: Role::TouchUp,
            reversible: true,
        };
        (leg, at)
    }

    #[test]
    fn passes_near_each_other_beside_one_edge_are_one_patch() {
        let places = [
            (34.0, 40.0),
            (1.0, 1.0),
            (44.0, 34.0),
            (1.0, 29.0),
            (201.0, 20.0),
        ];
        let passes = || places.into_iter().map(Coord::from).map(pass);
        let told = |patches: &[Patch]| -> Vec<(usize, Option<usize>, usize)> {
            let one = |p: &Patch| (p.part, p.keep_out, p.legs.len());
            patches.iter().map(one).collect()
        };
        let apart = in_patches(&fairway(), passes());
        let known = [(0, None, 1), (0, Some(0), 2), (0, None, 1), (1, None, 1)];
        assert_eq!(told(&apart), known);
        // One between the two along the outline joins them.
        let joined = in_patches(&fairway(), passes().chain([pass(coord! {x: 1.0, y: 15.0})]));
        let known = [(0, Some(0), 2), (1, None, 1), (0, None, 3)];
        assert_eq!(told(&joined), known);
    }
}
