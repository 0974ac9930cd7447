//! Ways round barred ground, and turns by way of a third pose.

use crate::driving::clearance::{AXLE_CLEAR_M, Clearances};
use crate::driving::join::Best;
use crate::driving::roads::Router;
use crate::driving::visibility::Detour;
use crate::model::pose::Pose;
use crate::model::track::Track;
use geo_types::Coord;
use std::f64::consts::{FRAC_PI_4, TAU};

impl Router {
    /// Goes round barred ground by way of its corners, after the first of `runs` that will do.
    pub(super) fn try_detour(
        &self,
        a: Pose,
        b: Pose,
        runs: &[(f64, f64)],
        room: Clearances,
        best: &mut Best,
    ) {
        let detour = self.detour.get_or_init(|| Detour::new(&self.ground));
        for (out, run_in) in runs {
            let (out, run_in) = (out * self.radius_m, run_in * self.radius_m);
            let (from, to) = (a.ahead(out), b.ahead(-run_in));
            let Some(corners) = detour.corners(&self.ground, from.at, to.at, room, &self.work)
            else {
                // Enclosed, or the run on ended on barred ground.
                if (out, run_in) == (0.0, 0.0) {
                    return;
                }
                continue;
            };
            // A run on may leave the mower facing the way: no corner, but the turn may now do.
            let stops = tangent_poses(from, &corners, to);
            if let Some(tracks) = self.chain(&stops, room) {
                self.weigh(a, b, (out, run_in), tracks, room, best);
                if best.clear.is_some() {
                    return;
                }
            }
        }
    }

    /// Legal turns from pose to pose; none when one of them has none.
    fn chain(&self, stops: &[Pose], room: Clearances) -> Option<Vec<Track>> {
        let mut out = Vec::new();
        for pair in stops.windows(2) {
            let mut best = Best::default();
            self.try_turns(pair[0], pair[1], (0.0, 0.0), room, &mut best);
            out.extend(best.clear?.tracks);
        }
        Some(out)
    }

    /// Turns by way of a third pose near either end.
    pub(super) fn try_third_pose(&self, a: Pose, b: Pose, room: Clearances, best: &mut Best) {
        for centre in [a.at, b.at] {
            for reach in [1.5, 3.0, 5.0, 8.0] {
                for k in 0..8 {
                    let towards = f64::from(k) * FRAC_PI_4;
                    let at = Pose::new(centre, towards).ahead(reach * self.radius_m).at;
                    if self.ground.clearance_m(at, AXLE_CLEAR_M) < AXLE_CLEAR_M
                        || (room.margin && !self.ground.within_margin(at))
                    {
                        continue;
                    }
                    for h in 0..8 {
                        let by = Pose::new(at, f64::from(h) * FRAC_PI_4);
                        let floor = self.floor_m(a, by) + self.floor_m(by, b);
                        if floor >= best.limit() {
                            continue;
                        }
                        if let Some(tracks) = self.chain(&[a, by, b], room) {
                            self.weigh(a, b, (0.0, 0.0), tracks, room, best);
                        }
                    }
                }
            }
        }
    }
}

/// Poses through the corners of a way, each heading along the bisector of its bend.
fn tangent_poses(from: Pose, corners: &[Coord<f64>], to: Pose) -> Vec<Pose> {
    let mut out = vec![from];
    for (i, &c) in corners.iter().enumerate() {
        let before = if i == 0 { from.at } else { corners[i - 1] };
        let after = corners.get(i + 1).copied().unwrap_or(to.at);
        let unit = |p: Coord<f64>, q: Coord<f64>| {
            let l = (q.x - p.x).hypot(q.y - p.y).max(1e-12);
            ((q.x - p.x) / l, (q.y - p.y) / l)
        };
        let (u, v) = (unit(before, c), unit(c, after));
        let heading = (u.1 + v.1).atan2(u.0 + v.0).rem_euclid(TAU);
        out.push(Pose::new(c, heading));
    }
    out.push(to);
    out
}
