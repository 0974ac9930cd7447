//! Which visit comes when: the mows that were chosen, dealt to the days so that the grain over
//! any 28 days is low ([`crate::windows`]).
//!
//! How often each mow is made stays as it was chosen, so the hours and the season's grain do not
//! change. First the days are gone through in order, each taking of what is left what evens the
//! last 28 days best; then pairs of visits of one group change places while that helps. No
//! optimum is claimed.

use crate::bundles::Bundle;
use crate::choice::mix::{Counts, Mix};
use crate::windows::{Panes, windows};
use jiff::civil::Date;

/// Cells looked at.
const SAMPLE: usize = 160;
/// Passes over all pairs.
const PASSES: usize = 5;
/// Visits farther apart than this do not change places, days: one of them would leave its weeks.
const FAR_DAYS: i32 = 56;
/// An exchange must gain more than this, so that rounding never decides.
const MIN_GAIN: f64 = 1e-6;

/// Visits in the past and what was mown.
pub struct Past<'a> {
    /// For each visit in the past its mow, by the indices of `mows`.
    pub made: &'a [Option<usize>],
}

/// The way each unit is made: its index in its group.
///
/// `dates` are those of all visits, in order; `extra` are mows of the past that are not in the
/// mix, numbered after its own. `loops` is the group of the loops: their sense alternates from
/// one to the next, so each shift of the lanes is dealt evenly to the odd ones and the even
/// ones, and meets both senses.
#[allow(clippy::too_many_arguments)] // one call, from one place
pub fn order(
    mix: &Mix,
    counts: &Counts,
    units: &[Bundle],
    dates: &[Date],
    season: (Date, Date),
    past: &Past<'_>,
    extra: &[crate::choice::mix::Column],
    loops: Option<usize>,
) -> Vec<usize> {
    let at = places(mix.cells());
    let ground: Vec<f64> = at.iter().map(|&c| mix.ground_m2[c]).collect();
    let mut mows: Vec<Vec<[f32; 3]>> = mix
        .mows
        .iter()
        .chain(extra)
        .map(|m| {
            at.iter()
                .map(|&c| [m.w[c] as f32, m.x[c] as f32, m.y[c] as f32])
                .collect()
        })
        .collect();
    // A mow of nothing, for visits that have none yet.
    let none = mows.len();
    mows.push(vec![[0.0; 3]; at.len()]);

    let mut made: Vec<usize> = vec![none; dates.len()];
    for (m, p) in made.iter_mut().zip(past.made) {
        if let Some(p) = p {
            *m = *p;
        }
    }
    // Odd and even of the group: one heap for both, but for the loops.
    let mut left: Vec<[Vec<f64>; 2]> = counts
        .iter()
        .enumerate()
        .map(|(g, n)| {
            if Some(g) == loops {
                halves(n)
            } else {
                [n.clone(), Vec::new()]
            }
        })
        .collect();
    let mut ways: Vec<usize> = vec![0; units.len()];
    let mut turn = vec![0_usize; units.len()];
    let mut looped = 0;
    for (u, unit) in units.iter().enumerate() {
        let group = &mix.groups[unit.group];
        if Some(unit.group) == loops {
            turn[u] = looped % 2;
            looped += 1;
        }
        let heap = turn[u];
        let last = *unit.dues.last().unwrap_or(&0);
        let first = dates.partition_point(|d| (dates[last] - *d).get_days() >= 28);
        let window = first..last + 1;
        let panes = Panes::new(&ground, &mows, [window].into(), &made);
        let a = (0..group.atoms.len())
            .filter(|&a| left[unit.group][heap][a] > 0.5)
            .map(|a| {
                let moves: Vec<(usize, usize, usize)> = unit
                    .dues
                    .iter()
                    .zip(&group.atoms[a].mows)
                    .map(|(&d, &m)| (d, none, m))
                    .collect();
                (panes.change(&moves), a)
            })
            .min_by(|p, q| p.0.total_cmp(&q.0).then(p.1.cmp(&q.1)))
            .map_or(0, |p| p.1);
        ways[u] = a;
        left[unit.group][heap][a] -= 1.0;
        for (&d, &m) in unit.dues.iter().zip(&group.atoms[a].mows) {
            made[d] = m;
        }
    }

    let panes = Panes::new(&ground, &mows, windows(dates, season.0, season.1), &made);
    swapped(panes, mix, units, dates, &turn, ways)
}

/// Pairs of visits of one group change places while that helps.
fn swapped(
    mut panes: Panes<'_>,
    mix: &Mix,
    units: &[Bundle],
    dates: &[Date],
    turn: &[usize],
    mut ways: Vec<usize>,
) -> Vec<usize> {
    for _ in 0..PASSES {
        let mut changed = false;
        for u in 0..units.len() {
            for v in u + 1..units.len() {
                let (p, q) = (&units[u], &units[v]);
                let days = (dates[q.dues[0]] - dates[p.dues[0]]).get_days();
                if p.group != q.group || turn[u] != turn[v] || ways[u] == ways[v] || days > FAR_DAYS
                {
                    continue;
                }
                let group = &mix.groups[p.group];
                let (a, b) = (&group.atoms[ways[u]].mows, &group.atoms[ways[v]].mows);
                let mut moves: Vec<(usize, usize, usize)> = Vec::with_capacity(4);
                for (unit, old, new) in [(p, a, b), (q, b, a)] {
                    for (k, &d) in unit.dues.iter().enumerate() {
                        moves.push((d, old[k], new[k]));
                    }
                }
                if panes.change(&moves) < -MIN_GAIN {
                    panes.apply(&moves);
                    ways.swap(u, v);
                    changed = true;
                }
            }
        }
        if !changed {
            break;
        }
    }
    ways
}

/// Counts dealt to the even places (first, third ...) and the odd ones.
fn halves(counts: &[f64]) -> [Vec<f64>; 2] {
    let total: f64 = counts.iter().sum();
    let even_places = (total / 2.0).ceil();
    let mut even: Vec<f64> = counts.iter().map(|n| (n / 2.0).floor()).collect();
    let mut short = even_places - even.iter().sum::<f64>();
    for (e, n) in even.iter_mut().zip(counts) {
        if short > 0.5 && n - *e > *e + 0.5 {
            *e += 1.0;
            short -= 1.0;
        }
    }
    let odd = counts.iter().zip(&even).map(|(n, e)| n - e).collect();
    [even, odd]
}

fn places(cells: usize) -> Vec<usize> {
    const GOLDEN: f64 = 0.618_033_988_749_894_9;
    let share = SAMPLE as f64 / cells.max(1) as f64;
    (0..cells)
        .filter(|&n| (n as f64 * GOLDEN).fract() < share)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_shift_meets_both_senses() {
        assert_eq!(halves(&[5.0, 4.0, 6.0]), [[3.0, 2.0, 3.0], [2.0, 2.0, 3.0]]);
        assert_eq!(halves(&[1.0, 1.0, 1.0]), [[1.0, 1.0, 0.0], [0.0, 0.0, 1.0]]);
        assert_eq!(halves(&[15.0]), [[8.0], [7.0]]);
    }
}
