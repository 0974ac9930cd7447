//! What a deck cuts: where a path meets ground, how often each point is cut, what is left.

pub(crate) mod boundary;
pub mod contact;
mod coverage;
mod edge;
pub(crate) mod gain;
pub mod lowered;
pub mod places;
mod rows;
mod seam;
pub mod shapes;
mod tile;

pub use boundary::{add_cut, add_swept, is_sound, mown};
pub use coverage::{Coverage, State};
pub use edge::{Edges, Layer};
pub use rows::tally;
