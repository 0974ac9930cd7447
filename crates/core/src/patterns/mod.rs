//! The patterns: each turns ground and deck into legs.

pub mod clean_up;
pub mod contour;
pub mod cross;
pub mod edges;
pub mod half_and_half;
pub mod input;
pub mod lattice;
pub mod layout;
pub mod lines;
pub mod loops;
pub mod residual;
pub mod rings;
pub mod stripes;

use crate::error::PlanError;
use crate::model::pattern::Pattern;
use input::Site;
use layout::Layout;

/// Plans the pattern of `site.settings` on the ground inside the clean-up rings.
///
/// # Errors
/// [`PlanError`] when a setting makes no sense for this mower.
pub fn inside(site: &Site<'_>) -> Result<Layout, PlanError> {
    match site.settings.pattern {
        Pattern::Stripes { heading } => stripes::legs(site, heading),
        Pattern::Cross {
            heading,
            angle_deg,
            sets,
        } => cross::legs(site, heading, angle_deg, sets),
        Pattern::Loops(train) => loops::legs(site, &train),
        Pattern::HalfAndHalf { heading } => half_and_half::legs(site, heading),
        Pattern::Contour { guide } => contour::legs(site, guide),
        Pattern::Rings { sense } => rings::legs(site, sense),
    }
}
