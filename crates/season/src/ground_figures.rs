//! What a mow leaves on the ground, as far as it says whether the mow is fit to be driven.

use crossgrain_metrics::promises::Broken;

/// What a mow leaves and where it strays, square metres: the figures that say whether it is fit
/// to be driven.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct GroundFigures {
    /// Area of the fairway.
    pub fairway_m2: f64,
    /// Ground the deck can reach.
    pub reach_m2: f64,
    /// Ground within reach that is not cut.
    pub missed_m2: f64,
    /// Rough under lowered reels.
    pub overrun_m2: f64,
    /// The promises of a plan that it breaks.
    pub broken: Vec<Broken>,
}
