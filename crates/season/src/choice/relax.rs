//! The best shares when visits may be split, by a fully corrective conditional gradient.
//!
//! Each round asks, group by group, which way the slopes favour most (Frank & Wolfe 1956), takes
//! it among the ways in use, and then settles the shares of all ways in use by Newton steps on
//! the smoothed function. The smoothing is drawn in from `EPS`'s first to its last. What the
//! favoured ways would still gain is the duality gap (Jaggi 2013): the value less the gap is a
//! bound that no choice of whole visits can beat either.

use super::mix::{Counts, Mix};
use super::simplices::step;
use super::spread::{Bend, Slopes, Spread};
use std::ops::Range;

/// Smoothing, from coarse to fine; shares of R2's whole range.
const EPS: [f64; 14] = [
    3e-2, 1.2e-2, 5e-3, 2e-3, 1e-3, 5e-4, 2.5e-4, 1.2e-4, 6e-5, 3e-5, 1.7e-5, 1e-5, 5e-6, 2e-6,
];
/// Where a start from counts that are nearly right begins.
const WARM: usize = 2;
/// Rounds for each smoothing.
const ROUNDS: usize = 12;
/// Newton steps a round.
const STEPS: usize = 12;
/// The gap that is small enough, of R2's range.
const GAP: f64 = 8e-5;

/// Shares and what they are worth.
#[derive(Debug, Clone, PartialEq)]
pub struct Relaxed {
    /// Visits of each group in each way, fractions and all.
    pub counts: Counts,
    /// F and the cost there.
    pub value: f64,
    /// No choice has less F and cost together.
    pub bound: f64,
}

/// Minimises F plus `cost` for each time a mow is made. `from` are counts to start from.
pub fn relax(mix: &Mix, spread: &Spread, cost: &[f64], from: Option<&Counts>) -> Relaxed {
    relax_within(mix, spread, cost, from, GAP)
}

/// The same, ended as soon as the gap is no more than `gap_enough`.
pub fn relax_within(
    mix: &Mix,
    spread: &Spread,
    cost: &[f64],
    from: Option<&Counts>,
    gap_enough: f64,
) -> Relaxed {
    let mut w = Work::new(mix, spread, cost, from);
    let first = if from.is_some() { WARM } else { 0 };
    // The best value yet, its corners, and the best bound.
    let mut best: Option<(f64, Used)> = None;
    let mut bound = f64::NEG_INFINITY;
    'all: for &eps in &EPS[first..] {
        let mut before = f64::INFINITY;
        for _ in 0..ROUNDS {
            w.settle(eps);
            let s = spread.slopes(&w.times(), eps, None);
            let value = spread.value(&w.times()) + w.cost_of();
            if best.as_ref().is_none_or(|b| value < b.0) {
                best = Some((value, w.used.clone()));
            }
            let (proven, grown) = w.favoured(&s);
            bound = bound.max(proven);
            if best.as_ref().is_some_and(|b| b.0 - bound <= gap_enough) {
                break 'all;
            }
            let now = s.value + w.cost_of();
            if !grown && before - now < 1e-9 {
                break;
            }
            before = now;
        }
    }
    if let Some((_, used)) = best {
        w.used = used;
    }
    let value = spread.value(&w.times()) + w.cost_of();
    Relaxed {
        counts: w.counts(),
        value,
        bound,
    }
}

/// The bound that the slopes at some counts prove, whatever led to the counts: the best that any
/// smoothing gives. Counts that are best on a part of the cells only want a coarser one, or the
/// direction of sums that all but cancel decides.
pub fn bound_at(mix: &Mix, spread: &Spread, cost: &[f64], counts: &Counts) -> f64 {
    let mut w = Work::new(mix, spread, cost, Some(counts));
    let times = w.times();
    EPS.iter()
        .step_by(2)
        .map(|&eps| {
            let s = spread.slopes(&times, eps, None);
            w.favoured(&s).0
        })
        .fold(f64::NEG_INFINITY, f64::max)
}

struct Work<'a> {
    mix: &'a Mix,
    spread: &'a Spread,
    cost: &'a [f64],
    /// Corners in use, group by group: index of the way and its share of the group.
    used: Used,
}

/// Group by group the ways in use: index and share of the group.
type Used = Vec<Vec<(usize, f64)>>;

impl<'a> Work<'a> {
    fn new(mix: &'a Mix, spread: &'a Spread, cost: &'a [f64], from: Option<&Counts>) -> Self {
        let used = match from {
            Some(counts) => mix
                .groups
                .iter()
                .zip(counts)
                .map(|(g, of)| {
                    let n = g.visits.max(f64::MIN_POSITIVE);
                    let some: Vec<(usize, f64)> = of
                        .iter()
                        .enumerate()
                        .filter(|(_, c)| **c > 0.0)
                        .map(|(i, c)| (i, c / n))
                        .collect();
                    if some.is_empty() {
                        vec![(0, 1.0)]
                    } else {
                        some
                    }
                })
                .collect(),
            None => {
                let even = mix.times(&mix.even());
                let s = spread.slopes(&even, EPS[0], None);
                let mut w = Self {
                    mix,
                    spread,
                    cost,
                    used: vec![Vec::new(); mix.groups.len()],
                };
                w.favoured(&s);
                for c in w.used.iter_mut().flatten() {
                    c.1 = 1.0;
                }
                w.used
            }
        };
        Self {
            mix,
            spread,
            cost,
            used,
        }
    }

    fn counts(&self) -> Counts {
        self.mix
            .groups
            .iter()
            .zip(&self.used)
            .map(|(g, u)| {
                let mut out = vec![0.0; g.atoms.len()];
                for &(i, z) in u {
                    out[i] += z * g.visits;
                }
                out
            })
            .collect()
    }

    fn times(&self) -> Vec<f64> {
        self.mix.times(&self.counts())
    }

    fn cost_of(&self) -> f64 {
        self.times().iter().zip(self.cost).map(|(n, c)| n * c).sum()
    }

    /// What one visit in a way adds.
    fn of_atom(&self, slope: &[f64], group: usize, atom: usize) -> f64 {
        self.mix.groups[group].atoms[atom]
            .mows
            .iter()
            .map(|&m| slope[m] + self.cost[m])
            .sum()
    }

    /// Takes the way that the slopes favour most among those in use. The bound they prove, and
    /// whether any way is new.
    fn favoured(&mut self, s: &Slopes) -> (f64, bool) {
        let mut bound = s.base;
        let mut grown = false;
        for g in 0..self.mix.groups.len() {
            let group = &self.mix.groups[g];
            let best = (0..group.atoms.len())
                .map(|a| (self.of_atom(&s.slope, g, a), a))
                .min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            let Some((worth, a)) = best else { continue };
            bound += group.visits * worth;
            if !self.used[g].iter().any(|u| u.0 == a) {
                self.used[g].push((a, 0.0));
                grown = true;
            }
        }
        (bound, grown)
    }

    /// Newton steps over the ways in use.
    fn settle(&mut self, eps: f64) {
        let groups: Vec<Range<usize>> = self
            .used
            .iter()
            .scan(0, |at, u| {
                let r = *at..*at + u.len();
                *at = r.end;
                Some(r)
            })
            .collect();
        let corners: Vec<(usize, usize)> = self
            .used
            .iter()
            .enumerate()
            .flat_map(|(g, u)| u.iter().map(move |&(a, _)| (g, a)))
            .collect();
        let visits = |g: usize| self.mix.groups[g].visits;
        let mut mows: Vec<usize> = corners
            .iter()
            .flat_map(|&(g, a)| self.mix.groups[g].atoms[a].mows.iter().copied())
            .collect();
        mows.sort_unstable();
        mows.dedup();
        let mut firm = false;
        for _ in 0..STEPS {
            let times = self.times();
            let bend = Bend { firm, mows: &mows };
            let s = self.spread.slopes(&times, eps, Some(bend));
            let now = s.value + self.cost_of();
            let g: Vec<f64> = corners
                .iter()
                .map(|&(g, a)| visits(g) * self.of_atom(&s.slope, g, a))
                .collect();
            let q = self.curvature(&corners, &s.bend);
            let z: Vec<f64> = self.used.iter().flatten().map(|u| u.1).collect();
            let d = step(&z, &g, &q, &groups, 1e-15);
            let slope: f64 = g.iter().zip(&d).map(|(g, d)| g * d).sum();
            if slope > -1e-13 {
                break;
            }
            // Half the step until it gains its due.
            let mut by = 1.0;
            let mut done = false;
            for _ in 0..20 {
                self.set(&z, &d, by);
                let times = self.times();
                let value = self.spread.smoothed(&times, eps) + self.cost_of();
                if value <= now + 0.1 * by * slope {
                    done = now - value > 1e-11;
                    break;
                }
                by *= 0.5;
            }
            // Where Newton's step is far too long, the firmer one gets on.
            if by < 0.3 && !firm {
                firm = true;
            } else if !done {
                break;
            }
        }
        for u in &mut self.used {
            if u.iter().any(|c| c.1 > 1e-9) {
                u.retain(|c| c.1 > 1e-9);
            }
            let sum: f64 = u.iter().map(|c| c.1).sum();
            for c in u.iter_mut() {
                c.1 /= sum.max(f64::MIN_POSITIVE);
            }
        }
    }

    /// Second derivatives by the shares of the ways in use, from those by the mows.
    fn curvature(&self, corners: &[(usize, usize)], bend: &[f64]) -> Vec<f64> {
        let (n, k) = (corners.len(), self.mix.mows.len());
        let visits = |g: usize| self.mix.groups[g].visits;
        let mut q = vec![0.0; n * n];
        for (i, &(gi, ai)) in corners.iter().enumerate() {
            for (j, &(gj, aj)) in corners.iter().enumerate().take(i + 1) {
                let mut h = 0.0;
                for &a in &self.mix.groups[gi].atoms[ai].mows {
                    for &b in &self.mix.groups[gj].atoms[aj].mows {
                        h += bend[a * k + b];
                    }
                }
                h *= visits(gi) * visits(gj);
                q[i * n + j] = h;
                q[j * n + i] = h;
            }
        }
        q
    }

    fn set(&mut self, z: &[f64], d: &[f64], by: f64) {
        let mut i = 0;
        for u in &mut self.used {
            for c in u.iter_mut() {
                c.1 = (z[i] + by * d[i]).max(0.0);
                i += 1;
            }
        }
    }
}
