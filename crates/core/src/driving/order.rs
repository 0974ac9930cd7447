//! The order in which the legs are driven and the direction of each.

use super::turns::shortest_forward_m;
use super::{Stage, Yard};
use crate::model::mow::Leg;
use crate::model::pose::Pose;

/// First and last pose of a leg.
fn ends(leg: &Leg) -> Option<(Pose, Pose)> {
    Some((leg.tracks.first()?.start(), leg.tracks.last()?.end()))
}

/// All legs in driving order: stages as they come; within a stage the nearest leg next, or the
/// order given when that is shorter or asked for. Legs without tracks are dropped.
pub fn simple(stages: Vec<Stage>, yard: &Yard<'_>) -> Vec<Leg> {
    let mut out: Vec<Leg> = Vec::new();
    for stage in stages {
        let legs: Vec<Leg> = stage
            .legs
            .into_iter()
            .filter(|l| !l.tracks.is_empty())
            .collect();
        let at = out.last().and_then(ends).map(|e| e.1);
        let mut best = chain(&legs, at, yard, Choice::AsGiven);
        if !stage.in_order {
            let backward: Vec<Leg> = legs.iter().rev().cloned().collect();
            for other in [
                chain(&backward, at, yard, Choice::AsGiven),
                chain(&legs, at, yard, Choice::Nearest),
            ] {
                if other.1 < best.1 {
                    best = other;
                }
            }
        }
        out.extend(best.0);
    }
    out
}

#[derive(Clone, Copy, PartialEq)]
enum Choice {
    AsGiven,
    Nearest,
}

/// Picks legs one by one; returns them with the idle distance in metres.
fn chain(legs: &[Leg], at: Option<Pose>, yard: &Yard<'_>, choice: Choice) -> (Vec<Leg>, f64) {
    let mut left: Vec<Leg> = legs.to_vec();
    let (mut out, mut at, mut total) = (Vec::with_capacity(left.len()), at, 0.0);
    while !left.is_empty() {
        let candidates = if choice == Choice::AsGiven {
            1
        } else {
            left.len()
        };
        let mut best = (f64::INFINITY, 0, false);
        for (i, leg) in left.iter().enumerate().take(candidates) {
            let Some((start, end)) = ends(leg) else {
                continue;
            };
            for turned in [false, true] {
                if turned && !leg.reversible {
                    continue;
                }
                let first = if turned { end.reversed() } else { start };
                let cost = step_m(at, first, yard);
                if cost < best.0 {
                    best = (cost, i, turned);
                }
            }
        }
        let leg = left.remove(best.1);
        let leg = if best.2 { leg.reversed() } else { leg };
        at = ends(&leg).map(|e| e.1);
        total += best.0;
        out.push(leg);
    }
    (out, total)
}

/// Distance to a leg's first pose: the turn, or the straight way from the entrance.
fn step_m(at: Option<Pose>, first: Pose, yard: &Yard<'_>) -> f64 {
    match (at, yard.entrance()) {
        (Some(here), _) => shortest_forward_m(here, first, yard.mower.turning_radius_m),
        (None, Some(e)) => (first.at.x - e.x).hypot(first.at.y - e.y),
        (None, None) => 0.0,
    }
}
