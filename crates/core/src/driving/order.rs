//! The order of the steps of one phase on one part, and how each is begun.
//!
//! Up to nine steps are ordered exactly (M. Held and R. M. Karp, *Journal of the Society for
//! Industrial and Applied Mathematics* 10, 1962); of more, as many neighbours in turn all along.
//!
//! Ways count first as their floor, the shortest turn on open ground; the ways of the best order
//! are then looked for on the real ground, and again, until nothing changes. Costs only ever
//! rise, so the last order is best on all that was looked at. The budget counts looks, never
//! time; whatever it is, the best order so far is given.

use crate::driving::roads::Router;
use crate::model::pose::Pose;
use geo_types::Coord;
use std::ops::Range;

/// Up to this many steps are ordered exactly.
pub const MAX_EXACT: usize = 9;
/// The straight way from the entrance counts half: the mower comes and goes in any case.
const ENTRANCE_SHARE: f64 = 0.5;
/// Rounds of looking for ways on the real ground, and so many more for each step.
const ROUNDS: usize = 30;

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

/// All choices of all steps as states in one row, with what is known of their costs.
struct Table<'r> {
    router: &'r Router,
    start: Pose,
    choices: Vec<Choice>,
    /// The step and the choice of each state, and the states of each step.
    taken: Vec<(usize, usize)>,
    states: Vec<Range<usize>>,
    /// Of a state: the least that leads on to what comes after all these steps.
    last: Vec<f64>,
    /// To do a state, and to go from one to another (the last row: from the start), each with
    /// whether it is real.
    own: Vec<(f64, bool)>,
    way: Vec<(f64, bool)>,
}

impl<'r> Table<'r> {
    fn new(steps: &[Vec<Choice>], from: From, then: &[Pose], router: &'r Router) -> Self {
        let choices: Vec<Choice> = steps.iter().flatten().copied().collect();
        let (mut states, mut taken) = (Vec::new(), Vec::with_capacity(choices.len()));
        for (i, s) in steps.iter().enumerate() {
            states.push(taken.len()..taken.len() + s.len());
            taken.extend((0..s.len()).map(|choice| (i, choice)));
        }
        let between = |a: &Choice, b: &Choice| (router.floor_m(a.exit, b.entry), false);
        let mut way: Vec<(f64, bool)> = (choices.iter())
            .flat_map(|a| choices.iter().map(move |b| between(a, b)))
            .collect();
        way.extend(choices.iter().map(|c| match from {
            From::Pose(p) => (router.floor_m(p, c.entry), false),
            From::Entrance(e) => {
                let straight = (c.entry.at.x - e.x).hypot(c.entry.at.y - e.y);
                (ENTRANCE_SHARE * straight, true)
            }
            From::Anywhere => (0.0, true),
        }));
        let on = |c: &Choice| {
            let ways = then.iter().map(|&t| router.floor_m(c.exit, t));
            ways.reduce(f64::min).unwrap_or(0.0)
        };
        Self {
            router,
            start: match from {
                From::Pose(p) => p,
                From::Entrance(_) | From::Anywhere => Pose::origin(),
            },
            last: choices.iter().map(on).collect(),
            own: choices.iter().map(|c| (c.floor_m, false)).collect(),
            choices,
            taken,
            states,
            way,
        }
    }

    /// To go on from a state, or from the start, and to do the next, metres.
    fn on_m(&self, s: usize, t: usize) -> f64 {
        self.way[s * self.choices.len() + t].0 + self.own[t].0
    }

    /// Cost of an order on what is known, metres.
    fn known_m(&self, order: &[usize]) -> f64 {
        let start = self.choices.len();
        let first = order.first().map_or(0.0, |&s| self.on_m(start, s));
        let ways: f64 = order.windows(2).map(|w| self.on_m(w[0], w[1])).sum();
        first + ways + order.last().map_or(0.0, |&s| self.last[s])
    }

    /// Looks for all that an order is made of on the real ground; returns its cost, metres.
    fn real_m(&mut self, order: &[usize], own_m: &mut dyn FnMut(usize, usize) -> f64) -> f64 {
        let n = self.choices.len();
        let mut before = n;
        for &s in order {
            if let (floor, false) = self.own[s] {
                let (step, choice) = self.taken[s];
                let real = own_m(step, choice);
                self.own[s] = (real.max(floor), true);
            }
            let at = before * n + s;
            if let (floor, false) = self.way[at] {
                let from = self.choices.get(before).map_or(self.start, |c| c.exit);
                let real = self.router.cost_m(from, self.choices[s].entry);
                self.way[at] = (real.max(floor), true);
            }
            before = s;
        }
        self.known_m(order)
    }

    /// The best order on what is known, beginning with one that is given.
    fn best(&self, before: Option<Vec<usize>>) -> Vec<usize> {
        let as_given = || self.states.iter().map(|s| s.start).collect();
        let mut order = before.unwrap_or_else(as_given);
        for from in 0..=order.len().saturating_sub(MAX_EXACT) {
            self.reorder(&mut order, from..from + MAX_EXACT);
        }
        order
    }

    /// Puts the steps at some places of an order in their cheapest row, all others as they are.
    fn reorder(&self, order: &mut [usize], at: Range<usize>) {
        let start = self.choices.len();
        let before = at.start.checked_sub(1).map_or(start, |i| order[i]);
        let after = order.get(at.end).copied();
        let at = at.start..at.end.min(order.len());
        let (mut states, mut groups) = (Vec::new(), Vec::new());
        for &s in &order[at.clone()] {
            let first = states.len();
            states.extend(self.states[self.taken[s].0].clone());
            groups.push(first..states.len());
        }
        states.push(before);
        let on = |_, s: usize, t: usize| self.on_m(states[s], states[t]);
        let end = |s: usize| after.map_or(self.last[states[s]], |a| self.on_m(states[s], a));
        for (place, s) in at.zip(cheapest_row(&groups, on, end).0) {
            order[place] = states[s];
        }
    }
}

/// The cheapest row of one state of each group, the groups in any order, and its cost (Held and Karp
/// 1962). `on` gives what it costs to go on from a state to the next when a set of groups is done;
/// the start is one past the last state. `end` gives what it costs to end with a state.
pub(super) fn cheapest_row(
    groups: &[Range<usize>],
    on: impl Fn(usize, usize, usize) -> f64,
    end: impl Fn(usize) -> f64,
) -> (Vec<usize>, f64) {
    let n = groups.last().map_or(0, |g| g.end);
    let all = (1 << groups.len()) - 1;
    // Of a set of groups and the last state: the least cost, and the state before.
    let mut best = vec![(f64::INFINITY, n); (all + 1) * (n + 1)];
    best[n].0 = 0.0;
    for set in 0..all {
        for s in 0..=n {
            let here = best[set * (n + 1) + s].0;
            if !here.is_finite() {
                continue;
            }
            for (g, group) in groups.iter().enumerate().filter(|g| set & (1 << g.0) == 0) {
                for t in group.clone() {
                    let cost = here + on(set, s, t);
                    let next = &mut best[(set | 1 << g) * (n + 1) + t];
                    if cost < next.0 {
                        *next = (cost, s);
                    }
                }
            }
        }
    }
    let whole = |s: usize| best[all * (n + 1) + s].0 + end(s);
    let Some(mut s) = (0..n).min_by(|&a, &b| whole(a).total_cmp(&whole(b))) else {
        return (Vec::new(), 0.0);
    };
    let cost = whole(s);
    let (mut set, mut out) = (all, Vec::with_capacity(groups.len()));
    while s != n {
        out.push(s);
        let before = best[set * (n + 1) + s].1;
        let group = groups.iter().position(|g| g.contains(&s));
        set &= !group.map_or(0, |g| 1 << g);
        s = before;
    }
    out.reverse();
    (out, cost)
}

/// Orders steps, each with its choices: step and choice as driven, and whether the budget cut the
/// search short. `then` are the poses at which what comes after them may begin. `own_m` gives
/// what the ways within a choice of a step really cost.
pub fn arrange(
    steps: &[Vec<Choice>],
    from: From,
    then: &[Pose],
    router: &Router,
    own_m: &mut dyn FnMut(usize, usize) -> f64,
) -> (Vec<(usize, usize)>, bool) {
    let mut table = Table::new(steps, from, then, router);
    let mut best: Option<(f64, Vec<usize>)> = None;
    let mut cut_short = steps.len() > 1;
    for _ in 0..ROUNDS + steps.len() {
        let order = table.best(best.as_ref().map(|b| b.1.clone()));
        let guess = table.known_m(&order);
        let real = table.real_m(&order, own_m);
        let (least, _) = match &best {
            Some(known) if known.0 <= real => known,
            _ => best.insert((real, order)),
        };
        // Nothing else can cost less than it was thought to, so nothing else is better.
        let settled = *least <= guess + 1e-9 * (1.0 + guess.abs());
        cut_short &= !settled;
        if settled || router.stopped() {
            break;
        }
    }
    let (_, order) = best.unwrap_or_default();
    (
        order.into_iter().map(|s| table.taken[s]).collect(),
        cut_short,
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawn::{all_orders, pose, spread};
    use crate::driving::roads::on_open_ground;
    use std::collections::BTreeSet;

    /// Steps drawn from a seed: stripes 20 to 80 m long that may be driven either way.
    fn drawn(count: usize, seed: u64) -> Vec<Vec<Choice>> {
        let mut next = spread(seed);
        let stripe = |step| {
            let a = pose(next(300.0), next(300.0), next(std::f64::consts::TAU));
            let b = a.ahead(20.0 + next(60.0));
            let ways = [(a, b), (b.reversed(), a.reversed())]
                .into_iter()
                .enumerate();
            let choice = |(i, (entry, exit))| Choice {
                entry,
                exit,
                floor_m: 0.5 * own(step, i),
            };
            ways.map(choice).collect()
        };
        (0..count).map(stripe).collect()
    }

    /// What a way of a step costs within, metres: as much as ways between, so that it counts.
    fn own(step: usize, choice: usize) -> f64 {
        spread((2 * step + choice) as u64)(60.0)
    }

    /// What an order costs on the real ground, metres.
    fn cost_m(
        steps: &[Vec<Choice>],
        from: From,
        after: &[Pose],
        taken: &[(usize, usize)],
        router: &Router,
    ) -> f64 {
        let mut at = from;
        let mut sum = 0.0;
        for &(step, choice) in taken {
            let c = &steps[step][choice];
            sum += own(step, choice);
            sum += match at {
                From::Pose(p) => router.cost_m(p, c.entry),
                From::Entrance(e) => 0.5 * (c.entry.at - e).x.hypot((c.entry.at - e).y),
                From::Anywhere => 0.0,
            };
            at = From::Pose(c.exit);
        }
        match (at, after) {
            (From::Pose(last), &[after]) => sum + router.floor_m(last, after),
            _ => sum,
        }
    }

    #[test]
    fn few_steps_are_ordered_as_well_as_any_order_there_is() {
        // Every order of four steps with both ways to take each.
        let ways = |o: Vec<(usize, bool)>| o.into_iter().map(|(s, way)| (s, usize::from(way)));
        let all: Vec<Vec<_>> = all_orders(4, vec![])
            .into_iter()
            .map(|o| ways(o).collect())
            .collect();
        assert_eq!(all.len(), 24 * 16);
        on_open_ground(|router| {
            for seed in 1..=12 {
                let steps = drawn(4, seed);
                let from = [
                    From::Pose(pose(0.0, 0.0, 1.0)),
                    // The way in counts half.
                    From::Entrance(Coord { x: 0.0, y: 0.0 }),
                    From::Anywhere,
                ][seed as usize % 3];
                // What comes after draws the end.
                let after = &[pose(290.0, 290.0, 0.0)][..seed as usize % 2];
                let (taken, cut_short) = arrange(&steps, from, after, router, &mut own);
                let cost = |taken: &[(usize, usize)]| cost_m(&steps, from, after, taken, router);
                let least = all.iter().map(|o| cost(o)).fold(f64::INFINITY, f64::min);
                let found = cost(&taken);
                assert!((found - least).abs() < 1e-6, "{seed}: {found}, not {least}");
                assert!(!cut_short);
            }
        });
    }

    #[test]
    fn many_steps_are_each_taken_once_and_near_the_best_order() {
        on_open_ground(|router| {
            for seed in 1..=4 {
                let steps = drawn(MAX_EXACT + 2, seed);
                let from = From::Pose(pose(0.0, 0.0, 1.0));
                let (taken, _) = arrange(&steps, from, &[], router, &mut own);
                let once: BTreeSet<usize> = taken.iter().map(|t| t.0).collect();
                assert_eq!((taken.len(), once.len()), (steps.len(), steps.len()));
                let cost = cost_m(&steps, from, &[], &taken, router);
                // The exact order, on the real costs of all ways.
                let mut table = Table::new(&steps, from, &[], router);
                let n = table.choices.len();
                for s in 0..=n {
                    for t in (0..n).filter(|&t| s == n || t / 2 != s / 2) {
                        table.real_m(&[s, t][usize::from(s == n)..], &mut own);
                        let at = table.choices.get(s).map_or(table.start, |c| c.exit);
                        let real = router.cost_m(at, table.choices[t].entry);
                        assert!((table.way[s * n + t].0 - real).abs() < 1e-6);
                    }
                }
                let least = cheapest_row(&table.states, |_, s, t| table.on_m(s, t), |_| 0.0).1;
                let span = least * (1.0 - 1e-9)..=1.1 * least;
                assert!(span.contains(&cost), "{seed}: {cost} m, the best {least} m");
            }
        });
    }
}
