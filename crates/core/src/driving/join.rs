//! A way between two poses with the reels up, and the best of those that are tried.

use crate::driving::arc_reach::Need;
use crate::model::track::{Segment, Track};
use geo_types::Coord;

/// A turn whose deck comes near barred ground is taken only if it saves more than this, metres.
pub(super) const NEAR_M: f64 = 12.0;
/// A change of gear counts as this many metres when turns are compared: stopping, shifting and
/// moving off take about two seconds at turning speed (from memory).
pub(super) const GEAR_CHANGE_M: f64 = 2.5;

/// A way from one pose to another with the reels up.
#[derive(Debug, Clone, PartialEq)]
pub struct Join {
    /// Lines and arcs in the order of travel.
    pub tracks: Vec<Track>,
    /// Length, metres.
    pub length_m: f64,
    /// What it counts as when orders are compared, metres: the length, and more where it is
    /// not legal.
    pub cost_m: f64,
    /// Whether it keeps to the turning ground.
    pub way: Way,
    /// Whether it backs up although the mower is not set to reverse: no forward turn fits.
    pub backs_up: bool,
}

/// What a join is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// It keeps to the turning ground.
    Legal,
    /// It keeps off barred ground but leaves the margin of the outline.
    BeyondMargin,
    /// None was found that keeps off barred ground; there are no tracks.
    None,
}

/// How hard to look for a legal join.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Search {
    /// Enough to compare orders.
    Compare,
    /// Everything, for a join that is going to be driven.
    Drive,
}

/// A turn with its standing, while the best is sought.
pub(super) struct Candidate {
    pub(super) tracks: Vec<Track>,
    pub(super) length_m: f64,
    // Length, changes of gear and nearness to barred ground.
    pub(super) weight_m: f64,
}

/// The best legal candidate so far and the best that only leaves the margin.
#[derive(Default)]
pub(super) struct Best {
    pub(super) clear: Option<Candidate>,
    pub(super) beyond: Option<Candidate>,
}

impl Best {
    pub(super) fn limit(&self) -> f64 {
        self.clear.as_ref().map_or(f64::INFINITY, |c| c.weight_m)
    }

    /// What a turn of at least this weight must have to better the best.
    pub(super) fn need(&self, least_m: f64) -> Need {
        match &self.clear {
            None => Need::Any,
            Some(c) if least_m + NEAR_M >= c.weight_m => Need::Roomy,
            Some(_) => Need::Legal,
        }
    }

    /// Nothing better can turn up: the turn is legal and has room for the deck.
    pub(super) fn settled(&self) -> bool {
        let c = self.clear.as_ref();
        c.is_some_and(|c| c.weight_m < c.length_m + NEAR_M)
    }
}

pub(super) fn push_line(tracks: &mut Vec<Track>, from: Coord<f64>, to: Coord<f64>) {
    if from != to {
        tracks.push(Track::up(Segment::Line { from, to }));
    }
}
