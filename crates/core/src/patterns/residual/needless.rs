//! Passes that are not worth lowering the reels for, left out.
//!
//! A short piece of a line may lie over ground that its neighbours, the passes round the edge and
//! longer pieces cut anyway; and of runs that touch up one place after the other, each the best
//! at its time, the later ones may make an earlier one needless.

use super::touch_up::MIN_GAIN_M2;
use super::{Ground, LOOK_M, TouchUp, around};
use crate::limits::MIN_PLACE_M2;
use crate::model::task::{Task, TaskKind};
use crate::model::track::Track;
use crate::patterns::lines::SHORT_DECKS;
use crate::promises::missed_part;
use crate::swath::gain::Swath;
use crate::swath::places::places;
use crate::swath::shapes::uncut;
use crate::work::Work;
use geo::{Area, BoundingRect, Intersects};
use geo_types::{MultiPolygon, Polygon, Rect};
use std::collections::BTreeSet;

/// Runs are left out as long as no more than this share is left of what a plan may miss.
const MISSED_SHARE: f64 = 0.97;
/// A pass that is tried is laid beside its neighbours: as long as so many turns.
const TRY_EFFORT: u64 = 5;

/// Leaves out short pieces of lines that cut too little that nothing else does, those that cut
/// least first.
pub fn drop_short_pieces(tasks: &mut [Task], ground: &Ground<'_>, work: &Work) {
    let short_m = SHORT_DECKS * ground.mower.cutting_width_m();
    let is_lines = |t: &Task| matches!(t.kind, TaskKind::Lines { .. });
    let short = |t: &Task| is_lines(t) && t.legs().any(|l| l.length_m() < short_m);
    if !tasks.iter().any(short) {
        return;
    }
    let mut laid = Swath::new(&ground.mower.units, ground.reach, &ground.barriers.solid);
    let mut open: Vec<(usize, Vec<Track>)> = Vec::new();
    for task in &*tasks {
        for leg in task.legs() {
            let id = laid.add(&leg.tracks);
            if is_lines(task) && leg.length_m() < short_m {
                open.push((id, leg.tracks.clone()));
            }
        }
    }
    let mut dropped = BTreeSet::new();
    while !work.over() {
        let mut least: Option<(f64, usize)> = None;
        for (i, (id, tracks)) in open.iter().enumerate() {
            work.spend(TRY_EFFORT);
            let gain_m2 = laid.gain(tracks, Some(*id), &[]).grass_m2;
            if gain_m2 < MIN_GAIN_M2 && least.is_none_or(|l| gain_m2 < l.0) {
                least = Some((gain_m2, i));
            }
        }
        let Some((_, i)) = least else { break };
        let (id, _) = open.remove(i);
        laid.replace(id, &[]);
        dropped.insert(id);
    }
    let mut id = 0;
    for task in tasks.iter_mut() {
        task.retain(|_| {
            id += 1;
            !dropped.contains(&(id - 1))
        });
    }
}

/// Leaves out runs over places of `left` without which no more of places is left than with them.
pub(super) fn without_needless(
    runs: Vec<TouchUp>,
    left: &MultiPolygon<f64>,
    ground: &Ground<'_>,
    work: &Work,
) -> Vec<TouchUp> {
    let units = &ground.mower.units;
    let most_m2 = MISSED_SHARE * missed_part(ground.mower) * ground.reach.unsigned_area();
    // Only what lies near the runs changes.
    let boxes: Vec<Rect<f64>> = (runs.iter())
        .filter_map(|r| around(&r.0.tracks, ground.mower))
        .collect();
    let meets = |p: &&Polygon<f64>| {
        let bounds = p.bounding_rect();
        bounds.is_some_and(|b| boxes.iter().any(|r| r.intersects(&b)))
    };
    let near: MultiPolygon<f64> = left.iter().filter(meets).cloned().collect();
    let far_m2 = left.unsigned_area() - near.unsigned_area();
    let rest = |runs: &[TouchUp], but: Option<usize>| -> MultiPolygon<f64> {
        let kept = runs.iter().enumerate().filter(|(i, _)| Some(*i) != but);
        let tracks: Vec<Track> = kept.flat_map(|(_, r)| r.0.tracks.clone()).collect();
        uncut(&near, &tracks, units, LOOK_M)
    };
    let mut runs = runs;
    let mut now = rest(&runs, None);
    let places_m2 =
        |rest: &MultiPolygon<f64>| -> f64 { places(rest).iter().map(Area::unsigned_area).sum() };
    let mut seen_m2 = places_m2(&now);
    while !work.over() {
        let mut least: Option<(f64, usize, MultiPolygon<f64>)> = None;
        for i in 0..runs.len() {
            work.spend(TRY_EFFORT);
            let then = rest(&runs, Some(i));
            let area_m2 = then.unsigned_area();
            let gain_m2 = area_m2 - now.unsigned_area();
            if gain_m2 < MIN_PLACE_M2
                && far_m2 + area_m2 <= most_m2
                && least.as_ref().is_none_or(|l| gain_m2 < l.0)
                && places_m2(&then) <= seen_m2 * (1.0 + 1e-9)
            {
                least = Some((gain_m2, i, then));
            }
        }
        let Some((_, i, then)) = least else { break };
        runs.remove(i);
        seen_m2 = places_m2(&then);
        now = then;
    }
    runs
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawn::{plain, rect};
    use crate::ground::barriers::Barriers;
    use crate::model::mow::{Leg, Role};
    use crate::model::mower::Mower;
    use crate::model::task::{Directions, Line, Piece};
    use crate::model::track::Segment;
    use geo_types::{Coord, coord};

    fn leg(from: (f64, f64), to: (f64, f64), role: Role) -> Leg {
        let (from, to) = (Coord::from(from), Coord::from(to));
        Leg {
            tracks: vec![Track::down(Segment::Line { from, to })],
            role,
            reversible: true,
        }
    }

    fn piece(y: f64, from_m: f64, to_m: f64) -> Piece {
        Piece {
            leg: leg((from_m, y), (to_m, y), Role::Stripe { set: 0, index: 0 }),
            from_m,
            to_m,
        }
    }

    fn on_ground(look: impl FnOnce(&Ground<'_>)) {
        let fairway = plain(rect(0.0, 0.0, 40.0, 40.0).into());
        let barriers = Barriers::of(&fairway);
        look(&Ground {
            fairway: &fairway,
            mower: &Mower::bar(2.0),
            barriers: &barriers,
            reach: &fairway.ground,
        });
    }

    #[test]
    fn short_pieces_that_cut_little_by_themselves_are_left_out() {
        on_ground(|ground| {
            let line = |number: u32, y: f64, from_m: f64, to_m: f64| Line {
                number,
                forward: true,
                pieces: vec![piece(y, from_m, to_m)],
            };
            // Of the short ones the first lies under the long one but for 0.05 m of its width, 0.19
            // m2, the second but for 0.1 m, 0.3 m2; the third has the ground for itself.
            let lines = vec![
                line(1, 11.05, 0.0, 3.8),
                line(2, 11.0, 0.0, 40.0),
                line(3, 10.9, 20.0, 23.0),
                line(4, 30.0, 0.0, 3.8),
            ];
            let directions = Directions::Alternate;
            let mut tasks = [Task {
                part: 0,
                set: 0,
                phase: 0,
                kind: TaskKind::Lines { directions, lines },
            }];
            drop_short_pieces(&mut tasks, ground, &Work::new(None));
            let TaskKind::Lines { lines, .. } = &tasks[0].kind else {
                panic!("still lines");
            };
            let left: Vec<u32> = lines.iter().map(|l| l.number).collect();
            assert_eq!(left, [2, 3, 4]);
        });
    }

    #[test]
    fn a_run_that_a_later_one_makes_needless_is_left_out() {
        on_ground(|ground| {
            let corner = |x: f64, y: f64| coord! {x: x, y: y};
            let left = |w: f64| {
                let r = Rect::new(corner(10.0, 10.0), corner(10.0 + w, 11.0));
                MultiPolygon(vec![r.to_polygon()])
            };
            let run = |x0: f64, x1: f64| {
                let at = corner((x0 + x1) / 2.0, 10.5);
                (leg((x0, 10.5), (x1, 10.5), Role::TouchUp), at)
            };
            let runs = || vec![run(9.0, 12.0), run(9.0, 16.0)];
            let kept = |w: f64| without_needless(runs(), &left(w), ground, &Work::new(None)).len();
            // One does for both.
            assert_eq!(kept(6.0), 1);
            // Each has a place of its own.
            let apart = vec![run(9.0, 12.0), run(13.0, 16.0)];
            let both = without_needless(apart, &left(6.0), ground, &Work::new(None));
            assert_eq!(both.len(), 2);
        });
    }
}
