//! An order made better step by step.
//!
//! Moves: a run of legs is turned round (2-opt), or moved elsewhere as it is or turned round
//! (or-opt; with long runs this is the 3-opt move that keeps directions). When no move helps,
//! two neighbouring runs are exchanged at a place drawn from a fixed sequence and the search
//! goes on from there (iterated local search: H. R. Lourenco, O. C. Martin, T. Stuetzle, in
//! *Handbook of Metaheuristics*, 2003). The budget counts moves looked at, not time, so the same
//! legs always give the same order.

use crate::driving::costs::Costs;
use std::collections::VecDeque;

/// Gains below this are rounding, metres.
const GAIN_M: f64 = 1e-7;
/// Exchanges keep to a window of this many legs: far-off exchanges seldom survive.
const WINDOW: usize = 30;

/// Moves that may still be looked at.
#[derive(Debug, Clone, Copy)]
pub struct Budget {
    /// Moves looked at so far.
    pub used: u64,
    /// At most this many.
    pub limit: u64,
}

impl Budget {
    fn left(&self) -> bool {
        self.used < self.limit
    }
}

/// A drawn number that is the same every time (SplitMix64: Steele, Lea, Flood, OOPSLA 2014).
struct Draw(u64);

impl Draw {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) % n.max(1) as u64) as usize
    }
}

/// A better move: the run `i..=j` goes between `k` and `k + 1`, turned round or not; `k = i - 1`
/// turns it round in place.
#[derive(Debug, Clone, Copy)]
struct Move {
    i: usize,
    j: usize,
    k: usize,
    turned: bool,
}

/// An order under improvement. The first place and the last are the world outside.
struct Tour<'c, 'r> {
    costs: &'c mut Costs<'r>,
    order: Vec<usize>,
    place: Vec<usize>,
    // How many legs up to a place may not be turned round.
    fixed: Vec<usize>,
    // What the join after each place costs. Joins that are looked for while improving are not yet
    // in the order, so these change with it only.
    joins: Vec<f64>,
    // No join to a state, and none from it, costs less than this, metres: costs only rise.
    least_in: Vec<f64>,
    least_out: Vec<f64>,
}

/// Improves an order of states by single moves until none helps. Returns its cost, metres.
pub fn descend(order: &mut Vec<usize>, costs: &mut Costs<'_>, budget: &mut Budget) -> f64 {
    let mut tour = Tour::new(order, costs);
    let all: Vec<usize> = (0..tour.costs.legs()).collect();
    tour.descend(&all, budget);
    *order = tour.legs();
    costs.total(order)
}

/// Improves an order, going on past dead ends until the budget or `kicks` run out.
pub fn improve(
    order: &mut Vec<usize>,
    costs: &mut Costs<'_>,
    kicks: usize,
    budget: &mut Budget,
) -> f64 {
    let n = order.len();
    let mut best = descend(order, costs, budget);
    if n < 4 {
        return best;
    }
    let mut draw = Draw(0);
    let mut tour = Tour::new(order, costs);
    for _ in 0..kicks {
        if !budget.left() {
            break;
        }
        // Exchange the runs a..b and b..c.
        let width = WINDOW.min(n);
        let from = 1 + draw.below(n - width + 1);
        let mut cut = [
            from + draw.below(width),
            from + draw.below(width),
            from + draw.below(width),
        ];
        cut.sort_unstable();
        let [a, b, c] = cut;
        if a == b || b == c {
            continue;
        }
        let kept = tour.order.clone();
        tour.order[a..c].rotate_left(b - a);
        tour.index();
        let touched: Vec<usize> = [a - 1, a, a + c - b - 1, a + c - b, c - 1, c]
            .into_iter()
            .filter(|&p| p > 0 && p <= n)
            .map(|p| tour.order[p] / 2)
            .collect();
        tour.descend(&touched, budget);
        // Most exchanges lose on what is known already: their joins need not be looked for.
        if tour.total() < best + GAIN_M {
            tour.settle();
        }
        let cost = tour.total();
        if cost < best + GAIN_M {
            best = best.min(cost);
        } else {
            tour.order = kept;
            tour.index();
        }
    }
    *order = tour.legs();
    costs.total(order)
}

impl<'c, 'r> Tour<'c, 'r> {
    fn new(order: &[usize], costs: &'c mut Costs<'r>) -> Self {
        let mut all = vec![costs.outside()];
        all.extend_from_slice(order);
        all.push(costs.outside());
        let states = costs.outside() + 1;
        let (mut least_in, mut least_out) = (vec![f64::INFINITY; states], vec![0.0; states]);
        for (s, out) in least_out.iter_mut().enumerate() {
            let mut least = f64::INFINITY;
            for (t, into) in least_in.iter_mut().enumerate() {
                if s / 2 != t / 2 {
                    let c = costs.get(s, t);
                    least = least.min(c);
                    *into = into.min(c);
                }
            }
            *out = least;
        }
        let mut tour = Self {
            least_in,
            least_out,
            place: vec![0; costs.legs()],
            fixed: vec![0; all.len()],
            joins: vec![0.0; order.len() + 1],
            order: all,
            costs,
        };
        tour.index();
        tour.settle();
        tour
    }

    fn index(&mut self) {
        for p in 1..self.joins.len() {
            let leg = self.order[p] / 2;
            self.place[leg] = p;
            self.fixed[p] = self.fixed[p - 1] + usize::from(!self.costs.reversible(leg));
        }
        for (join, w) in self.joins.iter_mut().zip(self.order.windows(2)) {
            *join = self.costs.get(w[0], w[1]);
        }
    }

    /// Looks for all joins of the order on the real ground.
    fn settle(&mut self) {
        for (join, w) in self.joins.iter_mut().zip(self.order.windows(2)) {
            *join = self.costs.settle(w[0], w[1]);
        }
    }

    /// The order without the world outside.
    fn legs(&self) -> Vec<usize> {
        self.order[1..self.joins.len()].to_vec()
    }

    fn total(&self) -> f64 {
        self.joins.iter().sum()
    }

    fn descend(&mut self, active: &[usize], budget: &mut Budget) {
        let mut queue: VecDeque<usize> = VecDeque::new();
        let mut queued = vec![false; self.costs.legs()];
        for &leg in active {
            if !queued[leg] {
                queued[leg] = true;
                queue.push_back(leg);
            }
        }
        while let Some(leg) = queue.pop_front() {
            queued[leg] = false;
            while budget.left() {
                let Some(step) = self.best_move(self.place[leg], budget) else {
                    break;
                };
                if !self.holds(&step) {
                    // Looked at for real the move gains nothing; with the costs now known
                    // another one may be best.
                    continue;
                }
                for p in [step.i - 1, step.i, step.j, step.j + 1, step.k, step.k + 1] {
                    let s = self.order[p.min(self.joins.len())];
                    if s != self.costs.outside() && !queued[s / 2] {
                        queued[s / 2] = true;
                        queue.push_back(s / 2);
                    }
                }
                self.apply(&step);
            }
        }
    }

    /// The best move of a run that starts or ends at place `p`.
    fn best_move(&self, p: usize, budget: &mut Budget) -> Option<Move> {
        let n = self.joins.len() - 1;
        let mut best: Option<Move> = None;
        // What a move must gain to be the best.
        let mut beat = GAIN_M;
        let dearest = self.joins.iter().copied().fold(0.0, f64::max);
        let c = |s, t| self.costs.get(s, t);
        let runs = (p..=n).map(|j| (p, j)).chain((1..p).rev().map(|i| (i, p)));
        for (i, j) in runs {
            let (a, b) = (self.order[i], self.order[j]);
            let (before, after) = (self.order[i - 1], self.order[j + 1]);
            let held = self.joins[i - 1] + self.joins[j];
            let free = self.fixed[j] == self.fixed[i - 1];
            budget.used += 1;
            if free {
                let gain = held - c(before, b ^ 1) - c(a ^ 1, after);
                if gain > beat {
                    beat = gain;
                    best = Some(Move {
                        i,
                        j,
                        k: i - 1,
                        turned: true,
                    });
                }
            }
            let freed = held - c(before, after);
            if freed <= GAIN_M || (i == 1 && j == n) {
                continue;
            }
            budget.used += (n + 1 - (j - i)) as u64;
            // The run as it is, and turned round: its first and its last state.
            let ways = [(false, a, b), (true, b ^ 1, a ^ 1)];
            let ways = &ways[..if free { 2 } else { 1 }];
            // What its two new joins cost at least.
            let least = ways
                .iter()
                .map(|&(_, head, tail)| self.least_in[head] + self.least_out[tail])
                .fold(f64::INFINITY, f64::min);
            if freed + dearest - least <= beat {
                continue;
            }
            // Most places are soon seen to gain nothing.
            for (first, last) in [(0, i - 1), (j + 1, n + 1)] {
                let joins = self.joins[first..last].iter();
                let ends = self.order[first..=last].windows(2);
                for (k, (join, ends)) in joins.zip(ends).enumerate() {
                    let room = freed + join;
                    if room - least <= beat {
                        continue;
                    }
                    for &(turned, head, tail) in ways {
                        let gain = room - c(ends[0], head) - c(tail, ends[1]);
                        if gain > beat {
                            beat = gain;
                            best = Some(Move {
                                i,
                                j,
                                k: first + k,
                                turned,
                            });
                        }
                    }
                }
            }
        }
        best
    }

    /// Whether a move still gains when its new joins are looked for on the real ground.
    fn holds(&mut self, m: &Move) -> bool {
        let (a, b) = (self.order[m.i], self.order[m.j]);
        let (before, after) = (self.order[m.i - 1], self.order[m.j + 1]);
        let (head, tail) = if m.turned { (b ^ 1, a ^ 1) } else { (a, b) };
        let in_place = m.k == m.i - 1;
        let (x, y) = if in_place {
            (before, after)
        } else {
            (self.order[m.k], self.order[m.k + 1])
        };
        let mut old = self.joins[m.i - 1] + self.joins[m.j];
        let mut new = self.costs.settle(x, head) + self.costs.settle(tail, y);
        if !in_place {
            old += self.joins[m.k];
            new += self.costs.settle(before, after);
        }
        old - new > GAIN_M
    }

    fn apply(&mut self, m: &Move) {
        if m.turned {
            self.order[m.i..=m.j].reverse();
            for s in &mut self.order[m.i..=m.j] {
                *s ^= 1;
            }
        }
        let length = m.j - m.i + 1;
        if m.k > m.j {
            self.order[m.i..=m.k].rotate_left(length);
        } else if m.k + 1 < m.i {
            self.order[m.k + 1..=m.j].rotate_right(length);
        }
        self.index();
    }
}
