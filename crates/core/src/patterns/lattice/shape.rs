//! The shape of one loop and of the heights that a lane of such loops cuts without a gap.

use crate::model::pattern::LoopForm;
use std::f64::consts::PI;

/// One loop of a train, told apart from its neighbours only by the advance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LoopShape {
    /// How the loop is closed.
    pub form: LoopForm,
    /// Mean diameter, metres.
    pub diameter_m: f64,
    /// Advance per loop, metres.
    pub advance_m: f64,
}

impl LoopShape {
    /// Radius of the half-circle forward, metres. For a roll, of the whole circle.
    #[doc(hidden)]
    pub fn wide_radius_m(&self) -> f64 {
        match self.form {
            LoopForm::Drift => self.diameter_m / 2.0 + self.advance_m / 4.0,
            LoopForm::Roll => self.diameter_m / 2.0,
        }
    }

    /// Radius of the half-circle back, metres: the tightest arc of the loop.
    pub fn tight_radius_m(&self) -> f64 {
        match self.form {
            LoopForm::Drift => self.diameter_m / 2.0 - self.advance_m / 4.0,
            LoopForm::Roll => self.diameter_m / 2.0,
        }
    }

    /// Distance driven in one loop, metres.
    #[doc(hidden)]
    pub fn length_m(&self) -> f64 {
        match self.form {
            LoopForm::Drift => PI * self.diameter_m,
            LoopForm::Roll => PI * self.diameter_m + self.advance_m,
        }
    }

    /// The same loop with another advance: the operator keeps the mean diameter.
    #[doc(hidden)]
    pub fn with_advance(&self, advance_m: f64) -> Self {
        Self { advance_m, ..*self }
    }
}

/// A contiguous range of heights across the lane at which every position along it is cut.
///
/// Heights are metres from the lane's axis, positive toward the returning half of the loop:
/// to the left of the lane for counter-clockwise loops.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band {
    /// Lowest height, metres.
    pub low_m: f64,
    /// Highest height, metres.
    pub high_m: f64,
}

impl Band {
    /// Its height, metres.
    pub fn height_m(&self) -> f64 {
        self.high_m - self.low_m
    }
}
