//! Lanes of whole loops side by side.
//!
//! The ground is measured across the lanes and shared evenly, so each lane owns a strip no taller than
//! the lattice allows. A lane runs where whole loops fit ([`super::ground`]), in one stretch or
//! several. The phase between lanes does not matter, so each stretch begins with the first loop that
//! fits and ends with the last one that does, a shorter advance after the loop before.
//!
//! Within a stretch the reels stay down, also over ground that the clean-up passes have cut: a
//! lift costs more than a second cut. First and last loops that cut nothing wanted are left out.

use crate::deck::ring;
use crate::error::PlanError;
use crate::ground::extent::Extent;
use crate::model::mow::{Leg, Role};
use crate::model::mower::Mower;
use crate::model::pattern::{LoopForm, LoopTrain};
use crate::model::pose::Pose;
use crate::model::task::{Task, TaskKind};
use crate::model::track::{CircularArc, Segment, Track};
use crate::patterns::lattice::{Lattice, solve_across};
use crate::patterns::loops::ground::{LaneGround, blocks, free, room};
use crate::patterns::{PATTERN, Site};
use crate::polygon::overlay::Overlay;
use crate::swath::contact::Span;
use crate::swath::gain::Swath;
use geo::Area;
use geo_types::MultiPolygon;
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// A first or last loop that cuts less wanted ground than this is left out, square metres: what
/// nobody sees from the seat.
const NOTHING_NEW_M2: f64 = 0.05;
/// Whether a loop is idle takes as long to see as so many turns.
const IDLE_EFFORT: u64 = 10;
/// A last loop is added where the lane goes on by at least this share of an advance: less than
/// that is beyond what a crew steers to.
const LAST_SHARE: f64 = 0.15;
/// Most loops on one fairway: about a square kilometre under 22 ft loops.
pub const MAX_LOOPS: usize = 50_000;

/// The lanes of all blocks of a fairway.
pub struct Lanes {
    /// Block by block.
    pub tasks: Vec<Task>,
    /// What they are made of.
    pub lattice: Lattice,
    /// Direction of the first block's lanes, radians counter-clockwise from east.
    pub heading_rad: f64,
    /// How many lanes.
    pub count: u32,
    /// Loops in the longest lane.
    pub loops_per_lane: u32,
    /// The widest distance from lane to lane, metres.
    pub spacing_m: f64,
}

impl Lanes {
    /// Lays the lanes of all blocks. [`PlanError`] when such loops cannot be driven, or there are
    /// more than [`MAX_LOOPS`].
    pub fn on(site: &Site<'_>, train: &LoopTrain, heading_rad: f64) -> Result<Self, PlanError> {
        let blocks = blocks(site, train, heading_rad);
        let spans = blocks.iter().map(|b| b.extent().span_m());
        let (lattice, _) = solve_across(site.mower, train, spans.fold(0.0, f64::max))?;
        few_enough(&blocks, &lattice)?;
        let reach_m = reach_m(site.mower, &lattice);
        let room = room(site, reach_m);
        let mut out = Self {
            tasks: Vec::new(),
            lattice,
            heading_rad: blocks.first().map_or(heading_rad, |b| b.heading_rad),
            count: 0,
            loops_per_lane: 0,
            spacing_m: 0.0,
        };
        for block in &blocks {
            let legs = out.lay(site, block, train.lane_shift, &room, reach_m);
            if legs.is_empty() {
                continue;
            }
            let set = out.tasks.len() as u32;
            out.tasks.push(Task {
                part: block.part,
                set,
                phase: PATTERN + set,
                kind: TaskKind::Lanes(legs),
            });
        }
        if out.spacing_m == 0.0 {
            out.spacing_m = lattice.lane_spacing_m;
        }
        Ok(out)
    }

    /// Lays the lanes of one block side by side, shifted by a share of their spacing.
    fn lay(
        &mut self,
        site: &Site<'_>,
        block: &LaneGround,
        shift: f64,
        room: &MultiPolygon<f64>,
        reach_m: f64,
    ) -> Vec<Leg> {
        let extent = block.extent();
        let span = extent.span_m();
        let mut legs = Vec::new();
        if span.is_nan() || span <= 0.0 {
            return legs;
        }
        let count = (span / self.lattice.lane_spacing_m - 1e-9).ceil().max(1.0);
        let spacing = span / count;
        let spare = (self.lattice.lane_spacing_m - spacing) / 2.0;
        self.spacing_m = self.spacing_m.max(spacing);
        let wanted = block.area.intersection(site.uncut);
        let first = self.count;
        let nothing = MultiPolygon(Vec::new());
        // Shifted lanes need one more; it is left out when its neighbour's spare height reaches.
        for j in -1..count as i64 {
            let middle = extent.across.1 - (j as f64 + 0.5 + shift.rem_euclid(1.0)) * spacing;
            let low = (middle - spacing / 2.0).max(extent.across.0);
            let high = (middle + spacing / 2.0).min(extent.across.1);
            if high - low <= spare.max(1e-6) {
                continue;
            }
            let own = extent.strip(low, high, 1.0).intersection(&wanted);
            if own.unsigned_area() <= 0.0 {
                continue;
            }
            let forward = (self.count - first).is_multiple_of(2);
            let lane = Lane {
                site,
                lattice: &self.lattice,
                own: &Swath::new(&site.mower.units, &own, &nothing),
                axis: self.axis(&extent, middle, forward, reach_m),
                reach_m,
            };
            let length_m = extent.along.1 - extent.along.0 + 4.0 * reach_m;
            let stretches = lane.stretches(&free(room, lane.axis, length_m));
            let loops: usize = stretches.iter().map(Vec::len).sum();
            if loops == 0 {
                continue;
            }
            legs.extend(stretches.iter().map(|s| Leg {
                tracks: lane.tracks(s),
                role: Role::Lane { lane: self.count },
                reversible: false,
            }));
            self.loops_per_lane = self.loops_per_lane.max(loops as u32);
            self.count += 1;
        }
        legs
    }

    /// The axis of the lane in the middle of a strip: its pose at the beginning, well before the
    /// ground, pointing along it.
    fn axis(&self, extent: &Extent, middle_m: f64, forward: bool, reach_m: f64) -> Pose {
        let before = 2.0 * reach_m;
        // The full band lies unevenly about the axis; its middle goes to the strip's middle.
        let off = (self.lattice.left_m - self.lattice.right_m) / 2.0;
        let (along, across, turn) = if forward {
            (extent.along.0 - before, middle_m - off, 0.0)
        } else {
            (extent.along.1 + before, middle_m + off, PI)
        };
        Pose::new(extent.world(along, across), extent.heading_rad + turn)
    }
}

fn few_enough(blocks: &[LaneGround], lattice: &Lattice) -> Result<(), PlanError> {
    let on_block = |b: &LaneGround| {
        let extent = b.extent();
        let lanes = (extent.span_m() / lattice.lane_spacing_m).max(0.0) + 2.0;
        let length = (extent.along.1 - extent.along.0).max(0.0);
        (lanes * (length / lattice.shape.advance_m + 4.0)) as usize
    };
    let count: usize = blocks.iter().map(on_block).sum();
    if count <= MAX_LOOPS {
        return Ok(());
    }
    Err(PlanError::BadValue {
        what: "the loop diameter",
        value: lattice.shape.diameter_m,
        unit: "m",
        expected: format!("larger on ground of this size: {count} loops are more than {MAX_LOOPS}"),
    })
}

/// How far the cutting units reach from the middle of a loop's wide half, metres: the whole loop
/// lies within.
pub fn reach_m(mower: &Mower, lattice: &Lattice) -> f64 {
    let shape = &lattice.shape;
    let outermost = |radius_m: f64| {
        let outer = |u| ring(u, radius_m, lattice.sense).1;
        mower.units.iter().map(outer).fold(0.0, f64::max)
    };
    let wide = outermost(shape.wide_radius_m());
    match shape.form {
        // The half back turns about a point half an advance farther on, half an advance tighter.
        LoopForm::Drift => wide.max(shape.advance_m / 2.0 + outermost(shape.tight_radius_m())),
        LoopForm::Roll => wide,
    }
}

/// One loop: where along the lane its middle lies, and how far on the next one's does.
#[derive(Debug, Clone, Copy)]
struct Loop {
    middle_m: f64,
    advance_m: f64,
}

struct Lane<'a> {
    site: &'a Site<'a>,
    lattice: &'a Lattice,
    /// The uncut ground of its strip.
    own: &'a Swath<'a>,
    axis: Pose,
    reach_m: f64,
}

impl Lane<'_> {
    /// The stretches of the lane that are driven, loop by loop. The last loop of each has nowhere
    /// to go on to: it is a circle.
    fn stretches(&self, free: &[Span]) -> Vec<Vec<Loop>> {
        let trimmed = free.iter().map(|s| self.without_idle_ends(self.fitted(*s)));
        let mut out: Vec<Vec<Loop>> = trimmed.filter(|loops| !loops.is_empty()).collect();
        for last in out.iter_mut().filter_map(|loops| loops.last_mut()) {
            last.advance_m = 0.0;
        }
        out
    }

    /// Loops whose middles lie from one place to another, both included.
    fn fitted(&self, (from, to): Span) -> Vec<Loop> {
        let advance_m = self.lattice.shape.advance_m;
        let steps = ((to - from) / advance_m).floor();
        let at = |middle_m: f64| Loop {
            middle_m,
            advance_m,
        };
        let regular = (0..=steps as usize).map(|i| at(from + i as f64 * advance_m));
        let mut out: Vec<Loop> = regular.collect();
        let rest = to - from - steps * advance_m;
        if rest >= LAST_SHARE * advance_m
            && let Some(last) = out.last_mut()
        {
            last.advance_m = rest;
            out.push(at(to));
        }
        out
    }

    /// Leaves out first and last loops that cut nothing of the lane's own ground that the
    /// loops after (or before) them do not cut.
    fn without_idle_ends(&self, mut loops: Vec<Loop>) -> Vec<Loop> {
        // So many loops on, nothing of this loop's ground is touched again.
        let near = (2.0 * self.reach_m / self.lattice.shape.advance_m).ceil() as usize + 2;
        let idle = |one: Loop, others: &[Loop]| {
            self.site.work.spend(IDLE_EFFORT);
            let (run, with) = (self.tracks(&[one]), self.tracks(others));
            self.own.gain(&run, None, &with).grass_m2 < NOTHING_NEW_M2
        };
        while let Some((last, before)) = loops.split_last()
            && idle(*last, &before[before.len().saturating_sub(near)..])
        {
            loops.pop();
        }
        let first = (0..loops.len()).find(|&i| {
            let after = &loops[i + 1..];
            !idle(loops[i], &after[..near.min(after.len())])
        });
        loops.split_off(first.unwrap_or(loops.len()))
    }

    /// The tracks of loops end to end.
    fn tracks(&self, loops: &[Loop]) -> Vec<Track> {
        let paths = loops.iter().flat_map(|l| self.paths(l));
        let driven = paths.filter(|p| p.length_m() > 0.0);
        driven.map(Track::down).collect()
    }

    /// Two half-circles, or a circle and a straight piece.
    fn paths(&self, l: &Loop) -> [Segment; 2] {
        let shape = &self.lattice.shape;
        let side = self.lattice.sense.sign();
        let wide = shape.wide_radius_m();
        let axis = self.axis;
        let arc = |ahead: f64, radius_m: f64, from_rad: f64, sweep_rad: f64| {
            Segment::Arc(CircularArc {
                centre: axis.offset(ahead, 0.0),
                radius_m,
                from_rad: axis.heading_rad + from_rad,
                sweep_rad: side * sweep_rad,
            })
        };
        match shape.form {
            LoopForm::Drift => {
                let tight = wide - l.advance_m / 2.0;
                [
                    arc(l.middle_m, wide, PI, PI),
                    arc(l.middle_m + l.advance_m / 2.0, tight, 0.0, PI),
                ]
            }
            LoopForm::Roll => {
                let circle = arc(l.middle_m, wide, -side * FRAC_PI_2, TAU);
                let line = Segment::Line {
                    from: axis.offset(l.middle_m, -side * wide),
                    to: axis.offset(l.middle_m + l.advance_m, -side * wide),
                };
                [circle, line]
            }
        }
    }
}
