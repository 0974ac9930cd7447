//! Driving: from tasks to steps, in an order, joined by ways that the mower can follow.
//!
//! - [`turns`]: lines and arcs between two poses on open ground;
//! - [`distance_field`], [`clearance`], [`visibility`], [`enclosures`]: what is in the way;
//! - [`roads`], with `seeking`: the join of two poses that keeps clear of it;
//! - [`blocks`], [`bridging`], [`rules`], [`circuit`], [`steps`]: what a step is, how it is taken;
//! - [`order`]: which step comes next;
//! - [`drive`]: all of it, from tasks to tracks.

pub mod blocks;
pub mod bridging;
pub mod circuit;
pub mod clearance;
pub mod distance_field;
pub mod drive;
pub mod enclosures;
pub mod order;
pub mod roads;
pub mod rules;
pub mod seeking;
pub mod steps;
pub mod turns;
pub mod visibility;

use crate::model::ground::Fairway;
use crate::model::mower::Mower;

/// What driving is given: the ground, the mower, where turns may go.
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
