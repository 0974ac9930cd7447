//! Short pieces of lines that are not worth lowering the reels for, left out: they lie over ground
//! that their neighbours, the passes round the edge and longer pieces cut anyway.

use super::Ground;
use super::touch_up::MIN_GAIN_M2;
use crate::model::mow::Leg;
use crate::model::task::{Task, TaskKind};
use crate::patterns::lines::SHORT_DECKS;
use crate::swath::gain::Swath;
use crate::work::Work;
use std::collections::BTreeSet;

/// A pass that is tried is laid beside its neighbours: as long as so many turns.
const TRY_EFFORT: u64 = 5;

/// Leaves out short pieces of lines that cut too little that nothing else does.
pub fn drop_short_pieces(tasks: &mut [Task], ground: &Ground<'_>, work: &Work) {
    let short_m = SHORT_DECKS * ground.mower.cutting_width_m();
    let is_lines = |t: &Task| matches!(t.kind, TaskKind::Lines { .. });
    let short = |t: &Task| is_lines(t) && t.legs().any(|l| l.length_m() < short_m);
    if !tasks.iter().any(short) {
        return;
    }
    let mut laid = Swath::new(&ground.mower.units, ground.reach, &ground.barriers.solid);
    let mut short_ones: Vec<(usize, &Leg)> = Vec::new();
    for task in &*tasks {
        for leg in task.legs() {
            let id = laid.add(&leg.tracks);
            if is_lines(task) && leg.length_m() < short_m {
                short_ones.push((id, leg));
            }
        }
    }
    let mut dropped = BTreeSet::new();
    for (id, leg) in short_ones {
        work.spend(TRY_EFFORT);
        if laid.gain(&leg.tracks, Some(id), &[]).grass_m2 < MIN_GAIN_M2 {
            laid.replace(id, &[]);
            dropped.insert(id);
        }
    }
    let mut ids = 0..;
    for task in tasks.iter_mut() {
        task.retain(|_| ids.next().is_some_and(|id| !dropped.contains(&id)));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawn::{line, plain, rect};
    use crate::ground::barriers::Barriers;
    use crate::model::mow::Role;
    use crate::model::mower::Mower;
    use crate::model::task::{Directions, Line, Piece};
    use crate::model::track::Track;

    #[test]
    fn short_pieces_that_cut_little_by_themselves_are_left_out() {
        let fairway = plain(rect(0.0, 0.0, 40.0, 40.0).into());
        let ground = Ground {
            fairway: &fairway,
            mower: &Mower::bar(2.0),
            barriers: &Barriers::of(&fairway),
            reach: &fairway.ground,
        };
        let piece = |(y, from_m, to_m)| Piece {
            leg: Leg {
                tracks: vec![Track::down(line(from_m, y, to_m, y))],
                role: Role::Stripe { set: 0, index: 0 },
                reversible: true,
            },
            from_m,
            to_m,
        };
        // Of the short ones the first lies under the long one but for 0.05 m of its width, 0.19
        // m2, the second but for 0.1 m, 0.3 m2; the third has the ground for itself.
        let (first, long) = ((11.05, 0.0, 3.8), (11.0, 0.0, 40.0));
        let (second, third) = ((10.9, 20.0, 23.0), (30.0, 0.0, 3.8));
        let lines = vec![Line {
            number: 1,
            forward: true,
            pieces: [first, long, second, third].map(piece).to_vec(),
        }];
        let directions = Directions::Alternate;
        let mut tasks = [Task {
            part: 0,
            set: 0,
            phase: 0,
            kind: TaskKind::Lines { directions, lines },
        }];
        drop_short_pieces(&mut tasks, &ground, &Work::new(None));
        let left: Vec<f64> = tasks[0].legs().map(|l| l.tracks[0].start().at.y).collect();
        assert_eq!(left, [11.0, 10.9, 30.0]);
    }
}
