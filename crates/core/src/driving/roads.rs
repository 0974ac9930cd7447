//! The join of two legs: the shortest drivable one that keeps to the turning ground.
//!
//! First the plain turns are tried, shortest first; then turns that first pull forward; then ways
//! round barred ground (see [`super::visibility`]) and turns by way of a third pose nearby; last,
//! ways that back straight out of a pass or up to the next. Where nothing is legal the least bad turn
//! is taken and said to be so.

use crate::driving::clearance::{AXLE_CLEAR_M, Clearances, Standing, TurningGround};
use crate::driving::input::DriveInput;
use crate::driving::join::{Best, Candidate, GEAR_CHANGE_M, Join, NEAR_M, Search, Way, straight};
use crate::driving::reversing::backing_turns;
use crate::driving::turns::{forward_turns, shortest_forward_m};
use crate::driving::visibility::Detour;
use crate::model::pose::Pose;
use crate::model::track::{CircularArc, Gear, Segment, Track};
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
/// How far a turn may pull forward first and run in last, in turning radii.
const PULLS: [f64; 2] = [0.0, 1.6];
/// How far to back up straight where no forward turn fits, metres.
const BACKS_M: [f64; 5] = [0.0, 1.5, 3.5, 8.0, 16.0];
/// How far to run on first and to run in last where ways round barred ground are looked for, in
/// turning radii.
const RUNS: [(f64, f64); 3] = [(0.0, 0.0), (1.5, 1.5), (4.0, 4.0)];
/// And how far to back up out of a corner, or into one, below zero.
const BACKED: [(f64, f64); 6] = [
    (-1.0, 0.0),
    (0.0, -1.0),
    (-1.0, -1.0),
    (-3.0, 0.0),
    (0.0, -3.0),
    (-3.0, -3.0),
];
/// What backing up counts as where it was not asked for, metres: another order is better.
const BACK_UP_M: f64 = 60.0;
/// A pass that ends nearer to barred ground than this ends on it, metres.
const MIN_CLEAR_M: f64 = 1e-4;
/// Longest straight way out of no-turn ground, metres.
const MAX_RUN_OUT_M: f64 = 60.0;
/// Places of turns move by this much from visit to visit, metres, and come round again after
/// [`SHIFT_STEPS`] visits: a mower's wheels wear a strip about this wide.
const SHIFT_M: f64 = 1.5;
const SHIFT_STEPS: u32 = 4;

/// Finds joins on one fairway.
pub struct Router {
    pub(super) ground: TurningGround,
    pub(super) detour: OnceCell<Detour>,
    pub(super) radius_m: f64,
    may_reverse: bool,
    shift_m: f64,
    pub(super) work: Rc<Work>,
    // What joins cost that were looked for before, and the effort it took: clean-up passes come
    // again in every mow of a fairway.
    costs: RefCell<HashMap<[u64; 6], (f64, u64)>>,
}

impl Router {
    /// A router for the yard's fairway and mower. When the work is over, the turns it gives are no
    /// longer looked for.
    pub fn new(yard: &DriveInput<'_>, work: Rc<Work>) -> Self {
        Self {
            ground: TurningGround::new(yard),
            detour: OnceCell::new(),
            radius_m: yard.mower.turning_radius_m.max(MIN_RADIUS_M),
            may_reverse: yard.mower.may_reverse,
            shift_m: f64::from(yard.turn_shift % SHIFT_STEPS) * SHIFT_M,
            work,
            costs: RefCell::default(),
        }
    }

    /// The turning radius used, metres.
    pub fn radius_m(&self) -> f64 {
        self.radius_m
    }

    /// Lower bound on the length of any join, metres: the shortest on open ground.
    pub fn floor_m(&self, from: Pose, to: Pose) -> f64 {
        let forward = shortest_forward_m(from, to, self.radius_m);
        if !self.may_reverse {
            return forward;
        }
        let backing = backing_turns(from, to, self.radius_m);
        backing.first().map_or(forward, |t| forward.min(t.length_m))
    }

    /// Whether planning was called off.
    pub fn stopped(&self) -> bool {
        self.work.over()
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
        let numbers = [from, to].map(|p| [p.at.x, p.at.y, p.heading_rad]);
        let mut key = [0; 6];
        for (k, x) in key.iter_mut().zip(numbers.as_flattened()) {
            *k = x.to_bits();
        }
        let known = self.costs.borrow().get(&key).copied();
        if let Some((cost_m, effort)) = known {
            self.work.spend(effort);
            return cost_m;
        }
        let before = self.work.used();
        let cost_m = self.join(from, to, Search::Compare).cost_m;
        // When the work is over, joins are no longer looked for.
        if !self.work.over() {
            let effort = self.work.used() - before;
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
        let margin = self.ground.part_of(from.at) == self.ground.part_of(to.at);
        let best = self.search(a, b, margin, how);
        let backing = |t: &Track| t.gear == Gear::Reverse;
        let (tracks, way, extra_m) = match (best.clear, best.beyond) {
            (Some(c), _) if !self.may_reverse && c.tracks.iter().any(backing) => {
                (c.tracks, Way::BacksUp, BACK_UP_M)
            }
            (Some(c), _) => (c.tracks, Way::Legal, 0.0),
            (None, Some(c)) => (c.tracks, Way::BeyondMargin, BEYOND_MARGIN_M),
            (None, None) => {
                let (dx, dy) = (to.at.x - from.at.x, to.at.y - from.at.y);
                return Join {
                    tracks: Vec::new(),
                    cost_m: dx.hypot(dy) + NO_WAY_M,
                    way: Way::None,
                };
            }
        };
        let tracks: Vec<Track> = straight(from.at, a.at, out)
            .into_iter()
            .chain(tracks)
            .chain(straight(b.at, to.at, run_in))
            .collect();
        Join {
            cost_m: tracks.iter().map(|t| t.path.length_m()).sum::<f64>() + extra_m,
            tracks,
            way,
        }
    }

    fn search(&self, a: Pose, b: Pose, margin: bool, how: Search) -> Best {
        // A pass may itself run along an edge: its ends set what can be asked for.
        let deck = self.ground.deck_clear_m;
        let ends = self
            .ground
            .clearance_m(a.at, deck)
            .min(self.ground.clearance_m(b.at, deck));
        let room = Clearances {
            axle_m: AXLE_CLEAR_M.min(ends / 2.0).max(MIN_CLEAR_M),
            deck_m: deck.min(ends * 0.9).max(AXLE_CLEAR_M),
            margin,
        };
        let mut best = Best::default();
        if ends < MIN_CLEAR_M {
            // It begins or ends on barred ground: nothing that is tried can be legal.
            return best;
        }
        self.try_turns(a, b, (0.0, 0.0), room, &mut best);
        if best.settled() {
            return best;
        }
        let pulls_m = PULLS.map(|by| by * self.radius_m);
        self.try_all(a, b, &pulls_m, room, &mut best);
        if best.clear.is_some() {
            return best;
        }
        // Out of a corner there is no way but back.
        if !self.cornered(a, room) && !self.cornered(b.reversed(), room) {
            self.try_detour(a, b, &RUNS, room, &mut best);
            if best.clear.is_none() && how == Search::Drive {
                self.try_third_pose(a, b, room, &mut best);
            }
        }
        if best.clear.is_none() {
            let backs_m = BACKS_M.map(|by| -by);
            self.try_all(a, b, &backs_m, room, &mut best);
        }
        if best.clear.is_none() && how == Search::Drive {
            self.try_detour(a, b, &BACKED, room, &mut best);
        }
        best
    }

    /// Whether a mower in this pose can go neither straight on nor along its tightest turns.
    fn cornered(&self, pose: Pose, room: Clearances) -> bool {
        let r = self.radius_m;
        let line = Segment::Line {
            from: pose.at,
            to: pose.offset(r, 0.0),
        };
        // One radian of each turn is as long as the line.
        let [left, right] = [1.0, -1.0].map(|s| Segment::Arc(CircularArc::leaving(pose, r, s)));
        let barred = |path| self.ground.standing(path, room, false) == Standing::Barred;
        self.ground.clearance_m(pose.at, r) < r && [&line, &left, &right].into_iter().all(barred)
    }

    /// Tries turns that begin farther on and end sooner by some of these distances, metres; below
    /// zero they back up first and last.
    fn try_all(&self, a: Pose, b: Pose, by_m: &[f64], room: Clearances, best: &mut Best) {
        let both = by_m
            .iter()
            .flat_map(|&out| by_m.iter().map(move |&run_in| (out, run_in)));
        let mut tries: Vec<(f64, (f64, f64))> = both
            .filter(|&by| by != (0.0, 0.0))
            .map(|(out, run_in)| {
                let backs = f64::from(u8::from(out < 0.0) + u8::from(run_in < 0.0));
                let straight_m = out.abs() + run_in.abs() + 2.0 * backs * GEAR_CHANGE_M;
                let turn_m = self.floor_m(a.ahead(out), b.ahead(-run_in));
                (straight_m + turn_m, (out, run_in))
            })
            .collect();
        // The shortest first: once one is legal most of the others need not be looked at.
        tries.sort_by(|x, y| x.0.total_cmp(&y.0));
        for (floor_m, by) in tries {
            if floor_m >= best.limit() {
                break;
            }
            self.try_turns(a, b, by, room, best);
        }
    }

    /// Tries every turn between `a`, `by.0` metres farther on, and `b`, `by.1` sooner.
    pub(super) fn try_turns(
        &self,
        a: Pose,
        b: Pose,
        by: (f64, f64),
        room: Clearances,
        best: &mut Best,
    ) {
        self.work.spend(1);
        if self.work.over() {
            return;
        }
        let (from, to) = (a.ahead(by.0), b.ahead(-by.1));
        let mut turns = forward_turns(from, to, self.radius_m);
        if self.may_reverse {
            turns.extend(backing_turns(from, to, self.radius_m));
        }
        for turn in turns {
            if by.0.abs() + by.1.abs() + turn.length_m < best.limit() {
                self.weigh(a, b, by, turn.tracks, room, best);
            }
        }
    }

    /// Weighs a way that runs straight on by `by.0` first and by `by.1` last, metres.
    pub(super) fn weigh(
        &self,
        a: Pose,
        b: Pose,
        by: (f64, f64),
        middle: Vec<Track>,
        room: Clearances,
        best: &mut Best,
    ) {
        let tracks: Vec<Track> = straight(a.at, a.ahead(by.0).at, by.0)
            .into_iter()
            .chain(middle)
            .chain(straight(b.ahead(-by.1).at, b.at, by.1))
            .collect();
        // Passes are driven forward.
        let gears = tracks.iter().map(|t| t.gear);
        let changes = std::iter::once(Gear::Forward)
            .chain(gears.clone())
            .zip(gears.chain([Gear::Forward]))
            .filter(|(before, after)| before != after)
            .count();
        let length_m: f64 = tracks.iter().map(|t| t.path.length_m()).sum();
        let weight_m = length_m + changes as f64 * GEAR_CHANGE_M;
        if weight_m >= best.limit() {
            return;
        }
        // Of the turns that leave the margin only the least is of use, and only while there is
        // none that keeps to it.
        let useless =
            best.clear.is_some() || best.beyond.as_ref().is_some_and(|c| weight_m >= c.weight_m);
        // So near to the best that only a turn with room for the deck betters it.
        let roomy = weight_m + NEAR_M >= best.limit();
        let kept = Clearances {
            axle_m: if roomy { room.deck_m } else { room.axle_m },
            ..room
        };
        match self.standing(&tracks, kept, useless) {
            Standing::Clear { near } => {
                let weight_m = weight_m + if near { NEAR_M } else { 0.0 };
                if weight_m < best.limit() {
                    best.clear = Some(Candidate {
                        tracks,
                        near,
                        weight_m,
                    });
                }
            }
            Standing::BeyondMargin if !useless => {
                best.beyond = Some(Candidate {
                    tracks,
                    near: false,
                    weight_m,
                });
            }
            Standing::BeyondMargin | Standing::Barred => {}
        }
    }

    fn standing(&self, tracks: &[Track], room: Clearances, stop_beyond: bool) -> Standing {
        let mut worst = Standing::Clear { near: false };
        for t in tracks {
            worst = worst.max(self.ground.standing(&t.path, room, stop_beyond));
            if worst == Standing::Barred || (stop_beyond && worst == Standing::BeyondMargin) {
                break;
            }
        }
        worst
    }

    /// How far to drive straight on (`way` 1) or to come from (-1) to be off no-turn ground.
    fn run_out_m(&self, pose: Pose, way: f64) -> f64 {
        if !self.ground.on_no_turn(pose.at) {
            return 0.0;
        }
        let mut s = 0.0;
        while s < MAX_RUN_OUT_M {
            s += 0.25;
            let at = pose.ahead(way * s).at;
            if self.ground.clearance_m(at, 2.0 * AXLE_CLEAR_M) >= 2.0 * AXLE_CLEAR_M {
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
    let fairway = plain(geo_types::MultiPolygon(vec![rect(
        -200.0, -200.0, 700.0, 700.0,
    )]));
    let mower = crate::model::mower::Mower::bar(2.5);
    let input = DriveInput {
        fairway: &fairway,
        mower: &mower,
        margin_m: 5.0,
        turn_shift: 0,
    };
    ask(&Router::new(&input, Rc::new(Work::new(None))))
}
