//! What one fairway has of its season: lay and cost, and how near the bound they are.

use crate::cost::Cost;
use crate::grain::LayFigures;
use crate::reasons::Reason;

/// Lay and cost of one fairway's season.
#[derive(Debug, Clone, PartialEq)]
pub struct FairwayLay {
    /// Where.
    pub fairway: String,
    /// Its area, square metres.
    pub area_m2: f64,
    /// R1 and R2 per cell on the last day.
    pub lay: LayFigures,
    /// Cost.
    pub cost: Cost,
    /// What the choice of headings minimised here: see [`crate::choice::spread`].
    pub objective: f64,
    /// No choice within these hours has a lower objective; none with a half-life.
    pub objective_bound: Option<f64>,
    /// No choice within these hours has a lower mean R2; none with a half-life.
    pub r2_mean_bound: Option<f64>,
    /// Mean R2 over any 28 days, averaged by week.
    pub r2_28_days: f64,
    /// The same of the published clock rotation with the same loops.
    pub clock_rotation_28_days: f64,
    /// Well separated directions that a cell is cut from within 28 days: mean, and what 95% of
    /// the ground has at least.
    pub directions_28_days: (f64, f64),
    /// Why it stays above [`crate::reasons::HIGH_R2`], when it does.
    pub reason: Option<Reason>,
}
