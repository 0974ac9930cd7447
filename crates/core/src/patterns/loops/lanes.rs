//! Lanes of whole loops side by side.
//!
//! The lattice gives the loop, its advance and the tallest strip that one lane cuts completely.
//! The ground is measured across the lanes and shared evenly, so each lane owns a strip. A lane
//! runs where whole loops fit ([`super::room`]): it ends where none fits and may begin again
//! beyond. The phase between lanes does not matter, so each stretch begins with the first loop
//! that fits, and ends with the last one that does, a shorter advance after the loop before.
//!
//! Within a stretch the reels stay down, also over ground that the clean-up passes have cut: a
//! lift costs more than a second cut. Only where several loops on end cut nothing wanted does the
//! lane break. First and last loops that cut nothing wanted are left out.

use crate::deck::ring;
use crate::ground::extent::Extent;
use crate::model::mower::Mower;
use crate::model::pattern::LoopForm;
use crate::model::pose::Pose;
use crate::model::track::{CircularArc, Segment, Track};
use crate::patterns::input::Site;
use crate::patterns::lattice::Lattice;
use crate::patterns::loops::begin::Begin;
use crate::patterns::loops::ground::LaneGround;
use crate::patterns::loops::room::Room;
use crate::polygon::overlay::Overlay;
use crate::swath::contact::{Prepared, touch_spans};
use crate::swath::gain::Swath;
use geo::Area;
use geo_types::{MultiPolygon, Polygon};
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// A first or last loop that cuts less wanted ground than this is left out, square metres: what
/// nobody sees from the seat.
const NOTHING_NEW_M2: f64 = 0.05;
/// Whether a loop is idle takes as long to see as so many turns.
const IDLE_EFFORT: u64 = 10;
/// So many loops on end that cut nothing wanted take longer than lifting, driving on and lowering.
const IDLE_LOOPS: usize = 4;
/// A last loop is added where the lane goes on by at least this share of an advance: less than
/// that is beyond what a crew steers to.
const LAST_SHARE: f64 = 0.15;

/// One stretch of a lane, reels down throughout.
#[derive(Debug, Clone, PartialEq)]
pub struct Stretch {
    /// Its lane in the block, 0 the leftmost looking along the heading.
    pub lane: u32,
    /// The loops, end to end.
    pub tracks: Vec<Track>,
    /// How many loops.
    pub loops: u32,
    /// The part of its strip that the lattice is proven to cut whole: the full band, as far as
    /// every loop that may reach it is driven.
    pub proven: Option<Polygon<f64>>,
}

/// The lanes of one block.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct LaidLanes {
    /// In the order they are driven.
    pub stretches: Vec<Stretch>,
    /// Number of lanes with at least one loop.
    pub lanes: u32,
    /// Distance from lane to lane, metres; 0 where there is no ground.
    pub spacing_m: f64,
}

impl LaidLanes {
    /// Loops in the longest lane.
    pub fn longest(&self) -> u32 {
        (0..self.lanes)
            .map(|lane| {
                let of_lane = self.stretches.iter().filter(|s| s.lane == lane);
                of_lane.map(|s| s.loops).sum()
            })
            .max()
            .unwrap_or(0)
    }
}

/// Lays the lanes of one block side by side, shifted by a share of their spacing.
pub fn lay(
    site: &Site<'_>,
    block: &LaneGround,
    lattice: &Lattice,
    shift: f64,
    begin: Begin,
    room: &Room,
) -> LaidLanes {
    let extent = block.extent();
    let span = extent.span_m();
    let mut out = LaidLanes::default();
    if span.is_nan() || span <= 0.0 {
        return out;
    }
    let count = (span / lattice.lane_spacing_m - 1e-9).ceil().max(1.0);
    let spacing = span / count;
    let spare = (lattice.lane_spacing_m - spacing) / 2.0;
    out.spacing_m = spacing;
    let reach_m = reach_m(site.mower, lattice);
    let wanted = block.area.intersection(site.uncut);
    let shift = shift.rem_euclid(1.0);
    // Shifted lanes need one more; it is left out when its neighbour's spare height reaches.
    let mut order: Vec<i64> = (-1..count as i64).collect();
    if !begin.left {
        order.reverse();
    }
    for j in order {
        let middle = extent.across.1 - (j as f64 + 0.5 + shift) * spacing;
        let (low, high) = (
            (middle - spacing / 2.0).max(extent.across.0),
            (middle + spacing / 2.0).min(extent.across.1),
        );
        let at_edge = j == -1 || j + 1 == count as i64;
        if high - low <= if at_edge { spare.max(1e-6) } else { 0.0 } {
            continue;
        }
        let strip = extent.strip(low, high, 1.0);
        let own = strip.intersection(&wanted);
        if own.unsigned_area() <= 0.0 {
            continue;
        }
        let lane = Lane {
            lattice,
            extent: &extent,
            forward: out.lanes.is_multiple_of(2) == begin.forward,
            middle_m: middle,
            reach_m,
        };
        let stretches = lane.stretches(site, &own, room);
        if stretches.is_empty() {
            continue;
        }
        let number = out.lanes;
        out.stretches
            .extend(stretches.into_iter().map(|loops| Stretch {
                lane: number,
                loops: loops.all.len() as u32,
                proven: lane.proven(&loops),
                tracks: lane.tracks(&loops),
            }));
        out.lanes += 1;
    }
    if !begin.left {
        // Counted from the left, whichever side they begin at.
        for s in &mut out.stretches {
            s.lane = out.lanes - 1 - s.lane;
        }
    }
    out
}

/// How far the cutting units reach from the middle of a loop's wide half, metres: the whole loop
/// lies within.
pub fn reach_m(mower: &Mower, lattice: &Lattice) -> f64 {
    let shape = &lattice.shape;
    let outermost = |radius_m: f64| {
        mower
            .units
            .iter()
            .map(|u| ring(u, radius_m, lattice.sense).outer_m)
            .fold(0.0, f64::max)
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

/// The loops of a stretch.
struct Train {
    all: Vec<Loop>,
    /// Whether it begins with the half back of its first circle.
    half_before: bool,
}

struct Lane<'a> {
    lattice: &'a Lattice,
    extent: &'a Extent,
    /// Along the heading, or back.
    forward: bool,
    /// Middle of its strip, metres to the left of the extent's origin.
    middle_m: f64,
    reach_m: f64,
}

impl Lane<'_> {
    /// The lane's axis: its pose at the beginning, well before the ground, pointing along it.
    fn axis(&self) -> Pose {
        let before = 2.0 * self.reach_m;
        // The full band lies unevenly about the axis; its middle goes to the strip's middle.
        let off = (self.lattice.left_m - self.lattice.right_m) / 2.0;
        let heading = self.extent.heading_rad;
        let along = self.extent.along;
        if self.forward {
            let at = self.extent.world(along.0 - before, self.middle_m - off);
            Pose::new(at, heading)
        } else {
            let at = self.extent.world(along.1 + before, self.middle_m + off);
            Pose::new(at, heading + PI)
        }
    }

    /// The stretches of the lane that are driven, loop by loop.
    fn stretches(&self, site: &Site<'_>, own: &MultiPolygon<f64>, room: &Room) -> Vec<Train> {
        let axis = self.axis();
        let length = self.extent.along.1 - self.extent.along.0 + 4.0 * self.reach_m;
        let wanted = Prepared::new(own);
        let mut out = Vec::new();
        for (from, to) in room.free(axis, length, self.reach_m) {
            let loops = self.fitted(from, to);
            site.work.spend(loops.len() as u64);
            let wants: Vec<bool> = loops
                .iter()
                .map(|l| {
                    self.paths(axis, *l)
                        .iter()
                        .any(|p| !touch_spans(p, &site.mower.units, &wanted).is_empty())
                })
                .collect();
            for (a, b) in runs(&wants) {
                out.extend(self.without_idle_ends(axis, &loops[a..b], site, own));
            }
        }
        out
    }

    /// Loops whose middles lie from one place to another, both included.
    fn fitted(&self, from: f64, to: f64) -> Vec<Loop> {
        let advance_m = self.lattice.shape.advance_m;
        let steps = ((to - from) / advance_m).floor();
        let mut out: Vec<Loop> = (0..=steps as usize)
            .map(|i| Loop {
                middle_m: from + i as f64 * advance_m,
                advance_m,
            })
            .collect();
        let rest = to - from - steps * advance_m;
        if rest >= LAST_SHARE * advance_m
            && let Some(last) = out.last_mut()
        {
            last.advance_m = rest;
            out.push(Loop {
                middle_m: to,
                advance_m,
            });
        }
        out
    }

    /// Two half-circles, or a circle and a straight piece.
    fn paths(&self, axis: Pose, l: Loop) -> [Segment; 2] {
        let shape = &self.lattice.shape;
        let side = self.lattice.sense.sign();
        let wide = shape.wide_radius_m();
        let heading = axis.heading_rad;
        match shape.form {
            LoopForm::Drift => {
                let tight = wide - l.advance_m / 2.0;
                let half = |ahead: f64, radius: f64, from: f64| {
                    Segment::Arc(CircularArc {
                        centre: axis.offset(ahead, 0.0),
                        radius_m: radius,
                        from_rad: heading + from,
                        sweep_rad: side * PI,
                    })
                };
                [
                    half(l.middle_m, wide, PI),
                    half(l.middle_m + l.advance_m / 2.0, tight, 0.0),
                ]
            }
            LoopForm::Roll => {
                let circle = Segment::Arc(CircularArc {
                    centre: axis.offset(l.middle_m, 0.0),
                    radius_m: wide,
                    from_rad: heading - side * FRAC_PI_2,
                    sweep_rad: side * TAU,
                });
                let line = Segment::Line {
                    from: axis.offset(l.middle_m, -side * wide),
                    to: axis.offset(l.middle_m + l.advance_m, -side * wide),
                };
                [circle, line]
            }
        }
    }

    /// What of its strip a train cuts whole, going by the lattice alone.
    fn proven(&self, train: &Train) -> Option<Polygon<f64>> {
        let axis = self.axis();
        let advance = self.lattice.shape.advance_m;
        // The last two loops may stand closer together than the lattice has them.
        let first = train.all.first()?.middle_m + self.reach_m;
        let last = train.all.last()?.middle_m - 2.0 * advance - self.reach_m;
        let (left, right) = (self.lattice.left_m, -self.lattice.right_m);
        (first < last).then(|| {
            let corners = vec![
                axis.offset(first, right),
                axis.offset(last, right),
                axis.offset(last, left),
                axis.offset(first, left),
            ];
            Polygon::new(corners.into(), Vec::new())
        })
    }

    /// The half back of a loop whose middle stays where it is: with the half forward, a circle.
    fn half_back(&self, axis: Pose, l: Loop) -> Segment {
        self.paths(
            axis,
            Loop {
                advance_m: 0.0,
                ..l
            },
        )[1]
    }

    /// The tracks of a stretch. The last loop has nowhere to go on to: it is a circle.
    fn tracks(&self, train: &Train) -> Vec<Track> {
        let axis = self.axis();
        let mut out: Vec<Segment> = train
            .all
            .iter()
            .flat_map(|l| self.paths(axis, *l))
            .collect();
        out.pop();
        if self.lattice.shape.form == LoopForm::Drift {
            if let Some(last) = train.all.last() {
                out.push(self.half_back(axis, *last));
            }
            if train.half_before
                && let Some(first) = train.all.first()
            {
                out.insert(0, self.half_back(axis, *first));
            }
        }
        out.into_iter().map(Track::down).collect()
    }

    /// Leaves out first and last loops that cut nothing of the lane's own ground that the
    /// loops after (or before) them do not cut.
    fn without_idle_ends(
        &self,
        axis: Pose,
        loops: &[Loop],
        site: &Site<'_>,
        own: &MultiPolygon<f64>,
    ) -> Option<Train> {
        let units = &site.mower.units;
        let advance = self.lattice.shape.advance_m;
        // So many loops on, nothing of this loop's ground is touched again.
        let near = (2.0 * self.reach_m / advance).ceil() as usize + 2;
        let driven = |some: &[Loop]| -> Vec<Track> {
            let paths = some.iter().flat_map(|l| self.paths(axis, *l));
            paths.map(Track::down).collect()
        };
        let alone = Swath::new(units, own, &MultiPolygon(Vec::new()));
        let idle = |one: &[Track], others: &[Loop]| {
            site.work.spend(IDLE_EFFORT);
            alone.gain(one, None, &driven(others)).grass_m2 < NOTHING_NEW_M2
        };
        let (mut from, mut to) = (0, loops.len());
        let after = |from: usize, to: usize| &loops[from + 1..(from + 1 + near).min(to)];
        while from < to && idle(&driven(&loops[from..=from]), after(from, to)) {
            from += 1;
        }
        while from < to
            && idle(
                &driven(&loops[to - 1..to]),
                &loops[to.saturating_sub(1 + near).max(from)..to - 1],
            )
        {
            to -= 1;
        }
        let first = *loops[from..to].first()?;
        let half = Track::down(self.half_back(axis, first));
        Some(Train {
            all: loops[from..to].to_vec(),
            half_before: self.lattice.shape.form == LoopForm::Drift
                && !idle(&[half], &loops[from..(from + near).min(to)]),
        })
    }
}

/// Maximal runs of true, with gaps of few falses closed.
fn runs(useful: &[bool]) -> Vec<(usize, usize)> {
    let mut out: Vec<(usize, usize)> = Vec::new();
    for (i, &u) in useful.iter().enumerate() {
        if !u {
            continue;
        }
        match out.last_mut() {
            Some(last) if i - last.1 < IDLE_LOOPS => last.1 = i + 1,
            _ => out.push((i, i + 1)),
        }
    }
    out
}
