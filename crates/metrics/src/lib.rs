//! What a mow did to a fairway, measured exactly from its tracks.

pub mod capacity;
pub mod circular;
pub mod clip_rate;
pub mod coverage;
pub mod deck_report;
pub mod lattice_gaps;
pub mod lay;
pub mod measures;
pub mod wear;

pub use measures::{Measures, measure};
