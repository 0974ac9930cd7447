//! What every pattern is given: the ground to cover and what must not be cut.

use crate::ground::barriers::Barriers;
use crate::model::ground::Fairway;
use crate::model::mow::UsedSettings;
use crate::model::mower::Mower;
use crate::model::pattern::Settings;
use crate::model::task::Directions;
use crate::swath::contact::Prepared;
use crate::swath::lowered::LaidOver;
use crate::work::Work;
use geo_types::MultiPolygon;

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
