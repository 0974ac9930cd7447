//! Legs that are driven together.

use crate::model::mow::Leg;

/// Legs that are driven together, before the next stage begins.
#[derive(Debug, Clone, PartialEq)]
pub struct Stage {
    /// The legs.
    pub legs: Vec<Leg>,
    /// Keep the legs in the order given (lanes of loops, rings from the outside in).
    pub in_order: bool,
}
