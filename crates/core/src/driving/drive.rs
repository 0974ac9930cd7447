//! The drive: tasks made into steps, put in order, joined.
//!
//! Part by part in the direction of the hole; on each part phase by phase. Within a phase the
//! steps come in the order that costs least.

use crate::driving::enclosures::Enclosures;
use crate::driving::input::DriveInput;
use crate::driving::order::{Choice, From, arrange};
use crate::driving::roads::Router;
use crate::driving::roads::{Search, Way};
use crate::driving::steps::{Planned, StepWay, line_of, steps};
use crate::model::mow::{Leg, Note, PlacedLeg, ends};
use crate::model::pose::Pose;
use crate::model::step::{Step, StepKind};
use crate::model::task::Task;
use crate::model::track::Track;
use crate::work::Work;
use geo::Centroid;
use geo_types::Coord;
use std::cell::OnceCell;
use std::collections::BTreeMap;
use std::rc::Rc;

/// A finished drive.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Drive {
    /// All tracks, end to end, ways included; a gap only where a step says to stop.
    pub tracks: Vec<Track>,
    /// Which tracks are which leg.
    pub legs: Vec<PlacedLeg>,
    /// The steps, in order.
    pub steps: Vec<Step>,
    /// What the user should know.
    pub notes: Vec<Note>,
}

/// Keep-outs closer together than this fraction of the cutting width, each side, close a gap.
const GAP_SHARE: f64 = 0.35;

/// The roads of one yard: what is known of its turning ground, for any number of drives.
pub struct Roads<'a> {
    yard: DriveInput<'a>,
    router: Router,
    enclosures: OnceCell<Enclosures>,
}

impl<'a> Roads<'a> {
    /// The roads of a yard, whose drives count as `work`. A drive that is called off is no good.
    pub fn new(yard: DriveInput<'a>, work: Rc<Work>) -> Self {
        Self {
            router: Router::new(&yard, work),
            yard,
            enclosures: OnceCell::new(),
        }
    }

    /// Puts tasks in order and joins them.
    ///
    /// The drive begins where its first leg begins: no track leads there from the way in. Legs
    /// that cannot be driven to, because keep-outs close them off, are left out with a
    /// [`Note::Unreachable`]. Where no way between two legs is found that keeps off barred
    /// ground, none is drawn: the step says to stop, or a pass of a patch is left out.
    pub fn drive(&self, tasks: Vec<Task>) -> Drive {
        let mut out = Joining {
            router: &self.router,
            drive: Drive::default(),
            cut_short: false,
        };
        let tasks = self.reachable(drivable(tasks), &mut out.drive.notes);
        let mut phases: Vec<Vec<Planned>> = Vec::new();
        for part in self.parts() {
            let mut here: Vec<&Task> = tasks.iter().filter(|t| t.part == part).collect();
            here.sort_by_key(|t| t.phase);
            let groups = here.chunk_by(|a, b| a.phase == b.phase);
            phases.extend(groups.map(|g| g.iter().flat_map(|t| steps(t, &self.router)).collect()));
        }
        for (i, phase) in phases.iter().enumerate() {
            let next = phases.get(i + 1).into_iter().flatten().flatten();
            let then: Vec<Pose> = next.map(|w| w.choice.entry).collect();
            out.phase(phase, self.yard.fairway.entrance(), &then);
        }
        let mut drive = out.drive;
        if out.cut_short {
            drive.notes.push(Note::BudgetSpent);
        }
        drive
    }

    /// The parts of the ground in the order of the hole, or as drawn.
    fn parts(&self) -> Vec<usize> {
        let fairway = self.yard.fairway;
        let mut parts: Vec<usize> = (0..fairway.ground.0.len()).collect();
        if let Some(hole) = fairway.hole_direction_rad() {
            let (s, c) = hole.sin_cos();
            let along = |i: &usize| {
                let middle = fairway.ground.0[*i].centroid();
                middle.map_or(0.0, |p| p.x() * c + p.y() * s)
            };
            parts.sort_by(|a, b| along(a).total_cmp(&along(b)));
        }
        parts
    }

    /// Leaves out the legs that keep-outs close off from the others: the largest part stays, or the
    /// one that holds the way in where one is given.
    fn reachable(&self, tasks: Vec<Task>, notes: &mut Vec<Note>) -> Vec<Task> {
        let yard = &self.yard;
        let enclosures = self
            .enclosures
            .get_or_init(|| Enclosures::new(yard, GAP_SHARE * yard.mower.cutting_width_m()));
        if enclosures.none() {
            return tasks;
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
        for leg in tasks.iter().flat_map(Task::legs) {
            if let Some(piece) = piece_of(leg) {
                *mown.entry(piece).or_default() += leg.length_m();
            }
        }
        let told = yard.fairway.way_in;
        let home = told
            .and_then(|c| enclosures.piece(c))
            .filter(|p| mown.contains_key(p))
            .or_else(|| {
                let most = mown.iter().max_by(|a, b| a.1.total_cmp(b.1));
                most.map(|m| *m.0)
            });
        let mut out = tasks;
        let mut left_out: BTreeMap<usize, (Coord<f64>, usize)> = BTreeMap::new();
        for task in &mut out {
            task.retain(|leg| {
                let piece = piece_of(leg);
                if piece.is_none() || piece == home {
                    return true;
                }
                let first = (ends(leg).0.at, 0);
                left_out.entry(piece.unwrap_or(0)).or_insert(first).1 += 1;
                false
            });
        }
        out.retain(|t| t.legs().next().is_some());
        notes.extend(
            left_out
                .into_values()
                .map(|(at, legs)| Note::Unreachable { at, legs }),
        );
        out
    }
}

/// A drive as it grows.
struct Joining<'r> {
    router: &'r Router,
    drive: Drive,
    cut_short: bool,
}

impl Joining<'_> {
    fn here(&self) -> Option<Pose> {
        self.drive.tracks.last().map(Track::end)
    }

    /// Adds the steps of one phase on one part; what comes after may begin at one of `then`.
    fn phase(&mut self, steps: &[Planned], entrance: Option<Coord<f64>>, then: &[Pose]) {
        let router = self.router;
        let from = match (self.here(), entrance) {
            (Some(pose), _) => From::Pose(pose),
            (None, Some(place)) => From::Entrance(place),
            (None, None) => From::Anywhere,
        };
        let choices = |s: &Planned| s.iter().map(|w| w.choice).collect();
        let choices: Vec<Vec<Choice>> = steps.iter().map(choices).collect();
        let mut own_m = |step: usize, way: usize| match &steps[step][..] {
            // Where there is nothing to choose, nobody need look.
            [_] => 0.0,
            ways => ways[way].own_m(router),
        };
        let order = arrange(&choices, from, then, router, &mut own_m);
        self.cut_short |= order.cut_short;
        for &(step, choice) in &order.taken {
            self.step(&steps[step][choice]);
        }
    }

    /// Adds one step; more than one where the operator has to stop within it.
    fn step(&mut self, StepWay { step, legs, .. }: &StepWay) {
        let beginning = |first: usize| Step {
            legs: first..first,
            ..step.clone()
        };
        let mut open = beginning(self.drive.legs.len());
        for leg in legs {
            if let Some(from) = self.here()
                && !self.way(from, ends(leg).0)
            {
                if step.kind == StepKind::Patch {
                    // Nobody stops and looks for a way to a patch: it is measured as missed.
                    continue;
                }
                self.drive.notes.push(Note::NoWay { at: from.at });
                // No way is drawn through barred ground: the step before ends with a stop.
                if open.legs.is_empty() {
                    if let Some(before) = self.drive.steps.last_mut() {
                        before.stop_here = true;
                    }
                } else {
                    open.stop_here = true;
                    self.drive.steps.push(open);
                    open = beginning(self.drive.legs.len());
                }
            }
            let start = self.drive.tracks.len();
            let line = line_of(leg.role);
            self.drive.tracks.extend_from_slice(&leg.tracks);
            self.drive.legs.push(PlacedLeg {
                tracks: start..self.drive.tracks.len(),
                role: leg.role,
                step: self.drive.steps.len(),
                line,
            });
            open.legs.end = self.drive.legs.len();
            open.lines = match (open.lines, line) {
                (Some((low, high)), Some(l)) => Some((low.min(l), high.max(l))),
                (lines, l) => lines.or(l.map(|l| (l, l))),
            };
        }
        if !open.legs.is_empty() {
            self.drive.steps.push(open);
        }
    }

    /// Adds the way between two legs; false where there is none.
    fn way(&mut self, from: Pose, to: Pose) -> bool {
        let join = self.router.join(from, to, Search::Drive);
        match join.way {
            Way::None => return false,
            Way::BeyondMargin => self.drive.notes.push(Note::BeyondMargin { at: from.at }),
            Way::BacksUp => self.drive.notes.push(Note::BacksUp { at: from.at }),
            Way::Legal => {}
        }
        self.drive.tracks.extend(join.tracks);
        true
    }
}

/// The tasks without tracks that have no length or no finite place, and without empty legs.
fn drivable(tasks: Vec<Task>) -> Vec<Task> {
    let sound = |t: &Track| {
        let (a, b) = (t.path.start().at, t.path.end().at);
        let length = t.path.length_m();
        [a.x, a.y, b.x, b.y, length].iter().all(|v| v.is_finite()) && length > 0.0
    };
    let mut out = tasks;
    for task in &mut out {
        for leg in task.legs_mut() {
            leg.tracks.retain(sound);
        }
        task.retain(|l| !l.tracks.is_empty());
    }
    out.retain(|t| t.legs().next().is_some());
    out
}
