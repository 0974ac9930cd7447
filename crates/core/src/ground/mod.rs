//! Questions about the ground: is it sound, where can a deck reach, which way does it lie.

pub mod centre_line;
pub mod clip;
pub mod fairway;
pub mod faults;
pub mod guide_line;
pub mod heading;
pub mod offset;
pub mod overlay;
pub mod reach;
mod ring;
pub mod rounding;
pub(crate) mod window;

pub use fairway::{FairwayParts, MAX_VERTICES, fairway, keep_out, shared_m2};
pub use faults::{Fault, Place, Repair, Shape};
