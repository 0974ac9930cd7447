//! Cross cut: two sets of stripes at an angle, 90 degrees unless asked otherwise.
//!
//! Both sets in one visit, or only the set that crosses the heading given: today's set against
//! the last one's.

use crate::error::PlanError;
use crate::ground::heading::resolve;
use crate::limits::{MAX_CROSS_ANGLE_DEG, MIN_CROSS_ANGLE_DEG, within};
use crate::model::pattern::{CrossSets, Heading};
use crate::patterns::stripes;
use crate::patterns::{Layout, Site};

/// The stripes of a cross cut. The first set is driven before the second begins. [`PlanError`] when
/// the angle is out of its limits or there are too many passes.
pub fn legs(
    site: &Site<'_>,
    heading: Heading,
    angle_deg: f64,
    sets: CrossSets,
) -> Result<Layout, PlanError> {
    let (low, high) = (MIN_CROSS_ANGLE_DEG, MAX_CROSS_ANGLE_DEG);
    let (what, unit) = ("the angle of the cross cut", "degrees");
    let expected = format!("between {low} and {high}, 90 for a plain cross cut");
    within(what, angle_deg, low..=high, unit, expected)?;
    let (first_rad, note) = resolve(heading, site.fairway);
    // Compass angles run clockwise, mathematical ones the other way.
    let second_rad = first_rad - angle_deg.to_radians();
    let headings_rad: &[f64] = match sets {
        CrossSets::Both => &[first_rad, second_rad],
        CrossSets::Crossing => &[second_rad],
    };
    stripes::sets(site, headings_rad, note, site.directions())
}
