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
// What is taken off an end in one round, metres.
const STEP_M: f64 = 0.1;
// Rounds: enough for a slanting edge to cross a wide deck.
const MAX_ROUNDS: usize = 64;
// A step that gains less than this is not taken, square metres.
const MIN_GAIN_M2: f64 = 5e-4;

/// Below this overrun, as a fraction of the ground, the ends are left as they are.
pub const OVERRUN_ENOUGH: f64 = 1e-3;

/// An end is laid beside its neighbours: as long as so many turns.
const END_EFFORT: u64 = 5;

/// Trims both ends of every leg against what all other legs cut. A leg may be left empty.
pub fn trim_ends(legs: &mut [&mut Leg], ground: &Ground<'_>, work: &Work) {
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
        for (i, leg) in legs.iter_mut().enumerate() {
            for at_start in [true, false] {
                work.spend(END_EFFORT);
                if work.over() {
                    return;
                }
                let end = End::of(&leg.tracks, at_start);
                // What the rest of this leg still cuts is not lost.
                let kept = end.between(STEP_M, STEP_M + width_m);
                let off = laid.gain(&end.between(0.0, STEP_M), Some(i), &kept);
                if off.rough_m2 - MISSED_WEIGHT * off.grass_m2 < MIN_GAIN_M2 {
                    continue;
                }
                leg.tracks = end.between(STEP_M, end.total_m);
                laid.replace(i, &leg.tracks);
                changed = true;
            }
        }
        if !changed {
            break;
        }
    }
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
}
