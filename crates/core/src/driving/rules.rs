//! How the lines of a block are taken: each next one, or every k-th one in k sweeps.
//!
//! A mower that needs a bulb to turn into the next line turns cheaper some lines away. Every
//! k-th line with k odd keeps light and dark, because the way along a line follows its number.
//! The sweeps come in whatever order and direction is shortest; against near-optimal tours the
//! best k costs at most 6% more (`tests/tests/line_rules.rs`).

use crate::driving::blocks::{Block, Field};
use crate::driving::order::cheapest_row;
use crate::driving::roads::Router;
use crate::model::pose::Pose;
use crate::model::step::StepRule;
use crate::model::task::Directions;
use std::cell::RefCell;
use std::collections::HashMap;
use std::ops::Range;

/// What each sweep after the first is priced at, metres: one more thing to remember.
const SWEEP_M: f64 = 15.0;
/// Longest skip that is tried: counting farther ahead goes wrong.
const MAX_EVERY: usize = 9;
/// Ways to take a block that are kept for each line it may begin with.
const KEPT: usize = 2;
/// A way that costs this much more than the best is not kept, metres.
const KEPT_WITHIN_M: f64 = 40.0;

/// A run, and whether it is driven against its own direction.
pub type Driven = (usize, bool);

/// One way to take a block.
#[derive(Debug, Clone, PartialEq)]
pub struct Taking {
    /// The rule as it is told.
    pub rule: StepRule,
    /// Whether it begins with the leftmost run.
    pub from_left: bool,
    /// The runs in driving order.
    pub order: Vec<Driven>,
    /// The run that each sweep begins with.
    pub sweeps: Vec<usize>,
    /// Turning on open ground, and the price of the sweeps, metres: a lower bound.
    pub floor_m: f64,
    /// The price of the sweeps alone, metres.
    pub priced_m: f64,
}

/// The ends of a run as it is driven.
pub fn driven(ends: (Pose, Pose), against: bool) -> (Pose, Pose) {
    if against {
        (ends.1.reversed(), ends.0.reversed())
    } else {
        ends
    }
}

/// The ways to take a block that are worth a look, cheapest first.
pub fn takings(field: &Field<'_>, block: &Block, router: &Router) -> Vec<Taking> {
    let ends: Vec<(Pose, Pose)> = block.runs.iter().map(|r| field.ends(r)).collect();
    let n = ends.len();
    // Every rule asks for most of the turns again.
    let known = RefCell::new(HashMap::new());
    let turn = |from: Driven, to: Driven| {
        let look = || router.floor_m(driven(ends[from.0], from.1).1, driven(ends[to.0], to.1).0);
        *known.borrow_mut().entry((from, to)).or_insert_with(look)
    };
    let free = field.directions == Directions::Free;
    let both = [true, false];
    let (sides, starts) = (&both[..n.min(2)], &both[..1 + usize::from(free)]);
    let all = (sides.iter()).flat_map(|&l| starts.iter().map(move |&s| (l, s)));
    let mut out = Vec::new();
    for (from_left, start_forward) in all {
        // Directions kept, a run is driven in its own; free, each next one the other way.
        let leg = |place: usize, line: usize| {
            let run = if from_left { line } else { n - 1 - line };
            let forward = field.lines[block.runs[run].line].forward;
            let wanted = place.is_multiple_of(2) == start_forward;
            (run, free && forward != wanted)
        };
        let most = MAX_EVERY.min(n.saturating_sub(1)).max(1);
        let every = (1..=most).step_by(if free { 1 } else { 2 });
        let mut here: Vec<Taking> = if field.directions == Directions::Halves {
            vec![halves(block, from_left, &turn)]
        } else {
            let all = every.map(|k| swept((n, k), from_left, free, &leg, &turn));
            all.collect()
        };
        here.sort_by(|a, b| a.floor_m.total_cmp(&b.floor_m));
        out.extend(here.into_iter().take(KEPT));
    }
    out.sort_by(|a, b| a.floor_m.total_cmp(&b.floor_m));
    let best = out.first().map_or(0.0, |t| t.floor_m);
    out.retain(|t| t.floor_m <= best + KEPT_WITHIN_M);
    out
}

/// Every k-th of `n` lines, the first line first, the sweeps after it in the cheapest order and
/// direction. Where lines are driven freely it matters whether a sweep begins at an even place.
fn swept(
    (n, k): (usize, usize),
    from_left: bool,
    free: bool,
    leg: &dyn Fn(usize, usize) -> Driven,
    turn: &dyn Fn(Driven, Driven) -> f64,
) -> Taking {
    let begun = if free { 2 } else { 1 };
    // Every sweep forth and back, begun at an even place and, where that matters, at an odd one.
    let rows: Vec<Vec<Driven>> = (0..2 * k * begun)
        .map(|state| {
            let mut lines: Vec<usize> = (state / begun / 2..n).step_by(k).collect();
            if state / begun % 2 == 1 {
                lines.reverse();
            }
            let places = state % begun..;
            places.zip(lines).map(|(at, line)| leg(at, line)).collect()
        })
        .collect();
    let within = |row: &Vec<Driven>| row.windows(2).map(|w| turn(w[0], w[1])).sum();
    let within: Vec<f64> = rows.iter().map(within).collect();
    let between: Vec<f64> = (rows.iter())
        .flat_map(|a| rows.iter().map(|b| turn(a[a.len() - 1], b[0])))
        .collect();
    let sweeps: Vec<Range<usize>> = (0..k).map(|c| 2 * begun * c..2 * begun * (c + 1)).collect();
    let lines = |set: usize| -> usize {
        let done = (sweeps.iter().enumerate()).filter(|(c, _)| set & (1 << c) != 0);
        done.map(|(_, s)| rows[s.start].len()).sum()
    };
    let odd: Vec<usize> = (0..1 << k).map(|set| lines(set) % begun).collect();
    let on = |set: usize, from: usize, to: usize| {
        if to % begun != odd[set] || (set == 0 && to > 0) {
            f64::INFINITY
        } else if set == 0 {
            within[to]
        } else {
            SWEEP_M + between[from * rows.len() + to] + within[to]
        }
    };
    let (taken, floor_m) = cheapest_row(&sweeps, on, |_| 0.0);
    Taking {
        rule: match k {
            1 => StepRule::Next,
            _ => StepRule::Every(k as u32),
        },
        from_left,
        order: taken.iter().flat_map(|&s| &rows[s]).copied().collect(),
        sweeps: taken.iter().map(|&s| rows[s][0].0).collect(),
        floor_m,
        priced_m: SWEEP_M * (k - 1) as f64,
    }
}

/// A run of one half, a run of the other, from the outside in; what has no partner follows.
fn halves(block: &Block, from_left: bool, turn: &dyn Fn(Driven, Driven) -> f64) -> Taking {
    let (n, left) = (block.runs.len(), block.left);
    let paired = left > 0 && left < n;
    let mut runs: Vec<usize> = (0..n).collect();
    if paired {
        runs.sort_by_key(|&run| {
            if run < left {
                (run, !from_left)
            } else {
                (n - 1 - run, from_left)
            }
        });
    } else if !from_left {
        runs.reverse();
    }
    let order: Vec<Driven> = runs.into_iter().map(|run| (run, false)).collect();
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
    use crate::drawn::{all_orders, lines, spread};
    use crate::driving::blocks::Run;
    use crate::driving::roads::on_open_ground;

    /// Turns of any cost: the same from the same run to the same run, driven the same ways.
    fn drawn_turn(from: Driven, to: Driven) -> f64 {
        let key = ((from.0 * 2 + usize::from(from.1)) * 64 + to.0 * 2 + usize::from(to.1)) as u64;
        spread(key + 1)(60.0)
    }

    fn turns_m(order: &[Driven]) -> f64 {
        order.windows(2).map(|w| drawn_turn(w[0], w[1])).sum()
    }

    #[test]
    fn sweeps_come_in_the_cheapest_of_all_orders_and_directions() {
        let kept = |_: usize, line: usize| (line, false);
        // Freely driven, each next line goes the other way.
        let free = |place: usize, line: usize| (line, place % 2 == 1);
        type Legs<'a> = (&'a dyn Fn(usize, usize) -> Driven, bool);
        let legs: [Legs<'_>; 2] = [(&kept, false), (&free, true)];
        let counts = [1, 6, 5, 6, 7, 9, 11, 9].into_iter();
        for (n, k) in counts.zip([1, 1, 2, 2, 3, 3, 4, 4]) {
            for (leg, free) in legs {
                let lines_of = |c: usize| (c..n).step_by(k).collect::<Vec<_>>();
                let driven = |sweeps: &[(usize, bool)]| -> Vec<Driven> {
                    let sweep = |&(c, back): &(usize, bool)| match back {
                        false => lines_of(c),
                        true => lines_of(c).into_iter().rev().collect(),
                    };
                    let lines = sweeps.iter().flat_map(sweep);
                    lines.enumerate().map(|(at, l)| leg(at, l)).collect()
                };
                let costs = all_orders(k, vec![(0, false)])
                    .into_iter()
                    .map(|o| turns_m(&driven(&o)));
                let best = costs.fold(f64::INFINITY, f64::min);
                let told = swept((n, k), true, free, leg, &drawn_turn);
                assert_eq!(told.priced_m, SWEEP_M * (k - 1) as f64);
                for turns_m in [told.floor_m - told.priced_m, turns_m(&told.order)] {
                    assert!((turns_m - best).abs() < 1e-9, "{n} {k}");
                }
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
            let t = halves(&block(5, left), from_left, &drawn_turn);
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

    /// Ways to take stripes 100 m long, `apart_m` from one another, up and down in turn.
    fn ways(n: usize, apart_m: f64, directions: Directions) -> Vec<Taking> {
        let all = vec![&[(0.0, 100.0)][..]; n];
        let lines = lines(&all, apart_m, |i| i.is_multiple_of(2));
        let field = Field::new(&lines, directions);
        on_open_ground(|router| {
            let block = &field.blocks()[0];
            let all = takings(&field, block, router);
            let pose = |at: &Driven| driven(field.ends(&block.runs[at.0]), at.1);
            for t in &all {
                let turns = t.order.windows(2);
                let turns_m = turns.map(|w| router.floor_m(pose(&w[0]).1, pose(&w[1]).0));
                assert!((turns_m.sum::<f64>() + t.priced_m - t.floor_m).abs() < 1e-9);
            }
            all
        })
    }

    #[test]
    fn lines_a_turn_apart_are_taken_each_next_one_and_close_lines_are_not() {
        // A bar of 2.5 m turns within some metres: lines ten metres apart need no skip.
        let wide = ways(12, 10.0, Directions::Alternate);
        assert_eq!(wide[0].rule, StepRule::Next);
        assert!(wide.iter().any(|t| t.from_left) && wide.iter().any(|t| !t.from_left));
        let close = ways(24, 0.8, Directions::Alternate);
        let rule = close[0].rule;
        assert!(matches!(rule, StepRule::Every(k) if k % 2 == 1), "{rule:?}");
        for all in [&wide, &close] {
            assert!(all.len() <= 2 * KEPT);
            assert!(all.is_sorted_by(|a, b| a.floor_m <= b.floor_m));
            assert!(all[all.len() - 1].floor_m <= all[0].floor_m + KEPT_WITHIN_M);
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
            // Driven one way and the other in turn, whatever way a line has.
            let up = |&(i, against): &Driven| i.is_multiple_of(2) != against;
            assert!(t.order.windows(2).all(|w| up(&w[0]) != up(&w[1])));
        }
        assert_eq!(ways(1, 1.2, Directions::Alternate).len(), 1);
        assert_eq!(ways(1, 1.2, Directions::Free).len(), 2);
    }
}
