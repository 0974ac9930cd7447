//! Limits and defaults of a mower file, with their reasons.

/// Most cutting units on one mower.
pub const MAX_UNITS: usize = 32;
/// Farthest a unit may stand from the axle's midpoint, metres.
pub const MAX_UNIT_OFFSET_M: f64 = 15.0;
/// Two units closer than this, fore and aft, would stand in each other where they overlap
/// across, metres. Reels with their rollers are deeper than this (common practice).
pub const UNIT_DEPTH_M: f64 = 0.15;
/// Units that meet edge to edge may miss by this much and still leave no gap, metres.
pub const EDGE_TOLERANCE_M: f64 = 1e-6;
/// Seconds to lift or lower once, where the file does not say (common practice).
pub const DEFAULT_LIFT_LOWER_S: f64 = 1.5;
