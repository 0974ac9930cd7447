//! The join of two legs: the shortest drivable one that keeps to the turning ground.
//!
//! First the plain turns are tried, shortest first; then wider radii and turns that first pull
//! forward; then ways round barred ground (see [`super::visibility`]); last, turns by way of a
//! third pose nearby. Where nothing is legal the least bad turn is taken and said to be so.

use crate::driving::arc_reach::{Feelers, Need};
use crate::driving::clearance::{AXLE_CLEAR_M, Clearances, Standing, TurningGround};
use crate::driving::input::DriveInput;
use crate::driving::join::{Best, Candidate, GEAR_CHANGE_M, Join, NEAR_M, Search, Way, push_line};
use crate::driving::reversing::{backing_turns, shortest_backing_m, turn_with_one_reverse};
use crate::driving::turns::{Stance, forward_turns_if, shortest_between_m};
use crate::driving::visibility::Detour;
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
/// Wider radii tried where the tightest turn is barred.
const WIDER: [f64; 3] = [1.3, 1.7, 2.4];
/// How far a turn may pull forward first and run in last, in turning radii.
const PULLS: [f64; 4] = [0.0, 0.75, 1.6, 3.2];
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

/// Turns to be tried: of one radius, farther on and sooner.
#[derive(Clone, Copy)]
pub(super) struct Try {
    floor_m: f64,
    radius_m: f64,
    out_m: f64,
    in_m: f64,
}

impl Try {
    pub(super) fn plain(radius_m: f64) -> Self {
        Self {
            floor_m: 0.0,
            radius_m,
            out_m: 0.0,
            in_m: 0.0,
        }
    }
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
        self.floor_of_m(from, to, self.radius_m)
    }

    fn floor_between_m(&self, from: &Stance, to: &Stance) -> f64 {
        if self.may_reverse {
            shortest_backing_m(from.pose, to.pose, from.radius_m)
        } else {
            shortest_between_m(from, to)
        }
    }

    fn floor_of_m(&self, from: Pose, to: Pose, radius_m: f64) -> f64 {
        let stance = |pose| Stance::new(pose, radius_m);
        self.floor_between_m(&stance(from), &stance(to))
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
        (join.way == Way::Legal && !join.backs_up && join.length_m <= most_m).then_some(join.cost_m)
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
        let mut backs_up = false;
        let (middle, way, extra) = match (best.clear, best.beyond) {
            (Some(c), _) => {
                let backing = c.tracks.iter().any(|t| t.gear == Gear::Reverse);
                backs_up = backing && !self.may_reverse;
                (c, Way::Legal, if backs_up { BACK_UP_M } else { 0.0 })
            }
            (None, Some(c)) => (c, Way::BeyondMargin, BEYOND_MARGIN_M),
            (None, None) => {
                let (dx, dy) = (to.at.x - from.at.x, to.at.y - from.at.y);
                return Join {
                    tracks: Vec::new(),
                    length_m: 0.0,
                    cost_m: dx.hypot(dy) + NO_WAY_M,
                    way: Way::None,
                    backs_up: false,
                };
            }
        };
        let mut tracks = Vec::with_capacity(middle.tracks.len() + 2);
        push_line(&mut tracks, from.at, a.at);
        tracks.extend(middle.tracks);
        push_line(&mut tracks, b.at, to.at);
        let length_m = tracks.iter().map(|t| t.path.length_m()).sum();
        Join {
            tracks,
            length_m,
            cost_m: length_m + extra,
            way,
            backs_up,
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
        if !self.may_reverse {
            // Where every way on is barred at once no forward turn need be tried.
            let stuck = (self.cornered(a, room), self.cornered(b.reversed(), room));
            if stuck.0 || stuck.1 {
                self.try_backing_up(a, b, stuck, room, &mut best);
                return best;
            }
        }
        let plain = Try::plain(self.radius_m);
        self.try_turns(a, b, plain, room, None, &mut best);
        if best.settled() {
            return best;
        }
        let mut tries: Vec<Try> = WIDER
            .iter()
            .map(|wider| (self.radius_m * wider, 0.0, 0.0))
            .chain(PULLS.iter().flat_map(|out| {
                PULLS.map(|run_in| (self.radius_m, out * self.radius_m, run_in * self.radius_m))
            }))
            .map(|(radius_m, out_m, in_m)| Try {
                floor_m: out_m + in_m + self.floor_of_m(a.ahead(out_m), b.ahead(-in_m), radius_m),
                radius_m,
                out_m,
                in_m,
            })
            .collect();
        let feelers = Feelers::new(&self.ground, a, b, room);
        // The shortest first: once one is legal most of the others need not be looked at.
        tries.sort_by(|x, y| x.floor_m.total_cmp(&y.floor_m));
        for t in tries {
            if t.floor_m >= best.limit() {
                break;
            }
            self.try_turns(a, b, t, room, Some(&feelers), &mut best);
        }
        if best.clear.is_some() {
            return best;
        }
        self.try_detour(a, b, room, &mut best);
        if best.clear.is_none() && how == Search::Drive {
            self.try_third_pose(a, b, room, &mut best);
        }
        if best.clear.is_none() {
            self.try_backing_up(a, b, (false, false), room, &mut best);
        }
        best
    }

    /// Tries every turn of one radius between `a`, `out_m` farther on, and `b`, `in_m` sooner.
    pub(super) fn try_turns(
        &self,
        a: Pose,
        b: Pose,
        t: Try,
        room: Clearances,
        feelers: Option<&Feelers<'_>>,
        best: &mut Best,
    ) {
        self.work.spend(1);
        if self.work.over() {
            return;
        }
        let (from, to) = (a.ahead(t.out_m), b.ahead(-t.in_m));
        let need = best.need(t.floor_m);
        for (turn, gears) in self.turns(from, to, t, feelers, need) {
            let extra = gears as f64 * GEAR_CHANGE_M;
            let length_m: f64 =
                t.out_m + t.in_m + turn.iter().map(|t| t.path.length_m()).sum::<f64>();
            if length_m + extra >= best.limit() {
                continue;
            }
            let mut tracks = Vec::with_capacity(turn.len() + 2);
            push_line(&mut tracks, a.at, from.at);
            tracks.extend(turn);
            push_line(&mut tracks, to.at, b.at);
            self.weigh(tracks, length_m, extra, room, best);
        }
    }

    pub(super) fn weigh(
        &self,
        tracks: Vec<Track>,
        length_m: f64,
        extra_m: f64,
        room: Clearances,
        best: &mut Best,
    ) {
        let weight_m = length_m + extra_m;
        // Of the turns that leave the margin only the least is of use, and only while there is
        // none that keeps to it.
        let useless =
            best.clear.is_some() || best.beyond.as_ref().is_some_and(|c| weight_m >= c.weight_m);
        // So near to the best that only a turn with room for the deck betters it.
        let kept = Clearances {
            axle_m: match best.need(weight_m) {
                Need::Roomy => room.deck_m,
                _ => room.axle_m,
            },
            ..room
        };
        match self.standing(&tracks, kept, useless) {
            Standing::Clear(least) => {
                let near = if least < room.deck_m { NEAR_M } else { 0.0 };
                if weight_m + near < best.limit() {
                    best.clear = Some(Candidate {
                        tracks,
                        length_m,
                        weight_m: weight_m + near,
                    });
                }
            }
            Standing::BeyondMargin => {
                if best.beyond.as_ref().is_none_or(|c| weight_m < c.weight_m) {
                    best.beyond = Some(Candidate {
                        tracks,
                        length_m,
                        weight_m,
                    });
                }
            }
            Standing::Barred => {}
        }
    }

    pub(super) fn standing(
        &self,
        tracks: &[Track],
        room: Clearances,
        stop_beyond: bool,
    ) -> Standing {
        let mut least = room.deck_m;
        let mut beyond = false;
        // How far the first and the last arc may be followed is mostly known: what lies between
        // is more likely to be barred.
        let between = 1..tracks.len().saturating_sub(1).max(1);
        let ends = (0..tracks.len()).filter(|i| !between.contains(i));
        for t in between.clone().chain(ends).filter_map(|i| tracks.get(i)) {
            match self.ground.standing(&t.path, room, stop_beyond) {
                Standing::Clear(d) => least = least.min(d),
                Standing::BeyondMargin if stop_beyond => return Standing::BeyondMargin,
                Standing::BeyondMargin => beyond = true,
                Standing::Barred => return Standing::Barred,
            }
        }
        if beyond {
            Standing::BeyondMargin
        } else {
            Standing::Clear(least)
        }
    }

    /// All turns of one radius, with how often each changes gear, shortest first.
    ///
    /// Forward turns whose first or last arc `feelers` find too short for the `need` are left out.
    fn turns(
        &self,
        from: Pose,
        to: Pose,
        t: Try,
        feelers: Option<&Feelers<'_>>,
        need: Need,
    ) -> Vec<(Vec<Track>, usize)> {
        let radius_m = t.radius_m;
        let keep = |first: (f64, f64), last: (f64, f64)| {
            feelers.is_none_or(|f| f.let_turn((t.out_m, t.in_m), radius_m, first, last, need))
        };
        let mut out: Vec<(f64, Vec<Track>, usize)> = forward_turns_if(from, to, radius_m, keep)
            .into_iter()
            .map(|t| (t.length_m, t.paths.into_iter().map(Track::up).collect(), 0))
            .collect();
        if self.may_reverse {
            let words = backing_turns(from, to, radius_m);
            let one = turn_with_one_reverse(from, to, radius_m);
            out.extend(words.into_iter().chain(one).map(|t| {
                let weight = t.length_m + t.gear_changes as f64 * GEAR_CHANGE_M;
                // A turn that begins or ends backing changes gear there too.
                let ends = [t.tracks.first(), t.tracks.last()];
                let at_ends = ends
                    .into_iter()
                    .flatten()
                    .filter(|k| k.gear == Gear::Reverse)
                    .count();
                (
                    weight + at_ends as f64 * GEAR_CHANGE_M,
                    t.tracks,
                    t.gear_changes + at_ends,
                )
            }));
            out.sort_by(|a, b| a.0.total_cmp(&b.0));
        }
        out.into_iter().map(|(_, t, g)| (t, g)).collect()
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
