//! One join sought: the best of all ways between two poses that are tried.
//!
//! First the plain turns are tried, shortest first; then turns that first pull forward; then ways
//! round barred ground (see [`super::visibility`]) and turns by way of a third pose nearby; last,
//! ways that back straight out of a pass or up to the next.

use crate::driving::clearance::{AXLE_CLEAR_M, Clearances, Standing, TurningGround};
use crate::driving::turns::{backing_turns, forward_turns, raised, shortest_forward_m};
use crate::driving::visibility::Detour;
use crate::model::pose::Pose;
use crate::model::track::{CircularArc, Gear, Segment, Track};
use crate::work::Work;
use geo_types::Coord;
use std::cell::OnceCell;
use std::f64::consts::{FRAC_PI_4, TAU};
use std::rc::Rc;

/// How far a turn may pull forward first and run in last, in turning radii.
const PULLS: [f64; 2] = [0.0, 1.6];
/// How far to back up straight where no forward turn fits, metres.
const BACKS_M: [f64; 5] = [0.0, -1.5, -3.5, -8.0, -16.0];
/// How far to run on first and in last where ways round barred ground are sought, in turning radii.
const RUNS: [(f64, f64); 3] = [(0.0, 0.0), (1.5, 1.5), (4.0, 4.0)];
/// And how far to back up out of a corner, or into one, in turning radii.
const BACKED: [f64; 2] = [1.0, 3.0];
/// A turn whose deck comes near barred ground is taken only if it saves more than this, metres.
const NEAR_M: f64 = 12.0;
/// A change of gear counts as this many metres when turns are compared: stopping, shifting and
/// moving off take about two seconds at turning speed (from memory).
const GEAR_CHANGE_M: f64 = 2.5;
/// A pass that ends nearer to barred ground than this ends on it, metres.
const MIN_CLEAR_M: f64 = 1e-4;

/// How hard to look for a legal join.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Search {
    /// Enough to compare orders.
    Compare,
    /// Everything, for a join that is going to be driven.
    Drive,
}

/// The ground and the mower of all joins of a yard.
pub(super) struct Turning {
    pub(super) ground: TurningGround,
    pub(super) detour: OnceCell<Detour>,
    pub(super) radius_m: f64,
    pub(super) may_reverse: bool,
    pub(super) work: Rc<Work>,
}

impl Turning {
    /// Lower bound on the length of any join, metres: the shortest on open ground.
    pub(super) fn floor_m(&self, from: Pose, to: Pose) -> f64 {
        let forward = shortest_forward_m(from, to, self.radius_m);
        if !self.may_reverse {
            return forward;
        }
        let backing = backing_turns(from, to, self.radius_m);
        backing.first().map_or(forward, |t| forward.min(t.length_m))
    }
}

/// A turn with its standing, while the best is sought.
pub(super) struct Candidate {
    pub(super) tracks: Vec<Track>,
    // Whether the deck comes near barred ground.
    near: bool,
    // Length, changes of gear and nearness to barred ground.
    weight_m: f64,
}

/// A join while it is sought.
pub(super) struct Seeking<'r> {
    yard: &'r Turning,
    from: Pose,
    to: Pose,
    room: Clearances,
    /// The best legal one so far, and the best that only leaves the margin.
    pub(super) clear: Option<Candidate>,
    pub(super) beyond: Option<Candidate>,
}

impl<'r> Seeking<'r> {
    /// Seeks the join of two poses, within the margin or not.
    pub(super) fn new(
        yard: &'r Turning,
        (from, to): (Pose, Pose),
        margin: bool,
        how: Search,
    ) -> Self {
        // A pass may itself run along an edge: its ends set what can be asked for.
        let deck = yard.ground.deck_clear_m;
        let [first, last] = [from, to].map(|p| yard.ground.clearance_m(p.at, deck));
        let ends = first.min(last);
        let room = Clearances {
            axle_m: AXLE_CLEAR_M.min(ends / 2.0).max(MIN_CLEAR_M),
            deck_m: deck.min(ends * 0.9).max(AXLE_CLEAR_M),
            margin,
        };
        let mut out = Self::begun(yard, from, to, room);
        // From barred ground, or to it, nothing that is tried can be legal.
        if ends >= MIN_CLEAR_M {
            out.all(how);
        }
        out
    }

    fn begun(yard: &'r Turning, from: Pose, to: Pose, room: Clearances) -> Self {
        Self {
            yard,
            from,
            to,
            room,
            clear: None,
            beyond: None,
        }
    }

    /// What is weightier than this is no better, metres.
    fn limit(&self) -> f64 {
        self.clear.as_ref().map_or(f64::INFINITY, |c| c.weight_m)
    }

    /// Tries everything, until something is legal.
    fn all(&mut self, how: Search) {
        self.turns((0.0, 0.0));
        // Nothing betters a turn that is legal and has room for the deck.
        if self.clear.as_ref().is_some_and(|c| !c.near) {
            return;
        }
        self.runs(&PULLS.map(|by| by * self.yard.radius_m));
        let drive = how == Search::Drive;
        // Out of a corner there is no way but back.
        if self.clear.is_none() && !self.cornered(self.from) && !self.cornered(self.to.reversed()) {
            self.detours(&RUNS);
            if self.clear.is_none() && drive {
                self.third_poses();
            }
        }
        if self.clear.is_none() {
            self.runs(&BACKS_M);
        }
        if self.clear.is_none() && drive {
            let backed = BACKED.map(|by| [(-by, 0.0), (0.0, -by), (-by, -by)]);
            self.detours(backed.as_flattened());
        }
    }

    /// Whether a mower in this pose can go neither straight on nor along its tightest turns.
    fn cornered(&self, pose: Pose) -> bool {
        let (ground, r) = (&self.yard.ground, self.yard.radius_m);
        // One radian of each turn is as long as the line.
        let [left, right] = [1.0, -1.0].map(|s| Segment::Arc(CircularArc::leaving(pose, r, s)));
        let (from, to) = (pose.at, pose.offset(r, 0.0));
        let barred = |path| ground.standing(path, self.room, false) == Standing::Barred;
        ground.clearance_m(pose.at, r) < r
            && [&Segment::Line { from, to }, &left, &right]
                .into_iter()
                .all(barred)
    }

    /// Tries turns that begin farther on and end sooner by these, metres; below zero they back up.
    fn runs(&mut self, by_m: &[f64]) {
        let both = (by_m.iter()).flat_map(|&out| by_m.iter().map(move |&run_in| (out, run_in)));
        let mut tries: Vec<(f64, (f64, f64))> = both
            .filter(|&by| by != (0.0, 0.0))
            .map(|by| {
                let backs = f64::from(u8::from(by.0 < 0.0) + u8::from(by.1 < 0.0));
                let straight_m = by.0.abs() + by.1.abs() + 2.0 * backs * GEAR_CHANGE_M;
                let (from, to) = self.apart(by);
                (straight_m + self.yard.floor_m(from, to), by)
            })
            .collect();
        // The shortest first: once one is legal most of the others need not be looked at.
        tries.sort_by(|x, y| x.0.total_cmp(&y.0));
        for (floor_m, by) in tries {
            if floor_m >= self.limit() {
                break;
            }
            self.turns(by);
        }
    }

    /// The poses `by.0` metres farther on than the first and `by.1` before the last.
    fn apart(&self, by: (f64, f64)) -> (Pose, Pose) {
        (self.from.ahead(by.0), self.to.ahead(-by.1))
    }

    /// Tries every turn that begins `by.0` metres farther on and ends `by.1` sooner.
    fn turns(&mut self, by: (f64, f64)) {
        let yard = self.yard;
        yard.work.spend(1);
        if yard.work.over() {
            return;
        }
        let (from, to) = self.apart(by);
        let mut turns = forward_turns(from, to, yard.radius_m);
        if yard.may_reverse {
            turns.extend(backing_turns(from, to, yard.radius_m));
        }
        for turn in turns {
            if by.0.abs() + by.1.abs() + turn.length_m < self.limit() {
                self.weigh(by, turn.tracks);
            }
        }
    }

    /// Weighs a way that runs straight on by `by.0` first and by `by.1` last, metres.
    fn weigh(&mut self, by: (f64, f64), middle: Vec<Track>) {
        let tracks = with_runs(self.from, by, middle, self.to);
        let length_m: f64 = tracks.iter().map(|t| t.path.length_m()).sum();
        // Passes are driven forward.
        let gears = tracks.iter().map(|t| t.gear);
        let before = [Gear::Forward].into_iter().chain(gears.clone());
        let changes = before
            .zip(gears.chain([Gear::Forward]))
            .filter(|(a, b)| a != b);
        let weight_m = length_m + changes.count() as f64 * GEAR_CHANGE_M;
        if weight_m >= self.limit() {
            return;
        }
        // Beyond the margin only the least is of use, and only while none keeps to it.
        let beyond_m = self.beyond.as_ref().map_or(f64::INFINITY, |c| c.weight_m);
        let useless = self.clear.is_some() || weight_m >= beyond_m;
        let mut worst = Standing::Clear { near: false };
        for t in &tracks {
            worst = worst.max(self.yard.ground.standing(&t.path, self.room, useless));
            if worst == Standing::Barred || (useless && worst == Standing::BeyondMargin) {
                return;
            }
        }
        let (near, found) = match worst {
            Standing::Clear { near } => (near, &mut self.clear),
            Standing::BeyondMargin | Standing::Barred => (false, &mut self.beyond),
        };
        let weight_m = weight_m + if near { NEAR_M } else { 0.0 };
        if found.as_ref().is_none_or(|best| weight_m < best.weight_m) {
            *found = Some(Candidate {
                tracks,
                near,
                weight_m,
            });
        }
    }

    /// Goes round barred ground by way of its corners, after the first of `runs` that will do.
    fn detours(&mut self, runs: &[(f64, f64)]) {
        let yard = self.yard;
        let detour = (yard.detour).get_or_init(|| Detour::new(&yard.ground));
        for (out, run_in) in runs {
            let by = (out * yard.radius_m, run_in * yard.radius_m);
            let (from, to) = self.apart(by);
            let corners = detour.corners(&yard.ground, from.at, to.at, self.room, &yard.work);
            let Some(corners) = corners else {
                // Enclosed, or the run on ended on barred ground.
                if by == (0.0, 0.0) {
                    return;
                }
                continue;
            };
            // A run on may leave the mower facing the way: no corner, but the turn may now do.
            if let Some(tracks) = self.chain(&tangent_poses(from, &corners, to)) {
                self.weigh(by, tracks);
                if self.clear.is_some() {
                    return;
                }
            }
        }
    }

    /// Legal turns from pose to pose; none when one of them has none.
    fn chain(&self, stops: &[Pose]) -> Option<Vec<Track>> {
        let mut out = Vec::new();
        for pair in stops.windows(2) {
            let mut leg = Self::begun(self.yard, pair[0], pair[1], self.room);
            leg.turns((0.0, 0.0));
            out.extend(leg.clear?.tracks);
        }
        Some(out)
    }

    /// Tries turns by way of a third pose near either end.
    fn third_poses(&mut self) {
        let yard = self.yard;
        for centre in [self.from.at, self.to.at] {
            for reach in [1.5, 3.0, 5.0, 8.0] {
                for k in 0..8 {
                    let towards = f64::from(k) * FRAC_PI_4;
                    let at = Pose::new(centre, towards).ahead(reach * yard.radius_m).at;
                    if yard.ground.clearance_m(at, AXLE_CLEAR_M) < AXLE_CLEAR_M
                        || (self.room.margin && yard.ground.margin_room_m(at) < 0.0)
                    {
                        continue;
                    }
                    for h in 0..8 {
                        let by = Pose::new(at, f64::from(h) * FRAC_PI_4);
                        let floor = yard.floor_m(self.from, by) + yard.floor_m(by, self.to);
                        if floor >= self.limit() {
                            continue;
                        }
                        if let Some(tracks) = self.chain(&[self.from, by, self.to]) {
                            self.weigh((0.0, 0.0), tracks);
                        }
                    }
                }
            }
        }
    }
}

/// A way that runs straight on by `by.0` first and by `by.1` last, metres; below zero it backs up.
pub(super) fn with_runs(from: Pose, by: (f64, f64), middle: Vec<Track>, to: Pose) -> Vec<Track> {
    let straight = |from: Coord<f64>, to: Coord<f64>, by_m: f64| {
        let gear = if by_m < 0.0 {
            Gear::Reverse
        } else {
            Gear::Forward
        };
        (from != to).then(|| raised(gear, Segment::Line { from, to }))
    };
    let first = straight(from.at, from.ahead(by.0).at, by.0);
    let last = straight(to.ahead(-by.1).at, to.at, by.1);
    first.into_iter().chain(middle).chain(last).collect()
}

/// Poses through the corners of a way, each heading along the bisector of its bend.
fn tangent_poses(from: Pose, corners: &[Coord<f64>], to: Pose) -> Vec<Pose> {
    let places: Vec<_> = [from.at]
        .iter()
        .chain(corners)
        .chain([&to.at])
        .copied()
        .collect();
    let unit = |p: Coord<f64>, q: Coord<f64>| (q - p) / (q.x - p.x).hypot(q.y - p.y).max(1e-12);
    let bends = places.windows(3).map(|w| {
        let mean = unit(w[0], w[1]) + unit(w[1], w[2]);
        Pose::new(w[1], mean.y.atan2(mean.x).rem_euclid(TAU))
    });
    [from].into_iter().chain(bends).chain([to]).collect()
}
