//! Loop trains: lanes of overlapping circles, none of them broken by the outline.
//!
//! - [`ground`]: which ground shares a direction of lanes;
//! - [`room`]: where whole loops fit;
//! - [`lanes`]: the lanes, and which loops are kept;
//! - [`along_edges`]: further rounds and passes over what the loops leave.
//!
//! Lanes are driven in turn, every second one back; the sense stays the same. The lattice
//! ([`super::lattice`]) stands wherever a lane is whole, and the phase between lanes does not
//! matter. Near the ends of lanes pockets stay between the loops and the edge, where it runs
//! aslant to them.

pub mod along_edges;
pub mod begin;
pub mod ground;
pub mod lanes;
pub mod room;

use crate::error::PlanError;
use crate::ground::heading::resolve;
use crate::limits::{MAX_RINGS, within};
use crate::model::mow::{Leg, Note, Role, UsedSettings};
use crate::model::pattern::LoopTrain;
use crate::model::task::{Task, TaskKind};
use crate::model::track::Track;
use crate::patterns::clean_up::{Circuit, legs_of};
use crate::patterns::edges::{GroundEdge, GroundEdges};
use crate::patterns::input::Site;
use crate::patterns::lattice::{Lattice, cheaper_near, solve, solve_across};
use crate::patterns::layout::{EDGES, Layout, PATTERN};
use crate::patterns::residual::LOOK_M;
use crate::polygon::offset::offset;
use crate::polygon::overlay::Overlay;
use crate::swath::shapes;
use along_edges::{left_by, passes, whole_rounds};
use begin::Begin;
use geo::Area;
use geo_types::{MultiPolygon, Polygon};
use ground::{LaneGround, blocks};
use lanes::lay;
use room::Room;

/// The lanes of a loop train.
///
/// # Errors
/// [`PlanError::LoopDiameter`] when such loops cannot be driven without leaving something;
/// [`PlanError::BadValue`] for senseless numbers.
pub fn legs(site: &Site<'_>, train: &LoopTrain) -> Result<Layout, PlanError> {
    let (any, unit) = (f64::MIN..=f64::MAX, "of the lane spacing");
    within("lane shift", train.lane_shift, any, unit, "between 0 and 1")?;
    let (heading_rad, note) = resolve(train.heading, site.fairway);
    let room = Room::of(site);
    let mut uncut = site.uncut.clone();
    let mut inside = site.inside.clone();
    let mut rounds: Vec<Circuit> = Vec::new();
    let mut ring = site.settings.clean_up.rings;
    // What loops would cut of it all, before any further round takes its share.
    let mut share: Option<f64> = None;
    // Each further round is driven before the lanes, which then need not reach so far: so they
    // are laid again.
    let (laid, left) = loop {
        let here = Site {
            inside: &inside,
            uncut: &uncut,
            ..site.clone()
        };
        let laid = Laid::on(&here, train, heading_rad, &room)?;
        let left = left_by(&here, laid.tasks.iter().flat_map(Task::legs), &laid.proven);
        if share.is_none() {
            share = Some(share_cut(&uncut, &left));
        }
        if ring >= MAX_RINGS {
            break (laid, left);
        }
        let whole = whole_rounds(&here, ring, &left);
        if whole.is_empty() {
            break (laid, left);
        }
        let tracks: Vec<Track> = legs_of(&whole).flat_map(|l| l.tracks.clone()).collect();
        let without =
            |area: &MultiPolygon<f64>| shapes::uncut(area, &tracks, &site.mower.units, LOOK_M);
        uncut = without(&uncut);
        inside = offset(&without(&inside), site.settings.overlap_m).intersection(&inside);
        rounds.extend(whole);
        ring += 1;
    };
    let (passes, left) = passes(site, site.settings.clean_up.rings, left);
    let Laid {
        mut tasks,
        lattice,
        heading_rad,
        count,
        loops_per_lane,
        spacing_m,
        ..
    } = laid;
    tasks.extend(patches(site, passes));
    let shape = lattice.shape;
    let width = site.mower.cutting_width_m();
    let mut notes: Vec<Note> = note.into_iter().collect();
    if let Some(share) = share.filter(|s| *s < FEW) {
        notes.push(Note::FewLoopsFit { share });
    }
    notes.extend(cheaper(site, train)?);
    Ok(Layout {
        tasks,
        rounds,
        left: Some(left),
        used: UsedSettings {
            overlap_m: site.settings.overlap_m,
            loop_diameter_m: Some(shape.diameter_m),
            advance_m: Some(shape.advance_m),
            lane_spacing_m: Some(spacing_m),
            form: Some(shape.form),
            lattice_mean_cuts: Some(width * shape.length_m() / (shape.advance_m * spacing_m)),
            lanes: Some(count),
            loops_per_lane: Some(loops_per_lane),
            ..UsedSettings::default()
        },
        heading_rad: Some(heading_rad),
        sense: Some(train.sense),
        notes,
    })
}

/// Diameters near the one asked for that cost less.
fn cheaper(site: &Site<'_>, train: &LoopTrain) -> Result<Vec<Note>, PlanError> {
    if train.diameter_min_m != train.diameter_max_m {
        return Ok(Vec::new());
    }
    // Lattice against lattice, each at its widest spacing: the fit to this fairway's width would
    // favour one or the other by chance.
    let asked = solve(site.mower, train)?;
    let note = |l: Lattice| Note::CheaperLoops {
        diameter_m: l.shape.diameter_m,
        mean_cuts: l.mean_cuts,
        asked_mean_cuts: asked.mean_cuts,
    };
    let near = cheaper_near(site.mower, train, &asked);
    Ok(near.into_iter().map(note).collect())
}

/// The lanes of all blocks of a fairway.
struct Laid {
    /// Block by block.
    tasks: Vec<Task>,
    /// What they are proven to cut whole.
    proven: Vec<Polygon<f64>>,
    lattice: Lattice,
    /// Direction of the first block's lanes.
    heading_rad: f64,
    /// How many lanes.
    count: u32,
    /// Loops in the longest lane.
    loops_per_lane: u32,
    /// The widest distance from lane to lane, metres.
    spacing_m: f64,
}

impl Laid {
    fn on(
        site: &Site<'_>,
        train: &LoopTrain,
        heading_rad: f64,
        room: &Room,
    ) -> Result<Self, PlanError> {
        let blocks = blocks(site, train, heading_rad);
        let widest = blocks
            .iter()
            .map(|b| b.extent().span_m())
            .fold(0.0, f64::max);
        let (lattice, _) = solve_across(site.mower, train, widest)?;
        few_enough(&blocks, &lattice)?;
        let mut out = Self {
            tasks: Vec::new(),
            proven: Vec::new(),
            lattice,
            heading_rad: blocks.first().map_or(heading_rad, |b| b.heading_rad),
            count: 0,
            loops_per_lane: 0,
            spacing_m: 0.0,
        };
        let mut at = site.fairway.entrance();
        for block in &blocks {
            let begin = Begin::nearest(&block.extent(), at);
            let laid = lay(site, block, &lattice, train.lane_shift, begin, room);
            at = laid
                .stretches
                .last()
                .and_then(|s| Some(s.tracks.last()?.end().at))
                .or(at);
            out.loops_per_lane = out.loops_per_lane.max(laid.longest());
            out.spacing_m = out.spacing_m.max(laid.spacing_m);
            out.proven
                .extend(laid.stretches.iter().filter_map(|s| s.proven.clone()));
            let first = out.count;
            let legs: Vec<Leg> = laid
                .stretches
                .into_iter()
                .map(|s| Leg {
                    tracks: s.tracks,
                    role: Role::Lane {
                        lane: first + s.lane,
                    },
                    reversible: false,
                })
                .collect();
            let set = out.tasks.len() as u32;
            if !legs.is_empty() {
                out.tasks.push(Task {
                    part: block.part,
                    set,
                    phase: PATTERN + set,
                    kind: TaskKind::Lanes(legs),
                });
            }
            out.count += laid.lanes;
        }
        if out.spacing_m == 0.0 {
            out.spacing_m = lattice.lane_spacing_m;
        }
        Ok(out)
    }
}

/// Where loops fit on less of the ground than this the user is told.
const FEW: f64 = 0.5;

/// The part of an area that is no longer left; all of it where there was nothing.
fn share_cut(area: &MultiPolygon<f64>, left: &MultiPolygon<f64>) -> f64 {
    let whole = area.unsigned_area();
    if whole > 0.0 {
        (1.0 - left.unsigned_area() / whole).clamp(0.0, 1.0)
    } else {
        1.0
    }
}

/// Most loops on one fairway: about a square kilometre under 22 ft loops.
pub const MAX_LOOPS: usize = 50_000;

fn few_enough(blocks: &[LaneGround], lattice: &Lattice) -> Result<(), PlanError> {
    let count: usize = blocks
        .iter()
        .map(|b| {
            let extent = b.extent();
            let lanes = (extent.span_m() / lattice.lane_spacing_m).max(0.0) + 2.0;
            let length = (extent.along.1 - extent.along.0).max(0.0);
            (lanes * (length / lattice.shape.advance_m + 4.0)) as usize
        })
        .sum();
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

/// The passes beside one edge as one thing to do.
fn patches(site: &Site<'_>, passes: Vec<Leg>) -> Vec<Task> {
    let edges = GroundEdges::of(site.fairway);
    let mut out: Vec<(GroundEdge, Vec<Leg>)> = Vec::new();
    for leg in passes {
        let edge = edges.nearest(std::slice::from_ref(&leg), false);
        match out.iter_mut().find(|o| o.0 == edge) {
            Some(o) => o.1.push(leg),
            None => out.push((edge, vec![leg])),
        }
    }
    out.into_iter()
        .map(|(edge, legs)| Task {
            part: edge.part,
            set: 0,
            phase: EDGES,
            kind: TaskKind::Patch {
                legs,
                keep_out: edge.keep_out,
            },
        })
        .collect()
}

#[cfg(test)]
mod tests;
