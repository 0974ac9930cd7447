//! What was mown: the log of a season that is under way.

use crate::bundles::axis_angle_deg;
use crate::catalogue::{Job, What};
use crate::rules::Rules;
use crate::slots::Kind;
use crossgrain_core::inside::ground::heading::resolve;
use crossgrain_core::inside::model::pattern::{Heading, PatternKind};
use crossgrain_core::inside::model::quantity::compass_deg;
use crossgrain_core::{Fairway, Sense};
use jiff::civil::Date;

/// One visit that took place.
#[derive(Debug, Clone, PartialEq)]
pub struct Done {
    /// When.
    pub date: Date,
    /// Where.
    pub fairway: String,
    /// What was mown.
    pub pattern: PatternKind,
    /// Heading of the first pass or of the lanes, compass degrees.
    pub heading_deg: f64,
    /// Whether the first pass was at the right-hand edge, looking along the heading.
    pub first_pass_right: bool,
    /// Sense of loops or rings.
    pub sense: Option<Sense>,
    /// Sideways shift of the lanes, fraction of their spacing.
    pub lane_shift: Option<f64>,
    /// Clean-up passes.
    pub rings: u32,
    /// Their sense.
    pub clean_up: Option<Sense>,
}

/// Headings this near are one axis, degrees: as near as anybody holds a line.
const SAME_AXIS_DEG: f64 = 0.5;
/// Lane shifts this near are one, fractions of the spacing.
const SAME_SHIFT: f64 = 0.02;

impl Done {
    /// What kind of visit it was.
    pub fn kind(&self) -> Kind {
        match self.pattern {
            PatternKind::Loops => Kind::Loops,
            PatternKind::Cross => Kind::Cross,
            _ => Kind::Regular,
        }
    }

    /// The mow to plan for it: one of `jobs` where there is one like it.
    pub fn job(&self, jobs: &[Job], fairway: &Fairway, index: usize, rules: &Rules) -> Job {
        let heading = |what: What| match what {
            What::Stripes(h) | What::Both(h) | What::Loops(h, _) => {
                Some(compass_deg(resolve(h, fairway).0))
            }
            _ => None,
        };
        let same_axis = |what: What| {
            heading(what).is_some_and(|deg| axis_angle_deg(deg, self.heading_deg) <= SAME_AXIS_DEG)
        };
        let both = self.pattern == PatternKind::Cross && rules.grooming.both_sets;
        let like = |what: What| match (self.pattern, what) {
            (PatternKind::Loops, What::Loops(_, s)) => {
                same_axis(what) && (s - self.lane_shift.unwrap_or(0.0)).abs() <= SAME_SHIFT
            }
            (PatternKind::Stripes, What::Stripes(_)) => same_axis(what),
            (PatternKind::Cross, What::Stripes(_)) => !both && same_axis(what),
            (PatternKind::Cross, What::Both(_)) => both && same_axis(what),
            (kind, What::Other(k)) => kind == k,
            _ => false,
        };
        // Lanes are shifted to the right of their heading, so it matters which way it points.
        let lanes = Heading::Bearing {
            deg: self.heading_deg,
        };
        let bearing = Heading::Bearing {
            deg: self.heading_deg.rem_euclid(180.0),
        };
        jobs.iter()
            .find(|j| j.rings == self.rings && like(j.what))
            .copied()
            .unwrap_or(Job {
                fairway: index,
                what: jobs.iter().map(|j| j.what).find(|w| like(*w)).unwrap_or(
                    match self.pattern {
                        PatternKind::Loops => What::Loops(lanes, self.lane_shift.unwrap_or(0.0)),
                        PatternKind::Cross if both => What::Both(bearing),
                        PatternKind::Stripes | PatternKind::Cross => What::Stripes(bearing),
                        kind => What::Other(kind),
                    },
                ),
                rings: self.rings,
            })
    }

    /// Whether a mow planned at this heading was driven back to front.
    pub fn back(&self, planned_deg: f64) -> bool {
        match self.pattern {
            PatternKind::Loops | PatternKind::Rings => self.sense == Some(Sense::CounterClockwise),
            _ => (self.heading_deg - planned_deg).to_radians().cos() < 0.0,
        }
    }
}
