//! What is asked of the planner for a mow of the season: the one place where a visit becomes
//! settings.
//!
//! The mows that a season is chosen from, the rows of its programme and the sheets of a day all
//! come through here, so their settings cannot disagree.

use crate::rules::EDGE_RINGS;
use crate::visit::Visit;
use crossgrain_core::inside::model::pattern::{
    CleanUp, CrossSets, Ends, Heading, LoopTrain, PatternKind,
};
use crossgrain_core::{Pattern, Sense, Settings};

/// A mow of the season, as far as the planner is concerned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MowRequest {
    /// The pattern.
    pub pattern: PatternKind,
    /// Direction of the first pass, or of the lanes of loops.
    pub heading: Heading,
    /// Which sets of a cross cut; with one set alone the heading is that set's own.
    pub cross_sets: CrossSets,
    /// Whether the pass at the right-hand edge runs along the heading, looking along it.
    pub first_pass_right: bool,
    /// Sense of loops or rings.
    pub sense: Sense,
    /// Sideways shift of the lanes of loops, fraction of their spacing.
    pub lane_shift: f64,
    /// Smallest and largest mean loop diameter, metres.
    pub loop_diameters_m: (f64, f64),
    /// Clean-up passes.
    pub rings: u32,
    /// Their sense.
    pub clean_up: Sense,
    /// Whether they come before the pattern.
    pub clean_up_before: bool,
    /// Where straight passes end.
    pub ends: Ends,
}

/// Angle between the two sets of a cross cut, degrees.
const CROSS_DEG: f64 = 90.0;

/// Where straight passes end on a visit with so many clean-up passes.
pub fn ends_with(rings: u32) -> Ends {
    if rings == EDGE_RINGS {
        Ends::Edge
    } else {
        Ends::Ring
    }
}

impl MowRequest {
    /// What a dated visit asks.
    pub fn of(v: &Visit) -> Self {
        let diameter_m = v.loop_diameter_m.unwrap_or(0.0);
        Self {
            pattern: v.pattern,
            heading: Heading::Bearing { deg: v.heading_deg },
            cross_sets: v.cross_sets.unwrap_or(CrossSets::Both),
            first_pass_right: v.first_pass_right,
            sense: v.sense.unwrap_or(Sense::Clockwise),
            lane_shift: v.lane_shift.unwrap_or(0.0),
            loop_diameters_m: (diameter_m, diameter_m),
            rings: v.rings,
            clean_up: v.clean_up.unwrap_or(Sense::Clockwise),
            clean_up_before: true,
            ends: v.ends,
        }
    }

    /// The settings.
    pub fn settings(&self) -> Settings {
        let pattern = match self.pattern {
            PatternKind::Cross => Pattern::Cross {
                heading: match (self.cross_sets, self.heading) {
                    // The planner is told what today's set crosses.
                    (CrossSets::Crossing, Heading::Bearing { deg }) => Heading::Bearing {
                        deg: (deg - CROSS_DEG).rem_euclid(360.0),
                    },
                    (_, heading) => heading,
                },
                angle_deg: CROSS_DEG,
                sets: self.cross_sets,
            },
            PatternKind::Loops => {
                let mut train = LoopTrain::new(self.loop_diameters_m.0, self.sense);
                train.diameter_max_m = self.loop_diameters_m.1;
                train.lane_shift = self.lane_shift;
                train.heading = self.heading;
                Pattern::Loops(train)
            }
            // Along the fairway and its bends, as `plan` lays it by default; which way it is driven
            // the first pass tells.
            PatternKind::HalfAndHalf => Pattern::usual(self.pattern),
            kind => Pattern::usual(kind).along(self.heading).round(self.sense),
        };
        let mut settings = Settings::new(pattern);
        settings.clean_up = CleanUp {
            rings: self.rings,
            sense: self.clean_up,
            before: self.clean_up_before,
        };
        settings.ends = self.ends;
        settings.from_right = self.first_pass_right;
        settings
    }
}
