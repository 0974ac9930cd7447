//! Stripes: parallel passes, each against its neighbour.
//!
//! The ground to cover is measured across the heading; the passes share that width. Each is cut to
//! the stretches where the deck touches wanted ground, on concave ground several. Every second pass
//! runs the other way: that is what makes light and dark.

use crate::error::PlanError;
use crate::ground::extent::Extent;
use crate::ground::heading::{pass_floor, resolve};
use crate::model::mow::{Note, Role};
use crate::model::pattern::{Ends, Heading, Spacing};
use crate::model::pose::Pose;
use crate::model::task::{Directions, Task, TaskKind};
use crate::model::track::Segment;
use crate::patterns::lines::{Lines, laid_out, without_crumbs};
use crate::patterns::{Layout, PATTERN, Site};
use crate::polygon::overlay::Overlay;
use crate::swath::contact::{Prepared, Span, subtract, touch_spans, union};
use crate::swath::lowered::{Handling, lowered, lowered_over};
use geo::Area;
use geo_types::{Coord, MultiPolygon};

/// Most passes of one set: a kilometre and a half of ground under a 30 in deck.
pub const MAX_PASSES: u32 = 2000;

/// Even spacing is no less than this part of the deck's width: less is no spacing that anybody
/// sets, but a last pass that takes what is left. Our own choice.
const MIN_EVEN_DECKS: f64 = 0.5;

/// One set of stripes; [`PlanError`] as from [`sets`].
pub fn legs(
    site: &Site<'_>,
    heading: Heading,
    directions: Directions,
) -> Result<Layout, PlanError> {
    let (heading_rad, note) = resolve(heading, site.fairway);
    sets(site, &[heading_rad], note, directions)
}

/// Sets of stripes, one after the other, each at its heading, radians counter-clockwise from east.
/// [`PlanError::BadValue`] when there would be more passes in one than [`MAX_PASSES`].
pub fn sets(
    site: &Site<'_>,
    headings_rad: &[f64],
    note: Option<Note>,
    directions: Directions,
) -> Result<Layout, PlanError> {
    let mut out = Layout {
        heading_rad: headings_rad.first().copied(),
        notes: note.into_iter().collect(),
        ..Layout::default()
    };
    let mut spacing_m: f64 = 0.0;
    for (i, &heading_rad) in (0..).zip(headings_rad) {
        spacing_m = spacing_m.max(set(site, heading_rad, i, directions, &mut out.tasks)?);
    }
    out.used = site.used(spacing_m);
    Ok(out)
}

/// One set, and the distance between neighbouring passes, metres: that of the part with most
/// passes, when parts differ.
fn set(
    site: &Site<'_>,
    heading_rad: f64,
    set: u32,
    directions: Directions,
    tasks: &mut Vec<Task>,
) -> Result<f64, PlanError> {
    let (mut most, mut spacing_m) = (0, 0.0);
    let units = &site.mower.units;
    let rings = site.settings.clean_up.rings > 0;
    let to_edge = rings && site.settings.ends == Ends::Edge;
    let within = Prepared::new(site.within);
    for of_part in parts(site) {
        // Without clean-up passes the lines share the width of the fairway itself, corners that
        // the deck cannot fill included: they lie along its edges.
        let measured = if rings {
            &of_part.wanted
        } else {
            &of_part.ground
        };
        let extent = Extent::of(measured, heading_rad);
        let (mut at_m, spacing) = lines_across(site, extent.across)?;
        if at_m.len() > most {
            (most, spacing_m) = (at_m.len(), spacing);
        }
        let wanted = Prepared::new(&of_part.wanted);
        // Room at both ends for units that sit ahead of the axle or behind it.
        let run_out = site.mower.run_out_m();
        let (from, to) = (extent.along.0 - run_out, extent.along.1 + run_out);
        let axis = Pose::new(Coord { x: 0.0, y: 0.0 }, heading_rad);
        let lines = Lines {
            directions,
            role: &|index| Role::Stripe { set, index },
            ways: &|left_m| {
                vec![vec![Segment::Line {
                    from: axis.offset(from, left_m),
                    to: axis.offset(to, left_m),
                }]]
            },
            down: &|way| {
                let down = lowered_over(way, units, &site.laid(&wanted));
                match way {
                    [path] if to_edge => run_through(site, &within, path, down),
                    _ => down,
                }
            },
            station: &|at| at.x * heading_rad.cos() + at.y * heading_rad.sin(),
            middle_m: site.middle_m(),
        };
        let n = at_m.len();
        let from_right = site.settings.from_right;
        if from_right {
            at_m.reverse();
        }
        let mut laid = laid_out(&at_m, directions, &|i, left_m, forward| {
            lines.line(if from_right { n - 1 - i } else { i }, left_m, forward)
        });
        if from_right {
            laid.reverse();
        }
        tasks.push(Task {
            part: of_part.part,
            set,
            phase: PATTERN + set,
            kind: TaskKind::Lines {
                directions,
                lines: without_crumbs(laid, site.mower.cutting_width_m()),
            },
        });
    }
    Ok(spacing_m)
}

/// The stretches of a stripe, each run on over the clean-up passes as far as the whole deck stays
/// on the fairway.
fn run_through(site: &Site<'_>, within: &Prepared, path: &Segment, down: Vec<Span>) -> Vec<Span> {
    let (units, barriers) = (&site.mower.units, site.barriers);
    let (barred, handling) = (&barriers.prepared, Handling::default());
    let all = lowered(&[*path], units, within, barred, &handling);
    let rough = union(touch_spans(path, units, &barriers.rough));
    let mut all = subtract(&all, &rough);
    // Only what goes on from a stretch that is mown anyway.
    all.retain(|e| down.iter().any(|d| e.0 <= d.1 && d.0 <= e.1));
    all.extend(down);
    union(all)
}

/// A part of the fairway that has lines of its own.
pub(super) struct PartGround {
    /// The first polygon of the fairway's ground that belongs to it.
    pub(super) part: usize,
    /// All its ground.
    pub(super) ground: MultiPolygon<f64>,
    /// What the passes must cover.
    pub(super) wanted: MultiPolygon<f64>,
}

/// The ground to cover, split by the parts of the fairway. Parts on both sides of a path are one.
pub(super) fn parts(site: &Site<'_>) -> Vec<PartGround> {
    let all = &site.fairway.ground;
    let whole = |(part, some): (usize, Vec<usize>)| {
        let ground: MultiPolygon<f64> = some.iter().map(|&i| all.0[i].clone()).collect();
        let wanted = if ground.0.len() == all.0.len() {
            site.inside.clone()
        } else {
            ground.intersection(site.inside)
        };
        PartGround {
            part,
            ground,
            wanted,
        }
    };
    let mut out: Vec<PartGround> = site.barriers.wholes().map(whole).collect();
    out.retain(|p| p.wanted.unsigned_area() > 0.0);
    out
}

/// The passes that cover the range `across` (right end, left end): how far to the left of the origin
/// each runs, from the left to the right, and the distance between neighbours to set, metres. On
/// ground hardly wider than the deck the last pass takes what is left, and the distance is the one
/// that was asked for. [`PlanError::BadValue`] when there would be more than [`MAX_PASSES`].
pub fn lines_across(site: &Site<'_>, across: Span) -> Result<(Vec<f64>, f64), PlanError> {
    let width = site.mower.cutting_width_m();
    let span = across.1 - across.0;
    let n = pass_floor(span, width, site.settings.overlap_m);
    let nominal = site.spacing_m();
    if n > MAX_PASSES {
        return Err(PlanError::BadValue {
            what: "the pass spacing",
            value: nominal,
            unit: "m",
            expected: format!(
                "at least {:.2} on ground {span:.0} m across ({MAX_PASSES} passes are the most)",
                span / f64::from(MAX_PASSES)
            ),
        });
    }
    if n == 1 {
        return Ok((vec![(across.0 + across.1) / 2.0], nominal));
    }
    let spacing = match site.settings.spacing {
        Spacing::Even => (span - width) / f64::from(n - 1),
        Spacing::Nominal => nominal,
    };
    let at = |i: u32| across.1 - width / 2.0 - f64::from(i) * spacing;
    let set = Some(spacing).filter(|s| *s >= MIN_EVEN_DECKS * width);
    Ok(((0..n).map(at).collect(), set.unwrap_or(nominal)))
}
