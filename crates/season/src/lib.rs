//! What a season adds to a mow: heights of cut, rotation, cost.

pub mod heights;
pub mod sizing;
