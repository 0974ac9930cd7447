//! Rings: concentric passes from the outside in, in one sense, then the middle.
//!
//! The rings go on where the clean-up passes stop, at the same spacing, as long as the mower
//! can follow them. What is left in the middle is mown down one side, back up the other, and so
//! on inward: the way a large gang unit grooms, with no turn tighter than it likes.

use crate::error::PlanError;
use crate::ground::heading::long_axis_rad;
use crate::limits::MOST_RINGS;
use crate::model::mow::{Leg, Role, UsedSettings};
use crate::model::pattern::{CleanUp, Sense, Settings};
use crate::model::stage::Stage;
use crate::patterns::clean_up;
use crate::patterns::input::Site;
use crate::patterns::layout::Layout;
use crate::patterns::stripes::{Directions, set};
use crate::polygon::offset::offset;
use geo::Area;
use geo_types::MultiPolygon;

/// Pieces of the middle smaller than this many square deck widths are corners that the rings
/// leave, not a middle to be worked round.
const CORNER_DECKS: f64 = 8.0;

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
    let (ring_legs, middle) = if rings > outer {
        let all = clean_up::rings(site.fairway, site.mower, &asked, site.barriers, site.within);
        let inner: Vec<Leg> = all
            .legs
            .into_iter()
            .filter_map(|l| match l.role {
                Role::CleanUp { ring } if ring >= outer => Some(Leg {
                    role: Role::Ring { ring: ring - outer },
                    ..l
                }),
                _ => None,
            })
            .collect();
        (inner, all.inside)
    } else {
        (Vec::new(), site.inside.clone())
    };
    // Ring after ring; the pieces of one ring in whatever order is shortest.
    let mut stages: Vec<Stage> = (0..rings.saturating_sub(outer))
        .map(|ring| Stage {
            legs: ring_legs
                .iter()
                .filter(|l| l.role == Role::Ring { ring })
                .cloned()
                .collect(),
            in_order: false,
        })
        .collect();
    let mut corners = Vec::new();
    for piece in middle {
        let small = piece.unsigned_area() < CORNER_DECKS * width * width;
        let area = MultiPolygon(vec![piece]);
        let heading = toward_green(site, long_axis_rad(&area));
        let part = Site {
            inside: &area,
            ..site.clone()
        };
        let legs = set(&part, heading, 0, Directions::Halves)?.legs;
        if small {
            corners.extend(legs.into_iter().map(|l| Leg {
                reversible: true,
                ..l
            }));
        } else {
            stages.push(Stage {
                legs: inward(legs),
                in_order: true,
            });
        }
    }
    stages.push(Stage {
        legs: corners,
        in_order: false,
    });
    stages.retain(|s| !s.legs.is_empty());
    Ok(Layout {
        stages,
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
    while rings < MOST_RINGS {
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

/// First the outermost pass of the left half, then of the right half, and so on inward.
fn inward(legs: Vec<Leg>) -> Vec<Leg> {
    let index = |l: &Leg| match l.role {
        Role::Stripe { index, .. } => index,
        _ => 0,
    };
    let last = legs.iter().map(index).max().unwrap_or(0);
    let mut keyed: Vec<(u32, Leg)> = legs
        .into_iter()
        .map(|l| {
            let i = index(&l);
            let half = (last + 1).div_ceil(2);
            let key = if i < half { 2 * i } else { 2 * (last - i) + 1 };
            (key, l)
        })
        .collect();
    keyed.sort_by_key(|(k, _)| *k);
    keyed.into_iter().map(|(_, l)| l).collect()
}
