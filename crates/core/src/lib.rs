//! Mowing paths for golf fairways: from ground, mower and pattern to a drive.
//!
//! Everything a mower drives is a line or a circular arc ([`model::track`]). A [`Mow`] is one
//! visit to one [`Fairway`]: an ordered chain of tracks with the reels down or up.
//!
//! Inside, lengths are metres, angles radians and times seconds; x points east and y north.
//! Headings are compass degrees clockwise from true north at every interface.

mod bands;
pub mod deck;
pub mod driving;
pub mod ground;
pub mod groundwork;
pub mod guide;
pub mod model;
mod open_cells;
pub mod patterns;
pub mod plan;
pub mod swept;
pub mod work;

pub use model::ground::{Course, Fairway, KeepOut, KeepOutKind};
pub use model::mow::{Leg, Mow, Note, Role};
pub use model::mower::{Mower, Unit};
pub use model::pattern::{Pattern, PatternKind, Sense, Settings};
pub use model::pose::Pose;
pub use model::track::{Arc, Gear, Path, Reels, Track};
pub use plan::{PlanError, plan};
