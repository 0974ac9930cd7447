//! What a deck cuts: where a path meets ground, how often each point is cut, what is left.

mod border;
pub(crate) mod boundary;
pub mod contact;
mod edge;
pub(crate) mod gain;
pub mod lowered;
pub mod places;
mod rows;
mod seam;
pub mod shapes;
mod sweep;
mod tally;
mod tile;

pub use boundary::{add_cut, add_swept};
pub use edge::{Edges, Layer};
pub use sweep::tally;
pub use tally::{State, Tally};
