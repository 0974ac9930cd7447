//! Rings: concentric passes from the outside in, in one sense, then the middle.
//!
//! The rings go on where the clean-up passes stop, at the same spacing, as long as the mower
//! can follow them. What is left in the middle is mown down one side, back up the other, and so
//! on inward: the way a large gang unit grooms, with no turn tighter than it likes.

use crate::error::PlanError;
use crate::ground::heading::long_axis_rad;
use crate::limits::MAX_RINGS;
use crate::model::mow::{Leg, Role, UsedSettings};
use crate::model::pattern::{CleanUp, Sense, Settings};
use crate::model::task::{Directions, Task, TaskKind};
use crate::patterns::clean_up;
use crate::patterns::input::Site;
use crate::patterns::layout::{Layout, PATTERN};
use crate::patterns::stripes::set;
use crate::polygon::offset::offset;
use geo::Area;
use geo_types::MultiPolygon;

/// Pieces of the middle smaller than this many square deck widths are corners that the rings
/// leave, not a middle to be worked round.
const CORNER_DECKS: f64 = 2.0;

/// The rings and the middle.
///
/// # Errors
/// [`PlanError`] when there are too many passes.
pub fn legs(site: &Site<'_>, sense: Sense) -> Result<Layout, PlanError> {
    let width = site.mower.cutting_width_m();
    let spacing = width - site.settings.overlap_m;
    let outer = site.settings.clean_up.rings;
    let rings = ring_count(site, spacing);
    let asked = Settings {
        clean_up: CleanUp {
            rings,
            sense,
            ..site.settings.clean_up
        },
        ..site.settings.clone()
    };
    let (circuits, middle) = if rings > outer {
        let all = clean_up::rings(site.fairway, site.mower, &asked, site.barriers, site.within);
        (all.circuits, all.inside)
    } else {
        (Vec::new(), site.inside.clone())
    };
    let mut tasks = Vec::new();
    for part in 0..site.fairway.ground.0.len() {
        let here = circuits.iter().filter(|c| c.edge.part == part);
        let of_ring = |ring: u32| -> Vec<Leg> {
            here.clone()
                .flat_map(|c| c.rings.get(ring as usize).into_iter().flatten())
                .map(|l| Leg {
                    role: Role::Ring { ring: ring - outer },
                    ..l.clone()
                })
                .collect()
        };
        let laid: Vec<Vec<Leg>> = (outer..rings)
            .map(of_ring)
            .filter(|r| !r.is_empty())
            .collect();
        if !laid.is_empty() {
            tasks.push(Task {
                part,
                set: 0,
                phase: PATTERN,
                kind: TaskKind::Rings(laid),
            });
        }
    }
    for (i, piece) in middle.into_iter().enumerate() {
        // Corners that the rings leave are no middle: they are looked at with all else that is left.
        if piece.unsigned_area() < CORNER_DECKS * width * width {
            continue;
        }
        let area = MultiPolygon(vec![piece]);
        let heading = toward_green(site, long_axis_rad(&area));
        let part = Site {
            inside: &area,
            ..site.clone()
        };
        let number = i as u32 + 1;
        let laid = set(&part, heading, number, Directions::Halves)?.tasks;
        tasks.extend(laid.into_iter().map(|t| Task {
            phase: PATTERN + 1,
            ..t
        }));
    }
    Ok(Layout {
        tasks,
        rounds: Vec::new(),
        left: None,
        used: UsedSettings {
            spacing_m: Some(spacing),
            overlap_m: site.settings.overlap_m,
            ..UsedSettings::default()
        },
        heading_rad: None,
        sense: Some(sense),
        notes: Vec::new(),
    })
}

/// Rings from the outline in that the mower can follow: the innermost still has room for a
/// half turn at the turning radius inside its inner edge.
fn ring_count(site: &Site<'_>, spacing: f64) -> u32 {
    let mut rings = site.settings.clean_up.rings;
    while rings < MAX_RINGS {
        let depth = f64::from(rings + 1) * spacing + site.mower.turning_radius_m;
        if offset(&site.fairway.ground, -depth).0.is_empty() {
            break;
        }
        rings += 1;
    }
    rings
}

fn toward_green(site: &Site<'_>, axis_rad: f64) -> f64 {
    match site.fairway.hole_direction_rad() {
        Some(hole) if (axis_rad - hole).cos() < 0.0 => axis_rad + std::f64::consts::PI,
        _ => axis_rad,
    }
}
