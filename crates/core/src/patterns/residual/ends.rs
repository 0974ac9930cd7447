//! Ends of passes trimmed where the deck hangs over the rough for little gain.
//!
//! A pass that runs through to a slanting edge cuts rough with one end of the deck while the
//! other end finishes the corner. Often a neighbour cuts that corner anyway. Each end is taken
//! back to where the grass lost and the rough spared balance best.

use super::Ground;
use crate::model::mow::Leg;
use crate::model::track::{Segment, Track};
use crate::swath::gain::Swath;
use crate::swath::lowered::tracks_between;
use crate::work::Work;

// Grass left uncut weighs this much more than rough cut. More would hang whole ends over the
// rough for the last thread; what adds up is touched up afterwards.
const MISSED_WEIGHT: f64 = 2.0;
// Step of the search back from the end, metres.
const STEP_M: f64 = 0.1;
// Most that is taken off an end in one round, metres.
const ROUND_M: f64 = 0.4;
// Rounds: enough for a slanting edge to cross a wide deck.
const MAX_ROUNDS: usize = 16;
// An end with less overrun than this is left alone, square metres.
const MIN_AREA_M2: f64 = 1e-3;

/// Below this overrun, as a fraction of the ground, the ends are left as they are.
pub const OVERRUN_ENOUGH: f64 = 1e-3;

/// An end is laid beside its neighbours: as long as so many turns.
const END_EFFORT: u64 = 5;

/// Trims both ends of every leg from `first` on against what all other legs cut. A leg may be
/// left empty.
pub fn trim_ends(legs: &mut [Leg], first: usize, ground: &Ground<'_>, work: &Work) {
    let units = &ground.mower.units;
    let mut laid = Swath::new(units, ground.reach, &ground.barriers.solid);
    for leg in &*legs {
        laid.add(&leg.tracks);
    }
    let width_m = ground.mower.cutting_width_m();
    // A little at a time all round: two ends that meet in a corner share it, where one taken
    // all the way back would leave the other hanging over the rough.
    for _ in 0..MAX_ROUNDS {
        let mut changed = false;
        for (i, leg) in legs.iter_mut().enumerate().skip(first) {
            for at_start in [true, false] {
                work.spend(END_EFFORT);
                if work.over() {
                    return;
                }
                let end = End::of(&leg.tracks, at_start);
                let Some(back) = best_cut(&end, i, &laid, width_m) else {
                    continue;
                };
                leg.tracks = end.without(back);
                laid.replace(i, &leg.tracks);
                changed = true;
            }
        }
        if !changed {
            break;
        }
    }
}

/// How much to take off, metres, or nothing.
fn best_cut(end: &End, pass: usize, laid: &Swath<'_>, width_m: f64) -> Option<f64> {
    let far = ROUND_M.min(end.total_m);
    let spared = laid.gain(&end.last(far), Some(pass), &[]).rough_m2;
    if spared < MIN_AREA_M2 {
        return None;
    }
    let mut best: Option<(f64, f64)> = None;
    let steps = (far / STEP_M).floor() as usize;
    for k in 1..=steps {
        let back = k as f64 * STEP_M;
        // What the rest of this leg still cuts is not lost.
        let kept = end.between(back, end.total_m.min(back + width_m));
        let off = laid.gain(&end.last(back), Some(pass), &kept);
        let lost = MISSED_WEIGHT * off.grass_m2;
        let gain = off.rough_m2 - lost;
        // The shortest cut that spares as much: what is left serves the neighbours' ends.
        if gain > MIN_AREA_M2 / 2.0 && best.is_none_or(|b| gain > b.0 + MIN_AREA_M2 / 10.0) {
            best = Some((gain, back));
        }
        // Once the grass lost outweighs all the rough there is to spare, no later cut wins.
        if lost > spared {
            break;
        }
    }
    best.map(|b| b.1)
}

/// One end of a leg.
struct End {
    paths: Vec<Segment>,
    total_m: f64,
    at_start: bool,
}

impl End {
    fn of(tracks: &[Track], at_start: bool) -> Self {
        let paths: Vec<Segment> = tracks.iter().map(|t| t.path).collect();
        Self {
            total_m: paths.iter().map(Segment::length_m).sum(),
            paths,
            at_start,
        }
    }

    /// The stretch between two distances from the end, metres.
    fn between(&self, from: f64, to: f64) -> Vec<Track> {
        let (from, to) = if self.at_start {
            (from, to)
        } else {
            (self.total_m - to, self.total_m - from)
        };
        tracks_between(&self.paths, &[(from, to)], from, to)
    }

    fn last(&self, length_m: f64) -> Vec<Track> {
        self.between(0.0, length_m)
    }

    fn without(&self, length_m: f64) -> Vec<Track> {
        self.between(length_m, self.total_m)
    }
}
