//! What a plan promises: one set of bounds, read by the command, the tests and the README.
//!
//! A mow that breaks one of them needs a person's eyes before it is driven. Backing up, ground
//! left for a smaller machine, and names to be confirmed are no broken promises.

use crate::model::mower::Mower;

/// Ground missed in one place, square metres: any place that is seen ([`crate::swath::places`]).
pub const MISSED_PLACE_M2: f64 = crate::limits::MIN_PLACE_M2;
/// Ground missed altogether by a plain deck, as a part of the reach.
pub const MISSED_PART_BAR: f64 = 5e-4;
/// Ground missed altogether by several cutting units, as a part of the reach: their overlaps
/// open by a hair on every arc.
pub const MISSED_PART_UNITS: f64 = 1e-3;
/// Ground of keep-outs under a lowered reel, square metres. None is allowed; this is what the
/// measure itself may be off by.
pub const KEEP_OUT_CUT_M2: f64 = 0.01;
/// Way over keep-outs with the reels up, metres. None is allowed; this is the rounding of edges.
pub const KEEP_OUT_CROSSED_M: f64 = 0.05;

/// The part of the reach that may be missed altogether.
///
/// ```
/// use crossgrain_core::Mower;
/// use crossgrain_core::inside::promises;
/// assert_eq!(promises::missed_part(&Mower::bar(2.54)), 5e-4);
/// ```
pub fn missed_part(mower: &Mower) -> f64 {
    if mower.units.len() > 1 {
        MISSED_PART_UNITS
    } else {
        MISSED_PART_BAR
    }
}
