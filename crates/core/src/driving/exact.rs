//! The best order of a few legs, exactly.
//!
//! Dynamic programming over sets of legs (M. Held and R. M. Karp, *Journal of the Society for
//! Industrial and Applied Mathematics* 10, 1962), each leg in either direction. The order is
//! found on the costs as far as known; the joins it uses are then looked for on the real
//! ground; and again, until nothing changes. Costs only ever rise, so the last order is best.

use crate::driving::costs::{Costs, best_for_real};

/// Up to this many legs: 2^9 sets times 18 states are some 160,000 steps.
pub const MOST_LEGS: usize = 9;

/// The best order of states for at most [`MOST_LEGS`] legs.
pub fn best(costs: &mut Costs<'_>) -> Vec<usize> {
    best_for_real(costs, on_known)
}

fn on_known(costs: &Costs<'_>) -> (Vec<usize>, f64) {
    let n = costs.legs();
    let w = costs.outside();
    if n == 0 {
        return (Vec::new(), 0.0);
    }
    let states = 2 * n;
    let mut way = vec![f64::INFINITY; (1 << n) * states];
    let mut before = vec![usize::MAX; (1 << n) * states];
    for leg in 0..n {
        for s in costs.states(leg) {
            way[(1 << leg) * states + s] = costs.get(w, s);
        }
    }
    for set in 1..1usize << n {
        for s in 0..states {
            let here = way[set * states + s];
            if !here.is_finite() {
                continue;
            }
            for leg in (0..n).filter(|&l| set & (1 << l) == 0) {
                for t in costs.states(leg) {
                    let at = (set | 1 << leg) * states + t;
                    let length = here + costs.get(s, t);
                    if length < way[at] {
                        way[at] = length;
                        before[at] = s;
                    }
                }
            }
        }
    }
    let mut set = (1 << n) - 1;
    let mut end = (f64::INFINITY, 0);
    for s in 0..states {
        let length = way[set * states + s] + costs.get(s, w);
        if length < end.0 {
            end = (length, s);
        }
    }
    let mut order = vec![end.1];
    let mut s = end.1;
    while before[set * states + s] != usize::MAX {
        let p = before[set * states + s];
        set &= !(1 << (s / 2));
        s = p;
        order.push(s);
    }
    order.reverse();
    (order, end.0)
}
