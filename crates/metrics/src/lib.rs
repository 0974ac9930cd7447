//! What a mow did to a fairway, measured exactly from its tracks.

pub mod measures;

pub use measures::Measures;
