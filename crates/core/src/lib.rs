//! Mowing paths for golf fairways: from ground, mower and pattern to a drive.
//!
//! Everything a mower drives is a line or a circular arc ([`model::track`]). A [`Mow`] is one
//! visit to one [`Fairway`]: an ordered chain of tracks with the reels down or up.
//!
//! Inside, lengths are metres, angles radians and times seconds; x points east and y north.
//! Headings are compass degrees clockwise from true north at every interface.

pub mod curve;
pub mod deck;
pub mod driving;
pub mod error;
pub mod ground;
pub mod guide;
pub mod limits;
pub mod model;
pub mod patterns;
pub mod plan;
pub mod planner;
pub mod polygon;
pub mod promises;
pub mod swath;
pub mod work;

pub use error::PlanError;
pub use model::ground::{Course, Fairway, KeepOut, KeepOutKind};
pub use model::mow::{Leg, Mow, Note, Role};
pub use model::mower::{CuttingUnit, Mower};
pub use model::pattern::{Pattern, PatternKind, Sense, Settings};
pub use model::pose::Pose;
pub use model::step::{Side, Step, StepKind, StepRule};
pub use model::track::{CircularArc, Gear, Reels, Segment, Track};
pub use plan::plan;
