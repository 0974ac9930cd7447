//! Ends of passes trimmed where the deck hangs over the rough for little gain.
//!
//! A pass that runs through to a slanting edge cuts rough with one end of the deck while the
//! other end finishes the corner. Often a neighbour cuts that corner anyway. Each end is taken
//! back to where the grass lost and the rough spared balance best.

use crate::ground::barriers::Barriers;
use crate::model::mow::Leg;
use crate::model::mower::Mower;
use crate::model::track::{Path, Track};
use crate::polygon::overlay::Overlay;
use crate::swath::contact::tracks_between;
use crate::swath::swept::{swept_area, swept_pieces, without_swept};
use crate::swath::window::within;
use crate::work::Work;
use geo::{Area, BoundingRect, Intersects};
use geo_types::{Coord, MultiPolygon, Rect};

// Grass left uncut weighs this much more than rough cut. More would hang whole ends over the
// rough for the last thread; what adds up is touched up afterwards.
const MISSED_WEIGHT: f64 = 2.0;
// Step of the search back from the end, metres.
const STEP_M: f64 = 0.1;
// Most that is taken off an end in one round, metres.
const ROUND_M: f64 = 0.4;
// Rounds: enough for a slanting edge to cross a wide deck.
const MOST_ROUNDS: usize = 16;
// An end with less overrun than this is left alone, square metres.
const SMALLEST_M2: f64 = 1e-3;
// Ground farther than this from an end is not looked at, metres: beyond rounding.
const AROUND_M: f64 = 0.1;
// Flattening of arcs, metres.
const LOOK_M: f64 = 0.002;

/// Below this overrun, as a fraction of the ground, the ends are left as they are.
pub const OVERRUN_ENOUGH: f64 = 1e-3;

/// An end is clipped against its neighbours: as long as so many turns.
const END_STEPS: u64 = 5;
/// So many pairs of pieces are merged in the time of one turn.
const CROSSINGS_A_STEP: u64 = 20;

/// Trims both ends of every leg from `first` on against what all other legs cut. A leg may be
/// left empty.
pub fn trim_ends(
    legs: &mut [Leg],
    first: usize,
    mower: &Mower,
    barriers: &Barriers,
    reach: &MultiPolygon<f64>,
    work: &Work,
) {
    let trim = Trim {
        mower,
        barriers,
        reach,
        work,
    };
    let mut boxes: Vec<Vec<Option<Rect<f64>>>> =
        legs.iter().map(|l| boxed(&l.tracks, mower)).collect();
    // A little at a time all round: two ends that meet in a corner share it, where one taken
    // all the way back would leave the other hanging over the rough.
    for _ in 0..MOST_ROUNDS {
        let mut changed = false;
        for i in first..legs.len() {
            for at_start in [true, false] {
                let Some(back) = best_cut(i, at_start, legs, &boxes, &trim) else {
                    continue;
                };
                legs[i].tracks = without_end(&legs[i].tracks, back, at_start);
                boxes[i] = boxed(&legs[i].tracks, mower);
                changed = true;
            }
        }
        if !changed {
            break;
        }
    }
}

/// What ends are trimmed against.
struct Trim<'a> {
    mower: &'a Mower,
    barriers: &'a Barriers,
    reach: &'a MultiPolygon<f64>,
    work: &'a Work,
}

/// The box of what each track cuts.
fn boxed(tracks: &[Track], mower: &Mower) -> Vec<Option<Rect<f64>>> {
    let cut = |t: &Track| MultiPolygon(swept_pieces(&[*t], &mower.units, LOOK_M));
    tracks.iter().map(|t| cut(t).bounding_rect()).collect()
}

/// How much to take off, metres, or nothing.
fn best_cut(
    i: usize,
    at_start: bool,
    legs: &[Leg],
    boxes: &[Vec<Option<Rect<f64>>>],
    trim: &Trim<'_>,
) -> Option<f64> {
    let mower = trim.mower;
    let tracks = &legs[i].tracks;
    let total: f64 = tracks.iter().map(|t| t.path.length_m()).sum();
    let far = ROUND_M.min(total);
    let end = |back: f64| -> Vec<Track> {
        if at_start {
            stretch(tracks, 0.0, back)
        } else {
            stretch(tracks, total - back, total)
        }
    };
    let driven = end(far);
    // Merging takes the longer the more pieces cross each other.
    let crossing = (driven.len() * mower.units.len()).pow(2) as u64;
    trim.work.spend(END_STEPS + crossing / CROSSINGS_A_STEP);
    if trim.work.over() {
        return None;
    }
    let whole = swept_area(&driven, &mower.units, LOOK_M);
    let bounds = whole.bounding_rect()?;
    let around = Coord {
        x: AROUND_M,
        y: AROUND_M,
    };
    let window = Rect::new(bounds.min() - around, bounds.max() + around);
    let spared = whole.difference(&within(&trim.barriers.solid, &window));
    if spared.unsigned_area() < SMALLEST_M2 {
        return None;
    }
    let near: Vec<Track> = legs
        .iter()
        .zip(boxes)
        .enumerate()
        .filter(|(j, _)| *j != i)
        .flat_map(|(_, (l, b))| l.tracks.iter().zip(b))
        .filter(|(_, b)| b.is_some_and(|b| b.intersects(&bounds)))
        .map(|(t, _)| *t)
        .collect();
    let only_here = without_swept(
        &whole.intersection(&within(trim.reach, &window)),
        &near,
        &mower.units,
        LOOK_M,
    );
    let mut best: Option<(f64, f64)> = None;
    let steps = (far / STEP_M).floor() as usize;
    for k in 1..=steps {
        let back = k as f64 * STEP_M;
        let off = swept_area(&end(back), &mower.units, LOOK_M);
        // What the rest of this leg still cuts is not lost.
        let kept = if at_start {
            stretch(tracks, back, total.min(back + mower.cutting_width_m()))
        } else {
            let from = (total - back - mower.cutting_width_m()).max(0.0);
            stretch(tracks, from, total - back)
        };
        let lost = without_swept(&off.intersection(&only_here), &kept, &mower.units, LOOK_M)
            .unsigned_area();
        let gain = off.intersection(&spared).unsigned_area() - MISSED_WEIGHT * lost;
        // The shortest cut that spares as much: what is left serves the neighbours' ends.
        if gain > SMALLEST_M2 / 2.0 && best.is_none_or(|b| gain > b.0 + SMALLEST_M2 / 10.0) {
            best = Some((gain, back));
        }
        // Once the grass lost outweighs all the rough there is to spare, no later cut wins.
        if MISSED_WEIGHT * lost > spared.unsigned_area() {
            break;
        }
    }
    best.map(|b| b.1)
}

fn stretch(tracks: &[Track], from: f64, to: f64) -> Vec<Track> {
    let paths: Vec<Path> = tracks.iter().map(|t| t.path).collect();
    tracks_between(&paths, &[(from, to)], from, to)
}

fn without_end(tracks: &[Track], back: f64, at_start: bool) -> Vec<Track> {
    let total: f64 = tracks.iter().map(|t| t.path.length_m()).sum();
    if at_start {
        stretch(tracks, back, total)
    } else {
        stretch(tracks, 0.0, total - back)
    }
}
