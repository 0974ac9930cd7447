//! How long the mows of a fairway take to plan, roughly: so that the longest are begun first, and no
//! thread is left with a long one in the end.

use crossgrain_core::Fairway;

/// Ground where no turn is allowed makes turns harder to find: about this many times the work.
const NO_TURN: f64 = 2.0;

/// The effort of one mow of a fairway with a deck of this width, to be compared only.
pub fn effort(fairway: &Fairway, cutting_width_m: f64) -> f64 {
    let driving_m = fairway.ground_m2() / cutting_width_m;
    if fairway.no_turn().0.is_empty() {
        driving_m
    } else {
        NO_TURN * driving_m
    }
}
