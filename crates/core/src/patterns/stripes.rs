//! Stripes: parallel passes, each against its neighbour.
//!
//! The ground to cover is measured across the heading; the passes share that width. Each pass
//! is cut to the stretches where the deck touches ground that is wanted, so a pass may come in
//! several pieces on concave ground. Every second pass runs the other way: that is what makes
//! light and dark.

use crate::error::PlanError;
use crate::ground::extent::Extent;
use crate::ground::heading::{pass_floor, resolve};
use crate::model::mow::{Leg, Role};
use crate::model::mower::CuttingUnit;
use crate::model::pattern::{Ends, Heading, Spacing};
use crate::model::task::{Directions, Line, Piece, Task, TaskKind};
use crate::model::track::Segment;
use crate::patterns::input::Site;
use crate::patterns::layout::{Layout, PATTERN};
use crate::patterns::lines::{laid_out, without_crumbs};
use crate::polygon::overlay::{Overlay, merged};
use crate::swath::contact::{Prepared, Span, union};
use crate::swath::lowered::{Handling, lowered, lowered_over, tracks_between};
use geo::{Area, BoundingRect};
use geo_types::{Coord, MultiPolygon, Rect};

/// Most passes of one set: a kilometre and a half of ground under a 30 in deck.
pub const MAX_PASSES: u32 = 2000;

/// Even spacing is no less than this part of the deck's width: less is no spacing that anybody
/// sets, but a last pass that takes what is left. Our own choice.
const MIN_EVEN_DECKS: f64 = 0.5;

/// One set of stripes.
#[derive(Debug, Clone, PartialEq)]
pub struct StripeSet {
    /// The lines of each part of the ground.
    pub tasks: Vec<Task>,
    /// Distance between neighbouring passes, metres: that of the part with most passes, when
    /// parts differ.
    pub spacing_m: f64,
}

/// The stripes as a pattern.
///
/// # Errors
/// As [`set`].
pub fn legs(site: &Site<'_>, heading: Heading) -> Result<Layout, PlanError> {
    let (heading_rad, note) = resolve(heading, site.fairway);
    let set = set(site, heading_rad, 0, site.directions())?;
    Ok(Layout {
        tasks: set.tasks,
        used: site.used(set.spacing_m),
        heading_rad: Some(heading_rad),
        notes: note.into_iter().collect(),
        ..Layout::default()
    })
}

/// The passes at `heading_rad` (radians counter-clockwise from east) that cover the site.
///
/// # Errors
/// [`PlanError::BadValue`] when there would be more passes than [`MAX_PASSES`].
pub fn set(
    site: &Site<'_>,
    heading_rad: f64,
    set: u32,
    directions: Directions,
) -> Result<StripeSet, PlanError> {
    let mut out = StripeSet {
        tasks: Vec::new(),
        spacing_m: 0.0,
    };
    let mut most = 0;
    let rings = site.settings.clean_up.rings > 0;
    let to_edge = (rings && site.settings.ends == Ends::Edge).then(|| ToEdge::of(site));
    for PartGround {
        part,
        wanted,
        extent,
    } in parts(site)
    {
        let Extent { along, across, .. } = Extent::of(&extent, heading_rad);
        let lines = lines_across(site, across)?;
        if lines.at_m.len() > most {
            most = lines.at_m.len();
            out.spacing_m = lines.spacing_m;
        }
        // Room at both ends for units that sit ahead of the axle or behind it.
        let run_out = site.mower.run_out_m();
        let stripes = Stripes {
            site,
            wanted: &Prepared::new(&wanted),
            to_edge: to_edge.as_ref(),
            heading: heading_rad.sin_cos(),
            along: (along.0 - run_out, along.1 + run_out),
            set,
            reversible: directions == Directions::Free,
        };
        let lay = |i: usize, left: f64, forward: bool| stripes.line(i, left, forward);
        let laid = if site.settings.from_right {
            let n = lines.at_m.len();
            let from_right: Vec<f64> = lines.at_m.iter().rev().copied().collect();
            let mut laid = laid_out(&from_right, directions, &|i, left, forward| {
                lay(n - 1 - i, left, forward)
            });
            laid.reverse();
            laid
        } else {
            laid_out(&lines.at_m, directions, &lay)
        };
        out.tasks.push(Task {
            part,
            set,
            phase: PATTERN + set,
            kind: TaskKind::Lines {
                directions,
                lines: without_crumbs(laid, site.mower.cutting_width_m()),
            },
        });
    }
    Ok(out)
}

/// The ground of one part and the direction of its stripes.
struct Stripes<'a> {
    site: &'a Site<'a>,
    wanted: &'a Prepared,
    to_edge: Option<&'a ToEdge>,
    /// Sine and cosine.
    heading: (f64, f64),
    /// From where to where along the heading, metres.
    along: (f64, f64),
    set: u32,
    reversible: bool,
}

impl Stripes<'_> {
    /// The stripe so far to the left, and its pieces.
    fn line(&self, i: usize, left: f64, forward: bool) -> Line {
        let (site, (sin, cos)) = (self.site, self.heading);
        let world = |f: f64, l: f64| Coord {
            x: f * cos - l * sin,
            y: f * sin + l * cos,
        };
        let (near, far) = (world(self.along.0, left), world(self.along.1, left));
        let (from, to) = if forward { (near, far) } else { (far, near) };
        // The deck's middle runs on the line, wherever the axle's midpoint is across it.
        let middle = (site.mower.left_m() + site.mower.right_m()) / 2.0;
        let path = shifted(&Segment::Line { from, to }, -middle);
        let down = lowered_over(&[path], &site.mower.units, &site.laid(self.wanted));
        let down = match self.to_edge {
            Some(e) => e.run_through(&path, &site.mower.units, down),
            None => down,
        };
        let at = path.start().at;
        let start = at.x * cos + at.y * sin;
        let station = |along: f64| {
            if forward {
                start + along
            } else {
                start - along
            }
        };
        let mut pieces: Vec<Piece> = down
            .iter()
            .map(|s| Piece {
                leg: Leg {
                    tracks: tracks_between(&[path], &[*s], s.0, s.1),
                    role: Role::Stripe {
                        set: self.set,
                        index: i as u32,
                    },
                    reversible: self.reversible,
                },
                from_m: station(s.0).min(station(s.1)),
                to_m: station(s.0).max(station(s.1)),
            })
            .filter(|p| !p.leg.tracks.is_empty())
            .collect();
        if !forward {
            pieces.reverse();
        }
        Line {
            number: i as u32 + 1,
            forward,
            pieces,
        }
    }
}

/// The ground within which passes may run on over the clean-up passes.
struct ToEdge {
    within: Prepared,
    /// The rough and the keep-outs.
    outside: Prepared,
}

impl ToEdge {
    fn of(site: &Site<'_>) -> Self {
        let solid = &site.barriers.solid;
        let room = 2.0 * site.mower.cutting_width_m()
            + site.mower.front_m().abs().max(site.mower.rear_m().abs());
        let frame = solid.bounding_rect().map_or_else(
            || MultiPolygon(Vec::new()),
            |r| {
                let by = Coord { x: room, y: room };
                MultiPolygon(vec![Rect::new(r.min() - by, r.max() + by).to_polygon()])
            },
        );
        let rough = frame.difference(solid);
        let mut outside = rough.0;
        outside.extend(site.barriers.area.0.iter().cloned());
        Self {
            within: Prepared::new(site.within),
            outside: Prepared::new(&merged(&outside)),
        }
    }

    /// The stretches, each as far as the whole deck stays on the fairway.
    fn run_through(&self, path: &Segment, units: &[CuttingUnit], down: Vec<Span>) -> Vec<Span> {
        let mut all = lowered(
            &[*path],
            units,
            &self.within,
            &self.outside,
            &Handling::default(),
        );
        // Only what goes on from a stretch that is mown anyway.
        all.retain(|e| down.iter().any(|d| e.0 <= d.1 && d.0 <= e.1));
        all.extend(down);
        union(all)
    }
}

pub(super) struct PartGround {
    /// The polygon of the fairway's ground that it is.
    pub(super) part: usize,
    /// What the passes must cover.
    pub(super) wanted: MultiPolygon<f64>,
    /// The ground whose width the passes share. Without clean-up passes it is the fairway
    /// itself, corners that the deck cannot fill included: the passes lie along its edges.
    pub(super) extent: MultiPolygon<f64>,
}

/// The ground to cover, split by the parts of the fairway so that each part has its own lines.
/// Parts on both sides of a path have the same.
pub(super) fn parts(site: &Site<'_>) -> Vec<PartGround> {
    let plain = site.settings.clean_up.rings == 0;
    let ground = &site.fairway.ground;
    site.barriers
        .wholes()
        .map(|(first, all)| {
            let part = MultiPolygon(all.iter().map(|&i| ground.0[i].clone()).collect());
            let wanted = if part.0.len() == ground.0.len() {
                site.inside.clone()
            } else {
                part.intersection(site.inside)
            };
            let extent = if plain { part } else { wanted.clone() };
            PartGround {
                part: first,
                wanted,
                extent,
            }
        })
        .filter(|p| p.wanted.unsigned_area() > 0.0)
        .collect()
}

/// Where the passes run, measured across the heading.
#[derive(Debug, Clone, PartialEq)]
pub struct Lines {
    /// Distance to the left of the origin for each pass, from the left to the right.
    pub at_m: Vec<f64>,
    /// Distance between neighbours, metres: what to set. On ground hardly wider than the deck the
    /// last pass takes what is left, and this is the spacing that was asked for.
    pub spacing_m: f64,
}

/// The passes that cover the range `across` (right end, left end).
///
/// # Errors
/// [`PlanError::BadValue`] when there would be more than [`MAX_PASSES`].
pub fn lines_across(site: &Site<'_>, across: (f64, f64)) -> Result<Lines, PlanError> {
    let width = site.mower.cutting_width_m();
    let span = across.1 - across.0;
    let n = pass_floor(span, width, site.settings.overlap_m);
    let nominal = width - site.settings.overlap_m;
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
        return Ok(Lines {
            at_m: vec![(across.0 + across.1) / 2.0],
            spacing_m: nominal,
        });
    }
    let spacing = match site.settings.spacing {
        Spacing::Even => (span - width) / f64::from(n - 1),
        Spacing::Nominal => nominal,
    };
    Ok(Lines {
        at_m: (0..n)
            .map(|i| across.1 - width / 2.0 - f64::from(i) * spacing)
            .collect(),
        // Two passes on ground hardly wider than the deck: the last one takes what is left, and
        // what it overlaps there is nothing to set.
        spacing_m: if spacing < MIN_EVEN_DECKS * width {
            nominal
        } else {
            spacing
        },
    })
}

fn shifted(path: &Segment, left_m: f64) -> Segment {
    match path {
        Segment::Line { .. } => Segment::Line {
            from: path.start().offset(0.0, left_m),
            to: path.end().offset(0.0, left_m),
        },
        Segment::Arc(_) => *path,
    }
}
