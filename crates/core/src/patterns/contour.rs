//! Contour passes: parallel to the fairway's centre line or to one side, for doglegs.
//!
//! All passes are offsets of one guide of straight pieces and arcs, so neighbours are parallel
//! exactly, round the bend too. They share the width from the innermost to the outermost point
//! of the ground as stripes do, and every second one runs the other way.

use crate::curve::guide_curve::GuideLine;
use crate::error::PlanError;
use crate::ground::centre_line::{centre_line, largest, resampled, smoothed, usual};
use crate::ground::extent::span;
use crate::model::ground::Fairway;
use crate::model::mow::Role;
use crate::model::pattern::Guide;
use crate::model::task::{Directions, Line, Task, TaskKind};
use crate::patterns::lines::{Lines, laid_out, without_crumbs};
use crate::patterns::stripes::{lines_across, parts};
use crate::patterns::{Layout, PATTERN, Site};
use crate::swath::contact::Prepared;
use crate::swath::lowered::lowered_over;
use geo::BoundingRect;
use geo_types::{Coord, LineString};

/// Edges of the ground are measured against the guide at points this far apart, metres. Between
/// two of them an edge strays from their distances by less than 1 cm for bends of 10 m and more.
const MEASURE_STEP_M: f64 = 0.8;
/// A side of the fairway is smoothed over this length, metres: its wobbles are not for passes
/// to follow.
const SIDE_WINDOW_M: f64 = 10.0;

/// The passes of each part along a guide of its own; [`PlanError`] when there are too many.
pub fn legs(site: &Site<'_>, guide: Guide, directions: Directions) -> Result<Layout, PlanError> {
    let mut tasks = Vec::new();
    let mut spacing_m: f64 = 0.0;
    for of_part in parts(site) {
        let all = of_part.ground.0.len() == site.fairway.ground.0.len();
        let apart = (!all).then(|| site.fairway.alone(of_part.ground));
        let here = apart.as_ref().unwrap_or(site.fairway);
        let Some(line) = followed(here, guide, site.mower.turning_radius_m) else {
            continue;
        };
        let ground = Site {
            inside: &of_part.wanted,
            ..site.clone()
        };
        let role = |index: u32| Role::Contour { index };
        let Some((lines, spacing)) = beside(&ground, &line, directions, &role)? else {
            continue;
        };
        spacing_m = spacing_m.max(spacing);
        tasks.push(Task {
            part: of_part.part,
            set: 0,
            phase: PATTERN,
            kind: TaskKind::Lines { directions, lines },
        });
    }
    Ok(Layout {
        tasks,
        used: site.used(spacing_m),
        ..Layout::default()
    })
}

/// Passes parallel to `line` that cover `site.inside`, from the left, and the distance between
/// neighbours, metres; none on empty ground. [`PlanError`] when there are too many.
pub(super) fn beside(
    site: &Site<'_>,
    line: &LineString<f64>,
    directions: Directions,
    role: &dyn Fn(u32) -> Role,
) -> Result<Option<(Vec<Line>, f64)>, PlanError> {
    let rings = site.inside.iter().map(|p| &p.exterior().0);
    let points: Vec<Coord<f64>> = rings.flat_map(|r| resampled(r, MEASURE_STEP_M)).collect();
    let guide = |inner_m: f64| {
        let bounds = site.inside.bounding_rect()?;
        let run_on = bounds.width().hypot(bounds.height());
        GuideLine::new(line, inner_m, site.mower.turning_radius_m, run_on)
    };
    // A first guide tells how far the ground reaches to its sides, the second makes room.
    let reach = |first: &GuideLine| {
        let far = points.iter().map(|p| first.left_of(*p).abs());
        far.fold(0.0, f64::max)
    };
    let Some(guide_line) = guide(0.0).and_then(|first| guide(reach(&first))) else {
        return Ok(None);
    };
    let across = span(points.iter().map(|p| guide_line.left_of(*p)));
    let (at_m, spacing_m) = lines_across(site, across)?;
    let wanted = Prepared::new(site.inside);
    let lines = Lines {
        directions,
        role,
        ways: &|left_m| guide_line.offset(left_m),
        down: &|way| lowered_over(way, &site.mower.units, &site.laid(&wanted)),
        station: &|at| guide_line.beside(at).0,
        middle_m: site.middle_m(),
    };
    let turned = site.settings.from_right;
    let laid = laid_out(&at_m, directions, &|i, left, forward| {
        lines.line(i, left, forward != turned)
    });
    let kept = without_crumbs(laid, site.mower.cutting_width_m());
    Ok(Some((kept, spacing_m)))
}

/// The line that the passes follow, toward the green.
fn followed(fairway: &Fairway, guide: Guide, radius_m: f64) -> Option<LineString<f64>> {
    let centre = centre_line(fairway)?;
    let left = match guide {
        Guide::LeftSide => true,
        Guide::RightSide => false,
        Guide::CentreLine | Guide::Straight => return Some(centre),
    };
    let outline = largest(&fairway.outline)?;
    let middle = GuideLine::new(&centre, 0.0, radius_m, 1.0)?;
    // Points of that side in the order of the ring; the exterior runs counter-clockwise, so the
    // right side lies in the order of travel and the left side against it.
    let mut ring = resampled(&outline.exterior().0, 1.0);
    let at_side = |p: &Coord<f64>| (middle.left_of(*p) > 0.0) == left;
    // The longest run of such points; the ring begins where one ends.
    let Some(other) = ring.iter().position(|p| !at_side(p)) else {
        return Some(centre);
    };
    ring.rotate_left(other);
    let runs = ring.chunk_by(|a, b| at_side(a) == at_side(b));
    let side = runs.filter(|r| at_side(&r[0])).max_by_key(|r| r.len());
    let Some(mut side) = side.filter(|s| s.len() >= 3).map(<[_]>::to_vec) else {
        return Some(centre);
    };
    if left {
        side.reverse();
    }
    // The ends of the fairway belong to the run too; leave out what turns toward the middle.
    let depth = |p: &Coord<f64>| middle.left_of(*p).abs();
    let usual_m = usual(side.iter().map(depth))?;
    let deep = |p: &Coord<f64>| depth(p) >= 0.8 * usual_m;
    let (from, to) = (side.iter().position(deep)?, side.iter().rposition(deep)?);
    Some(LineString(smoothed(&side[from..=to], 1.0, SIDE_WINDOW_M)))
}
