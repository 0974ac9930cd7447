#![doc = include_str!("../README.md")]
//!
//! # The shape of it
//!
//! Inside, lengths are metres, angles radians and times seconds; x points east and y north.
//! Headings are compass degrees clockwise from true north at every interface.
//!
//! [`Fairway::builder`] makes ground, [`Mower::bar`] or [`Mower::of_units`] a mower,
//! [`Settings::new`] everything that is asked, [`plan`] the [`Mow`]. Several mows of one fairway share
//! their [`Groundwork`]. What a drive leaves, cuts twice or takes is measured by `crossgrain-metrics`.
//! The patterns are told one by one in the [`guide`].

mod curve;
mod deck;
#[cfg(test)]
mod drawn;
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
    pub use crate::{
        Fairway, FairwayBuilder, Faults, Heading, KeepOutKind, LoopTrain, Mow, Mower, Pattern,
        PlanError, Sense, Settings, plan,
    };
}

pub use error::PlanError;
pub use ground::FairwayBuilder;
pub use ground::faults::{Fault, Faults, Located, Location, Repair, ShapeRole};
pub use model::ground::{Course, Fairway, KeepOut, KeepOutKind};
pub use model::mow::{Mow, MowParts, Note, PlacedLeg, Role, UsedSettings};
pub use model::mower::{CuttingUnit, Mower, Reel, Speeds};
pub use model::pattern::{
    CleanUp, CrossSets, Ends, Guide, Heading, LoopForm, LoopTrain, Pattern, PatternKind, Sense,
    Settings, Spacing,
};
pub use model::pose::Pose;
pub use model::quantity::UnitSystem;
pub use model::step::{Side, Step, StepKind, StepRule};
pub use model::track::{CircularArc, Gear, Reels, Segment, Track};
pub use patterns::lattice::{Lattice, LoopShape, solve as loop_lattice};
pub use plan::plan;
#[cfg(feature = "lonlat")]
pub use plane::{LonLat, Plane};
pub use planner::Groundwork;
pub use work::Stop;
