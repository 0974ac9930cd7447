//! Curves that a mower can follow: corners filleted, a guide and its offsets.

pub mod corners;
pub mod fillet;
pub mod guide_curve;
