//! Questions about the ground: is it sound, where can a deck reach, which way does it lie.

pub mod clip;
pub mod offset;
pub mod reach;
