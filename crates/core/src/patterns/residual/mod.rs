//! What is left: ends trimmed and places touched up.

pub mod ends;
pub mod short_pieces;
mod touch_up;

use crate::ground::barriers::{Barriers, part_of};
use crate::limits::MAX_PATCH_GAP_M;
use crate::model::ground::Fairway;
use crate::model::mow::Leg;
use crate::model::mower::Mower;
use crate::model::task::{Task, TaskKind};
use crate::patterns::PATCHES;
use crate::patterns::edges::nearest_keep_out;
use crate::swath::places::grouped;
use crate::work::Work;
use geo::{Distance, Euclidean};
use geo_types::{Coord, MultiPolygon, Point, Polygon};

/// How far what is left may be drawn off, metres.
pub const LOOK_M: f64 = 0.002;

/// A fairway and the deck that mows it.
#[derive(Clone, Copy)]
pub struct Ground<'a> {
    /// The fairway.
    pub fairway: &'a Fairway,
    /// The mower.
    pub mower: &'a Mower,
    /// Where no reel may be down.
    pub barriers: &'a Barriers,
    /// Where the deck can mow.
    pub reach: &'a MultiPolygon<f64>,
}

/// A pass over a place, and the middle of the place.
type TouchUp = (Leg, Coord<f64>);

/// Passes over the places of what is left, those near each other on one part as one thing to do.
pub fn patches(ground: &Ground<'_>, left: MultiPolygon<f64>, work: &Work) -> Vec<Task> {
    let runs = touch_up::runs(ground, left, work);
    in_patches(ground.fairway, runs)
}

/// Groups passes by part and nearness, in the order in which their places were found.
fn in_patches(fairway: &Fairway, passes: Vec<TouchUp>) -> Vec<Task> {
    let passes = passes.into_iter();
    let placed = passes.map(|(leg, at)| (part_of(&fairway.ground.0, at), at, leg));
    let near = |a: &(usize, Coord<f64>, Leg), b: &(usize, Coord<f64>, Leg)| {
        a.0 == b.0 && Euclidean.distance(Point(a.1), Point(b.1)) <= MAX_PATCH_GAP_M
    };
    let task = |passes: Vec<(usize, Coord<f64>, Leg)>| Task {
        part: passes[0].0,
        set: 0,
        phase: PATCHES,
        kind: TaskKind::Patch {
            keep_out: beside(fairway, passes[0].1),
            legs: passes.into_iter().map(|p| p.2).collect(),
        },
    };
    grouped(placed, near).into_iter().map(task).collect()
}

/// The keep-out beside a place; none where the outline is as near.
fn beside(fairway: &Fairway, place: Coord<f64>) -> Option<usize> {
    let far = |p: &Polygon<f64>| Euclidean.distance(&Point(place), p.exterior());
    let outline = fairway.outline.iter().map(far);
    let outline_m = outline.fold(f64::INFINITY, f64::min);
    nearest_keep_out(fairway, place).filter(|&k| far(&fairway.keep_outs[k].area) < outline_m)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawn::{bunker, line, plain, rect};
    use crate::model::mow::Role;
    use crate::model::track::Track;

    /// Two parts, the first with a bunker in its middle.
    fn fairway() -> Fairway {
        let parts = vec![rect(0.0, 0.0, 80.0, 80.0), rect(200.0, 0.0, 40.0, 40.0)];
        let mut fairway = plain(MultiPolygon(parts));
        let sand = rect(35.0, 35.0, 10.0, 10.0);
        fairway.ground.0[0].interiors_push(sand.exterior().clone());
        fairway.keep_outs.push(bunker(sand));
        fairway
    }

    fn pass(at: Coord<f64>) -> TouchUp {
        let leg = Leg {
            tracks: vec![Track::down(line(at.x, at.y, at.x + 2.0, at.y))],
            role: Role::TouchUp,
            reversible: true,
        };
        (leg, at)
    }

    #[test]
    fn passes_near_each_other_on_one_part_are_one_patch() {
        let (sand, outline) = ([(34.0, 40.0), (44.0, 34.0)], [(1.0, 1.0), (1.0, 49.0)]);
        let places = [sand[0], outline[0], sand[1], outline[1], (201.0, 20.0)];
        let told = |more: &[(f64, f64)]| -> Vec<(usize, Option<usize>, usize)> {
            let passes = places.iter().chain(more).map(|&at| pass(at.into()));
            let one = |t: &Task| match &t.kind {
                TaskKind::Patch { keep_out, legs } => (t.part, *keep_out, legs.len()),
                other => panic!("{other:?}"),
            };
            let patches = in_patches(&fairway(), passes.collect());
            patches.iter().map(one).collect()
        };
        let apart = [(0, None, 1), (0, Some(0), 2), (0, None, 1), (1, None, 1)];
        assert_eq!(told(&[]), apart);
        // One between the two along the outline joins them.
        let joined = [(0, Some(0), 2), (1, None, 1), (0, None, 3)];
        assert_eq!(told(&[(1.0, 25.0)]), joined);
    }
}
