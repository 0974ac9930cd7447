//! A way between two poses with the reels up, and the best of those that are tried.

use crate::model::track::{Gear, Segment, Track};
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
    /// What it counts as when orders are compared, metres: the length, and more where it is
    /// not legal.
    pub cost_m: f64,
    /// Whether it keeps to the turning ground.
    pub way: Way,
}

/// What a join is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// It keeps to the turning ground.
    Legal,
    /// So it does, but it backs up although the mower is not set to reverse: no forward turn fits.
    BacksUp,
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
    // Whether the deck comes near barred ground.
    pub(super) near: bool,
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

    /// Nothing better can turn up: the turn is legal and has room for the deck.
    pub(super) fn settled(&self) -> bool {
        self.clear.as_ref().is_some_and(|c| !c.near)
    }
}

/// The straight between two places, if there is one; backing up where it is below zero metres long.
pub(super) fn straight(from: Coord<f64>, to: Coord<f64>, by_m: f64) -> Option<Track> {
    let gear = if by_m < 0.0 {
        Gear::Reverse
    } else {
        Gear::Forward
    };
    let path = Segment::Line { from, to };
    (from != to).then_some(Track {
        gear,
        ..Track::up(path)
    })
}
