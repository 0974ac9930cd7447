//! Ways that back up where no forward turn fits: straight out of a pass, or straight up to the next.

use crate::driving::arc_reach::Feelers;
use crate::driving::clearance::{Clearances, Standing};
use crate::driving::join::{Best, GEAR_CHANGE_M};
use crate::driving::roads::Router;
use crate::driving::turns::{forward_turns_if, shortest_forward_m};
use crate::model::pose::Pose;
use crate::model::track::{CircularArc, Gear, Segment, Track};
use geo_types::Coord;

/// How far to back up straight where no forward turn fits, metres.
const BACKS_M: [f64; 8] = [0.0, 1.0, 2.0, 3.5, 5.5, 8.0, 12.0, 18.0];

impl Router {
    /// Whether a mower in this pose can go neither straight on nor along its tightest turns.
    pub(super) fn cornered(&self, pose: Pose, room: Clearances) -> bool {
        if self.ground.clearance_m(pose.at, self.radius_m) >= self.radius_m {
            return false;
        }
        let line = Segment::Line {
            from: pose.at,
            to: pose.offset(self.radius_m, 0.0),
        };
        // One radian of each turn is as long as the line.
        let [left, right] =
            [1.0, -1.0].map(|s| Segment::Arc(CircularArc::leaving(pose, self.radius_m, s)));
        [line, left, right]
            .iter()
            .all(|p| self.ground.standing(p, room, false) == Standing::Barred)
    }

    /// Backs straight out of a pass, or straight up to the next one, and drives on in between.
    /// `stuck` says which of the two ends has to.
    pub(super) fn try_backing_up(
        &self,
        a: Pose,
        b: Pose,
        stuck: (bool, bool),
        room: Clearances,
        best: &mut Best,
    ) {
        let known = stuck.0 || stuck.1;
        // An end that is free need not back up; one that is stuck must.
        let fits = |by: f64, stuck: bool| if stuck { by > 0.0 } else { by == 0.0 };
        let ways: Vec<(f64, f64)> = BACKS_M
            .iter()
            .flat_map(|&out| BACKS_M.map(|run_in| (out, run_in)))
            .filter(|&(out, run_in)| {
                if known {
                    fits(out, stuck.0) && fits(run_in, stuck.1)
                } else {
                    out + run_in > 0.0
                }
            })
            .collect();
        // The shortest first: once one is legal most of the others need not be looked at.
        let mut shortest: Vec<(f64, (f64, f64))> = ways
            .iter()
            .map(|&(out, run_in)| {
                let turn = shortest_forward_m(a.ahead(-out), b.ahead(run_in), self.radius_m);
                (out + run_in + gears_m((out, run_in)) + turn, (out, run_in))
            })
            .collect();
        shortest.sort_by(|x, y| x.0.total_cmp(&y.0));
        let feelers = Feelers::new(&self.ground, a, b, room);
        for (floor_m, (out, run_in)) in shortest {
            self.work.spend(1);
            if self.work.over() {
                return;
            }
            if floor_m >= best.limit() {
                break;
            }
            let need = best.need(floor_m);
            let keep = |first: (f64, f64), last: (f64, f64)| {
                feelers.let_turn((-out, -run_in), self.radius_m, first, last, need)
            };
            for turn in forward_turns_if(a.ahead(-out), b.ahead(run_in), self.radius_m, keep) {
                if turn.length_m + out + run_in + gears_m((out, run_in)) >= best.limit() {
                    break;
                }
                let middle = turn.paths.into_iter().map(Track::up).collect();
                self.weigh_backed(a, b, (out, run_in), middle, room, best);
            }
        }
        if !known || best.clear.is_some() {
            return;
        }
        // Clear of the corner, there may be a way round what lies between.
        for &(out, run_in) in &ways {
            let mut between = Best::default();
            self.try_detour(a.ahead(-out), b.ahead(run_in), room, &mut between);
            if let Some(c) = between.clear {
                self.weigh_backed(a, b, (out, run_in), c.tracks, room, best);
                if best.clear.is_some() {
                    return;
                }
            }
        }
    }

    /// Weighs a way that backs up by `back.0` first and by `back.1` last, metres.
    fn weigh_backed(
        &self,
        a: Pose,
        b: Pose,
        back: (f64, f64),
        middle: Vec<Track>,
        room: Clearances,
        best: &mut Best,
    ) {
        let backing = |from: Coord<f64>, to: Coord<f64>| Track {
            gear: Gear::Reverse,
            ..Track::up(Segment::Line { from, to })
        };
        let mut tracks = Vec::with_capacity(middle.len() + 2);
        if back.0 > 0.0 {
            tracks.push(backing(a.at, a.ahead(-back.0).at));
        }
        tracks.extend(middle);
        if back.1 > 0.0 {
            tracks.push(backing(b.ahead(back.1).at, b.at));
        }
        let length_m = tracks.iter().map(|t| t.path.length_m()).sum();
        self.weigh(tracks, length_m, gears_m(back), room, best);
    }
}

/// What the changes of gear count as for a way that backs up first and last by `back`, metres.
fn gears_m(back: (f64, f64)) -> f64 {
    2.0 * (f64::from(back.0 > 0.0) + f64::from(back.1 > 0.0)) * GEAR_CHANGE_M
}
