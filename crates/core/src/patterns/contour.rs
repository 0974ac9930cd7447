//! Contour passes: parallel to the fairway's centre line or to one side, for doglegs.
//!
//! All passes are offsets of one guide of straight pieces and arcs, so neighbours are parallel
//! exactly, round the bend too. They share the width from the innermost to the outermost point
//! of the ground as stripes do, and every second one runs the other way.

use crate::curve::guide_curve::GuideLine;
use crate::error::PlanError;
use crate::ground::barriers::part_of;
use crate::ground::centre_line::{centre_line, resampled, smoothed};
use crate::model::mow::{Leg, Role};
use crate::model::pattern::Guide;
use crate::model::task::{Directions, Line, Piece, Task, TaskKind};
use crate::model::track::Segment;
use crate::patterns::input::Site;
use crate::patterns::layout::{Layout, PATTERN};
use crate::patterns::lines::{laid_out, without_crumbs};
use crate::patterns::stripes::lines_across;
use crate::swath::contact::Prepared;
use crate::swath::lowered::{lowered_over, tracks_between};
use geo::{Area, BoundingRect};
use geo_types::{Coord, LineString};

/// Edges of the ground are measured against the guide at points this far apart, metres. Between
/// two of them an edge strays from their distances by less than 1 cm for bends of 10 m and more.
const MEASURE_STEP_M: f64 = 0.8;
/// A side of the fairway is smoothed over this length, metres: its wobbles are not for passes
/// to follow.
const SIDE_WINDOW_M: f64 = 10.0;

/// The passes along a guide.
///
/// # Errors
/// [`PlanError`] when there are too many passes.
pub fn legs(site: &Site<'_>, guide: Guide) -> Result<Layout, PlanError> {
    let Some(line) = followed(site, guide) else {
        return Ok(Layout::default());
    };
    let directions = site.directions();
    let role = |index: u32| Role::Contour { index };
    let Some(laid) = beside(site, &line, directions, &role)? else {
        return Ok(Layout::default());
    };
    Ok(Layout {
        tasks: by_part(site, &laid.lines, directions),
        used: site.used(laid.spacing_m),
        ..Layout::default()
    })
}

/// Passes beside a guide.
pub(super) struct Beside {
    /// The lines, from the left.
    pub(super) lines: Vec<Line>,
    /// Distance between neighbours, metres.
    pub(super) spacing_m: f64,
}

/// Passes parallel to `line` that cover `site.inside`; none on empty ground.
///
/// # Errors
/// [`PlanError`] when there are too many passes.
pub(super) fn beside(
    site: &Site<'_>,
    line: &LineString<f64>,
    directions: Directions,
    role: &dyn Fn(u32) -> Role,
) -> Result<Option<Beside>, PlanError> {
    let Some(bounds) = site.inside.bounding_rect() else {
        return Ok(None);
    };
    let run_on = bounds.width().hypot(bounds.height());
    let points: Vec<Coord<f64>> = site
        .inside
        .iter()
        .flat_map(|p| resampled(&p.exterior().0, MEASURE_STEP_M))
        .collect();
    let radius = site.mower.turning_radius_m;
    // A first guide tells how far the ground reaches to its sides, the second makes room.
    let Some(first) = GuideLine::new(line, 0.0, radius, run_on) else {
        return Ok(None);
    };
    let reach = points
        .iter()
        .map(|p| first.left_of(*p).abs())
        .fold(0.0, f64::max);
    let Some(guide_line) = GuideLine::new(line, reach, radius, run_on) else {
        return Ok(None);
    };
    let across = points
        .iter()
        .map(|p| guide_line.left_of(*p))
        .fold((f64::INFINITY, f64::NEG_INFINITY), |r, v| {
            (r.0.min(v), r.1.max(v))
        });
    let lines = lines_across(site, across)?;
    let wanted = Prepared::new(site.inside);
    let middle = (site.mower.left_m() + site.mower.right_m()) / 2.0;
    let lay = |i: usize, left: f64, forward: bool| -> Line {
        // The deck's middle runs on the line, wherever the axle's midpoint is across it.
        let chains = guide_line.offset(if forward {
            left - middle
        } else {
            left + middle
        });
        let mut pieces = Vec::new();
        for chain in chains {
            let chain: Vec<Segment> = if forward {
                chain
            } else {
                chain.iter().rev().map(Segment::reversed).collect()
            };
            let down = lowered_over(&chain, &site.mower.units, &site.laid(&wanted));
            for s in down {
                let leg = Leg {
                    tracks: tracks_between(&chain, &[s], s.0, s.1),
                    role: role(i as u32),
                    reversible: directions == Directions::Free,
                };
                pieces.extend(piece(&guide_line, leg));
            }
        }
        pieces.sort_by(|a, b| a.from_m.total_cmp(&b.from_m));
        Line {
            number: i as u32 + 1,
            forward,
            pieces,
        }
    };
    let turned = site.settings.from_right;
    let laid = laid_out(&lines.at_m, directions, &|i, left, forward| {
        lay(i, left, forward != turned)
    });
    Ok(Some(Beside {
        lines: without_crumbs(laid, site.mower.cutting_width_m()),
        spacing_m: lines.spacing_m,
    }))
}

/// A leg with where along the guide it lies; none where it has no tracks.
fn piece(guide_line: &GuideLine, leg: Leg) -> Option<Piece> {
    let (a, b) = (
        guide_line.station_of(leg.tracks.first()?.start().at),
        guide_line.station_of(leg.tracks.last()?.end().at),
    );
    Some(Piece {
        leg,
        from_m: a.min(b),
        to_m: a.max(b),
    })
}

/// The pieces by the part of the fairway they lie on.
fn by_part(site: &Site<'_>, lines: &[Line], directions: Directions) -> Vec<Task> {
    let joined = &site.barriers.joined;
    site.barriers
        .wholes()
        .map(|(part, _)| {
            let here = |p: &&Piece| match p.leg.tracks.first() {
                Some(t) => joined[part_of(&site.fairway.ground.0, t.start().at)] == part,
                None => false,
            };
            let lines = lines.iter().map(|l| Line {
                pieces: l.pieces.iter().filter(here).cloned().collect(),
                ..*l
            });
            Task {
                part,
                set: 0,
                phase: PATTERN,
                kind: TaskKind::Lines {
                    directions,
                    lines: lines.filter(|l| !l.pieces.is_empty()).collect(),
                },
            }
        })
        .collect()
}

/// The line that the passes follow, toward the green.
fn followed(site: &Site<'_>, guide: Guide) -> Option<LineString<f64>> {
    let centre = centre_line(site.fairway)?;
    let left = match guide {
        Guide::LeftSide => true,
        Guide::RightSide => false,
        Guide::CentreLine | Guide::Straight => return Some(centre),
    };
    let outline = site
        .fairway
        .outline
        .iter()
        .max_by(|a, b| a.unsigned_area().total_cmp(&b.unsigned_area()))?;
    let middle = GuideLine::new(&centre, 0.0, site.mower.turning_radius_m, 1.0)?;
    // Points of that side in the order of the ring; the exterior runs counter-clockwise, so the
    // right side lies in the order of travel and the left side against it.
    let ring = resampled(&outline.exterior().0, 1.0);
    let at_side: Vec<bool> = ring
        .iter()
        .map(|p| (middle.left_of(*p) > 0.0) == left)
        .collect();
    let n = ring.len();
    // The longest run of such points, cyclic.
    let mut best = (0, 0);
    for start in 0..n {
        if at_side[start] && !at_side[(start + n - 1) % n] {
            let len = (0..n).take_while(|k| at_side[(start + k) % n]).count();
            if len > best.1 {
                best = (start, len);
            }
        }
    }
    if best.1 < 3 {
        return Some(centre);
    }
    let mut side: Vec<Coord<f64>> = (0..best.1).map(|k| ring[(best.0 + k) % n]).collect();
    if left {
        side.reverse();
    }
    // The ends of the fairway belong to the run too; leave out what turns toward the middle.
    let depth = |p: &Coord<f64>| middle.left_of(*p).abs();
    let mut usual: Vec<f64> = side.iter().map(depth).collect();
    usual.sort_by(f64::total_cmp);
    let typical = usual[usual.len() / 2];
    let from = side.iter().position(|p| depth(p) >= 0.8 * typical)?;
    let to = side.iter().rposition(|p| depth(p) >= 0.8 * typical)?;
    Some(LineString(smoothed(&side[from..=to], 1.0, SIDE_WINDOW_M)))
}
