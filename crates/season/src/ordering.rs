//! Which visit comes when: the mows that were chosen, dealt to the days so that the grain over
//! any 28 days is low ([`crate::windows`]).
//!
//! How often each mow is made stays as it was chosen, so the hours and the season's grain do not
//! change. It is begun in two ways: each mow spread evenly over the season, and day by day, each
//! taking of what is left what evens the last 28 days best. Then pairs of visits of one group
//! change places while that helps; the better of the two is taken. No optimum is claimed.

use crate::bundles::Bundle;
use crate::choice::mix::{Counts, Mix};
use crate::windows::{Panes, windows};
use jiff::civil::Date;
use std::ops::Range;

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
    let left: Heaps = counts
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
    let mut turn = vec![0_usize; units.len()];
    let mut looped = 0;
    for (t, unit) in turn.iter_mut().zip(units) {
        if Some(unit.group) == loops {
            *t = looped % 2;
            looped += 1;
        }
    }
    let desk = Desk {
        mix,
        units,
        dates,
        turn: &turn,
        ground: &ground,
        mows: &mows,
        past: &made,
        none,
    };
    let panes = windows(dates, season.0, season.1);
    [desk.greedy(left.clone()), desk.evenly(&left)]
        .into_iter()
        .map(|ways| desk.swapped(&panes, ways))
        .min_by(|p, q| p.0.total_cmp(&q.0))
        .map_or_else(Vec::new, |p| p.1)
}

/// What is dealt: visits, days, mows.
struct Desk<'a> {
    mix: &'a Mix,
    units: &'a [Bundle],
    dates: &'a [Date],
    /// Of which heap each unit takes: odd and even of the loops.
    turn: &'a [usize],
    ground: &'a [f64],
    mows: &'a [Vec<[f32; 3]>],
    /// The mow of each visit in the past; `none` for the others.
    past: &'a [usize],
    none: usize,
}

/// What is left of each way, by group and heap.
type Heaps = Vec<[Vec<f64>; 2]>;

impl Desk<'_> {
    /// Day by day, each taking of what is left what evens the last 28 days best.
    fn greedy(&self, mut left: Heaps) -> Vec<usize> {
        let mut made = self.past.to_vec();
        let mut ways = Vec::with_capacity(self.units.len());
        for (unit, &heap) in self.units.iter().zip(self.turn) {
            let group = &self.mix.groups[unit.group];
            let last = *unit.dues.last().unwrap_or(&0);
            let old = |d: &Date| (self.dates[last] - *d).get_days() >= 28;
            let window = self.dates.partition_point(old)..last + 1;
            let panes = Panes::new(self.ground, self.mows, [window].into(), &made);
            let a = (0..group.atoms.len())
                .filter(|&a| left[unit.group][heap][a] > 0.5)
                .map(|a| {
                    let moves: Vec<(usize, usize, usize)> = unit
                        .dues
                        .iter()
                        .zip(&group.atoms[a].mows)
                        .map(|(&d, &m)| (d, self.none, m))
                        .collect();
                    (panes.change(&moves), a)
                })
                .min_by(|p, q| p.0.total_cmp(&q.0).then(p.1.cmp(&q.1)))
                .map_or(0, |p| p.1);
            ways.push(a);
            left[unit.group][heap][a] -= 1.0;
            for (&d, &m) in unit.dues.iter().zip(&group.atoms[a].mows) {
                made[d] = m;
            }
        }
        ways
    }

    /// Each way spread evenly over the season: always the one that is farthest behind its share.
    fn evenly(&self, heaps: &Heaps) -> Vec<usize> {
        let mut given: Heaps = heaps.clone();
        for g in given.iter_mut().flatten() {
            g.fill(0.0);
        }
        let mut ways = Vec::with_capacity(self.units.len());
        for (unit, &heap) in self.units.iter().zip(self.turn) {
            let all = &heaps[unit.group][heap];
            let given = &mut given[unit.group][heap];
            let share = (given.iter().sum::<f64>() + 1.0) / all.iter().sum::<f64>().max(1.0);
            let behind = |a: usize| all[a] * share - given[a];
            let a = (0..all.len())
                .filter(|&a| all[a] - given[a] > 0.5)
                .max_by(|&a, &b| behind(a).total_cmp(&behind(b)).then(b.cmp(&a)))
                .unwrap_or(0);
            given[a] += 1.0;
            ways.push(a);
        }
        ways
    }

    /// Pairs of visits of one group change places while that helps; the mean over all windows.
    fn swapped(&self, windows: &[Range<usize>], mut ways: Vec<usize>) -> (f64, Vec<usize>) {
        let mut made = self.past.to_vec();
        for (unit, &way) in self.units.iter().zip(&ways) {
            let atom = self.mix.groups[unit.group].atoms.get(way);
            for (&d, &m) in unit.dues.iter().zip(atom.iter().flat_map(|a| &a.mows)) {
                made[d] = m;
            }
        }
        let mut panes = Panes::new(self.ground, self.mows, windows.to_vec(), &made);
        for _ in 0..PASSES {
            let mut changed = false;
            for u in 0..self.units.len() {
                for v in u + 1..self.units.len() {
                    let (p, q) = (&self.units[u], &self.units[v]);
                    let days = (self.dates[q.dues[0]] - self.dates[p.dues[0]]).get_days();
                    if p.group != q.group
                        || self.turn[u] != self.turn[v]
                        || ways[u] == ways[v]
                        || days > FAR_DAYS
                    {
                        continue;
                    }
                    let group = &self.mix.groups[p.group];
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
        (panes.value(), ways)
    }
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
