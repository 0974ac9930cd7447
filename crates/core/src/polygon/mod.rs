//! Polygons as sets of points: what they share and leave, offsets, rings put in order.

pub mod offset;
pub mod overlay;
pub(crate) mod ring;
