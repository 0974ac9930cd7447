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
use crate::model::ground::Fairway;
use crate::model::mow::{Role, UsedSettings};
use crate::model::pattern::Heading;
use crate::model::task::{Directions, Task, TaskKind};
use crate::patterns::contour::beside;
use crate::patterns::input::Site;
use crate::patterns::layout::{Layout, PATTERN};
use crate::patterns::stripes::{PartGround, parts, set};
use geo_types::{MultiPolygon, Polygon};

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
        used: used(site, s.spacing_m),
        heading_rad: Some(heading_rad),
        notes: note.into_iter().collect(),
        ..Layout::default()
    })
}

fn used(site: &Site<'_>, spacing_m: f64) -> UsedSettings {
    UsedSettings {
        spacing_m: Some(spacing_m),
        overlap_m: site.mower.cutting_width_m() - spacing_m,
        ..UsedSettings::default()
    }
}

/// Both halves of each part along its own centre line.
fn along(site: &Site<'_>) -> Result<Layout, PlanError> {
    let mut tasks = Vec::new();
    let mut spacing_m: f64 = 0.0;
    for PartGround { part, wanted, .. } in parts(site) {
        let here = alone(site.fairway, part);
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
        used: used(site, spacing_m),
        ..Layout::default()
    })
}

/// One part of a fairway as a fairway of its own; it lies along the same hole.
fn alone(fairway: &Fairway, part: usize) -> Fairway {
    let ground = fairway.ground.0[part].clone();
    let outline = Polygon::new(ground.exterior().clone(), Vec::new());
    Fairway {
        ground: MultiPolygon(vec![ground]),
        outline: MultiPolygon(vec![outline]),
        ..fairway.clone()
    }
}
