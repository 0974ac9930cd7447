//! Steps as they are planned: each with the ways it may be taken.

use crate::driving::blocks::{Block, Field, Run};
use crate::driving::bridging::{run_directions, run_ends};
use crate::driving::circuit::{beginnings, begun_between, ways_m};
use crate::driving::order::Choice;
use crate::driving::roads::Router;
use crate::driving::rules::{RunEnds, Taking, driven, takings};
use crate::model::mow::{Leg, Role, ends};
use crate::model::pose::Pose;
use crate::model::step::{Side, Step, StepKind, StepRule};
use crate::model::task::{Task, TaskKind};

/// A step before it has its place in the drive.
pub struct Planned<'a> {
    part: usize,
    set: u32,
    kind: Kind<'a>,
}

enum Kind<'a> {
    Block {
        field: &'a Field<'a>,
        block: Block,
        ends: RunEnds,
        takings: Vec<Taking>,
    },
    Circuit {
        rings: &'a [Vec<Leg>],
        keep_out: Option<usize>,
        kind: StepKind,
        beginnings: Vec<Vec<Leg>>,
    },
    Lanes(&'a [Leg]),
    Patch {
        keep_out: Option<usize>,
        orders: Vec<Vec<Leg>>,
    },
}

/// A leg as it is driven, with the number of its line.
pub struct Driven {
    /// The leg.
    pub leg: Leg,
    /// The number of its line; none for clean-up passes and patches.
    pub line: Option<u32>,
}

/// Beginnings of a patch that are weighed.
const MAX_BEGINNINGS: usize = 8;

/// The steps of a task that is no set of lines.
pub fn whole<'a>(task: &'a Task, router: &Router) -> Option<Planned<'a>> {
    let kind = match &task.kind {
        TaskKind::Circuit { rings, keep_out } => Kind::Circuit {
            rings,
            keep_out: *keep_out,
            kind: StepKind::Circuit,
            beginnings: beginnings(rings, router),
        },
        TaskKind::Rings(rings) => Kind::Circuit {
            rings,
            keep_out: None,
            kind: StepKind::Rings,
            beginnings: beginnings(rings, router),
        },
        TaskKind::Lanes(legs) => Kind::Lanes(legs),
        TaskKind::Patch { legs, keep_out } => Kind::Patch {
            keep_out: *keep_out,
            orders: patch_orders(legs, router),
        },
        TaskKind::Lines { .. } => return None,
    };
    task.legs().next()?;
    Some(Planned {
        part: task.part,
        set: task.set,
        kind,
    })
}

/// The blocks of a field.
pub fn blocks<'a>(task: &Task, field: &'a Field<'a>, router: &Router) -> Vec<Planned<'a>> {
    field
        .blocks()
        .into_iter()
        .map(|block| {
            let ends = run_ends(field, &block);
            let forward = run_directions(field, &block);
            Planned {
                part: task.part,
                set: task.set,
                kind: Kind::Block {
                    takings: takings(&block, &ends, &forward, field.directions, router),
                    field,
                    block,
                    ends,
                },
            }
        })
        .collect()
}

/// The passes of a patch from each of its ends on, each time to the nearest that is left.
fn patch_orders(legs: &[Leg], router: &Router) -> Vec<Vec<Leg>> {
    let ways = |l: &Leg| {
        let mut out = vec![l.clone()];
        if l.reversible {
            out.push(l.reversed());
        }
        out
    };
    let mut out = Vec::new();
    for (i, first) in legs.iter().enumerate() {
        for start in ways(first) {
            if out.len() >= MAX_BEGINNINGS {
                return out;
            }
            let mut left: Vec<&Leg> = legs
                .iter()
                .enumerate()
                .filter(|(j, _)| *j != i)
                .map(|(_, l)| l)
                .collect();
            let mut order = vec![start];
            while !left.is_empty() {
                let here = order.last().map_or(Pose::origin(), |l| ends(l).1);
                let mut best: Option<(f64, usize, Leg)> = None;
                for (k, leg) in left.iter().enumerate() {
                    for way in ways(leg) {
                        let cost = router.floor_m(here, ends(&way).0);
                        if best.as_ref().is_none_or(|b| cost < b.0) {
                            best = Some((cost, k, way));
                        }
                    }
                }
                let Some((_, k, way)) = best else { break };
                left.remove(k);
                order.push(way);
            }
            out.push(order);
        }
    }
    out
}

impl Planned<'_> {
    /// The ways it may be taken.
    pub fn choices(&self, router: &Router) -> Vec<Choice> {
        let of_legs = |legs: &[Leg]| Choice {
            entry: legs.first().map_or(Pose::origin(), |l| ends(l).0),
            exit: legs.last().map_or(Pose::origin(), |l| ends(l).1),
            floor_m: ways_m(legs, |a, b| router.floor_m(a, b)),
        };
        match &self.kind {
            Kind::Block { ends, takings, .. } => takings
                .iter()
                .map(|t| {
                    let pose = |at: &(usize, bool)| driven(ends[at.0], at.1);
                    Choice {
                        entry: t.order.first().map_or(Pose::origin(), |a| pose(a).0),
                        exit: t.order.last().map_or(Pose::origin(), |a| pose(a).1),
                        floor_m: t.floor_m,
                    }
                })
                .collect(),
            Kind::Circuit { beginnings, .. } => beginnings.iter().map(|b| of_legs(b)).collect(),
            Kind::Lanes(legs) => vec![of_legs(legs)],
            Kind::Patch { orders, .. } => orders.iter().map(|o| of_legs(o)).collect(),
        }
    }

    /// What the ways within a choice cost on the real ground, and its price, metres.
    pub fn own_m(&self, choice: usize, router: &Router) -> f64 {
        let of_legs = |legs: &[Leg]| ways_m(legs, |a, b| router.cost_m(a, b));
        match &self.kind {
            Kind::Block { ends, takings, .. } => {
                let t = &takings[choice];
                let pose = |at: &(usize, bool)| driven(ends[at.0], at.1);
                let ways: f64 = t
                    .order
                    .windows(2)
                    .map(|w| router.cost_m(pose(&w[0]).1, pose(&w[1]).0))
                    .sum();
                ways + t.priced_m
            }
            Kind::Circuit { beginnings, .. } => of_legs(&beginnings[choice]),
            // There is nothing to choose.
            Kind::Lanes(_) => 0.0,
            Kind::Patch { orders, .. } => of_legs(&orders[choice]),
        }
    }

    /// The step as it is driven after `here` and before `next`; its legs have no place yet.
    pub fn taken(
        &self,
        choice: usize,
        here: Option<Pose>,
        next: Option<Pose>,
        router: &Router,
    ) -> (Step, Vec<Driven>) {
        let mut step = Step {
            kind: StepKind::Block,
            rule: StepRule::InOrder,
            part: self.part,
            set: self.set,
            legs: 0..0,
            lines: None,
            side: None,
            sweeps: Vec::new(),
            keep_out: None,
            bridges: 0,
            stop_here: false,
        };
        let plain = |legs: Vec<Leg>, line: &dyn Fn(&Leg) -> Option<u32>| -> Vec<Driven> {
            legs.into_iter()
                .map(|leg| Driven {
                    line: line(&leg),
                    leg,
                })
                .collect()
        };
        match &self.kind {
            Kind::Block {
                field,
                block,
                takings,
                ..
            } => {
                let legs = block_taken(&mut step, field, block, &takings[choice]);
                (step, legs)
            }
            Kind::Circuit {
                rings,
                keep_out,
                kind,
                beginnings,
            } => {
                step.kind = *kind;
                step.rule = StepRule::Round;
                step.keep_out = *keep_out;
                let legs = begun_between(rings, beginnings[choice].clone(), here, next, router);
                let line = |leg: &Leg| match leg.role {
                    Role::Ring { ring } => Some(ring + 1),
                    _ => None,
                };
                (step, plain(legs, &line))
            }
            Kind::Lanes(legs) => {
                step.kind = StepKind::Lanes;
                let lane = |leg: &Leg| match leg.role {
                    Role::Lane { lane } => Some(lane + 1),
                    _ => None,
                };
                let ends = legs.first().and_then(lane).zip(legs.last().and_then(lane));
                step.side = ends.map(|(first, last)| side(first <= last));
                (step, plain(legs.to_vec(), &lane))
            }
            Kind::Patch { keep_out, orders } => {
                step.kind = StepKind::Patch;
                step.keep_out = *keep_out;
                (step, plain(orders[choice].clone(), &|_| None))
            }
        }
    }
}

fn side(from_left: bool) -> Side {
    if from_left {
        Side::LeftToRight
    } else {
        Side::RightToLeft
    }
}

/// Says how a block is taken, and gives its legs in driving order.
fn block_taken(step: &mut Step, field: &Field<'_>, block: &Block, t: &Taking) -> Vec<Driven> {
    step.rule = t.rule;
    step.side = Some(side(t.from_left));
    let number = |run: usize| field.lines[block.runs[run].line].number;
    if matches!(t.rule, StepRule::Every(_)) {
        step.sweeps = t.sweeps.iter().map(|&run| number(run)).collect();
    }
    let bridges = |r: &Run| r.pieces.len() as u32 - 1;
    step.bridges = block.runs.iter().map(bridges).sum();
    let mut legs = Vec::new();
    for &(run, against) in &t.order {
        let driven = run_legs(field, &block.runs[run], against);
        legs.extend(driven.map(|leg| Driven {
            leg,
            line: Some(number(run)),
        }));
    }
    legs
}

/// The legs of a run in driving order.
fn run_legs(field: &Field<'_>, run: &Run, against: bool) -> impl Iterator<Item = Leg> {
    let line = &field.lines[run.line];
    let mut legs: Vec<Leg> = line.pieces[run.pieces.clone()]
        .iter()
        .map(|p| {
            if against {
                p.leg.reversed()
            } else {
                p.leg.clone()
            }
        })
        .collect();
    if line.forward == against {
        legs.reverse();
    }
    legs.into_iter()
}
