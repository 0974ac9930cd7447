//! Driving: turns, routes round keep-outs, the order of the legs.
//!
//! [`drive`] takes the legs of a mow in stages (clean-up passes, then the pattern, then
//! touch-ups, say), chooses an order and a direction for each leg, and joins them with turns
//! that the mower can follow.

use crate::model::ground::Fairway;
use crate::model::mow::{Leg, Note, PlacedLeg};
use crate::model::mower::Mower;
use crate::model::track::Track;
use geo_types::Coord;

/// Legs that are driven together, before the next stage begins.
#[derive(Debug, Clone, PartialEq)]
pub struct Stage {
    /// The legs.
    pub legs: Vec<Leg>,
    /// Keep the legs in the order given (lanes of loops, rings from the outside in).
    pub in_order: bool,
}

/// Where and how the legs may be joined.
#[derive(Debug, Clone, Copy)]
pub struct Yard<'a> {
    /// The fairway: its outline, keep-outs and no-turn ground.
    pub fairway: &'a Fairway,
    /// The mower: turning radius, speeds, whether it may reverse.
    pub mower: &'a Mower,
    /// How far a turn may go outside the outline, metres.
    pub margin_m: f64,
    /// Where the mower comes in; by default the tee side.
    pub way_in: Option<Coord<f64>>,
    /// Moves turning places from visit to visit to spread wear; 0 leaves them.
    pub turn_shift: u32,
}

/// A finished drive.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Drive {
    /// All tracks, end to end, joins included.
    pub tracks: Vec<Track>,
    /// Which tracks are which leg.
    pub legs: Vec<PlacedLeg>,
    /// What the user should know.
    pub notes: Vec<Note>,
    /// Lower bound on the reels-up distance of any order of these legs, metres.
    pub turn_floor_m: f64,
}

/// Orders the legs stage by stage and joins them with turns.
pub fn drive(stages: Vec<Stage>, yard: &Yard<'_>) -> Drive {
    let _ = (stages, yard);
    Drive::default()
}
