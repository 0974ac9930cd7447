//! Steps as they are planned: each with the ways it may be taken.

use crate::driving::blocks::{Block, Field, Run};
use crate::driving::bridging::bridge;
use crate::driving::circuit::{beginnings, ways_m};
use crate::driving::order::Choice;
use crate::driving::roads::Router;
use crate::driving::rules::{Taking, takings};
use crate::model::mow::{Leg, Role, ends};
use crate::model::pose::Pose;
use crate::model::step::{Side, Step, StepKind, StepRule};
use crate::model::task::{Task, TaskKind};

/// Beginnings of a patch that are weighed.
const MAX_BEGINNINGS: usize = 8;

/// A step before it has its place in the drive: the ways it may be taken.
pub type Planned = Vec<StepWay>;

/// One way to take a step.
pub struct StepWay {
    /// What is told of it; its legs have no place yet.
    pub step: Step,
    /// The legs in driving order.
    pub legs: Vec<Leg>,
    /// Where it begins and ends, and what it costs at least.
    pub choice: Choice,
    // What it counts as beside the ways from leg to leg, metres.
    priced_m: f64,
}

impl StepWay {
    fn new(step: Step, legs: Vec<Leg>, priced_m: f64, router: &Router) -> Self {
        Self {
            choice: Choice {
                entry: legs.first().map_or(Pose::origin(), |l| ends(l).0),
                exit: legs.last().map_or(Pose::origin(), |l| ends(l).1),
                floor_m: priced_m + ways_m(&legs, |a, b| router.floor_m(a, b)),
            },
            step,
            legs,
            priced_m,
        }
    }

    /// What it costs on the real ground, metres.
    pub fn own_m(&self, router: &Router) -> f64 {
        self.priced_m + ways_m(&self.legs, |a, b| router.cost_m(a, b))
    }
}

/// The steps of a task: the blocks of a set of lines, else one.
pub fn steps(task: &Task, router: &Router) -> Vec<Planned> {
    use StepRule::{InOrder, Round};
    let step = Step {
        kind: StepKind::Block,
        rule: InOrder,
        part: task.part,
        set: task.set,
        legs: 0..0,
        lines: None,
        side: None,
        sweeps: Vec::new(),
        keep_out: None,
        bridges: 0,
        stop_here: false,
    };
    let told = |kind, rule, keep_out| Step {
        kind,
        rule,
        keep_out,
        ..step.clone()
    };
    let (step, all) = match &task.kind {
        TaskKind::Lines { directions, lines } => {
            let mut field = Field::new(lines, *directions);
            bridge(&mut field, router);
            let taken = |b: &Block| {
                let all = takings(&field, b, router).into_iter();
                all.map(|t| block_taken(&step, &field, b, t, router))
                    .collect()
            };
            return field.blocks().iter().map(taken).collect();
        }
        TaskKind::Circuit { rings, keep_out } => (
            told(StepKind::Circuit, Round, *keep_out),
            beginnings(rings, router),
        ),
        TaskKind::Rings(rings) => (
            told(StepKind::Rings, Round, None),
            beginnings(rings, router),
        ),
        TaskKind::Lanes(legs) => {
            let lane = |leg: Option<&Leg>| leg.and_then(|l| line_of(l.role));
            let ends = lane(legs.first()).zip(lane(legs.last()));
            let lanes = Step {
                side: ends.map(|(first, last)| side(first <= last)),
                ..told(StepKind::Lanes, InOrder, None)
            };
            (lanes, vec![legs.clone()])
        }
        TaskKind::Patch { legs, keep_out } => (
            told(StepKind::Patch, InOrder, *keep_out),
            patch_orders(legs, router),
        ),
    };
    let way = |legs| StepWay::new(step.clone(), legs, 0.0, router);
    vec![all.into_iter().map(way).collect()]
}

/// The number of a leg's line, lane or ring, as it is told.
pub fn line_of(role: Role) -> Option<u32> {
    match role {
        Role::Stripe { index: i, .. }
        | Role::Contour { index: i }
        | Role::Lane { lane: i }
        | Role::Ring { ring: i } => Some(i + 1),
        Role::CleanUp { .. } | Role::TouchUp => None,
    }
}

/// The passes of a patch from each of its ends on, each time to the nearest that is left.
fn patch_orders(legs: &[Leg], router: &Router) -> Vec<Vec<Leg>> {
    let ways = |(place, leg): (usize, &Leg)| {
        let back = leg.reversible.then(|| leg.reversed());
        [Some(leg.clone()), back]
            .into_iter()
            .flatten()
            .map(move |way| (place, way))
    };
    let from = |start: (usize, Leg)| {
        let mut left: Vec<&Leg> = legs.iter().collect();
        let mut next = Some(start);
        let order = std::iter::from_fn(|| {
            let (place, leg) = next.take()?;
            left.remove(place);
            let here = ends(&leg).1;
            let far_m = |way: &(usize, Leg)| router.floor_m(here, ends(&way.1).0);
            let on = left.iter().copied().enumerate().flat_map(ways);
            next = on.min_by(|a, b| far_m(a).total_cmp(&far_m(b)));
            Some(leg)
        });
        order.collect()
    };
    let starts = legs.iter().enumerate().flat_map(ways);
    starts.take(MAX_BEGINNINGS).map(from).collect()
}

fn side(from_left: bool) -> Side {
    if from_left {
        Side::LeftToRight
    } else {
        Side::RightToLeft
    }
}

/// A block as one of its rules takes it.
fn block_taken(
    step: &Step,
    field: &Field<'_>,
    block: &Block,
    t: Taking,
    router: &Router,
) -> StepWay {
    let number = |run: &usize| field.lines[block.runs[*run].line].number;
    let bridges = |r: &Run| r.pieces.len() as u32 - 1;
    let told = Step {
        rule: t.rule,
        side: Some(side(t.from_left)),
        sweeps: match t.rule {
            StepRule::Every(_) => t.sweeps.iter().map(number).collect(),
            _ => Vec::new(),
        },
        bridges: block.runs.iter().map(bridges).sum(),
        ..step.clone()
    };
    let legs_of = |&(run, against): &(usize, bool)| {
        let run = &block.runs[run];
        let line = &field.lines[run.line];
        let pieces = line.pieces[run.pieces.clone()].iter();
        let mut legs: Vec<Leg> = match against {
            true => pieces.map(|p| p.leg.reversed()).collect(),
            false => pieces.map(|p| p.leg.clone()).collect(),
        };
        if line.forward == against {
            legs.reverse();
        }
        legs
    };
    StepWay::new(
        told,
        t.order.iter().flat_map(legs_of).collect(),
        t.priced_m,
        router,
    )
}
