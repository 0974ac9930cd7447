//! The join of two legs: the shortest drivable one that keeps to the turning ground.
//!
//! Where nothing is legal the least bad turn is taken and said to be so.

use crate::driving::DriveInput;
use crate::driving::clearance::{AXLE_CLEAR_M, TurningGround};
use crate::driving::seeking::{Candidate, Search, Seeking, Turning, with_runs};
use crate::model::pose::Pose;
use crate::model::track::{Gear, Track};
use crate::work::Work;
use std::cell::{OnceCell, RefCell};
use std::collections::HashMap;
use std::rc::Rc;

/// Mowers that turn on the spot still need a radius to draw, metres.
const MIN_RADIUS_M: f64 = 0.25;
/// What leaving the margin counts as, metres: any legal way round a fairway is shorter.
const BEYOND_MARGIN_M: f64 = 400.0;
/// What it counts as that there is no way, metres: the operator has to stop and find one.
const NO_WAY_M: f64 = 2000.0;
/// What backing up counts as where it was not asked for, metres: another order is better.
const BACK_UP_M: f64 = 60.0;
/// Longest straight way out of no-turn ground, metres.
const MAX_RUN_OUT_M: f64 = 60.0;
/// Places of turns move by this much from visit to visit, metres, and come round again after
/// [`SHIFT_STEPS`] visits: a mower's wheels wear a strip about this wide.
const SHIFT_M: f64 = 1.5;
const SHIFT_STEPS: u32 = 4;

/// A way from one pose to another with the reels up.
#[derive(Debug, Clone, PartialEq)]
pub struct Join {
    /// Lines and arcs in the order of travel.
    pub tracks: Vec<Track>,
    /// What it counts as when orders are compared, metres: the length, and more where it is
    /// not legal.
    pub cost_m: f64,
    /// Whether it keeps to the turning ground.
    pub way: Way,
}

/// What a join is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// It keeps to the turning ground.
    Legal,
    /// So it does, but it backs up although the mower is not set to reverse: no forward turn fits.
    BacksUp,
    /// It keeps off barred ground but leaves the margin of the outline.
    BeyondMargin,
    /// None was found that keeps off barred ground; there are no tracks.
    None,
}

/// Finds joins on one fairway.
pub struct Router {
    yard: Turning,
    shift_m: f64,
    // What joins cost and the effort it took: clean-up passes come again in every mow.
    costs: RefCell<HashMap<[u64; 6], (f64, u64)>>,
}

impl Router {
    /// A router for the yard's fairway and mower. When the work is over, the turns it gives are no
    /// longer looked for.
    pub fn new(yard: &DriveInput<'_>, work: Rc<Work>) -> Self {
        Self {
            yard: Turning {
                ground: TurningGround::new(yard),
                detour: OnceCell::new(),
                radius_m: yard.mower.turning_radius_m.max(MIN_RADIUS_M),
                may_reverse: yard.mower.may_reverse,
                work,
            },
            shift_m: f64::from(yard.turn_shift % SHIFT_STEPS) * SHIFT_M,
            costs: RefCell::default(),
        }
    }

    /// Lower bound on the length of any join, metres: the shortest on open ground.
    pub fn floor_m(&self, from: Pose, to: Pose) -> f64 {
        self.yard.floor_m(from, to)
    }

    /// Whether planning was called off.
    pub fn stopped(&self) -> bool {
        self.yard.work.over()
    }

    /// What a legal join of at most `most_m` metres costs; nothing where there is none.
    pub fn legal_m(&self, from: Pose, to: Pose, most_m: f64) -> Option<f64> {
        if self.floor_m(from, to) > most_m {
            return None;
        }
        let join = self.join(from, to, Search::Compare);
        (join.way == Way::Legal && join.cost_m <= most_m).then_some(join.cost_m)
    }

    /// What the join of two poses costs when orders are compared, metres. It takes as much effort
    /// each time, so that a mow takes as much whatever was planned before.
    pub fn cost_m(&self, from: Pose, to: Pose) -> f64 {
        let numbers = |p: Pose| [p.at.x, p.at.y, p.heading_rad].map(f64::to_bits);
        let ([a, b, c], [d, e, f]) = (numbers(from), numbers(to));
        let key = [a, b, c, d, e, f];
        let known = self.costs.borrow().get(&key).copied();
        if let Some((cost_m, effort)) = known {
            self.yard.work.spend(effort);
            return cost_m;
        }
        let before = self.yard.work.used();
        let cost_m = self.join(from, to, Search::Compare).cost_m;
        // When the work is over, joins are no longer looked for.
        if !self.yard.work.over() {
            let effort = self.yard.work.used() - before;
            self.costs.borrow_mut().insert(key, (cost_m, effort));
        }
        cost_m
    }

    /// The join of two poses.
    pub fn join(&self, from: Pose, to: Pose, how: Search) -> Join {
        if self.shift_m > 0.0 {
            let shifted = self.between(from, to, self.shift_m, how);
            if shifted.way == Way::Legal {
                return shifted;
            }
        }
        self.between(from, to, 0.0, how)
    }

    fn between(&self, from: Pose, to: Pose, pull_m: f64, how: Search) -> Join {
        // Passes that end on no-turn ground are driven straight on until off it.
        let out = self.run_out_m(from, 1.0) + pull_m;
        let run_in = self.run_out_m(to, -1.0) + pull_m;
        let (a, b) = (from.ahead(out), to.ahead(-run_in));
        let margin = self.yard.ground.part_of(from.at) == self.yard.ground.part_of(to.at);
        let seeking = Seeking::new(&self.yard, (a, b), margin, how);
        let backs = |c: &Candidate| c.tracks.iter().any(|t| t.gear == Gear::Reverse);
        let (middle, way, extra_m) = match (seeking.clear, seeking.beyond) {
            (Some(c), _) if !self.yard.may_reverse && backs(&c) => {
                (c.tracks, Way::BacksUp, BACK_UP_M)
            }
            (Some(c), _) => (c.tracks, Way::Legal, 0.0),
            (None, Some(c)) => (c.tracks, Way::BeyondMargin, BEYOND_MARGIN_M),
            (None, None) => {
                let apart = to.at - from.at;
                return Join {
                    tracks: Vec::new(),
                    cost_m: apart.x.hypot(apart.y) + NO_WAY_M,
                    way: Way::None,
                };
            }
        };
        let tracks = with_runs(from, (out, run_in), middle, to);
        Join {
            cost_m: tracks.iter().map(|t| t.path.length_m()).sum::<f64>() + extra_m,
            tracks,
            way,
        }
    }

    /// How far to drive straight on (`way` 1) or to come from (-1) to be off no-turn ground.
    fn run_out_m(&self, pose: Pose, way: f64) -> f64 {
        if !self.yard.ground.on_no_turn(pose.at) {
            return 0.0;
        }
        let mut s = 0.0;
        while s < MAX_RUN_OUT_M {
            s += 0.25;
            let at = pose.ahead(way * s).at;
            if self.yard.ground.clearance_m(at, 2.0 * AXLE_CLEAR_M) >= 2.0 * AXLE_CLEAR_M {
                return s;
            }
        }
        0.0
    }
}

/// For tests: a router on ground with room for every turn.
#[cfg(test)]
pub fn on_open_ground<T>(ask: impl FnOnce(&Router) -> T) -> T {
    use crate::drawn::{plain, rect};
    let ground = rect(-200.0, -200.0, 700.0, 700.0);
    let input = DriveInput {
        fairway: &plain(ground.into()),
        mower: &crate::model::mower::Mower::bar(2.5),
        margin_m: 5.0,
        turn_shift: 0,
    };
    ask(&Router::new(&input, Rc::new(Work::new(None))))
}
