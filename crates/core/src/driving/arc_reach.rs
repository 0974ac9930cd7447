//! How far the first and last arcs of a join may be followed.
//!
//! Most of the turns that are tried between two poses begin or end with one of a few arcs. Each
//! is followed once, round the whole circle; a turn that needs more of it than is free need
//! not be laid out.

use crate::driving::clearance::{Clearances, Feel, TurningGround};
use crate::model::pose::Pose;
use crate::model::track::{CircularArc, Segment};
use std::cell::RefCell;
use std::f64::consts::TAU;

/// Slack for rounding between an arc's length and where it was found barred, metres.
const ROUNDING_M: f64 = 1e-6;

/// What a turn is good for, by what is known so far.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Need {
    /// No legal turn is known: one that leaves the margin is better than none.
    Any,
    /// A legal turn is known: only another legal one can better it.
    Legal,
    /// The known one is so short that only one with room for the deck can better it.
    Roomy,
}

impl Feel {
    /// Whether the first `length_m` metres of it may be driven.
    pub fn lets(&self, length_m: f64, need: Need) -> bool {
        let free = match need {
            Need::Any => self.barred_m,
            Need::Legal => self.barred_m.min(self.beyond_m),
            Need::Roomy => self.barred_m.min(self.beyond_m).min(self.near_m),
        };
        length_m < free + ROUNDING_M
    }
}

/// An arc that has been followed.
struct Known {
    arriving: bool,
    by_m: f64,
    radius_m: f64,
    side: f64,
    feel: Feel,
}

/// The arcs at the two ends of one join.
pub struct Feelers<'g> {
    ground: &'g TurningGround,
    from: Pose,
    to: Pose,
    room: Clearances,
    known: RefCell<Vec<Known>>,
}

impl<'g> Feelers<'g> {
    /// For joins of two poses that keep some room.
    pub fn new(ground: &'g TurningGround, from: Pose, to: Pose, room: Clearances) -> Self {
        Self {
            ground,
            from,
            to,
            room,
            known: RefCell::new(Vec::with_capacity(32)),
        }
    }

    /// The arc to one side (1 left, -1 right) that begins `by_m` metres after the first pose.
    pub fn leaving(&self, by_m: f64, radius_m: f64, side: f64) -> Feel {
        self.at(false, by_m, radius_m, side)
    }

    /// The arc to one side that ends `by_m` metres before the last pose, followed from its end.
    pub fn arriving(&self, by_m: f64, radius_m: f64, side: f64) -> Feel {
        self.at(true, by_m, radius_m, side)
    }

    /// Whether a turn from `out_m` after the first pose to `in_m` before the last may begin and end
    /// as it does: with arcs to a side each, so many metres long.
    pub fn let_turn(
        &self,
        (out_m, in_m): (f64, f64),
        radius_m: f64,
        first: (f64, f64),
        last: (f64, f64),
        need: Need,
    ) -> bool {
        self.leaving(out_m, radius_m, first.0).lets(first.1, need)
            && self.arriving(in_m, radius_m, last.0).lets(last.1, need)
    }

    fn at(&self, arriving: bool, by_m: f64, radius_m: f64, side: f64) -> Feel {
        let mut known = self.known.borrow_mut();
        if let Some(k) = known.iter().find(|k| {
            k.arriving == arriving && k.by_m == by_m && k.radius_m == radius_m && k.side == side
        }) {
            return k.feel;
        }
        // Seen from its end an arc that turned left turns right.
        let (pose, bend) = if arriving {
            (self.to.ahead(-by_m).reversed(), -side)
        } else {
            (self.from.ahead(by_m), side)
        };
        let feel = if self.ground.all_open(pose.at, 2.0 * radius_m, self.room) {
            Feel::OPEN
        } else {
            let circle = Segment::Arc(CircularArc::leaving(pose, radius_m, bend * TAU));
            self.ground.feel(&circle, self.room)
        };
        known.push(Known {
            arriving,
            by_m,
            radius_m,
            side,
            feel,
        });
        feel
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_arc_is_let_as_far_as_it_is_free() {
        let feel = Feel {
            barred_m: 8.0,
            near_m: 3.0,
            beyond_m: 5.0,
        };
        for (need, free) in [(Need::Any, 8.0), (Need::Legal, 5.0), (Need::Roomy, 3.0)] {
            assert!(feel.lets(free - 0.1, need) && !feel.lets(free + 0.1, need));
            assert!(Feel::OPEN.lets(1e9, need));
        }
    }
}
