//! A dated visit, and one that does not take place.

use crate::ground_figures::GroundFigures;
use crate::rules::Sky;
use crate::scalping::Reason;
use crate::slots::{Kind, SlotId};
use crossgrain_core::Sense;
use crossgrain_core::inside::model::pattern::{CrossSets, Ends, PatternKind};
use jiff::civil::{Date, DateTime};

/// One dated visit to one fairway.
#[derive(Debug, Clone, PartialEq)]
pub struct Visit {
    /// Its identity, which a change of day does not change.
    pub slot: SlotId,
    /// When, local time of the course, to the minute.
    pub start: DateTime,
    /// Where.
    pub fairway: String,
    /// What it is for.
    pub kind: Kind,
    /// What is mown.
    pub pattern: PatternKind,
    /// Which sets of a cross cut; none for other patterns.
    pub cross_sets: Option<CrossSets>,
    /// Heading of the first pass, compass degrees; of the lanes of loops, which are the same both
    /// ways: their sense says which way round.
    pub heading_deg: f64,
    /// The same as hours on a clock face with 12 toward the green, from and to, to half an hour.
    pub clock: (f64, f64),
    /// Whether the first pass is at the right-hand edge, looking along the heading; it is at
    /// the left otherwise. So a mow and the one driven the other way use the same lines.
    pub first_pass_right: bool,
    /// Sense of the loops or rings.
    pub sense: Option<Sense>,
    /// Sideways shift of the lanes of loops, fraction of their spacing.
    pub lane_shift: Option<f64>,
    /// Mean loop diameter, metres.
    pub loop_diameter_m: Option<f64>,
    /// Height of cut, metres.
    pub height_m: f64,
    /// Why the height or the pattern is not the regular one.
    pub why: Option<Reason>,
    /// Sense of the clean-up passes; none when there are none.
    pub clean_up: Option<Sense>,
    /// How many clean-up passes.
    pub rings: u32,
    /// Where straight passes end.
    pub ends: Ends,
    /// What it leaves and where it strays.
    pub ground: GroundFigures,
    /// Minutes on the fairway.
    pub minutes: f64,
    /// Metres driven.
    pub distance_m: f64,
    /// Which mower of the crew's, 0 first.
    pub mower: u32,
    /// The day it was moved from, and why.
    pub moved_from: Option<(Date, Sky)>,
    /// Minutes that frost delays the start.
    pub later_min: u32,
    /// It was mown: it stands in the log.
    pub done: bool,
}

impl Visit {
    /// The day.
    pub fn date(&self) -> Date {
        self.start.date()
    }
}

/// A visit that does not take place.
#[derive(Debug, Clone, PartialEq)]
pub struct Cancelled {
    /// Its identity.
    pub slot: SlotId,
    /// Where.
    pub fairway: String,
    /// The day it would have had.
    pub date: Date,
    /// Why.
    pub why: Lost,
}

/// Why a visit does not take place.
#[derive(Debug, Clone, PartialEq)]
pub enum Lost {
    /// The day is closed, and no other is open that week.
    Closed(String),
    /// Frost or rain, and no other day will do.
    Weather(Sky),
}

/// A heading as hours on the clock face of a fairway, from and to, to the nearest half hour.
pub(crate) fn clock_hours(heading_deg: f64, noon_deg: f64) -> (f64, f64) {
    let half_hours = ((heading_deg - noon_deg).rem_euclid(360.0) / 15.0).round() as i64;
    // Half past twelve is 12:30 on a clock, not 0:30.
    let hour = |h: i64| match h.rem_euclid(24) {
        h @ (0 | 1) => 12.0 + h as f64 / 2.0,
        h => h as f64 / 2.0,
    };
    (hour(half_hours + 12), hour(half_hours))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn clock_hours_are_read_on_the_hole() {
        assert_eq!(clock_hours(41.0, 41.0), (6.0, 12.0));
        assert_eq!(clock_hours(131.0, 41.0), (9.0, 3.0));
        assert_eq!(clock_hours(41.0 + 195.0, 41.0), (12.5, 6.5));
        assert_eq!(clock_hours(41.0 - 45.0 + 360.0, 41.0), (4.5, 10.5));
        assert_eq!(clock_hours(41.0 + 180.0, 41.0), (12.0, 6.0));
    }
}
