//! Whole visits: rounded shares, then one visit at a time made another way while that gains.
//!
//! Rounding keeps each group's number of visits (largest remainders). Then exchanges: of all
//! single visits that could be made another way, those that the slopes promise most of are
//! tried, and the best that truly gains is made. The result is a local optimum; how far it is
//! from the best there can be, the bound of [`super::relax`] tells.

use super::mix::{Counts, Mix, r2_mean};
use super::spread::Spread;

/// Smoothing of the slopes that exchanges are ranked by.
const EPS: f64 = 3e-3;
/// Exchanges tried before one is made.
const TRIED: usize = 24;
/// Exchanges made at most.
const MOST: usize = 400;
/// An exchange must gain more than this, so that rounding never decides.
const MIN_GAIN: f64 = 1e-9;

/// Rounds shares to whole visits.
pub fn whole(mix: &Mix, counts: &Counts) -> Counts {
    mix.groups
        .iter()
        .zip(counts)
        .map(|(g, of)| {
            let mut n: Vec<f64> = of.iter().map(|c| (c + 1e-9).floor()).collect();
            let mut left = g.visits - n.iter().sum::<f64>();
            let mut order: Vec<usize> = (0..of.len()).collect();
            order.sort_by(|&a, &b| (of[b] - n[b]).total_cmp(&(of[a] - n[a])).then(a.cmp(&b)));
            for &i in order.iter().cycle() {
                if left < 0.5 || order.is_empty() {
                    break;
                }
                n[i] += 1.0;
                left -= 1.0;
            }
            n
        })
        .collect()
}

/// What exchanges lower.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Aim {
    /// F of the spread.
    Spread,
    /// Mean R2 itself.
    MeanR2,
}

/// Exchanges single visits while that lowers the aim and `cost` for each time a mow is made,
/// within `most_min` minutes.
pub fn exchange(
    mix: &Mix,
    spread: &Spread,
    cost: &[f64],
    start: &Counts,
    aim: Aim,
    most_min: f64,
) -> Counts {
    let mut counts = start.clone();
    let mut minutes = mix.minutes_of(&counts);
    let mut sums = spread.sums(&mix.times(&counts));
    let mut true_sums = mix.sums(&counts);
    let value = |sums: &(Vec<f64>, Vec<f64>), true_sums: &super::mix::Column| match aim {
        Aim::Spread => spread.value_of(&sums.0, &sums.1),
        Aim::MeanR2 => r2_mean(&mix.ground_m2, true_sums),
    };
    let mut now = value(&sums, &true_sums);
    for _ in 0..MOST {
        let moves = promising(mix, spread, cost, &counts);
        let mut best: Option<(f64, f64, usize, usize, usize)> = None;
        let mut tried = 0;
        for &(g, a, b) in &moves {
            if tried == TRIED {
                break;
            }
            let (from, to) = (&mix.groups[g].atoms[a].mows, &mix.groups[g].atoms[b].mows);
            let sum = |of: &[f64]| -> f64 {
                to.iter().map(|&m| of[m]).sum::<f64>() - from.iter().map(|&m| of[m]).sum::<f64>()
            };
            let time = sum(&mix.minutes);
            if minutes + time > most_min.max(minutes) + 1e-9 {
                continue;
            }
            tried += 1;
            let mut s = sums.clone();
            let mut t = match aim {
                Aim::Spread => super::mix::Column::default(),
                Aim::MeanR2 => true_sums.clone(),
            };
            for (mows, by) in [(to, 1.0), (from, -1.0)] {
                for &m in mows {
                    match aim {
                        Aim::Spread => spread.add(&mut s, m, by),
                        Aim::MeanR2 => t.add(&mix.mows[m], by),
                    }
                }
            }
            let then = value(&s, &t);
            let gain = now - then - sum(cost);
            if gain > MIN_GAIN && best.is_none_or(|x| gain > x.0) {
                best = Some((gain, then, g, a, b));
            }
        }
        let Some((_, then, g, a, b)) = best else {
            break;
        };
        counts[g][a] -= 1.0;
        counts[g][b] += 1.0;
        for (atom, by) in [(b, 1.0), (a, -1.0)] {
            for &m in &mix.groups[g].atoms[atom].mows {
                spread.add(&mut sums, m, by);
                true_sums.add(&mix.mows[m], by);
                minutes += by * mix.minutes[m];
            }
        }
        now = then;
    }
    counts
}

/// All exchanges of one visit, as (group, from, to): those first that the slopes promise most of.
fn promising(
    mix: &Mix,
    spread: &Spread,
    cost: &[f64],
    counts: &Counts,
) -> Vec<(usize, usize, usize)> {
    let slopes = spread.slopes(&mix.times(counts), EPS, None);
    let worth = |mows: &[usize]| -> f64 { mows.iter().map(|&m| slopes.slope[m] + cost[m]).sum() };
    let mut moves: Vec<(f64, (usize, usize, usize))> = Vec::new();
    for (g, group) in mix.groups.iter().enumerate() {
        for (a, from) in group.atoms.iter().enumerate() {
            if counts[g][a] < 0.5 {
                continue;
            }
            for (b, to) in group.atoms.iter().enumerate().filter(|(b, _)| *b != a) {
                moves.push((worth(&to.mows) - worth(&from.mows), (g, a, b)));
            }
        }
    }
    moves.sort_by(|p, q| p.0.total_cmp(&q.0).then(p.1.cmp(&q.1)));
    moves.into_iter().map(|m| m.1).collect()
}
