//! Which heading on which visit: the choice that leaves the grass least grained.
//!
//! For every visit that is free (the regular mows and the crossing sets) an axis and a way
//! along it are chosen so that the lay of the season is as even as the hours allow. The lay
//! per cell is a sum over visits (design: R1 and R2 of weighted unit vectors), so a visit is
//! taken out of the sum or put in at the cost of one addition per cell; no mow is planned twice.
//!
//! Method: a greedy pass in order of time, then exchange of single visits until nothing
//! improves, both for a price on minutes that is found by bisection so that the hours are kept.
//! It is a heuristic: the result is never worse than the schedule it is given to start from,
//! but no optimum is claimed. Cost: visits x options x cells for each pass, about twenty passes.
//!
//! Choosing looks at a sample of the cells (`grain::sample`); the figures that are
//! reported are taken over all of them.

use crate::grain::{Columns, NEVER_CUT};
use crate::slots::Kind;

/// One way to mow a free visit.
#[derive(Debug, Clone, PartialEq)]
pub struct Way {
    /// What it may serve as.
    pub kind: Kind,
    /// Compass heading of its axis, degrees.
    pub axis_deg: f64,
    /// A visit that is a cross cut by itself, whatever was mown before it.
    pub crosses_itself: bool,
    /// Minutes without and with clean-up passes.
    pub minutes: [f64; 2],
    /// Sums per sampled cell without and with clean-up passes; the passes themselves left out.
    pub sums: [Columns; 2],
}

/// A visit whose heading is free.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Free {
    /// Regular mow or cross cut.
    pub kind: Kind,
    /// Whether clean-up passes are driven.
    pub rings: bool,
    /// Weight of the visit in the lay, above 0 and up to 1.
    pub weight: f64,
}

/// A choice for one visit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Pick {
    /// Index of the way.
    pub way: usize,
    /// The same lines driven the other way.
    pub back: bool,
}

/// What is to be chosen, for one fairway.
#[derive(Debug, Clone, PartialEq)]
pub struct Problem {
    /// The ways.
    pub ways: Vec<Way>,
    /// The free visits in order of time.
    pub free: Vec<Free>,
    /// What the other visits and the clean-up passes add, per sampled cell.
    pub base: Columns,
    /// Minutes that the free visits may take together.
    pub budget_min: f64,
    /// A schedule within the budget to start from and never to fall behind.
    pub start: Vec<Pick>,
}

/// Least angle at which a cross cut crosses the last regular mow, degrees. 90 where the allowed
/// headings have it; half an hour of the clock either side of it, 15 degrees, is still a cross cut
/// to the eye (our own choice).
pub const CROSSING_DEG: f64 = 75.0;

/// What the choice minimises: mean R2, the 95th percentile of R2 at half weight, then the same
/// of R1 at half of that. Grain (R2) is what the rotation is for; R1 costs nothing to lower,
/// by driving the same lines the other way, and must not lead.
const WEIGHTS: [f64; 4] = [1.0, 0.5, 0.5, 0.25];
/// An exchange must gain more than this, so that rounding never decides.
const MIN_GAIN: f64 = 1e-9;
/// Sums of cells in single precision are off by no more.
const ROUNDING: f64 = 1e-5;
/// Bisection steps on the price of a minute: the hours come out within 1% of the budget.
const PRICE_STEPS: usize = 7;
/// Highest price: one average visit's minutes against the whole range of the objective.
const TOP_PRICE: f64 = 1.0;
/// Exchange rounds; two or three suffice, the rest is a bound on the work.
const ROUNDS: usize = 6;

/// Angle between two axes, degrees, 0 to 90.
pub fn axis_angle_deg(a: f64, b: f64) -> f64 {
    let d = (a - b).rem_euclid(180.0);
    d.min(180.0 - d)
}

/// Chooses. The answer has one pick for each free visit.
pub fn choose(p: &Problem) -> Vec<Pick> {
    let mut work = Work::new(p);
    let mut best = p.start.clone();
    work.load(&best);
    work.improve(&mut best, 0.0, true);
    let mut best_score = work.score();
    let mut consider = |work: &mut Work<'_>, price: f64| -> bool {
        let mut picks = work.greedy(price);
        work.improve(&mut picks, price, false);
        let fits = work.minutes <= p.budget_min + 1e-9;
        if fits {
            work.improve(&mut picks, 0.0, true);
            let score = work.score();
            if score < best_score - MIN_GAIN {
                best_score = score;
                best = picks;
            }
        }
        fits
    };
    if !consider(&mut work, 0.0) {
        let (mut low, mut high) = (0.0, TOP_PRICE);
        for _ in 0..PRICE_STEPS {
            let price = 0.5 * (low + high);
            if consider(&mut work, price) {
                high = price;
            } else {
                low = price;
            }
        }
    }
    best
}

struct Work<'a> {
    p: &'a Problem,
    /// All picks there are, in a fixed order.
    all: Vec<Pick>,
    running: Columns,
    minutes: f64,
    mean_minutes: f64,
    r1: Vec<f32>,
    r2: Vec<f32>,
}

impl<'a> Work<'a> {
    fn new(p: &'a Problem) -> Self {
        let all = (0..p.ways.len())
            .flat_map(|way| [false, true].map(|back| Pick { way, back }))
            .collect();
        let times: Vec<f64> = p.ways.iter().flat_map(|w| w.minutes).collect();
        let mean_minutes = times.iter().sum::<f64>() / times.len().max(1) as f64;
        Self {
            p,
            all,
            running: p.base.clone(),
            minutes: 0.0,
            mean_minutes: mean_minutes.max(1e-9),
            r1: vec![0.0; p.base.len()],
            r2: vec![0.0; p.base.len()],
        }
    }

    fn time(&self, visit: usize, pick: Pick) -> f64 {
        self.p.ways[pick.way].minutes[usize::from(self.p.free[visit].rings)]
    }

    fn sums(&self, visit: usize, pick: Pick) -> &'a Columns {
        &self.p.ways[pick.way].sums[usize::from(self.p.free[visit].rings)]
    }

    fn put(&mut self, visit: usize, pick: Pick, factor: f64) {
        let weight = (self.p.free[visit].weight * factor) as f32;
        let sums = self.sums(visit, pick);
        self.running.add(sums, weight, pick.back);
        self.minutes += factor * self.time(visit, pick);
    }

    fn load(&mut self, picks: &[Pick]) {
        self.running.clone_from(&self.p.base);
        self.minutes = 0.0;
        for (v, pick) in picks.iter().enumerate() {
            self.put(v, *pick, 1.0);
        }
    }

    fn score(&mut self) -> f64 {
        self.score_with(None, f64::INFINITY)
    }

    /// The objective with one more mow put in; infinite where it is sure to reach `limit`.
    fn score_with(&mut self, more: Option<(usize, Pick)>, limit: f64) -> f64 {
        let (sums, weight, back) = match more {
            Some((visit, pick)) => (
                self.sums(visit, pick),
                self.p.free[visit].weight as f32,
                pick.back,
            ),
            None => (&self.p.base, 0.0, false),
        };
        self.running
            .lay_with(sums, weight, back, &mut self.r1, &mut self.r2);
        // Cells that were never cut have no lay: they come first in order and add nothing.
        let never = self.r2.iter().filter(|r| **r == NEVER_CUT).count();
        let cut = self.r2.len() - never;
        if cut == 0 {
            return 0.0;
        }
        let (m1, m2) = (total(&self.r1), total(&self.r2));
        let n = cut as f64;
        let below = ((n * 0.95).ceil() as usize).clamp(1, cut);
        let means = WEIGHTS[0] * m2 / n + WEIGHTS[2] * m1 / n;
        // As many cells as `below` have no more than the percentile, the others no more than 1:
        // known from the means, at the cost of nothing.
        let least = |sum: f64| ((sum - (cut - below) as f64) / below as f64 - ROUNDING).max(0.0);
        if means + WEIGHTS[1] * least(m2) + WEIGHTS[3] * least(m1) >= limit {
            return f64::INFINITY;
        }
        // Finding a percentile takes longer than counting the cells beyond the one it must be
        // below.
        let rank = never + below;
        let Some(tail2) = tail_below(&mut self.r2, rank, (limit - means) / WEIGHTS[1]) else {
            return f64::INFINITY;
        };
        let left = limit - means - WEIGHTS[1] * tail2;
        let Some(tail1) = tail_below(&mut self.r1, rank, left / WEIGHTS[3]) else {
            return f64::INFINITY;
        };
        means + WEIGHTS[1] * tail2 + WEIGHTS[3] * tail1
    }

    /// Whether `pick` may serve at `visit` with the picks around it.
    fn fits(&self, picks: &[Pick], visit: usize, pick: Pick) -> bool {
        let ways = &self.p.ways;
        let kind = self.p.free[visit].kind;
        if ways[pick.way].kind != kind {
            return false;
        }
        if ways[pick.way].crosses_itself {
            return true;
        }
        let axis = ways[pick.way].axis_deg;
        let crosses =
            |other: &Pick| axis_angle_deg(axis, ways[other.way].axis_deg) >= CROSSING_DEG - 1e-6;
        match kind {
            Kind::Cross => {
                visit == 0
                    || self.p.free[visit - 1].kind != Kind::Regular
                    || picks.get(visit - 1).is_none_or(crosses)
            }
            _ => picks.get(visit + 1).is_none_or(|next| {
                self.p.free[visit + 1].kind != Kind::Cross
                    || ways[next.way].crosses_itself
                    || crosses(next)
            }),
        }
    }

    fn best_at(
        &mut self,
        picks: &[Pick],
        visit: usize,
        price: f64,
        hard: bool,
    ) -> Option<(f64, Pick)> {
        let mut best: Option<(f64, Pick)> = None;
        for i in 0..self.all.len() {
            let pick = self.all[i];
            if !self.fits(picks, visit, pick) {
                continue;
            }
            let time = self.time(visit, pick);
            if hard && self.minutes + time > self.p.budget_min + 1e-9 {
                continue;
            }
            // The price is for one visit among all, as the objective's change is.
            let priced = price * time / self.mean_minutes / self.p.free.len() as f64;
            let limit = best.map_or(f64::INFINITY, |(b, _)| b);
            let score = self.score_with(Some((visit, pick)), limit - priced) + priced;
            if best.is_none_or(|(b, _)| score < b - MIN_GAIN) {
                best = Some((score, pick));
            }
        }
        best
    }

    fn greedy(&mut self, price: f64) -> Vec<Pick> {
        self.load(&[]);
        let mut picks: Vec<Pick> = Vec::with_capacity(self.p.free.len());
        for visit in 0..self.p.free.len() {
            // When no axis crosses the last one, the start schedule says what is done.
            let pick = self
                .best_at(&picks, visit, price, false)
                .map_or(self.p.start[visit], |(_, pick)| pick);
            self.put(visit, pick, 1.0);
            picks.push(pick);
        }
        picks
    }

    fn improve(&mut self, picks: &mut [Pick], price: f64, hard: bool) {
        for _ in 0..ROUNDS {
            let mut changed = false;
            for visit in 0..picks.len() {
                let old = picks[visit];
                self.put(visit, old, -1.0);
                let now = self.score_with(Some((visit, old)), f64::INFINITY)
                    + price * self.time(visit, old) / self.mean_minutes / picks.len() as f64;
                let pick = match self.best_at(picks, visit, price, hard) {
                    Some((score, pick)) if score < now - MIN_GAIN => pick,
                    _ => old,
                };
                changed |= pick != old;
                picks[visit] = pick;
                self.put(visit, pick, 1.0);
            }
            // Adding and taking away leaves rounding behind; start the next round clean.
            self.load(picks);
            if !changed {
                break;
            }
        }
    }
}

/// Sum of all values above zero, in lanes.
fn total(values: &[f32]) -> f64 {
    let mut lanes = [0.0_f64; 8];
    let (chunks, rest) = values.as_chunks::<8>();
    for chunk in chunks {
        for (lane, v) in lanes.iter_mut().zip(chunk) {
            *lane += f64::from(v.max(0.0));
        }
    }
    let rest: f64 = rest.iter().map(|v| f64::from(v.max(0.0))).sum();
    lanes.iter().sum::<f64>() + rest
}

/// The value of the given rank from below, counted from 1; none where it is sure to lie above
/// `limit`.
fn tail_below(values: &mut [f32], rank: usize, limit: f64) -> Option<f64> {
    // Rounded up, so that nothing is dropped that only rounding puts above the limit.
    let limit = (limit + ROUNDING) as f32;
    let above = values.iter().filter(|v| **v > limit).count();
    if above > values.len() - rank {
        return None;
    }
    Some(f64::from(
        *values.select_nth_unstable_by(rank - 1, f32::total_cmp).1,
    ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::grain::Sum;

    fn way(kind: Kind, axis_deg: f64, minutes: f64) -> Way {
        let sums = Columns::of(&[Sum::direction(axis_deg, 1.0); 4]);
        Way {
            kind,
            axis_deg,
            crosses_itself: false,
            minutes: [minutes; 2],
            sums: [sums.clone(), sums],
        }
    }

    fn problem(axes: &[(f64, f64)], visits: usize, budget_min: f64) -> Problem {
        Problem {
            ways: axes
                .iter()
                .map(|&(a, m)| way(Kind::Regular, a, m))
                .collect(),
            free: vec![
                Free {
                    kind: Kind::Regular,
                    rings: false,
                    weight: 1.0,
                };
                visits
            ],
            base: Columns::of(&[Sum::default(); 4]),
            budget_min,
            start: vec![
                Pick {
                    way: 0,
                    back: false
                };
                visits
            ],
        }
    }

    fn lay(p: &Problem, picks: &[Pick]) -> (f64, f64) {
        let mut sum = p.base.clone();
        for (f, pick) in p.free.iter().zip(picks) {
            let sums = &p.ways[pick.way].sums[usize::from(f.rings)];
            sum.add(sums, f.weight as f32, pick.back);
        }
        let (mut r1, mut r2) = ([0.0; 4], [0.0; 4]);
        sum.lay_with(&p.base, 0.0, false, &mut r1, &mut r2);
        (f64::from(r1[0]), f64::from(r2[0]))
    }

    #[test]
    fn with_hours_to_spare_the_lay_is_balanced() {
        let p = problem(
            &[(10.0, 30.0), (55.0, 40.0), (100.0, 50.0), (145.0, 40.0)],
            8,
            1e9,
        );
        let (r1, r2) = lay(&p, &choose(&p));
        assert!(r1 < 1e-5 && r2 < 1e-5, "{r1} {r2}");
    }

    #[test]
    fn the_hours_are_kept_and_used() {
        // The crossing axis takes 60 minutes, the plain one 30; 8 visits at 30 and 90 to spare
        // leave room for three crossings: axial sum 5 - 3 of 8.
        let p = problem(&[(0.0, 30.0), (90.0, 60.0)], 8, 8.0 * 30.0 + 90.0);
        let picks = choose(&p);
        let crossings = picks.iter().filter(|k| k.way == 1).count();
        assert_eq!(crossings, 3);
        let (r1, r2) = lay(&p, &picks);
        assert!((r2 - 0.25).abs() < 1e-5, "{r2}");
        assert!(r1 < 0.2, "{r1}");
    }

    #[test]
    fn without_hours_the_start_stands_but_the_way_alternates() {
        let p = problem(&[(0.0, 30.0), (90.0, 60.0)], 8, 8.0 * 30.0);
        let picks = choose(&p);
        assert!(picks.iter().all(|k| k.way == 0));
        let (r1, r2) = lay(&p, &picks);
        assert!(r1 < 1e-6 && (r2 - 1.0).abs() < 1e-6);
    }

    #[test]
    fn a_cross_cut_crosses_the_last_regular_mow() {
        let mut p = problem(&[(0.0, 30.0), (45.0, 30.0), (90.0, 30.0)], 9, 1e9);
        let crossing: Vec<Way> = p
            .ways
            .iter()
            .map(|w| Way {
                kind: Kind::Cross,
                ..w.clone()
            })
            .collect();
        p.ways.extend(crossing);
        for v in [2, 5, 8] {
            p.free[v].kind = Kind::Cross;
            p.start[v].way = 5;
        }
        let picks = choose(&p);
        for v in [2, 5, 8] {
            let angle = axis_angle_deg(
                p.ways[picks[v].way].axis_deg,
                p.ways[picks[v - 1].way].axis_deg,
            );
            assert!(angle >= CROSSING_DEG, "visit {v}: {angle}");
        }
    }
}
