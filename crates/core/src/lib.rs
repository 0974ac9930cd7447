//! Mowing paths for golf fairways: from ground, mower and pattern to a drive.
//!
//! Everything a mower drives is a line or a circular arc ([`model::track`]). A [`Mow`] is one
//! visit to one [`Fairway`]: an ordered chain of tracks with the reels down or up.
//!
//! Inside, lengths are metres, angles radians and times seconds; x points east and y north.
//! Headings are compass degrees clockwise from true north at every interface.

mod curve;
mod deck;
mod driving;
mod error;
mod ground;
pub mod guide;
#[doc(hidden)]
pub mod inside;
mod limits;
mod model;
mod patterns;
mod plan;
#[cfg(feature = "lonlat")]
mod plane;
mod planner;
mod polygon;
mod promises;
#[cfg(feature = "serde")]
mod stored;
mod swath;
mod work;

/// What most programs need, in one import.
pub mod prelude {
    pub use crate::ground::builder::FairwayBuilder;
    pub use crate::ground::faults::Faults;
    pub use crate::{
        Fairway, Heading, KeepOutKind, LoopTrain, Mow, Mower, Pattern, PlanError, Sense, Settings,
        plan,
    };
}

pub use error::PlanError;
pub use ground::builder::FairwayBuilder;
pub use ground::faults::{Fault, Faults, Place, Repair, ShapeRole};
pub use model::ground::{Course, Fairway, KeepOut, KeepOutKind};
pub use model::mow::{Leg, Mow, Note, PlacedLeg, Role, UsedSettings};
pub use model::mower::{CuttingUnit, Mower, Reel, Speeds};
pub use model::pattern::{
    CleanUp, CrossSets, Ends, Guide, Heading, LoopForm, LoopTrain, Pattern, PatternKind, Sense,
    Settings, Spacing,
};
pub use model::pose::Pose;
pub use model::step::{Side, Step, StepKind, StepRule};
pub use model::track::{CircularArc, Gear, Reels, Segment, Track};
pub use plan::plan;
#[cfg(feature = "lonlat")]
pub use plane::{LonLat, Plane};
pub use planner::Groundwork;
