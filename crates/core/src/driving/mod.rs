//! Driving: from tasks to steps, in an order, joined by ways that the mower can follow.
//!
//! - [`turns`], [`reversing`]: lines and arcs between two poses on open ground;
//! - [`clearance`], [`arc_reach`], [`visibility`], [`roads`]: the way between two poses that keeps
//!   clear of barred ground;
//! - [`blocks`], [`bridging`], [`rules`], [`circuit`]: what one step is and how it is taken;
//! - [`order`]: which step comes next;
//! - [`drive`]: all of it, from tasks to tracks.

pub mod arc_reach;
pub mod blocks;
pub mod bridging;
pub mod circuit;
pub mod clearance;
pub mod drive;
pub mod input;
pub mod order;
pub mod reversing;
pub mod roads;
pub mod rules;
pub mod steps;
pub mod turns;
pub mod visibility;
