//! The order in which the legs of a stage are driven and the direction of each.
//!
//! A few legs are ordered exactly ([`super::exact`]). More are first put in several plain
//! orders: neighbours in turn, the nearest next, and skips of every useful size, because a
//! mower that needs a bulb between neighbours turns cheaper two or three passes away. The best
//! is then improved ([`super::improve`]).
//!
#![doc = include_str!("notes.md")]

use crate::driving::costs::{Costs, best_for_real, holds};
use crate::driving::exact;
use crate::driving::improve::{Budget, descend, improve};

/// How a stage is ordered.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ordering {
    /// The least idle driving found.
    Best,
    /// From each pass to the one beside it, and to the nearest where there is none left beside
    /// it, as a crew without a plan would; for comparison. Clean-up passes and touch-ups have
    /// no neighbours and are ordered as for `Best`.
    Neighbours,
    /// The nearest leg next; for comparison.
    Nearest,
}

/// More legs than this are only put in a plain order.
pub const MOST_IMPROVED: usize = 400;
/// Skips up to this many passes are tried.
const LONGEST_SKIP: usize = 10;
/// Plain orders that are improved further.
const STARTS: usize = 3;
/// Moves looked at for one stage, and for each leg: a few milliseconds.
const MOVES: u64 = 50_000;
const MOVES_EACH: u64 = 12_000;
/// Exchanges tried for each leg.
const KICKS_EACH: usize = 10;

/// An order of states and whether the work budget cut it short.
#[derive(Debug, Clone, PartialEq)]
pub struct Order {
    /// Leg and direction: `2 i` as given, `2 i + 1` turned round.
    pub states: Vec<usize>,
    /// The order might have been improved further.
    pub cut_short: bool,
}

/// Orders all legs of `costs`.
pub fn arrange(costs: &mut Costs<'_>, ordering: Ordering) -> Order {
    let n = costs.legs();
    let ordering = match ordering {
        Ordering::Neighbours if !costs.numbered() => Ordering::Best,
        o => o,
    };
    if ordering == Ordering::Best && n <= exact::MOST_LEGS {
        return Order {
            states: exact::best(costs),
            cut_short: costs.spent(),
        };
    }
    match ordering {
        Ordering::Neighbours => {
            // From either side of the ground, either way.
            let mut orders = Vec::new();
            for first in [0, n.saturating_sub(1)] {
                for start in costs.states(first) {
                    orders.push(beside_next(start, costs));
                }
            }
            Order {
                states: cheapest(orders, costs),
                cut_short: false,
            }
        }
        Ordering::Nearest => Order {
            states: nearest_next(costs),
            cut_short: false,
        },
        Ordering::Best if n > MOST_IMPROVED => {
            let given: Vec<usize> = (0..n).collect();
            let plain = vec![directed(&given, costs), nearest_next(costs)];
            Order {
                states: cheapest(plain, costs),
                cut_short: true,
            }
        }
        Ordering::Best => improved(costs),
    }
}

fn improved(costs: &mut Costs<'_>) -> Order {
    let n = costs.legs();
    // Orders of legs whose directions are still to be chosen, and orders of states.
    let mut open: Vec<Start> = Vec::new();
    open.push(Start::fixed(greedy(None, false, Look::Known, costs), costs));
    if costs.numbered() {
        for leg in [0, n - 1] {
            for start in costs.states(leg) {
                let order = greedy(Some(start), true, Look::Known, costs);
                open.push(Start::fixed(order, costs));
            }
        }
    }
    for skip in 1..=LONGEST_SKIP.min(n - 1) {
        for legs in skipping(n, skip) {
            open.push(Start::directed(legs, costs));
        }
    }
    let starts = cheapest_starts(open, STARTS, costs);
    let mut budget = Budget {
        used: 0,
        limit: MOVES + MOVES_EACH * n as u64,
    };
    let mut best: Option<(f64, Vec<usize>)> = None;
    for mut order in starts {
        let cost = descend(&mut order, costs, &mut budget);
        if best.as_ref().is_none_or(|b| cost < b.0) {
            best = Some((cost, order));
        }
    }
    let mut order = best.map_or_else(Vec::new, |b| b.1);
    improve(&mut order, costs, KICKS_EACH * n, &mut budget);
    Order {
        states: order,
        cut_short: costs.spent(),
    }
}

fn cheapest(orders: Vec<Vec<usize>>, costs: &mut Costs<'_>) -> Vec<usize> {
    let mut best: Option<(f64, Vec<usize>)> = None;
    for order in orders {
        let cost = costs.total(&order);
        if best.as_ref().is_none_or(|b| cost < b.0) {
            best = Some((cost, order));
        }
    }
    best.map_or_else(Vec::new, |b| b.1)
}

/// Orders that go `skip` places on and `skip - 1` back, from both ends: 0, s, 1, s + 1, ...
fn skipping(n: usize, skip: usize) -> Vec<Vec<usize>> {
    let mut order = Vec::with_capacity(n);
    if skip == 1 {
        order.extend(0..n);
    } else {
        let mut first = 0;
        while first < n {
            let block = (2 * skip).min(n - first);
            let half = block.div_ceil(2);
            for i in 0..half {
                order.push(first + i);
                if half + i < block {
                    order.push(first + half + i);
                }
            }
            first += block;
        }
    }
    let mirrored = order.iter().map(|&i| n - 1 - i).collect();
    vec![order, mirrored]
}

/// The best directions for legs in a fixed order, by dynamic programming over the two
/// directions of each.
pub fn directed(legs: &[usize], costs: &mut Costs<'_>) -> Vec<usize> {
    best_for_real(costs, |known| directed_on_known(legs, known))
}

/// An order to start from and what it costs as far as is known.
struct Start {
    bound_m: f64,
    real: bool,
    states: Vec<usize>,
    // Where given, the directions may be chosen anew when costs become known.
    legs: Option<Vec<usize>>,
}

impl Start {
    fn fixed(states: Vec<usize>, costs: &Costs<'_>) -> Self {
        Self {
            bound_m: costs.known_total(&states),
            real: false,
            states,
            legs: None,
        }
    }

    fn directed(legs: Vec<usize>, costs: &Costs<'_>) -> Self {
        let (states, bound_m) = directed_on_known(&legs, costs);
        Self {
            bound_m,
            real: false,
            states,
            legs: Some(legs),
        }
    }

    /// Looks for the joins on the real ground.
    fn settle(&mut self, costs: &mut Costs<'_>) {
        let total = costs.total(&self.states);
        let Some(legs) = &self.legs else {
            self.bound_m = total;
            self.real = true;
            return;
        };
        let (states, guess) = directed_on_known(legs, costs);
        self.real = holds(total, guess);
        if self.real {
            self.bound_m = total;
        } else {
            self.bound_m = guess;
            self.states = states;
        }
    }
}

/// The cheapest few of several orders.
///
/// An order's cost on the joins known so far is never above its real one, so the order that
/// looks cheapest is looked at for real first, and most of the others never are.
fn cheapest_starts(mut open: Vec<Start>, count: usize, costs: &mut Costs<'_>) -> Vec<Vec<usize>> {
    let mut out = Vec::new();
    while out.len() < count {
        let Some(i) = (0..open.len()).min_by(|&a, &b| open[a].bound_m.total_cmp(&open[b].bound_m))
        else {
            break;
        };
        if open[i].real {
            out.push(open.remove(i).states);
        } else {
            open[i].settle(costs);
        }
    }
    out
}

fn directed_on_known(legs: &[usize], costs: &Costs<'_>) -> (Vec<usize>, f64) {
    let w = costs.outside();
    // For each leg so far: way to and predecessor of its two states.
    let mut table: Vec<[(f64, usize); 2]> = Vec::with_capacity(legs.len());
    for (i, &leg) in legs.iter().enumerate() {
        let mut row = [(f64::INFINITY, w); 2];
        for t in costs.states(leg) {
            let best = &mut row[t % 2];
            if i == 0 {
                *best = (costs.get(w, t), w);
                continue;
            }
            for s in costs.states(legs[i - 1]) {
                let length = table[i - 1][s % 2].0 + costs.get(s, t);
                if length < best.0 {
                    *best = (length, s);
                }
            }
        }
        table.push(row);
    }
    let Some(&last) = legs.last() else {
        return (Vec::new(), 0.0);
    };
    let mut end = (f64::INFINITY, 2 * last);
    for s in costs.states(last) {
        let length = table[legs.len() - 1][s % 2].0 + costs.get(s, w);
        if length < end.0 {
            end = (length, s);
        }
    }
    let mut order = Vec::with_capacity(legs.len());
    let mut s = end.1;
    for row in table.iter().rev() {
        order.push(s);
        s = row[s % 2].1;
    }
    order.reverse();
    (order, end.0)
}

/// The nearest leg next, in its better direction.
fn nearest_next(costs: &mut Costs<'_>) -> Vec<usize> {
    greedy(None, false, Look::Real, costs)
}

/// From `start` to the nearest leg beside the last one, or to the nearest of all.
fn beside_next(start: usize, costs: &mut Costs<'_>) -> Vec<usize> {
    greedy(Some(start), true, Look::Real, costs)
}

/// Which costs decide.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Look {
    /// Those known so far: a start that is going to be improved need be no better.
    Known,
    /// Joins on the real ground.
    Real,
}

fn greedy(start: Option<usize>, beside: bool, look: Look, costs: &mut Costs<'_>) -> Vec<usize> {
    let n = costs.legs();
    let mut left: Vec<usize> = (0..n)
        .filter(|&l| Some(l) != start.map(|s| s / 2))
        .collect();
    let mut order = Vec::with_capacity(n);
    order.extend(start);
    let mut here = start.unwrap_or(costs.outside());
    while !left.is_empty() {
        let near = |l: usize| here < costs.outside() && costs.neighbours(here / 2, l);
        let only = beside && left.iter().any(|&l| near(l));
        let open: Vec<bool> = left.iter().map(|&l| !only || near(l)).collect();
        let best = loop {
            let mut best = (f64::INFINITY, 0, 0);
            for (i, &leg) in left.iter().enumerate().filter(|l| open[l.0]) {
                for t in costs.states(leg) {
                    let c = costs.get(here, t);
                    if c < best.0 {
                        best = (c, i, t);
                    }
                }
            }
            if look == Look::Known || costs.settle(here, best.2) <= best.0 + 1e-9 {
                break best;
            }
        };
        left.remove(best.1);
        here = best.2;
        order.push(here);
    }
    order
}
