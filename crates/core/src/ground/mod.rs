//! Questions about the ground: is it sound, where can a deck reach, which way does it lie.

pub mod barriers;
pub mod centre_line;
pub mod extent;
pub mod fairway;
pub mod faults;
pub mod heading;
pub mod reach;
pub mod rings;
pub mod whereabouts;

pub use fairway::{FairwayBuilder, MAX_VERTICES, as_given, keep_out, shared_m2};
