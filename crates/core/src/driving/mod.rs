//! Driving: turns, routes round keep-outs, the order of the legs.
//!
//! [`drive`] takes the legs of a mow in stages (clean-up passes, then the pattern, then
//! touch-ups, say), chooses an order and a direction for each leg, and joins them with turns
//! that the mower can follow.

pub mod arc_reach;
pub mod clearance;
pub mod closed;
pub mod costs;
pub mod exact;
pub mod floor;
pub mod improve;
pub mod input;
pub mod order;
pub mod reversing;
pub mod roads;
pub mod turns;
pub mod visibility;

use crate::model::mow::{Leg, Note, PlacedLeg};
use crate::model::pose::Pose;
use crate::model::stage::Stage;
use crate::model::track::{Reels, Track};
use crate::work::Work;
use clearance::Enclosures;
use closed::{begun_between, begun_near, is_closed};
use costs::{Begin, Costs, ends};
use geo_types::Coord;
use input::Yard;
use order::Ordering;
use roads::{Effort, Router};
use std::cell::{OnceCell, RefCell};
use std::collections::BTreeMap;
use std::rc::Rc;

/// A finished drive.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Drive {
    /// All tracks, end to end, joins included.
    pub tracks: Vec<Track>,
    /// Which tracks are which leg.
    pub legs: Vec<PlacedLeg>,
    /// What the user should know.
    pub notes: Vec<Note>,
    /// Lower bound on the reels-up distance of any order of these legs that keeps the stages,
    /// metres.
    pub turn_floor_m: f64,
}

/// What the straight way from the entrance to the first leg, and from the last leg back, counts
/// as against idle driving: the mower comes and goes in any case, so half.
const WAY_SHARE: f64 = 0.5;
/// Keep-outs closer together than this fraction of the cutting width, each side, close a gap.
const GAP_SHARE: f64 = 0.35;

/// Orders the legs stage by stage and joins them with turns.
///
/// The drive begins where its first leg begins: no track leads there from the way in. Legs that
/// cannot be driven to, because keep-outs close them off, are left out with a
/// [`Note::Unreachable`]. A join without a legal turn is driven all the same, with a
/// [`Note::NoLegalTurn`].
pub fn drive(stages: Vec<Stage>, yard: &Yard<'_>) -> Drive {
    Roads::new(*yard, Rc::default()).drive(stages, Ordering::Best)
}

/// The roads of one yard: what is known of its turning ground, for any number of drives.
pub struct Roads<'a> {
    yard: Yard<'a>,
    router: Router,
    enclosures: OnceCell<Enclosures>,
    // The first stage of the last drive. Every pattern begins with the same clean-up passes.
    begun: RefCell<Option<Begun>>,
}

struct Begun {
    stage: Stage,
    ordering: Ordering,
    placed: (Vec<Leg>, f64, bool),
}

impl<'a> Roads<'a> {
    /// The roads of a yard, whose drives count as `work`. A drive that is called off is no good.
    pub fn new(yard: Yard<'a>, work: Rc<Work>) -> Self {
        Self {
            router: Router::new(&yard, work),
            yard,
            enclosures: OnceCell::new(),
            begun: RefCell::new(None),
        }
    }

    /// [`drive`] in the order asked for.
    pub fn drive(&self, stages: Vec<Stage>, ordering: Ordering) -> Drive {
        let mut out = Drive::default();
        let stages = self.reachable(drivable(stages), &mut out.notes);
        let mut legs: Vec<Leg> = Vec::new();
        let count = stages.len();
        let mut cut_short = false;
        for (i, stage) in stages.into_iter().enumerate() {
            let last = i + 1 == count;
            let (placed, floor_m, short) = if i == 0 && !last {
                self.first(stage, ordering)
            } else {
                let here = legs.last().map(|l| ends(l).1);
                place(stage, here, last, &self.yard, &self.router, ordering)
            };
            out.turn_floor_m += floor_m;
            cut_short |= short;
            legs.extend(placed);
        }
        out.turn_floor_m += legs
            .iter()
            .flat_map(|l| &l.tracks)
            .filter(|t| t.reels == Reels::Up)
            .map(|t| t.path.length_m())
            .sum::<f64>();
        if cut_short {
            out.notes.push(Note::BudgetSpent);
        }
        for leg in legs {
            if let Some(last) = out.tracks.last() {
                let (from, to) = (last.end(), ends(&leg).0);
                let join = self.router.join(from, to, Effort::Drive);
                if !join.legal {
                    out.notes.push(Note::NoLegalTurn { at: from.at });
                } else if join.backs_up {
                    out.notes.push(Note::BacksUp { at: from.at });
                }
                out.tracks.extend(join.tracks);
            }
            let start = out.tracks.len();
            out.tracks.extend(leg.tracks);
            out.legs.push(PlacedLeg {
                tracks: start..out.tracks.len(),
                role: leg.role,
                step: 0,
                line: None,
            });
        }
        out
    }

    /// Orders the first of several stages, or remembers how it was ordered.
    fn first(&self, stage: Stage, ordering: Ordering) -> (Vec<Leg>, f64, bool) {
        let mut begun = self.begun.borrow_mut();
        if let Some(b) = begun.as_ref()
            && b.stage == stage
            && b.ordering == ordering
        {
            return b.placed.clone();
        }
        let placed = place(
            stage.clone(),
            None,
            false,
            &self.yard,
            &self.router,
            ordering,
        );
        *begun = Some(Begun {
            stage,
            ordering,
            placed: placed.clone(),
        });
        placed
    }

    /// Leaves out the legs that keep-outs close off from the others: the largest part stays, or the
    /// one that holds the way in where one is given.
    fn reachable(&self, stages: Vec<Stage>, notes: &mut Vec<Note>) -> Vec<Stage> {
        let yard = &self.yard;
        let enclosures = self
            .enclosures
            .get_or_init(|| Enclosures::new(yard, GAP_SHARE * yard.mower.cutting_width_m()));
        if enclosures.none() {
            return stages;
        }
        let piece_of = |leg: &Leg| {
            let (a, b) = ends(leg);
            let middle = leg.tracks.get(leg.tracks.len() / 2);
            let middle = middle.map(|t| t.path.pose_at(t.path.length_m() / 2.0).at);
            [Some(a.at), Some(b.at), middle]
                .into_iter()
                .flatten()
                .find_map(|c| enclosures.piece(c))
        };
        let mut mown: BTreeMap<usize, f64> = BTreeMap::new();
        for leg in stages.iter().flat_map(|s| &s.legs) {
            if let Some(piece) = piece_of(leg) {
                let length: f64 = leg.tracks.iter().map(|t| t.path.length_m()).sum();
                *mown.entry(piece).or_default() += length;
            }
        }
        let told = yard.way_in.or(yard.fairway.way_in);
        let home = told
            .and_then(|c| enclosures.piece(c))
            .filter(|p| mown.contains_key(p))
            .or_else(|| {
                let most = mown.iter().max_by(|a, b| a.1.total_cmp(b.1));
                most.map(|m| *m.0)
            });
        let mut out = stages;
        let mut left_out: BTreeMap<usize, (Coord<f64>, usize)> = BTreeMap::new();
        for stage in &mut out {
            stage.legs.retain(|leg| {
                let piece = piece_of(leg);
                if piece.is_none() || piece == home {
                    return true;
                }
                let entry = left_out
                    .entry(piece.unwrap_or(0))
                    .or_insert((ends(leg).0.at, 0));
                entry.1 += 1;
                false
            });
        }
        out.retain(|s| !s.legs.is_empty());
        notes.extend(
            left_out
                .into_values()
                .map(|(at, legs)| Note::Unreachable { at, legs }),
        );
        out
    }
}

/// Orders one stage. Returns its legs as driven, the lower bound on their joins in metres, and
/// whether the work budget ran out.
fn place(
    stage: Stage,
    here: Option<Pose>,
    last: bool,
    yard: &Yard<'_>,
    router: &Router,
    ordering: Ordering,
) -> (Vec<Leg>, f64, bool) {
    let entrance = yard.entrance();
    let mut stage = stage;
    let rings = stage.legs.iter().any(is_closed);
    if rings {
        // Rings are ordered as if all of them began near one place; then each is begun where it
        // suits its neighbours.
        let first = stage.legs.first().map(|l| ends(l).0.at);
        let anchor = here.map(|p| p.at).or(entrance).or(first);
        for leg in stage.legs.iter_mut().filter(|l| is_closed(l)) {
            *leg = anchor.map_or_else(|| leg.clone(), |a| begun_near(leg, a));
        }
    }
    let begin = here.map_or(Begin::Anywhere, Begin::At);
    let mut costs = Costs::new(&stage.legs, begin, router);
    let way = |p: Pose| entrance.map_or(0.0, |e| WAY_SHARE * (p.at.x - e.x).hypot(p.at.y - e.y));
    costs.set_ends(way, |p| if last { way(p) } else { 0.0 });
    let (states, floor_m, short) = if stage.in_order {
        let given: Vec<usize> = (0..costs.legs()).collect();
        let states = order::directed(&given, &mut costs);
        (states, 0.0, false)
    } else {
        let floor_m = floor::stage_floor_m(&costs);
        costs.heed_stuck();
        let order = order::arrange(&mut costs, ordering);
        (order.states, floor_m, order.cut_short)
    };
    let legs: Vec<Leg> = states
        .into_iter()
        .map(|s| {
            let leg = &stage.legs[s / 2];
            if s % 2 == 1 {
                leg.reversed()
            } else {
                leg.clone()
            }
        })
        .collect();
    if rings {
        // The joins of a ring depend on where it is begun: they count as nothing in the floor.
        return (rings_begun(legs, here, router), 0.0, short);
    }
    (legs, floor_m, short)
}

/// Each ring begun where the joins from the leg before and to the leg after are shortest.
fn rings_begun(legs: Vec<Leg>, here: Option<Pose>, router: &Router) -> Vec<Leg> {
    let mut here = here;
    let mut out: Vec<Leg> = Vec::with_capacity(legs.len());
    for (i, leg) in legs.iter().enumerate() {
        let leg = match here {
            Some(pose) if is_closed(leg) => {
                // A ring that follows will itself be begun close by.
                let next = legs.get(i + 1).filter(|l| !is_closed(l));
                begun_between(leg, pose, next.map(|l| ends(l).0), router)
            }
            _ => leg.clone(),
        };
        here = Some(ends(&leg).1);
        out.push(leg);
    }
    out
}

/// The stages without tracks that have no length or no finite place, and without empty legs.
fn drivable(stages: Vec<Stage>) -> Vec<Stage> {
    let sound = |t: &Track| {
        let (a, b) = (t.path.start().at, t.path.end().at);
        let length = t.path.length_m();
        a.x.is_finite()
            && a.y.is_finite()
            && b.x.is_finite()
            && b.y.is_finite()
            && length.is_finite()
            && length > 0.0
    };
    let mut out = stages;
    for stage in &mut out {
        for leg in &mut stage.legs {
            leg.tracks.retain(sound);
        }
        stage.legs.retain(|l| !l.tracks.is_empty());
    }
    out.retain(|s| !s.legs.is_empty());
    out
}

#[cfg(test)]
mod tests;
