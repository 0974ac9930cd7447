//! What a pattern lays on the ground.

use crate::model::mow::{Note, UsedSettings};
use crate::model::pattern::Sense;
use crate::model::task::Task;
use crate::patterns::clean_up::Circuit;
use geo_types::MultiPolygon;

/// What a pattern makes of the ground inside the clean-up rings.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Layout {
    /// What is to be done, in no order but that of the phases.
    pub tasks: Vec<Task>,
    /// Further rounds along edges, to be driven with the clean-up passes there.
    pub rounds: Vec<Circuit>,
    /// What it leaves of the uncut ground, where it has looked.
    pub left: Option<MultiPolygon<f64>>,
    /// The numbers used.
    pub used: UsedSettings,
    /// Direction of the first set of passes, radians counter-clockwise from east.
    pub heading_rad: Option<f64>,
    /// Sense, for patterns that have one.
    pub sense: Option<Sense>,
    /// What the user should know.
    pub notes: Vec<Note>,
}

/// The phase of a task, beside those of other tasks on the same part of the fairway. Clean-up
/// passes come first, unless the pattern is to come before them.
pub const CIRCUITS_FIRST: u32 = 0;
/// The pattern's first tasks; each further set or ring comes one later.
pub const PATTERN: u32 = 10;
/// What is left at last.
pub const PATCHES: u32 = 2_000_000;
/// Clean-up passes after all else.
pub const CIRCUITS_LAST: u32 = 3_000_000;
