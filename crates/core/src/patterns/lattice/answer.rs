//! A lattice of loops that leaves nothing, and what it costs.

use crate::model::mower::Mower;
use crate::model::pattern::Sense;
use crate::patterns::lattice::shape::{Band, LoopShape};

/// A lattice of loops that leaves nothing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lattice {
    /// The loop.
    pub shape: LoopShape,
    /// Which way round.
    pub sense: Sense,
    /// Widest lane spacing, metres: the height of the full band.
    pub lane_spacing_m: f64,
    /// The full band to the left of the lane's axis, looking along the lane, metres.
    pub left_m: f64,
    /// The full band to the right of the axis, metres.
    pub right_m: f64,
    /// Mean number of cuts: cutting width x loop length / (advance x lane spacing).
    pub mean_cuts: f64,
}

impl Lattice {
    pub(super) fn new(shape: LoopShape, band: Band, sense: Sense, width_m: f64) -> Self {
        let (left_m, right_m) = match sense {
            Sense::CounterClockwise => (band.high_m, -band.low_m),
            Sense::Clockwise => (-band.low_m, band.high_m),
        };
        Self {
            shape,
            sense,
            lane_spacing_m: band.height_m(),
            left_m,
            right_m,
            mean_cuts: cost(&shape, width_m, band.height_m()),
        }
    }

    /// Speed of the outermost cut edge over that of the innermost on the tightest arc.
    /// Infinite when the inner edge stands still.
    pub fn speed_ratio(&self, mower: &Mower) -> f64 {
        let r = self.shape.tight_radius_m();
        let (inner, outer) = match self.sense {
            Sense::CounterClockwise => (r - mower.left_m(), r - mower.right_m()),
            Sense::Clockwise => (r + mower.right_m(), r + mower.left_m()),
        };
        if inner > 0.0 {
            outer / inner
        } else {
            f64::INFINITY
        }
    }
}

pub(super) fn cost(shape: &LoopShape, width_m: f64, spacing_m: f64) -> f64 {
    width_m * shape.length_m() / (shape.advance_m * spacing_m)
}
