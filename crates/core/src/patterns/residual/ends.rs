//! Ends of passes trimmed where the deck hangs over the rough for little gain.
//!
//! A pass that runs through to a slanting edge cuts rough with one end of the deck while the other
//! finishes a corner that often a neighbour cuts anyway. Each end is taken back to where the grass
//! lost and the rough spared balance best.

use super::Ground;
use crate::model::mow::Leg;
use crate::model::track::{Segment, Track};
use crate::swath::gain::Swath;
use crate::swath::lowered::tracks_between;
use crate::work::Work;

// Grass left uncut weighs this much more than rough cut: more would hang ends over for a thread.
const MISSED_WEIGHT: f64 = 2.0;
// What is taken off an end in one round, metres.
const STEP_M: f64 = 0.1;
// Rounds: enough for a slanting edge to cross a wide deck.
const MAX_ROUNDS: usize = 64;
// A step that gains less than this is not taken, square metres.
const MIN_GAIN_M2: f64 = 5e-4;

/// Below this overrun, as a fraction of the ground, ends stay as they are.
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
    // A little at a time all round: two ends that meet in a corner share it.
    for _ in 0..MAX_ROUNDS {
        let mut changed = false;
        for (i, leg) in legs.iter_mut().enumerate() {
            for at_start in [true, false] {
                work.spend(END_EFFORT);
                if work.over() {
                    return;
                }
                let part = |from, to| from_end(&leg.tracks, at_start, from, to);
                // What the rest of this leg still cuts is not lost.
                let kept = part(STEP_M, STEP_M + width_m);
                let off = laid.gain(&part(0.0, STEP_M), Some(i), &kept);
                if off.rough_m2 - MISSED_WEIGHT * off.grass_m2 < MIN_GAIN_M2 {
                    continue;
                }
                leg.tracks = part(STEP_M, f64::INFINITY);
                laid.replace(i, &leg.tracks);
                changed = true;
            }
        }
        if !changed {
            break;
        }
    }
}

/// The stretch between two distances from one end, metres.
fn from_end(tracks: &[Track], at_start: bool, from_m: f64, to_m: f64) -> Vec<Track> {
    let paths: Vec<Segment> = tracks.iter().map(|t| t.path).collect();
    let total_m: f64 = paths.iter().map(Segment::length_m).sum();
    let (from, to) = if at_start {
        (from_m, to_m)
    } else {
        (total_m - to_m, total_m - from_m)
    };
    tracks_between(&paths, &[(from, to)], from, to)
}
