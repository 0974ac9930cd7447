//! What a deck cuts: where a path meets ground, and what is left.

pub mod bands;
pub mod contact;
pub mod open_cells;
pub mod places;
pub mod swept;
pub mod window;
