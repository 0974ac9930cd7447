//! Questions about the ground: is it sound, where can a deck reach, which way does it lie.

pub mod barriers;
pub mod centre_line;
pub mod fairway;
pub mod faults;
pub mod heading;
pub mod reach;
pub mod whereabouts;

pub use fairway::{FairwayParts, MAX_VERTICES, fairway, keep_out, shared_m2};
pub use faults::{Fault, Place, Repair, ShapeRole};
