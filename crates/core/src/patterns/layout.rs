//! What a pattern lays on the ground.

use crate::model::mow::{Note, UsedSettings};
use crate::model::pattern::Sense;
use crate::model::stage::Stage;

/// What a pattern makes of the ground inside the clean-up rings.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Layout {
    /// Legs, stage by stage.
    pub stages: Vec<Stage>,
    /// The numbers used.
    pub used: UsedSettings,
    /// Direction of the first set of passes, radians counter-clockwise from east.
    pub heading_rad: Option<f64>,
    /// Sense, for patterns that have one.
    pub sense: Option<Sense>,
    /// What the user should know.
    pub notes: Vec<Note>,
}
