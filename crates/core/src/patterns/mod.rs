//! The patterns: each turns ground and deck into legs.

pub mod clean_up;
pub mod contour;
pub mod cross;
pub mod edges;
pub mod lattice;
pub mod lines;
pub mod loops;
pub mod residual;
pub mod rings;
pub mod stripes;

use crate::error::PlanError;
use crate::ground::barriers::Barriers;
use crate::model::ground::Fairway;
use crate::model::mow::{Note, UsedSettings};
use crate::model::mower::Mower;
use crate::model::pattern::{Guide, Heading, Pattern, Sense, Settings};
use crate::model::task::{Directions, Task};
use crate::swath::contact::Prepared;
use crate::swath::lowered::LaidOver;
use crate::work::Work;
use clean_up::Circuit;
use geo_types::MultiPolygon;

/// Plans the pattern of `site.settings` on the ground inside the clean-up rings; [`PlanError`] when
/// a setting makes no sense for this mower.
pub fn inside(site: &Site<'_>) -> Result<Layout, PlanError> {
    match site.settings.pattern {
        Pattern::Stripes { heading } => stripes::legs(site, heading, site.directions()),
        Pattern::Cross {
            heading,
            angle_deg,
            sets,
        } => cross::legs(site, heading, angle_deg, sets),
        Pattern::Loops(train) => loops::legs(site, &train),
        // With straight passes a dogleg would have one half at its ends and the other in its bend,
        // and most of the way between them would be driven with the reels up.
        Pattern::HalfAndHalf {
            heading: Heading::Along,
        } => contour::legs(site, Guide::CentreLine, Directions::Halves),
        Pattern::HalfAndHalf { heading } => stripes::legs(site, heading, Directions::Halves),
        Pattern::Contour { guide } => contour::legs(site, guide, site.directions()),
        Pattern::Rings { sense } => rings::legs(site, sense),
    }
}

/// The ground a pattern works on.
#[derive(Debug, Clone)]
pub struct Site<'a> {
    /// The fairway.
    pub fairway: &'a Fairway,
    /// The mower.
    pub mower: &'a Mower,
    /// All that was asked.
    pub settings: &'a Settings,
    /// The ground the pattern must cover: what lies inside the clean-up rings, widened so that
    /// it overlaps the innermost ring by the overlap. Without clean-up passes, the reach.
    pub inside: &'a MultiPolygon<f64>,
    /// The part of the ground that the deck can reach.
    pub within: &'a MultiPolygon<f64>,
    /// The reach without what the clean-up passes cut.
    pub uncut: &'a MultiPolygon<f64>,
    /// Places that the clean-up passes leave outside of that, at corners.
    pub corners: &'a Prepared,
    /// Where no reel may be down.
    pub barriers: &'a Barriers,
    /// The work on this mow, counted.
    pub work: &'a Work,
}

impl Site<'_> {
    /// Which way lines are driven: every second one back, unless that is released. Turned round,
    /// units ahead of the axle would lower and lift at other places.
    pub fn directions(&self) -> Directions {
        if !self.settings.keep_directions && self.mower.same_both_ways() {
            Directions::Free
        } else {
            Directions::Alternate
        }
    }

    /// From the axle's midpoint to the deck's middle, metres to the left.
    pub fn middle_m(&self) -> f64 {
        (self.mower.left_m() + self.mower.right_m()) / 2.0
    }

    /// From pass to pass with the overlap that was asked for, metres.
    pub fn spacing_m(&self) -> f64 {
        self.mower.cutting_width_m() - self.settings.overlap_m
    }

    /// The numbers of parallel passes so far apart, metres.
    pub fn used(&self, spacing_m: f64) -> UsedSettings {
        UsedSettings {
            spacing_m: Some(spacing_m),
            overlap_m: self.mower.cutting_width_m() - spacing_m,
            ..UsedSettings::default()
        }
    }

    /// What a line over `wanted` ground is laid over.
    pub fn laid<'a>(&'a self, wanted: &'a Prepared) -> LaidOver<'a> {
        LaidOver {
            wanted,
            corners: self.corners,
            barred: &self.barriers.prepared,
            rough: &self.barriers.rough,
        }
    }
}

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
