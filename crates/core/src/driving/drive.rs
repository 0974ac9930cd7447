//! The drive: tasks made into steps, put in order, joined.
//!
//! Part by part in the direction of the hole; on each part phase by phase. Within a phase the
//! steps come in the order that costs least.

use crate::driving::DriveInput;
use crate::driving::enclosures::Enclosures;
use crate::driving::order::{Choice, From, arrange};
use crate::driving::roads::{Router, Way};
use crate::driving::seeking::Search;
use crate::driving::steps::{Planned, StepWay, line_of, steps};
use crate::model::mow::{Note, PlacedLeg, ends};
use crate::model::pose::Pose;
use crate::model::step::{Step, StepKind};
use crate::model::task::Task;
use crate::model::track::Track;
use crate::work::Work;
use geo::Centroid;
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

/// The roads of one yard: what is known of its turning ground, for any number of drives.
pub struct Roads<'a> {
    yard: DriveInput<'a>,
    router: Router,
    enclosures: Enclosures,
}

impl<'a> Roads<'a> {
    /// The roads of a yard, whose drives count as `work`. A drive that is called off is no good.
    pub fn new(yard: DriveInput<'a>, work: Rc<Work>) -> Self {
        Self {
            router: Router::new(&yard, work),
            enclosures: Enclosures::new(&yard),
            yard,
        }
    }

    /// Puts tasks in order and joins them.
    ///
    /// The drive begins where its first leg begins: no track leads there from the way in. Legs
    /// that cannot be driven to, because keep-outs close them off, are left out with a
    /// [`Note::Unreachable`]. Where no way between two legs is found that keeps off barred
    /// ground, none is drawn: the step says to stop, or a pass of a patch is left out.
    pub fn drive(&self, mut tasks: Vec<Task>) -> Drive {
        let (fairway, mut out) = (self.yard.fairway, Drive::default());
        keep_drivable(&mut tasks);
        (self.enclosures).leave_out(&mut tasks, fairway.way_in, &mut out.notes);
        tasks.retain(|t| t.legs().next().is_some());
        let mut phases: Vec<Vec<Planned>> = Vec::new();
        for part in self.parts() {
            let mut here: Vec<&Task> = tasks.iter().filter(|t| t.part == part).collect();
            here.sort_by_key(|t| t.phase);
            let groups = here.chunk_by(|a, b| a.phase == b.phase);
            phases.extend(groups.map(|g| g.iter().flat_map(|t| steps(t, &self.router)).collect()));
        }
        let mut cut_short = false;
        for (i, phase) in phases.iter().enumerate() {
            let next = phases.get(i + 1).into_iter().flatten().flatten();
            let then: Vec<Pose> = next.map(|w| w.choice.entry).collect();
            let from = match (out.here(), fairway.entrance()) {
                (Some(pose), _) => From::Pose(pose),
                (None, Some(place)) => From::Entrance(place),
                (None, None) => From::Anywhere,
            };
            let choices = |s: &Planned| s.iter().map(|w| w.choice).collect();
            let choices: Vec<Vec<Choice>> = phase.iter().map(choices).collect();
            let mut own_m = |step: usize, way: usize| match &phase[step][..] {
                // Where there is nothing to choose, nobody need look.
                [_] => 0.0,
                ways => ways[way].own_m(&self.router),
            };
            let (taken, cut) = arrange(&choices, from, &then, &self.router, &mut own_m);
            cut_short |= cut;
            for (step, choice) in taken {
                out.step(&phase[step][choice], &self.router);
            }
        }
        out.notes.extend(cut_short.then_some(Note::BudgetSpent));
        out
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
}

impl Drive {
    fn here(&self) -> Option<Pose> {
        self.tracks.last().map(Track::end)
    }

    /// Adds one step; more than one where the operator has to stop within it.
    fn step(&mut self, StepWay { step, legs, .. }: &StepWay, router: &Router) {
        let beginning = |first: usize| Step {
            legs: first..first,
            ..step.clone()
        };
        let mut open = beginning(self.legs.len());
        for leg in legs {
            if let Some(from) = self.here()
                && !self.way(from, ends(leg).0, router)
            {
                if step.kind == StepKind::Patch {
                    // Nobody stops and looks for a way to a patch: it is measured as missed.
                    continue;
                }
                self.notes.push(Note::NoWay { at: from.at });
                // No way is drawn through barred ground: the step before ends with a stop.
                if !open.legs.is_empty() {
                    self.steps.push(open);
                    open = beginning(self.legs.len());
                }
                if let Some(before) = self.steps.last_mut() {
                    before.stop_here = true;
                }
            }
            let start = self.tracks.len();
            let line = line_of(leg.role);
            self.tracks.extend_from_slice(&leg.tracks);
            self.legs.push(PlacedLeg {
                tracks: start..self.tracks.len(),
                role: leg.role,
                step: self.steps.len(),
                line,
            });
            open.legs.end = self.legs.len();
            open.lines = match (open.lines, line) {
                (Some((low, high)), Some(l)) => Some((low.min(l), high.max(l))),
                (lines, l) => lines.or(l.map(|l| (l, l))),
            };
        }
        if !open.legs.is_empty() {
            self.steps.push(open);
        }
    }

    /// Adds the way between two legs; false where there is none.
    fn way(&mut self, from: Pose, to: Pose, router: &Router) -> bool {
        let join = router.join(from, to, Search::Drive);
        match join.way {
            Way::None => return false,
            Way::BeyondMargin => self.notes.push(Note::BeyondMargin { at: from.at }),
            Way::BacksUp => self.notes.push(Note::BacksUp { at: from.at }),
            Way::Legal => {}
        }
        self.tracks.extend(join.tracks);
        true
    }
}

/// Leaves out tracks that have no length or no finite place, and empty legs.
fn keep_drivable(tasks: &mut [Task]) {
    let sound = |t: &Track| {
        let (a, b) = (t.path.start().at, t.path.end().at);
        let length = t.path.length_m();
        [a.x, a.y, b.x, b.y, length].iter().all(|v| v.is_finite()) && length > 0.0
    };
    for task in tasks {
        task.legs_mut().for_each(|leg| leg.tracks.retain(sound));
        task.retain(|l| !l.tracks.is_empty());
    }
}
