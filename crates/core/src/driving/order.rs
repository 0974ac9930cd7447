//! The order of the steps of one phase on one part, and how each is begun.
//!
//! Up to nine steps are ordered exactly (M. Held and R. M. Karp, *Journal of the Society for
//! Industrial and Applied Mathematics* 10, 1962), more by cheapest insertion and by moving short
//! strings about (or-opt: I. Or, dissertation, Northwestern University, 1976), the beginnings
//! chosen exactly for each order by dynamic programming along it.
//!
//! Ways count first as their floor, the shortest turn on open ground; the ways of the best order
//! are then looked for on the real ground, and again, until nothing changes. Costs only ever
//! rise, so the last order is best on all that was looked at. The budget counts looks, never
//! time; whatever it is, the best order so far is given.

use crate::driving::roads::Router;
use crate::model::pose::Pose;
use geo_types::Coord;

/// Up to this many steps are ordered exactly.
pub const MAX_EXACT: usize = 9;
/// The straight way from the entrance to the first step counts this much: the mower comes and
/// goes in any case, so half.
const ENTRANCE_SHARE: f64 = 0.5;
/// Rounds of looking for ways on the real ground, and so many more for each step.
const ROUNDS: usize = 30;
/// Strings of up to this many steps are moved about.
const MAX_STRING: usize = 3;
/// Orders looked at while strings are moved, at most: a few hundredths of a second.
const MAX_MOVES: usize = 20_000;

/// One way to do a step: where it begins and ends, and what it costs at least.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Choice {
    /// The first pose.
    pub entry: Pose,
    /// The last pose.
    pub exit: Pose,
    /// Ways within the step, metres: a lower bound.
    pub floor_m: f64,
}

/// Where the mower comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum From {
    /// From this pose, after what was done before.
    Pose(Pose),
    /// From the entrance.
    Entrance(Coord<f64>),
    /// From anywhere.
    Anywhere,
}

/// The order found: steps and choices, and whether the budget cut the search short.
#[derive(Debug, Clone, PartialEq)]
pub struct Order {
    /// Step and choice, in driving order.
    pub taken: Vec<(usize, usize)>,
    /// It might be improved further.
    pub cut_short: bool,
}

/// All choices of all steps as states in one row, with what is known of their costs.
struct Table<'r> {
    router: &'r Router,
    from: From,
    choices: Vec<Choice>,
    /// The step of each state, and the states of each step.
    step: Vec<usize>,
    states: Vec<std::ops::Range<usize>>,
    /// Of a state: the least that leads on to what comes after all these steps.
    last: Vec<f64>,
    /// Of a state: begun first; done. Of two: the way between. Each with whether it is real.
    first: Vec<(f64, bool)>,
    own: Vec<(f64, bool)>,
    way: Vec<(f64, bool)>,
}

impl<'r> Table<'r> {
    fn new(steps: &[Vec<Choice>], from: From, then: &[Pose], router: &'r Router) -> Self {
        let choices: Vec<Choice> = steps.iter().flatten().copied().collect();
        let mut states = Vec::with_capacity(steps.len());
        let mut step = Vec::with_capacity(choices.len());
        for (i, s) in steps.iter().enumerate() {
            states.push(step.len()..step.len() + s.len());
            step.extend(std::iter::repeat_n(i, s.len()));
        }
        let n = choices.len();
        let mut way = vec![(0.0, true); n * n];
        for s in 0..n {
            for t in (0..n).filter(|&t| step[t] != step[s]) {
                way[s * n + t] = (router.floor_m(choices[s].exit, choices[t].entry), false);
            }
        }
        let first = choices
            .iter()
            .map(|c| match from {
                From::Pose(p) => (router.floor_m(p, c.entry), false),
                From::Entrance(e) => {
                    let straight = (c.entry.at.x - e.x).hypot(c.entry.at.y - e.y);
                    (ENTRANCE_SHARE * straight, true)
                }
                From::Anywhere => (0.0, true),
            })
            .collect();
        let on = |c: &Choice| {
            let ways = then.iter().map(|&t| router.floor_m(c.exit, t));
            ways.fold(f64::INFINITY, f64::min)
        };
        let last = choices
            .iter()
            .map(|c| if then.is_empty() { 0.0 } else { on(c) })
            .collect();
        let own = choices.iter().map(|c| (c.floor_m, false)).collect();
        Self {
            router,
            from,
            choices,
            step,
            states,
            last,
            first,
            own,
            way,
        }
    }

    fn way_m(&self, s: usize, t: usize) -> f64 {
        self.way[s * self.choices.len() + t].0
    }

    /// Cost of an order on what is known, metres.
    fn known_m(&self, order: &[usize]) -> f64 {
        let first = order.first().map_or(0.0, |&s| self.first[s].0);
        let own: f64 = order.iter().map(|&s| self.own[s].0).sum();
        let ways: f64 = order.windows(2).map(|w| self.way_m(w[0], w[1])).sum();
        let last = order.last().map_or(0.0, |&s| self.last[s]);
        first + own + ways + last
    }

    /// Looks for all that an order is made of on the real ground; returns its cost, metres.
    fn real_m(&mut self, order: &[usize], own_m: &mut dyn FnMut(usize, usize) -> f64) -> f64 {
        let n = self.choices.len();
        for (i, &s) in order.iter().enumerate() {
            if !self.own[s].1 {
                let step = self.step[s];
                let real = own_m(step, s - self.states[step].start);
                self.own[s] = (real.max(self.own[s].0), true);
            }
            if i == 0 {
                if let (From::Pose(p), (floor, false)) = (self.from, self.first[s]) {
                    let real = self.router.cost_m(p, self.choices[s].entry);
                    self.first[s] = (real.max(floor), true);
                }
                continue;
            }
            let at = order[i - 1] * n + s;
            if let (floor, false) = self.way[at] {
                let real = self
                    .router
                    .cost_m(self.choices[order[i - 1]].exit, self.choices[s].entry);
                self.way[at] = (real.max(floor), true);
            }
        }
        self.known_m(order)
    }

    /// The best order on what is known.
    fn best(&self, before: Option<&[usize]>) -> Vec<usize> {
        if self.states.len() <= MAX_EXACT {
            return self.exact();
        }
        let steps = |order: &[usize]| order.iter().map(|&s| self.step[s]).collect();
        self.improved(before.map_or_else(|| self.inserted(), steps))
    }

    fn exact(&self) -> Vec<usize> {
        let (n, steps) = (self.choices.len(), self.states.len());
        let mut best = vec![(f64::INFINITY, usize::MAX); (1 << steps) * n];
        for s in 0..n {
            best[(1 << self.step[s]) * n + s].0 = self.first[s].0 + self.own[s].0;
        }
        for set in 1..1usize << steps {
            for s in 0..n {
                let here = best[set * n + s].0;
                if !here.is_finite() {
                    continue;
                }
                for step in (0..steps).filter(|i| set & (1 << i) == 0) {
                    for t in self.states[step].clone() {
                        let cost = here + self.way_m(s, t) + self.own[t].0;
                        let next = &mut best[(set | 1 << step) * n + t];
                        if cost < next.0 {
                            *next = (cost, s);
                        }
                    }
                }
            }
        }
        let mut set = (1 << steps) - 1;
        let mut s = (0..n)
            .min_by(|&a, &b| {
                let whole = |s: usize| best[set * n + s].0 + self.last[s];
                whole(a).total_cmp(&whole(b))
            })
            .unwrap_or(0);
        let mut out = Vec::with_capacity(steps);
        while s != usize::MAX && out.len() < steps {
            out.push(s);
            let before = best[set * n + s].1;
            set &= !(1 << self.step[s]);
            s = before;
        }
        out.reverse();
        out
    }

    /// The best choices for steps in a given order, and their cost.
    fn begun(&self, order: &[usize]) -> (Vec<usize>, f64) {
        let Some(&first) = order.first() else {
            return (Vec::new(), 0.0);
        };
        let mut here: Vec<(usize, f64)> = self.states[first]
            .clone()
            .map(|s| (s, self.first[s].0 + self.own[s].0))
            .collect();
        let mut before: Vec<Vec<usize>> = vec![Vec::new()];
        for &step in &order[1..] {
            let mut next = Vec::with_capacity(self.states[step].len());
            let mut back = Vec::with_capacity(self.states[step].len());
            for t in self.states[step].clone() {
                let mut best = (f64::INFINITY, 0);
                for (i, &(s, cost)) in here.iter().enumerate() {
                    let cost = cost + self.way_m(s, t);
                    if cost < best.0 {
                        best = (cost, i);
                    }
                }
                next.push((t, best.0 + self.own[t].0));
                back.push(best.1);
            }
            here = next;
            before.push(back);
        }
        for (s, cost) in &mut here {
            *cost += self.last[*s];
        }
        let end = (0..here.len()).min_by(|&a, &b| here[a].1.total_cmp(&here[b].1));
        let mut i = end.unwrap_or(0);
        let cost = here.get(i).map_or(0.0, |h| h.1);
        let mut out = Vec::with_capacity(order.len());
        for (place, &step) in order.iter().enumerate().rev() {
            out.push(self.states[step].start + i);
            i = before[place].get(i).copied().unwrap_or(0);
        }
        out.reverse();
        (out, cost)
    }

    /// Steps put in one by one where each costs least, the cheapest first.
    fn inserted(&self) -> Vec<usize> {
        let mut out: Vec<usize> = Vec::new();
        let mut left: Vec<usize> = (0..self.states.len()).collect();
        while !left.is_empty() {
            // The step that is cheapest to put in next, and where.
            let mut best: Option<(f64, usize, usize)> = None;
            for (i, &step) in left.iter().enumerate() {
                for place in 0..=out.len() {
                    let mut order = out.clone();
                    order.insert(place, step);
                    let cost = self.begun(&order).1;
                    if best.is_none_or(|b| cost < b.0) {
                        best = Some((cost, i, place));
                    }
                }
            }
            let Some((_, i, place)) = best else { break };
            out.insert(place, left.remove(i));
        }
        out
    }

    /// Strings of steps moved, and turned round, as long as that gains.
    fn improved(&self, order: Vec<usize>) -> Vec<usize> {
        let mut order = order;
        let mut cost = self.begun(&order).1;
        let mut moves = 0;
        while moves < MAX_MOVES
            && let Some(better) = self.moved(&order, cost, &mut moves)
        {
            (order, cost) = better;
        }
        self.begun(&order).0
    }

    /// The order with the first string moved that gains, and its cost; counts what is looked at.
    fn moved(&self, order: &[usize], cost: f64, moves: &mut usize) -> Option<(Vec<usize>, f64)> {
        for length in 1..=MAX_STRING.min(order.len()) {
            for from in 0..=order.len() - length {
                let mut rest = order.to_vec();
                let string: Vec<usize> = rest.drain(from..from + length).collect();
                for to in 0..=rest.len() {
                    for turned in [false, true] {
                        if (to == from && !turned) || (turned && length == 1) {
                            continue;
                        }
                        let mut moved = rest.clone();
                        let mut string = string.clone();
                        if turned {
                            string.reverse();
                        }
                        moved.splice(to..to, string);
                        let new = self.begun(&moved).1;
                        *moves += 1;
                        if new < cost - 1e-6 * (1.0 + cost.abs()) {
                            return Some((moved, new));
                        }
                    }
                }
            }
        }
        None
    }
}

/// Orders steps, each with its choices. `then` are the poses at which what comes after them may
/// begin. `own_m` gives what the ways within a choice of a step really cost.
pub fn arrange(
    steps: &[Vec<Choice>],
    from: From,
    then: &[Pose],
    router: &Router,
    own_m: &mut dyn FnMut(usize, usize) -> f64,
) -> Order {
    let mut table = Table::new(steps, from, then, router);
    let mut best: Option<(f64, Vec<usize>)> = None;
    let mut cut_short = true;
    for _ in 0..ROUNDS + steps.len() {
        let order = table.best(best.as_ref().map(|b| &b.1[..]));
        let guess = table.known_m(&order);
        let real = table.real_m(&order, own_m);
        if best.as_ref().is_none_or(|b| real < b.0) {
            best = Some((real, order));
        }
        // Nothing else can cost less than it was thought to, so nothing else is better.
        if best
            .as_ref()
            .is_some_and(|b| b.0 <= guess + 1e-9 * (1.0 + guess.abs()))
        {
            cut_short = false;
            break;
        }
        if router.stopped() {
            break;
        }
    }
    let (_, order) = best.unwrap_or_default();
    Order {
        taken: order
            .into_iter()
            .map(|s| (table.step[s], s - table.states[table.step[s]].start))
            .collect(),
        cut_short: cut_short && steps.len() > 1,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawn::{pose, spread};
    use crate::driving::roads::on_open_ground;
    use std::collections::BTreeSet;

    /// Steps drawn from a seed: stripes 20 to 80 m long that may be driven either way.
    fn drawn(count: usize, seed: u64) -> Vec<Vec<Choice>> {
        let mut next = spread(seed);
        let stripe = |step| {
            let a = pose(next(300.0), next(300.0), next(std::f64::consts::TAU));
            let b = Pose::new(a.offset(20.0 + next(60.0), 0.0), a.heading_rad);
            let back = |p: Pose| Pose::new(p.at, p.heading_rad + std::f64::consts::PI);
            let choice = |entry, exit, within_m| Choice {
                entry,
                exit,
                floor_m: 0.5 * within_m,
            };
            let there = choice(a, b, own(step, 0));
            vec![there, choice(back(b), back(a), own(step, 1))]
        };
        (0..count).map(stripe).collect()
    }

    /// What an order costs on the real ground, metres.
    fn cost_m(steps: &[Vec<Choice>], from: Pose, taken: &[(usize, usize)], router: &Router) -> f64 {
        let mut at = from;
        let mut sum = 0.0;
        for &(step, choice) in taken {
            let c = &steps[step][choice];
            sum += router.cost_m(at, c.entry) + own(step, choice);
            at = c.exit;
        }
        sum
    }

    /// What a way of a step costs within, metres: as much as ways between, so that it counts.
    fn own(step: usize, choice: usize) -> f64 {
        spread((2 * step + choice) as u64)(60.0)
    }

    /// All orders and all beginnings, one by one.
    fn least_m(steps: &[Vec<Choice>], from: Pose, router: &Router) -> f64 {
        fn go(
            steps: &[Vec<Choice>],
            from: Pose,
            taken: &mut Vec<(usize, usize)>,
            router: &Router,
        ) -> f64 {
            if taken.len() == steps.len() {
                return cost_m(steps, from, taken, router);
            }
            let mut best = f64::INFINITY;
            for step in 0..steps.len() {
                if taken.iter().any(|t| t.0 == step) {
                    continue;
                }
                for choice in 0..steps[step].len() {
                    taken.push((step, choice));
                    best = best.min(go(steps, from, taken, router));
                    taken.pop();
                }
            }
            best
        }
        go(steps, from, &mut Vec::new(), router)
    }

    #[test]
    fn few_steps_are_ordered_as_well_as_any_order_there_is() {
        on_open_ground(|router| {
            for seed in 1..=12 {
                let steps = drawn(4, seed);
                let from = pose(0.0, 0.0, 1.0);
                let order = arrange(&steps, From::Pose(from), &[], router, &mut own);
                let cost = cost_m(&steps, from, &order.taken, router);
                let least = least_m(&steps, from, router);
                assert!(
                    (cost - least).abs() < 1e-6,
                    "seed {seed}: {cost} m, not {least} m"
                );
                assert!(!order.cut_short);
            }
        });
    }

    #[test]
    fn many_steps_are_each_taken_once_and_near_the_best_order() {
        on_open_ground(|router| {
            for seed in 1..=4 {
                let steps = drawn(MAX_EXACT + 2, seed);
                let from = pose(0.0, 0.0, 1.0);
                let order = arrange(&steps, From::Pose(from), &[], router, &mut own);
                let once: BTreeSet<usize> = order.taken.iter().map(|t| t.0).collect();
                assert_eq!((order.taken.len(), once.len()), (steps.len(), steps.len()));
                let cost = cost_m(&steps, from, &order.taken, router);
                // The exact order, on the real costs of all ways.
                let mut table = Table::new(&steps, From::Pose(from), &[], router);
                let n = table.choices.len();
                for s in 0..n {
                    table.own[s].0 = own(s / 2, s % 2);
                    table.first[s].0 = router.cost_m(from, table.choices[s].entry);
                    for t in (0..n).filter(|&t| t / 2 != s / 2) {
                        table.way[s * n + t].0 =
                            router.cost_m(table.choices[s].exit, table.choices[t].entry);
                    }
                }
                let least = table.known_m(&table.exact());
                assert!(
                    cost >= least * (1.0 - 1e-9),
                    "seed {seed}: {cost} m is below {least} m"
                );
                assert!(
                    cost <= 1.1 * least,
                    "seed {seed}: {cost} m, the best {least} m"
                );
            }
        });
    }

    #[test]
    fn an_improved_order_gains_by_no_string_moved_or_turned() {
        on_open_ground(|router| {
            for seed in 1..=6 {
                let steps = drawn(8, seed);
                let table = Table::new(&steps, From::Pose(pose(0.0, 0.0, 1.0)), &[], router);
                let order: Vec<usize> = (0..steps.len()).collect();
                let cost = |order: &[usize]| table.begun(order).1;
                let taken = table.improved(order.clone());
                let better: Vec<usize> = taken.iter().map(|&s| table.step[s]).collect();
                let least = cost(&better);
                assert!(least < cost(&order), "seed {seed}: as it was drawn");
                for length in 1..=MAX_STRING {
                    for from in 0..=better.len() - length {
                        let mut rest = better.clone();
                        let mut string: Vec<usize> = rest.drain(from..from + length).collect();
                        for _ in 0..2 {
                            for to in 0..=rest.len() {
                                let other = [&rest[..to], &string[..], &rest[to..]].concat();
                                assert!(cost(&other) > least - 1e-3, "seed {seed}: {other:?}");
                            }
                            string.reverse();
                        }
                    }
                }
            }
        });
    }

    #[test]
    fn the_way_in_counts_half_and_what_comes_after_draws_the_end() {
        on_open_ground(|router| {
            let steps = drawn(3, 5);
            let gate = Coord { x: 0.0, y: 0.0 };
            let after = [pose(290.0, 290.0, 0.0)];
            let order = arrange(&steps, From::Entrance(gate), &after, router, &mut own);
            let whole = |taken: &[(usize, usize)]| {
                let c = |&(step, choice): &(usize, usize)| steps[step][choice];
                let in_m = 0.5
                    * (c(&taken[0]).entry.at - gate)
                        .x
                        .hypot((c(&taken[0]).entry.at - gate).y);
                let ways = taken
                    .windows(2)
                    .map(|w| router.cost_m(c(&w[0]).exit, c(&w[1]).entry));
                let own_m: f64 = taken.iter().map(|t| own(t.0, t.1)).sum();
                in_m + ways.sum::<f64>() + own_m + router.floor_m(c(&taken[2]).exit, after[0])
            };
            let cost = whole(&order.taken);
            for [a, b, c] in [
                [0, 1, 2],
                [0, 2, 1],
                [1, 0, 2],
                [1, 2, 0],
                [2, 0, 1],
                [2, 1, 0],
            ] {
                for bits in 0..8 {
                    let other = whole(&[(a, bits & 1), (b, bits >> 1 & 1), (c, bits >> 2)]);
                    assert!(cost <= other + 1e-6, "{cost} m, {other} m");
                }
            }
        });
    }
}
