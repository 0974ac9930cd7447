//! What driving is given: the ground, the mower, where turns may go.

use crate::model::ground::Fairway;
use crate::model::mower::Mower;

/// Where and how the legs may be joined.
#[derive(Debug, Clone, Copy)]
pub struct DriveInput<'a> {
    /// The fairway: its outline, keep-outs and no-turn ground.
    pub fairway: &'a Fairway,
    /// The mower: turning radius, speeds, whether it may reverse.
    pub mower: &'a Mower,
    /// How far a turn may go outside the outline, metres.
    pub margin_m: f64,
    /// Moves turning places from visit to visit to spread wear; 0 leaves them.
    pub turn_shift: u32,
}
