//! The patterns: each turns ground and deck into legs.

pub mod clean_up;
pub mod contour;
pub mod cross;
pub mod edges;
pub mod input;
pub mod lattice;
pub mod layout;
pub mod lines;
pub mod loops;
pub mod residual;
pub mod rings;
pub mod stripes;

use crate::error::PlanError;
use crate::model::pattern::{Guide, Heading, Pattern};
use crate::model::task::Directions;
use input::Site;
use layout::Layout;

/// Plans the pattern of `site.settings` on the ground inside the clean-up rings.
///
/// # Errors
/// [`PlanError`] when a setting makes no sense for this mower.
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
