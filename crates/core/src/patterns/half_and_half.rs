//! Half-and-half: one half of the fairway mown toward the green, the other half back.
//!
//! Two broad bands of light and dark instead of many stripes (common practice in the trade).
//! The passes lie as stripes do; only their directions differ. Looking along the heading the
//! left half runs with it and the right half against it, so the mower can work both halves in
//! turn and hardly ever crosses its own work.

use crate::error::PlanError;
use crate::ground::heading::resolve;
use crate::model::mow::UsedSettings;
use crate::model::pattern::Heading;
use crate::model::task::Directions;
use crate::patterns::input::Site;
use crate::patterns::layout::Layout;
use crate::patterns::stripes::set;

/// The passes of both halves.
///
/// # Errors
/// [`PlanError`] when there are too many passes.
pub fn legs(site: &Site<'_>, heading: Heading) -> Result<Layout, PlanError> {
    let (heading_rad, note) = resolve(heading, site.fairway);
    let s = set(site, heading_rad, 0, Directions::Halves)?;
    Ok(Layout {
        tasks: s.tasks,
        rounds: Vec::new(),
        left: None,
        used: UsedSettings {
            spacing_m: Some(s.spacing_m),
            overlap_m: site.mower.cutting_width_m() - s.spacing_m,
            ..UsedSettings::default()
        },
        heading_rad: Some(heading_rad),
        sense: None,
        notes: note.into_iter().collect(),
    })
}
