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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawn::{pose, spread};
    use crate::driving::blocks::Run;
    use crate::driving::roads::on_open_ground;
    use std::f64::consts::PI;

    /// A run, and whether it is driven against its direction.
    type Driven = (usize, bool);

    /// Turns of any cost: the same from the same run to the same run, driven the same ways.
    fn drawn_turn(from: Driven, to: Driven) -> f64 {
        let key = ((from.0 * 2 + usize::from(from.1)) * 64 + to.0 * 2 + usize::from(to.1)) as u64;
        spread(key + 1)(60.0)
    }

    /// Every order and direction of the sweeps after the first.
    fn all_orders(k: usize) -> Vec<Vec<(usize, bool)>> {
        let mut out = vec![vec![(0, false)]];
        for _ in 1..k {
            let longer = |o: Vec<(usize, bool)>| {
                let rest: Vec<usize> = (1..k).filter(|c| o.iter().all(|t| t.0 != *c)).collect();
                rest.into_iter().flat_map(move |c| {
                    let o = o.clone();
                    [false, true].map(|back| [&o[..], &[(c, back)]].concat())
                })
            };
            out = out.into_iter().flat_map(longer).collect();
        }
        out
    }

    fn turns_m(order: &[Driven]) -> f64 {
        order.windows(2).map(|w| drawn_turn(w[0], w[1])).sum()
    }

    #[test]
    fn sweeps_come_in_the_cheapest_of_all_orders_and_directions() {
        let kept = |_: usize, line: usize| (line, false);
        // Freely driven, each next line goes the other way.
        let free = |place: usize, line: usize| (line, place % 2 == 1);
        let legs: [&dyn Fn(usize, usize) -> Driven; 2] = [&kept, &free];
        for (n, k) in [
            (1, 1),
            (6, 1),
            (5, 2),
            (6, 2),
            (7, 3),
            (9, 3),
            (11, 4),
            (9, 4),
        ] {
            for leg in legs {
                let lines_of = |c: usize| (c..n).step_by(k).collect::<Vec<_>>();
                let driven = |sweeps: &[(usize, bool)]| -> Vec<Driven> {
                    let mut lines = Vec::new();
                    for &(c, back) in sweeps {
                        let mut of = lines_of(c);
                        if back {
                            of.reverse();
                        }
                        lines.extend(of);
                    }
                    lines
                        .iter()
                        .enumerate()
                        .map(|(at, l)| leg(at, *l))
                        .collect()
                };
                let best = (all_orders(k).iter())
                    .map(|o| turns_m(&driven(o)))
                    .fold(f64::INFINITY, f64::min);
                let told = swept(n, k, true, leg, &drawn_turn);
                assert_eq!(told.priced_m, SWEEP_M * (k - 1) as f64);
                assert!(
                    (told.floor_m - best - told.priced_m).abs() < 1e-9,
                    "{n} {k}"
                );
                assert!((turns_m(&told.order) - best).abs() < 1e-9, "{n} {k}");
                let mut lines: Vec<usize> = told.order.iter().map(|o| o.0).collect();
                lines.sort_unstable();
                assert_eq!(lines, (0..n).collect::<Vec<_>>());
                assert_eq!(told.sweeps.len(), k);
                assert_eq!(told.sweeps[0], 0);
                let first_of_sweep = |line: &usize| {
                    let of = lines_of(line % k);
                    of.first() == Some(line) || of.last() == Some(line)
                };
                assert!(told.sweeps.iter().all(first_of_sweep), "{:?}", told.sweeps);
            }
        }
    }

    fn block(n: usize, left: usize) -> Block {
        let run = |line| Run { line, pieces: 0..1 };
        Block {
            runs: (0..n).map(run).collect(),
            left,
        }
    }

    #[test]
    fn halves_are_taken_in_turn_from_the_outside_in() {
        let order = |left: usize, from_left: bool| -> (Vec<usize>, StepRule) {
            let t = halves(&block(5, left), 5, from_left, &drawn_turn);
            assert!((t.floor_m - turns_m(&t.order)).abs() < 1e-9);
            assert!(t.order.iter().all(|o| !o.1) && t.from_left == from_left);
            (t.order.iter().map(|o| o.0).collect(), t.rule)
        };
        assert_eq!(order(3, true), (vec![0, 4, 1, 3, 2], StepRule::Halves));
        assert_eq!(order(2, false), (vec![4, 0, 3, 1, 2], StepRule::Halves));
        // One half alone is driven line by line.
        assert_eq!(order(5, true), (vec![0, 1, 2, 3, 4], StepRule::Next));
        assert_eq!(order(0, false), (vec![4, 3, 2, 1, 0], StepRule::Next));
    }

    /// Stripes 100 m long, `apart_m` from one another, up and down in turn.
    fn stripes(n: usize, apart_m: f64) -> (RunEnds, Vec<bool>) {
        let forward: Vec<bool> = (0..n).map(|i| i % 2 == 0).collect();
        let ends = forward.iter().enumerate().map(|(i, up)| {
            let x = i as f64 * apart_m;
            let (from, to) = if *up { (0.0, 100.0) } else { (100.0, 0.0) };
            let heading = if *up { PI / 2.0 } else { -PI / 2.0 };
            (pose(x, from, heading), pose(x, to, heading))
        });
        (ends.collect(), forward.clone())
    }

    fn ways(n: usize, apart_m: f64, directions: Directions) -> Vec<Taking> {
        let (ends, forward) = stripes(n, apart_m);
        on_open_ground(|router| takings(&block(n, n), &ends, &forward, directions, router))
    }

    #[test]
    fn lines_a_turn_apart_are_taken_each_next_one_and_close_lines_are_not() {
        // A bar of 2.5 m turns within some metres: lines ten metres apart need no skip.
        let wide = ways(12, 10.0, Directions::Alternate);
        assert_eq!(wide[0].rule, StepRule::Next);
        assert!(wide.iter().any(|t| t.from_left) && wide.iter().any(|t| !t.from_left));
        let close = ways(24, 0.8, Directions::Alternate);
        assert!(
            matches!(close[0].rule, StepRule::Every(k) if k % 2 == 1),
            "{:?}",
            close[0].rule
        );
        for all in [&wide, &close] {
            assert!(all.len() <= 2 * KEPT);
            assert!(all.is_sorted_by(|a, b| a.floor_m <= b.floor_m));
            assert!(
                all.iter()
                    .all(|t| t.floor_m <= all[0].floor_m + KEPT_WITHIN_M)
            );
            // Directions kept, no line is driven against its own.
            assert!(all.iter().all(|t| t.order.iter().all(|o| !o.1)));
        }
    }

    #[test]
    fn free_lines_may_skip_any_number_and_cost_no_more() {
        let kept = ways(16, 1.2, Directions::Alternate);
        let free = ways(16, 1.2, Directions::Free);
        assert!(free[0].floor_m <= kept[0].floor_m + 1e-9);
        for t in &free {
            let (_, forward) = stripes(16, 1.2);
            // Driven one way and the other in turn, whatever way a line has.
            let up: Vec<bool> = t
                .order
                .iter()
                .map(|(i, against)| forward[*i] != *against)
                .collect();
            assert!(up.windows(2).all(|w| w[0] != w[1]));
        }
        assert_eq!(ways(1, 1.2, Directions::Alternate).len(), 1);
        assert_eq!(ways(1, 1.2, Directions::Free).len(), 2);
    }

    #[test]
    fn what_is_known_of_a_turn_is_not_looked_for_again() {
        let known = KnownTurns::new(30);
        for from in 0..30 {
            for to in 0..30 {
                for ways in 0..4 {
                    let (a, b) = ((from, ways & 2 != 0), (to, ways & 1 != 0));
                    let cost = drawn_turn(a, b);
                    assert_eq!(known.or(a, b, || cost), cost);
                    let near = from.abs_diff(to) <= MAX_EVERY;
                    let again = known.or(a, b, || cost + 1.0);
                    assert_eq!(again, if near { cost } else { cost + 1.0 });
                }
            }
        }
    }
}
