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
use crate::ground::heading::resolve;
use crate::model::mow::UsedSettings;
use crate::model::pattern::Pattern;
use input::Site;
use layout::Layout;

/// Plans the pattern of `site.settings` on the ground inside the clean-up rings.
///
/// # Errors
/// [`PlanError`] when a setting makes no sense for this mower.
pub fn inside(site: &Site<'_>) -> Result<Layout, PlanError> {
    match site.settings.pattern {
        Pattern::Stripes { heading } => {
            let (heading_rad, note) = resolve(heading, site.fairway);
            let set = stripes::set(site, heading_rad, 0, site.directions())?;
            Ok(Layout {
                tasks: set.tasks,
                rounds: Vec::new(),
                left: None,
                used: UsedSettings {
                    spacing_m: Some(set.spacing_m),
                    overlap_m: site.mower.cutting_width_m() - set.spacing_m,
                    ..UsedSettings::default()
                },
                heading_rad: Some(heading_rad),
                sense: None,
                notes: note.into_iter().collect(),
            })
        }
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
