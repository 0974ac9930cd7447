//! Half-and-half: one half of the fairway mown toward the green, the other half back.
//!
//! Two broad bands of light and dark instead of many stripes (common practice in the trade).
//! Looking along the heading the left half runs with it and the right half against it, so the
//! mower can work both halves in turn and hardly ever crosses its own work.
//!
//! Along the fairway the passes follow its bends, as contour passes do, part by part: with
//! straight ones a dogleg would have one half at its ends and the other in its bend, and most of
//! the way between them would be driven with the reels up. At any other heading they are straight.

use crate::error::PlanError;
use crate::ground::centre_line::centre_line;
use crate::ground::heading::resolve;
use crate::model::mow::Role;
use crate::model::pattern::Heading;
use crate::model::task::{Directions, Task, TaskKind};
use crate::patterns::contour::beside;
use crate::patterns::input::Site;
use crate::patterns::layout::{Layout, PATTERN};
use crate::patterns::stripes::{PartGround, parts, set};

/// The passes of both halves.
///
/// # Errors
/// [`PlanError`] when there are too many passes.
pub fn legs(site: &Site<'_>, heading: Heading) -> Result<Layout, PlanError> {
    if heading == Heading::Along {
        return along(site);
    }
    let (heading_rad, note) = resolve(heading, site.fairway);
    let s = set(site, heading_rad, 0, Directions::Halves)?;
    Ok(Layout {
        tasks: s.tasks,
        used: site.used(s.spacing_m),
        heading_rad: Some(heading_rad),
        notes: note.into_iter().collect(),
        ..Layout::default()
    })
}

/// Both halves of each part along its own centre line.
fn along(site: &Site<'_>) -> Result<Layout, PlanError> {
    let mut tasks = Vec::new();
    let mut spacing_m: f64 = 0.0;
    for PartGround { part, wanted, .. } in parts(site) {
        let here = site.fairway.alone(site.fairway.ground.0[part].clone());
        let Some(line) = centre_line(&here) else {
            continue;
        };
        let ground = Site {
            inside: &wanted,
            ..site.clone()
        };
        let role = |index: u32| Role::Contour { index };
        let directions = Directions::Halves;
        let Some(laid) = beside(&ground, &line, directions, &role)? else {
            continue;
        };
        spacing_m = spacing_m.max(laid.spacing_m);
        tasks.push(Task {
            part,
            set: 0,
            phase: PATTERN,
            kind: TaskKind::Lines {
                directions,
                lines: laid.lines,
            },
        });
    }
    Ok(Layout {
        tasks,
        used: site.used(spacing_m),
        ..Layout::default()
    })
}
