//! How the lines of a block are taken: each next one, or every k-th one in k sweeps.
//!
//! A mower that needs a bulb to turn into the next line turns cheaper some lines away. Every
//! k-th line with k odd keeps light and dark, because the way along a line follows its number.
//! The sweeps come in whatever order and direction is shortest; against near-optimal tours the
//! best k costs at most 6% more (`tests/tests/line_rules.rs`).

use crate::driving::blocks::Block;
use crate::driving::roads::Router;
use crate::model::pose::Pose;
use crate::model::step::StepRule;
use crate::model::task::Directions;
use std::cell::Cell;

/// What each sweep after the first is priced at, metres: one more thing to remember.
const SWEEP_M: f64 = 15.0;
/// Longest skip that is tried: counting farther ahead goes wrong.
const MAX_EVERY: usize = 9;
/// Ways to take a block that are kept for each line it may begin with.
const KEPT: usize = 2;
/// A way that costs this much more than the best is not kept, metres.
const KEPT_WITHIN_M: f64 = 40.0;

/// One way to take a block.
#[derive(Debug, Clone, PartialEq)]
pub struct Taking {
    /// The rule as it is told.
    pub rule: StepRule,
    /// Whether it begins with the leftmost run.
    pub from_left: bool,
    /// The runs in driving order, each with whether it is driven against its own direction.
    pub order: Vec<(usize, bool)>,
    /// The run that each sweep begins with.
    pub sweeps: Vec<usize>,
    /// Turning on open ground, and the price of the sweeps, metres: a lower bound.
    pub floor_m: f64,
    /// The price of the sweeps alone, metres.
    pub priced_m: f64,
}

/// First and last pose of each run, driven in its own direction.
pub type RunEnds = Vec<(Pose, Pose)>;

/// The ends of a run as it is driven.
pub fn driven(ends: (Pose, Pose), against: bool) -> (Pose, Pose) {
    if against {
        (ends.1.reversed(), ends.0.reversed())
    } else {
        ends
    }
}

/// The ways to take a block that are worth a look, cheapest first. `forward` tells of each run
/// whether its line is driven along the heading.
pub fn takings(
    block: &Block,
    ends: &RunEnds,
    forward: &[bool],
    directions: Directions,
    router: &Router,
) -> Vec<Taking> {
    let n = ends.len();
    let known = KnownTurns::new(n);
    let turn = |from: (usize, bool), to: (usize, bool)| {
        known.or(from, to, || {
            router.floor_m(driven(ends[from.0], from.1).1, driven(ends[to.0], to.1).0)
        })
    };
    if directions == Directions::Halves {
        let sides: &[bool] = if n == 1 { &[true] } else { &[true, false] };
        let all = sides
            .iter()
            .map(|&from_left| halves(block, n, from_left, &turn));
        return all.collect();
    }
    let free = directions == Directions::Free;
    let (step, starts): (usize, &[bool]) = if free {
        (1, &[true, false])
    } else {
        (2, &[true])
    };
    let sides: &[bool] = if n == 1 { &[true] } else { &[true, false] };
    let mut out = Vec::new();
    for &from_left in sides {
        for &start_forward in starts {
            // Directions kept, a run is driven in its own; free, each next one the other way.
            let leg = |place: usize, line: usize| {
                let run = if from_left { line } else { n - 1 - line };
                let wanted = place.is_multiple_of(2) == start_forward;
                (run, free && forward[run] != wanted)
            };
            let most = MAX_EVERY.min(n.saturating_sub(1)).max(1);
            let mut here: Vec<Taking> = (1..=most)
                .step_by(step)
                .map(|k| swept(n, k, from_left, &leg, &turn))
                .collect();
            here.sort_by(|a, b| a.floor_m.total_cmp(&b.floor_m));
            here.truncate(KEPT);
            out.extend(here);
        }
    }
    out.sort_by(|a, b| a.floor_m.total_cmp(&b.floor_m));
    let best = out.first().map_or(0.0, |t| t.floor_m);
    out.retain(|t| t.floor_m <= best + KEPT_WITHIN_M);
    out
}

/// Turns from run to run that have been looked at, of those that a rule may drive one after the
/// other within a sweep: every rule asks for most of them again.
struct KnownTurns(Vec<Cell<f64>>);

impl KnownTurns {
    /// Runs up to so many places away, to the left and to the right, and the run itself.
    const AWAY: usize = 2 * MAX_EVERY + 1;

    fn new(runs: usize) -> Self {
        Self(vec![Cell::new(f64::NAN); runs * Self::AWAY * 4])
    }

    /// What is known of a turn between two runs, each with whether it is driven against its
    /// direction, or what `look` finds.
    fn or(&self, from: (usize, bool), to: (usize, bool), look: impl FnOnce() -> f64) -> f64 {
        if from.0.abs_diff(to.0) > MAX_EVERY {
            return look();
        }
        let away = to.0 + MAX_EVERY - from.0;
        let ways = 2 * usize::from(from.1) + usize::from(to.1);
        let cell = &self.0[(from.0 * Self::AWAY + away) * 4 + ways];
        if cell.get().is_nan() {
            cell.set(look());
        }
        cell.get()
    }
}

/// Every k-th of `n` lines, the first line first, the sweeps after it in the cheapest order and
/// direction (dynamic programming over sets of sweeps: M. Held and R. M. Karp, *Journal of the
/// Society for Industrial and Applied Mathematics* 10, 1962).
fn swept(
    n: usize,
    k: usize,
    from_left: bool,
    leg: &dyn Fn(usize, usize) -> (usize, bool),
    turn: &dyn Fn((usize, bool), (usize, bool)) -> f64,
) -> Taking {
    let sweeps: Vec<Vec<usize>> = (0..k).map(|c| (c..n).step_by(k).collect()).collect();
    let (taken, floor_m) = order_of(&sweeps, leg, turn);
    let mut order = Vec::with_capacity(n);
    let mut firsts = Vec::with_capacity(k);
    for (c, back) in taken {
        for i in 0..sweeps[c].len() {
            let next = leg(order.len(), line(&sweeps[c], back, i));
            if i == 0 {
                firsts.push(next.0);
            }
            order.push(next);
        }
    }
    Taking {
        rule: if k == 1 {
            StepRule::Next
        } else {
            StepRule::Every(k as u32)
        },
        from_left,
        order,
        sweeps: firsts,
        floor_m,
        priced_m: SWEEP_M * (k - 1) as f64,
    }
}

/// A line of a sweep by its place in it.
fn line(sweep: &[usize], back: bool, i: usize) -> usize {
    if back {
        sweep[sweep.len() - 1 - i]
    } else {
        sweep[i]
    }
}

/// The cheapest order of sweeps, each with whether it is driven from its last line, and what the
/// turns and the sweeps count as together, metres.
fn order_of(
    sweeps: &[Vec<usize>],
    leg: &dyn Fn(usize, usize) -> (usize, bool),
    turn: &dyn Fn((usize, bool), (usize, bool)) -> f64,
) -> (Vec<(usize, bool)>, f64) {
    let k = sweeps.len();
    // Where a sweep begins among all lines matters only by whether it is even.
    let within = |c: usize, back: bool, place: usize| -> f64 {
        (1..sweeps[c].len())
            .map(|i| {
                turn(
                    leg(place + i - 1, line(&sweeps[c], back, i - 1)),
                    leg(place + i, line(&sweeps[c], back, i)),
                )
            })
            .sum()
    };
    let inside: Vec<f64> = (0..4 * k)
        .map(|i| within(i / 4, i % 2 == 1, i / 2 % 2))
        .collect();
    // From the end of one sweep to the beginning of another; the place of the first matters as
    // above.
    let between: Vec<Cell<f64>> = vec![Cell::new(f64::NAN); 2 * (2 * k) * (2 * k)];
    let at = |set: usize, c: usize, back: bool| (set * k + c) * 2 + usize::from(back);
    let done = |set: usize| -> usize {
        (0..k)
            .filter(|c| set & (1 << c) != 0)
            .map(|c| sweeps[c].len())
            .sum()
    };
    let mut best = vec![(f64::INFINITY, usize::MAX); (1 << k) * k * 2];
    best[at(1, 0, false)].0 = inside[0];
    for set in 1..1usize << k {
        let place = done(set);
        for from in 0..2 * k {
            let (c, back) = (from / 2, from % 2 == 1);
            let here = best[at(set, c, back)].0;
            if !here.is_finite() {
                continue;
            }
            for to in (0..2 * k).filter(|to| set & (1 << (to / 2)) == 0) {
                let (d, b) = (to / 2, to % 2 == 1);
                let way = &between[(place % 2 * 2 * k + from) * 2 * k + to];
                if way.get().is_nan() {
                    let last = leg(place - 1, line(&sweeps[c], back, sweeps[c].len() - 1));
                    way.set(turn(last, leg(place, line(&sweeps[d], b, 0))));
                }
                let cost =
                    here + SWEEP_M + way.get() + inside[4 * d + 2 * (place % 2) + usize::from(b)];
                let next = &mut best[at(set | 1 << d, d, b)];
                if cost < next.0 {
                    *next = (cost, at(set, c, back));
                }
            }
        }
    }
    let all = (1 << k) - 1;
    let mut state = (0..2 * k)
        .map(|i| at(all, i / 2, i % 2 == 1))
        .min_by(|&a, &b| best[a].0.total_cmp(&best[b].0))
        .unwrap_or(0);
    let floor_m = best[state].0;
    let mut taken = Vec::new();
    while state != usize::MAX {
        taken.push((state / 2 % k, state % 2 == 1));
        state = best[state].1;
    }
    taken.reverse();
    (taken, floor_m)
}

/// A run of one half, a run of the other, from the outside in; what has no partner follows.
fn halves(
    block: &Block,
    n: usize,
    from_left: bool,
    turn: &dyn Fn((usize, bool), (usize, bool)) -> f64,
) -> Taking {
    let (mut left, mut right) = (0..block.left, (block.left..n).rev());
    let paired = block.left > 0 && block.left < n;
    let mut order: Vec<(usize, bool)> = Vec::with_capacity(n);
    if paired {
        let mut on_left = from_left;
        while order.len() < n {
            let next = if on_left { left.next() } else { right.next() };
            order.extend(next.map(|i| (i, false)));
            on_left = !on_left;
        }
    } else if from_left {
        order.extend((0..n).map(|i| (i, false)));
    } else {
        order.extend((0..n).rev().map(|i| (i, false)));
    }
    Taking {
        rule: if paired {
            StepRule::Halves
        } else {
            StepRule::Next
        },
        from_left,
        floor_m: order.windows(2).map(|w| turn(w[0], w[1])).sum(),
        sweeps: Vec::new(),
        order,
        priced_m: 0.0,
    }
}
