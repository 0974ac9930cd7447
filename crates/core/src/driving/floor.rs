//! A lower bound on the turning between the legs of a stage, whatever their order.
//!
//! In any order every end of a leg is joined to one end of another, except the first and the
//! last. Dropping the demand that this makes one single chain leaves an assignment of ends to
//! ends, and its least cost is a bound (assignment relaxation: E. Balas and P. Toth, in *The
//! Traveling Salesman Problem*, 1985). Joins count as the shortest turns on open ground, so the
//! bound holds for any legal turns.

use crate::driving::costs::Costs;

/// Above this many legs the bound is the sum of each end's cheapest join, which takes less work.
const MOST_ASSIGNED: usize = 150;
/// Stands for a join that is not possible, metres.
const NEVER_M: f64 = 1e9;

/// Lower bound on the joins between the legs of a stage, metres. To be called before any cost
/// is settled.
pub fn stage_floor_m(costs: &Costs<'_>) -> f64 {
    let n = costs.legs();
    if n < 2 {
        return 0.0;
    }
    // End 2 i is where leg i starts as given, 2 i + 1 where it ends; then two free ends, for
    // the beginning and the end of the chain.
    let ends = 2 * n;
    let join = |x: usize, y: usize| {
        if x / 2 == y / 2 {
            return NEVER_M;
        }
        // Leaving by the end as given (odd) is state 2 i; by the start, state 2 i + 1.
        let leave = |x: usize| (x % 2 == 1 || costs.reversible(x / 2)).then_some(x ^ 1);
        let enter = |y: usize| (y.is_multiple_of(2) || costs.reversible(y / 2)).then_some(y);
        let one = leave(x).zip(enter(y)).map(|(s, t)| costs.get(s, t));
        let other = leave(y).zip(enter(x)).map(|(s, t)| costs.get(s, t));
        one.into_iter().chain(other).fold(NEVER_M, f64::min)
    };
    if n > MOST_ASSIGNED {
        let mut least: Vec<f64> = (0..ends)
            .map(|x| (0..ends).map(|y| join(x, y)).fold(NEVER_M, f64::min))
            .collect();
        least.sort_by(f64::total_cmp);
        return least[..ends - 2].iter().sum::<f64>() / 2.0;
    }
    let size = ends + 2;
    let mut table = vec![0.0; size * size];
    for x in 0..size {
        for y in 0..size {
            table[x * size + y] = match (x < ends, y < ends) {
                (true, true) => join(x, y),
                (false, false) => NEVER_M,
                _ => 0.0,
            };
        }
    }
    // Every join is counted from both of its ends.
    (assignment(&table, size) / 2.0).max(0.0)
}

/// Least cost of assigning rows to columns (the Hungarian method with potentials: H. W. Kuhn,
/// *Naval Research Logistics Quarterly* 2, 1955). Time grows with the cube of the size.
fn assignment(cost: &[f64], n: usize) -> f64 {
    let (mut u, mut v) = (vec![0.0; n + 1], vec![0.0; n + 1]);
    // Row assigned to each column; column and row 0 are outside.
    let mut row_of = vec![0usize; n + 1];
    let mut way = vec![0usize; n + 1];
    for row in 1..=n {
        row_of[0] = row;
        let mut column = 0;
        let mut least = vec![f64::INFINITY; n + 1];
        let mut used = vec![false; n + 1];
        while row_of[column] != 0 {
            used[column] = true;
            let i = row_of[column];
            let (mut delta, mut next) = (f64::INFINITY, 0);
            for j in 1..=n {
                if used[j] {
                    continue;
                }
                let reduced = cost[(i - 1) * n + j - 1] - u[i] - v[j];
                if reduced < least[j] {
                    least[j] = reduced;
                    way[j] = column;
                }
                if least[j] < delta {
                    delta = least[j];
                    next = j;
                }
            }
            for j in 0..=n {
                if used[j] {
                    u[row_of[j]] += delta;
                    v[j] -= delta;
                } else {
                    least[j] -= delta;
                }
            }
            column = next;
        }
        while column != 0 {
            let from = way[column];
            row_of[column] = row_of[from];
            column = from;
        }
    }
    (1..=n).map(|j| cost[(row_of[j] - 1) * n + j - 1]).sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    #[test]
    fn a_small_assignment_is_least() {
        // Least by trying all six: 1 + 2 + 2.
        let cost = [4.0, 1.0, 3.0, 2.0, 0.0, 5.0, 3.0, 2.0, 2.0];
        assert_relative_eq!(assignment(&cost, 3), 5.0);
    }

    proptest! {
        #[test]
        fn an_assignment_is_never_above_any_permutation(
            cost in prop::collection::vec(0.0..9.0f64, 16),
        ) {
            let got = assignment(&cost, 4);
            let mut best = f64::INFINITY;
            for a in 0..4 { for b in 0..4 { for c in 0..4 { for d in 0..4 {
                if a != b && a != c && a != d && b != c && b != d && c != d {
                    best = best.min(cost[a] + cost[4 + b] + cost[8 + c] + cost[12 + d]);
                }
            }}}}
            prop_assert!((got - best).abs() < 1e-9);
        }
    }
}
