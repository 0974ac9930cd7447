//! Loop trains: lanes of overlapping circles that leave nothing.
//!
//! The lattice ([`super::lattice`]) gives the loop, its advance and the tallest strip that one
//! lane cuts completely. The ground is measured across the lanes and shared evenly, so the
//! outermost loops stay within it. Each lane then owns a strip; every point of the strip is cut
//! by the lane alone, because every loop that touches wanted ground is driven, before and
//! beyond it too. So the lattice stands everywhere, also behind a bend of the edge, and the
//! phase between lanes does not matter.
//!
//! Lanes are driven in turn, every second one back; the sense stays the same. Reels lift where
//! a loop touches no wanted ground, a keep-out or the outside. A leg ends where the loops would
//! lead across a keep-out or where nothing is wanted for more than a loop.

use crate::error::PlanError;
use crate::ground::centre_line::centre_line;
use crate::ground::heading::resolve;
use crate::model::mow::{Leg, Note, Role, UsedSettings};
use crate::model::pattern::{Guide, LoopForm, LoopTrain};
use crate::model::pose::{Pose, fold_rad};
use crate::model::task::{Task, TaskKind};
use crate::model::track::{Arc, Path, Track};
use crate::patterns::input::Site;
use crate::patterns::lattice::{Lattice, cheaper_near, solve, solve_across};
use crate::patterns::layout::{Layout, PATTERN};
use crate::patterns::stripes::parts;
use crate::polygon::offset::offset;
use crate::polygon::overlay::Overlay;
use crate::swath::contact::{Handling, Prepared, Span, lowered, touch_spans, tracks_between};
use crate::swath::swept::{swept_area, without_swept};
use geo::{Area, BoundingRect, Simplify};
use geo_types::{Coord, LineString, MultiPolygon, Polygon, Rect};
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// Most loops on one fairway: about a square kilometre under 22 ft loops.
pub const MOST_LOOPS: usize = 50_000;

/// A first or last loop that cuts less new ground than this is left out, square metres.
const NOTHING_NEW_M2: f64 = 0.005;
/// Flattening of arcs when judging whether a loop cuts anything new, metres: well below the
/// overlap with the clean-up passes that stands in for it.
const LOOK_M: f64 = 0.01;
/// Whether a loop is idle takes as long to see as so many turns.
const IDLE_STEPS: u64 = 10;
/// Reels stay down over gaps shorter than this where that is legal, metres: lifting and
/// lowering takes a few seconds, in which the mower covers about this much.
const BRIDGE_M: f64 = 3.0;

/// Ground that shares one direction of lanes.
#[derive(Debug, Clone)]
pub struct Block {
    /// The part of the fairway it lies on.
    pub part: usize,
    /// The ground.
    pub area: MultiPolygon<f64>,
    /// Direction of the lanes, radians counter-clockwise from east.
    pub heading_rad: f64,
}

/// The lanes of a loop train.
///
/// # Errors
/// [`PlanError::LoopDiameter`] when such loops cannot be driven without leaving something;
/// [`PlanError::BadValue`] for senseless numbers.
pub fn legs(site: &Site<'_>, train: &LoopTrain) -> Result<Layout, PlanError> {
    if !train.lane_shift.is_finite() {
        return Err(PlanError::BadValue {
            what: "lane shift",
            value: train.lane_shift,
            unit: "of the lane spacing",
            expected: "between 0 and 1".to_string(),
        });
    }
    let (heading_rad, note) = resolve(train.heading, site.fairway);
    let blocks = blocks(site, train, heading_rad);
    let heading_rad = blocks.first().map_or(heading_rad, |b| b.heading_rad);
    let widest = blocks
        .iter()
        .map(|b| Frame::of(b).across.1 - Frame::of(b).across.0)
        .fold(0.0, f64::max);
    let (lattice, _) = solve_across(site.mower, train, widest)?;
    let forbidden = Prepared::new(&forbidden(site, &lattice));
    let mut tasks: Vec<Task> = Vec::new();
    let mut lanes = 0;
    let mut loops_per_lane = 0;
    let mut spacing_m: f64 = 0.0;
    let mut at = site
        .fairway
        .way_in
        .or_else(|| site.fairway.hole_line.as_ref()?.0.first().copied());
    for block in &blocks {
        let begin = Begin::nearest(&Frame::of(block), at);
        let laid = lay(
            site,
            block,
            &lattice,
            train.lane_shift,
            lanes,
            begin,
            &forbidden,
        )?;
        at = laid
            .legs
            .last()
            .and_then(|l| Some(l.tracks.last()?.end().at))
            .or(at);
        lanes += laid.lanes;
        loops_per_lane = loops_per_lane.max(laid.loops_per_lane);
        spacing_m = spacing_m.max(laid.spacing_m);
        tasks.push(Task {
            part: block.part,
            set: tasks.len() as u32,
            phase: PATTERN + tasks.len() as u32,
            kind: TaskKind::Lanes(laid.legs),
        });
    }
    if spacing_m == 0.0 {
        spacing_m = lattice.lane_spacing_m;
    }
    let shape = lattice.shape;
    let width = site.mower.cutting_width_m();
    let mut notes: Vec<Note> = note.into_iter().collect();
    if train.diameter_min_m == train.diameter_max_m {
        // Lattice against lattice, each at its widest spacing: the fit to this fairway's width
        // would favour one or the other by chance.
        let asked = solve(site.mower, train)?;
        notes.extend(
            cheaper_near(site.mower, train, &asked)
                .into_iter()
                .map(|l| Note::CheaperLoops {
                    diameter_m: l.shape.diameter_m,
                    mean_cuts: l.mean_cuts,
                    asked_mean_cuts: asked.mean_cuts,
                }),
        );
    }
    Ok(Layout {
        tasks,
        used: UsedSettings {
            overlap_m: site.settings.overlap_m,
            loop_diameter_m: Some(shape.diameter_m),
            advance_m: Some(shape.advance_m),
            lane_spacing_m: Some(spacing_m),
            form: Some(shape.form),
            lattice_mean_cuts: Some(width * shape.length_m() / (shape.advance_m * spacing_m)),
            lanes: Some(lanes),
            loops_per_lane: Some(loops_per_lane),
            ..UsedSettings::default()
        },
        heading_rad: Some(heading_rad),
        sense: Some(train.sense),
        notes,
    })
}

/// Lanes that follow the centre line run straight for at least this many loop diameters: each
/// bend costs the lanes on both sides of it about one diameter of lead.
const STRAIGHT_DIAMETERS: f64 = 5.0;
/// Bends of the centre line below this are not worth a new direction, radians (10 degrees).
const BEND_RAD: f64 = 0.175;

/// The ground by direction of lanes. Lanes along the centre line run straight from bend to
/// bend: on straight lanes the lattice is proven, on curved ones the outer side of the bend
/// would open. The ground is parted along the line that halves each bend.
fn blocks(site: &Site<'_>, train: &LoopTrain, heading_rad: f64) -> Vec<Block> {
    let mut out = Vec::new();
    let line = match train.guide {
        Guide::Straight => None,
        Guide::CentreLine | Guide::LeftSide | Guide::RightSide => centre_line(site.fairway),
    };
    let bends = line.map_or(Vec::new(), |l| {
        straightened(&l, STRAIGHT_DIAMETERS * train.diameter_min_m, site)
    });
    for (part, area) in parts(site).into_iter().map(|p| (p.part, p.wanted)) {
        if bends.len() < 2 {
            out.push(Block {
                part,
                area,
                heading_rad,
            });
            continue;
        }
        let room = area
            .bounding_rect()
            .map_or(0.0, |b| b.width().hypot(b.height()))
            + 10.0;
        let direction = |w: &[Coord<f64>]| (w[1].y - w[0].y).atan2(w[1].x - w[0].x);
        let mut left = area;
        for (i, w) in bends.windows(2).enumerate() {
            let heading_rad = direction(w);
            let here = match bends.get(i + 2) {
                Some(next) => {
                    // All ground on this side of the line that halves the bend.
                    let turn = fold_rad(direction(&[w[1], *next]) - heading_rad);
                    let cut = Pose::new(w[1], heading_rad + turn / 2.0);
                    let behind = MultiPolygon(vec![Polygon::new(
                        vec![
                            cut.offset(0.0, -2.0 * room),
                            cut.offset(0.0, 2.0 * room),
                            cut.offset(-3.0 * room, 2.0 * room),
                            cut.offset(-3.0 * room, -2.0 * room),
                        ]
                        .into(),
                        Vec::new(),
                    )]);
                    let here = left.intersection(&behind);
                    left = left.difference(&behind);
                    here
                }
                None => std::mem::replace(&mut left, MultiPolygon(Vec::new())),
            };
            if here.unsigned_area() > 0.0 {
                out.push(Block {
                    part,
                    area: here,
                    heading_rad,
                });
            }
        }
    }
    out
}

/// The corners of a line made of few long straight pieces.
fn straightened(line: &LineString<f64>, shortest_m: f64, site: &Site<'_>) -> Vec<Coord<f64>> {
    let mut corners: Vec<Coord<f64>> = Vec::new();
    // Coarser and coarser, until every piece is long enough.
    let mut fit = site.mower.cutting_width_m();
    for _ in 0..6 {
        corners = line.simplify(fit).0;
        let short = corners
            .windows(2)
            .any(|w| (w[1].x - w[0].x).hypot(w[1].y - w[0].y) < shortest_m);
        if !short {
            break;
        }
        fit *= 1.5;
    }
    let heading = |a: Coord<f64>, b: Coord<f64>| (b.y - a.y).atan2(b.x - a.x);
    let mut i = 1;
    while i + 1 < corners.len() {
        let turn =
            fold_rad(heading(corners[i], corners[i + 1]) - heading(corners[i - 1], corners[i]));
        if turn.abs() < BEND_RAD {
            corners.remove(i);
        } else {
            i += 1;
        }
    }
    corners
}

/// Where no reel may be down: keep-outs, and the outside beyond the allowed overrun.
fn forbidden(site: &Site<'_>, lattice: &Lattice) -> MultiPolygon<f64> {
    let Some(b) = site.barriers.solid.bounding_rect() else {
        return site.barriers.area.clone();
    };
    let room = 3.0 * (lattice.shape.diameter_m + site.mower.cutting_width_m()) + 10.0;
    let all = MultiPolygon(vec![
        Rect::new(
            b.min() - Coord { x: room, y: room },
            b.max() + Coord { x: room, y: room },
        )
        .to_polygon(),
    ]);
    all.difference(&offset(&site.barriers.solid, site.settings.overrun_m))
        .union(&site.barriers.area)
}

/// Lane coordinates: x along the heading, y to its left.
struct Frame {
    heading_rad: f64,
    along: (f64, f64),
    across: (f64, f64),
}

impl Frame {
    fn of(block: &Block) -> Self {
        let (sin, cos) = block.heading_rad.sin_cos();
        let none = (f64::INFINITY, f64::NEG_INFINITY);
        let (mut along, mut across) = (none, none);
        for p in block.area.iter().flat_map(|p| &p.exterior().0) {
            let (x, y) = (p.x * cos + p.y * sin, p.y * cos - p.x * sin);
            along = (along.0.min(x), along.1.max(x));
            across = (across.0.min(y), across.1.max(y));
        }
        Self {
            heading_rad: block.heading_rad,
            along,
            across,
        }
    }

    fn world(&self, x: f64, y: f64) -> Coord<f64> {
        Pose::new(Coord { x: 0.0, y: 0.0 }, self.heading_rad).offset(x, y)
    }

    /// The strip between two heights as an area.
    fn strip(&self, low: f64, high: f64, room: f64) -> MultiPolygon<f64> {
        let (a, b) = (self.along.0 - room, self.along.1 + room);
        MultiPolygon(vec![Polygon::new(
            vec![
                self.world(a, low),
                self.world(b, low),
                self.world(b, high),
                self.world(a, high),
            ]
            .into(),
            Vec::new(),
        )])
    }
}

struct Laid {
    legs: Vec<Leg>,
    lanes: u32,
    loops_per_lane: u32,
    spacing_m: f64,
}

/// At which corner of a block its first lane begins.
#[derive(Debug, Clone, Copy)]
struct Begin {
    /// With the leftmost lane, looking along the heading, or the rightmost.
    left: bool,
    /// Along the heading, or against it.
    forward: bool,
}

impl Begin {
    /// The corner nearest to where the mower comes from.
    fn nearest(frame: &Frame, from: Option<Coord<f64>>) -> Self {
        let first = Begin {
            left: true,
            forward: true,
        };
        let Some(from) = from else { return first };
        let distance = |b: &Begin| {
            let corner = frame.world(
                if b.forward {
                    frame.along.0
                } else {
                    frame.along.1
                },
                if b.left {
                    frame.across.1
                } else {
                    frame.across.0
                },
            );
            (corner.x - from.x).hypot(corner.y - from.y)
        };
        [(true, true), (false, true), (true, false), (false, false)]
            .map(|(left, forward)| Begin { left, forward })
            .into_iter()
            .min_by(|a, b| distance(a).total_cmp(&distance(b)))
            .unwrap_or(first)
    }
}

/// Lays the lanes of one block side by side.
fn lay(
    site: &Site<'_>,
    block: &Block,
    lattice: &Lattice,
    shift: f64,
    first_lane: u32,
    begin: Begin,
    forbidden: &Prepared,
) -> Result<Laid, PlanError> {
    let frame = Frame::of(block);
    let span = frame.across.1 - frame.across.0;
    let mut out = Laid {
        legs: Vec::new(),
        lanes: 0,
        loops_per_lane: 0,
        spacing_m: 0.0,
    };
    if span.is_nan() || span <= 0.0 {
        return Ok(out);
    }
    let lanes = (span / lattice.lane_spacing_m - 1e-9).ceil().max(1.0);
    let spacing = span / lanes;
    let spare = (lattice.lane_spacing_m - spacing) / 2.0;
    let length = frame.along.1 - frame.along.0;
    let count = ((lanes + 1.0) * (length / lattice.shape.advance_m + 4.0)) as usize;
    if count > MOST_LOOPS {
        return Err(PlanError::BadValue {
            what: "the loop diameter",
            value: lattice.shape.diameter_m,
            unit: "m",
            expected: format!(
                "larger on ground of this size: {count} loops are more than {MOST_LOOPS}"
            ),
        });
    }
    let wanted = Prepared::new(&block.area);
    let shift = shift.rem_euclid(1.0);
    // Shifted lanes need one more; it is left out when its neighbour's spare height reaches.
    let mut order: Vec<i64> = (-1..lanes as i64).collect();
    if !begin.left {
        order.reverse();
    }
    for j in order {
        let middle = frame.across.1 - (j as f64 + 0.5 + shift) * spacing;
        let (low, high) = (
            (middle - spacing / 2.0).max(frame.across.0),
            (middle + spacing / 2.0).min(frame.across.1),
        );
        let at_edge = j == -1 || j + 1 == lanes as i64;
        if high - low <= if at_edge { spare.max(1e-6) } else { 0.0 } {
            continue;
        }
        let lane = Lane {
            lattice,
            frame: &frame,
            forward: out.lanes.is_multiple_of(2) == begin.forward,
            middle_m: middle,
        };
        if site.work.over() {
            break;
        }
        let own = frame.strip(low, high, 1.0).intersection(&block.area);
        if own.unsigned_area() <= 0.0 {
            continue;
        }
        let pieces = lane.drive(site, &wanted, &own, forbidden);
        out.loops_per_lane = out.loops_per_lane.max(pieces.loops);
        out.legs.extend(pieces.legs.into_iter().map(|tracks| Leg {
            tracks,
            role: Role::Lane {
                lane: first_lane + out.lanes,
            },
            reversible: false,
        }));
        out.lanes += 1;
    }
    out.spacing_m = spacing;
    Ok(out)
}

struct Lane<'a> {
    lattice: &'a Lattice,
    frame: &'a Frame,
    /// Along the heading, or back.
    forward: bool,
    /// Middle of its strip, metres to the left of the frame's origin.
    middle_m: f64,
}

struct Driven {
    legs: Vec<Vec<Track>>,
    loops: u32,
}

impl Lane<'_> {
    /// The lane's axis: a pose `x` metres along the lane, pointing along it.
    fn axis(&self, x: f64) -> Pose {
        // The full band lies unevenly about the axis; its middle goes to the strip's middle.
        let off = (self.lattice.left_m - self.lattice.right_m) / 2.0;
        if self.forward {
            Pose::new(
                self.frame.world(x, self.middle_m - off),
                self.frame.heading_rad,
            )
        } else {
            Pose::new(
                self.frame.world(x, self.middle_m + off),
                self.frame.heading_rad + PI,
            )
        }
    }

    /// The tracks of loop after loop: two half-circles, or a circle and a straight piece.
    fn loops(&self) -> Vec<[Path; 2]> {
        let shape = &self.lattice.shape;
        let side = self.lattice.sense.sign();
        let (p, wide, tight) = (
            shape.advance_m,
            shape.wide_radius_m(),
            shape.tight_radius_m(),
        );
        // Every loop that can touch the ground, whatever its size and the units' lead.
        let room = 2.0 * wide + 2.0 * p + 10.0;
        let length = self.frame.along.1 - self.frame.along.0;
        let n = ((length + 2.0 * room) / p).ceil() as usize;
        let start = |i: usize| {
            let x = -room + p * i as f64;
            if self.forward {
                self.axis(self.frame.along.0 + x)
            } else {
                self.axis(self.frame.along.1 - x)
            }
        };
        (0..n)
            .map(|i| {
                let axis = start(i);
                let next = start(i + 1);
                match shape.form {
                    LoopForm::Drift => {
                        let at = |pose: Pose, ahead: f64, radius: f64, from: f64| {
                            Path::Arc(Arc {
                                centre: pose.offset(ahead, 0.0),
                                radius_m: radius,
                                from_rad: pose.heading_rad + from,
                                sweep_rad: side * PI,
                            })
                        };
                        [at(axis, wide, wide, PI), at(next, tight, tight, 0.0)]
                    }
                    LoopForm::Roll => {
                        let circle = Path::Arc(Arc {
                            centre: axis.at,
                            radius_m: wide,
                            from_rad: axis.heading_rad - side * FRAC_PI_2,
                            sweep_rad: side * TAU,
                        });
                        let line = Path::Line {
                            from: axis.offset(0.0, -side * wide),
                            to: next.offset(0.0, -side * wide),
                        };
                        [circle, line]
                    }
                }
            })
            .collect()
    }

    fn drive(
        &self,
        site: &Site<'_>,
        wanted: &Prepared,
        own: &MultiPolygon<f64>,
        forbidden: &Prepared,
    ) -> Driven {
        let units = &site.mower.units;
        let loops = self.loops();
        site.work.spend(loops.len() as u64);
        let handling = Handling {
            bridge_m: BRIDGE_M,
            ..Handling::default()
        };
        // Loops near this lane's own strip; the rest of a long lane is air.
        let own_ready = Prepared::new(own);
        let useful: Vec<bool> = loops
            .iter()
            .map(|l| {
                l.iter()
                    .any(|p| !touch_spans(p, units, &own_ready).is_empty())
            })
            .collect();
        let mut legs = Vec::new();
        let mut count = 0;
        for (from, to) in runs(&useful) {
            let chosen = self.without_idle_ends(&loops[from..to], site, wanted, own, forbidden);
            count += chosen.len() as u32;
            let paths: Vec<Path> = chosen.iter().flatten().copied().collect();
            let down = lowered(&paths, units, wanted, forbidden, &handling);
            for leg in self.joined(site, &paths, &down) {
                legs.push(leg);
            }
        }
        Driven { legs, loops: count }
    }

    /// Leaves out first and last loops that cut nothing of the lane's own ground that the
    /// loops after (or before) them do not cut.
    fn without_idle_ends<'b>(
        &self,
        loops: &'b [[Path; 2]],
        site: &Site<'_>,
        wanted: &Prepared,
        own: &MultiPolygon<f64>,
        forbidden: &Prepared,
    ) -> &'b [[Path; 2]] {
        let units = &site.mower.units;
        let shape = &self.lattice.shape;
        // So many loops on, nothing of this loop's ground is touched again.
        let near = ((2.0 * shape.wide_radius_m() + site.mower.cutting_width_m()) / shape.advance_m)
            .ceil() as usize
            + 1;
        let driven = |some: &[[Path; 2]]| {
            let paths: Vec<Path> = some.iter().flatten().copied().collect();
            let down = lowered(&paths, units, wanted, forbidden, &Handling::default());
            let total: f64 = paths.iter().map(Path::length_m).sum();
            tracks_between(&paths, &down, 0.0, total)
        };
        let idle = |one: &[[Path; 2]], others: &[[Path; 2]]| {
            site.work.spend(IDLE_STEPS);
            if site.work.over() {
                return false;
            }
            let new = swept_area(&driven(one), units, LOOK_M).intersection(own);
            new.unsigned_area() < NOTHING_NEW_M2
                || without_swept(&new, &driven(others), units, LOOK_M).unsigned_area()
                    < NOTHING_NEW_M2
        };
        let (mut from, mut to) = (0, loops.len());
        while to - from > 1
            && idle(
                &loops[from..=from],
                &loops[from + 1..(from + 1 + near).min(to)],
            )
        {
            from += 1;
        }
        while to - from > 1
            && idle(
                &loops[to - 1..to],
                &loops[to.saturating_sub(1 + near).max(from)..to - 1],
            )
        {
            to -= 1;
        }
        &loops[from..to]
    }

    /// Lowered stretches joined along the loops where that is legal and not far.
    fn joined(&self, site: &Site<'_>, paths: &[Path], down: &[Span]) -> Vec<Vec<Track>> {
        let units = &site.mower.units;
        let mut starts = vec![0.0];
        for p in paths {
            starts.push(starts[starts.len() - 1] + p.length_m());
        }
        let blocked = |from: f64, to: f64| {
            paths.iter().zip(&starts).any(|(p, &s)| {
                let (a, b) = ((from - s).max(0.0), (to - s).min(p.length_m()));
                a < b
                    && touch_spans(p, units, &site.barriers.prepared)
                        .iter()
                        .any(|t| t.0 < b && t.1 > a)
            })
        };
        let far = self.lattice.shape.length_m();
        let mut out: Vec<Vec<Track>> = Vec::new();
        let mut group: Vec<Span> = Vec::new();
        let close = |group: &mut Vec<Span>, out: &mut Vec<Vec<Track>>| {
            if let (Some(first), Some(last)) = (group.first(), group.last()) {
                out.push(tracks_between(paths, group, first.0, last.1));
            }
            group.clear();
        };
        for &s in down {
            if let Some(last) = group.last()
                && (s.0 - last.1 > far || blocked(last.1, s.0))
            {
                close(&mut group, &mut out);
            }
            group.push(s);
        }
        close(&mut group, &mut out);
        out.retain(|l| !l.is_empty());
        out
    }
}

/// Maximal runs of true, with gaps of a single false closed.
fn runs(useful: &[bool]) -> Vec<(usize, usize)> {
    let mut out: Vec<(usize, usize)> = Vec::new();
    for (i, &u) in useful.iter().enumerate() {
        if !u {
            continue;
        }
        match out.last_mut() {
            Some(last) if i <= last.1 + 1 => last.1 = i + 1,
            _ => out.push((i, i + 1)),
        }
    }
    out
}
