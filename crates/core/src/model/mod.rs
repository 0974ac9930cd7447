//! The data every other room shares: quantities, poses, tracks, ground, mower, pattern, mow.
//!
//! Plain values without behaviour beyond what their definition gives.

pub mod ground;
pub mod mow;
pub mod mower;
pub mod pattern;
pub mod pose;
pub mod quantity;
pub mod step;
pub mod task;
pub mod track;
