//! A bound on mean R2 itself, which is not convex.
//!
//! R2 of a cell is |S| over its cuts W, and W depends on the choice too. With the most that W
//! can be below the line the mean becomes convex and lies below the true one: a bound, the
//! nearer the less W can vary. So the choices are split in two again and again (branch and
//! bound, Land & Doig 1960): a mow is made at most so often, or at least so often. In the part
//! where the bound is lowest, that mow is taken which the worst case of W has most more of than
//! the best choice has. The bound of the whole is the lowest of all parts.
//!
//! The rule that cross cuts cross the last stripes is left out here: visits of a pair count as
//! single visits. That can only lower the bound.

use super::mix::{Atom, Column, Counts, Group, Mix};
use super::relax::{bound_at, relax_within};
use super::spread::Spread;

/// Parts looked at.
const PARTS: usize = 70;
/// A bound this near is near enough.
const NEAR: f64 = 1.08;
/// Gap that a part may be left with, of R2's range.
const GAP: f64 = 5e-4;
/// Cells that a part is solved on; what is proven is proven on all cells.
const SAMPLE: usize = 500;

/// |S| over the most that W can be: what a bound on mean R2 is taken of.
pub fn least_r2(mix: &Mix) -> Spread {
    let most = mix.heaviest(|_, _, _| {});
    Spread::new(mix, &most, 0.0)
}

/// A lower bound on the mean R2 of every choice of `mix` that takes at most so many minutes, by
/// the slopes at some counts of [`least_r2`], with `price` a minute: quick, and not as near.
pub fn r2_bound_at(mix: &Mix, least: &Spread, counts: &Counts, price: f64, minutes: f64) -> f64 {
    let cost: Vec<f64> = mix.minutes.iter().map(|m| price * m).collect();
    bound_at(mix, least, &cost, counts) - price * minutes
}

/// A part of all choices.
struct Part {
    /// What may be chosen in it: floors stand in the base.
    mix: Mix,
    /// How often each mow is made at the least.
    floors: Vec<f64>,
    bound: f64,
    /// The best choice in it, nearly.
    counts: Counts,
    /// The mow to split by, and where; none when nothing is gained by it.
    split: Option<(usize, f64)>,
}

/// A lower bound on the mean R2 of every choice of any of `mixes` that takes at most `minutes`.
/// `price` is a minute's, to begin with. The search ends when a mean R2 of `reached` is near the
/// bound.
pub fn r2_bound(mixes: &[&Mix], reached: f64, minutes: f64, price: f64) -> f64 {
    let roots = |price: f64| -> Vec<Part> {
        mixes
            .iter()
            .map(|m| {
                let mix = single(m);
                let none = vec![0.0; mix.mows.len()];
                solve(mix, none, minutes, price, f64::INFINITY, None)
            })
            .collect()
    };
    let lowest_of = |parts: &[Part]| parts.iter().map(|p| p.bound).fold(f64::INFINITY, f64::min);
    // The price that proves most: the one of the objective may be another.
    let mut price = price;
    let mut parts = roots(price);
    for factor in [0.3, 3.0] {
        loop {
            let next = roots(price * factor);
            if lowest_of(&next) <= lowest_of(&parts) + 1e-4 {
                break;
            }
            (parts, price) = (next, price * factor);
        }
    }
    for _ in 0..PARTS / 2 {
        let lowest = (0..parts.len())
            .min_by(|&a, &b| parts[a].bound.total_cmp(&parts[b].bound).then(a.cmp(&b)));
        let Some(k) = lowest else { break };
        if reached <= NEAR * parts[k].bound {
            break;
        }
        let Some((mow, at)) = parts[k].split else {
            break;
        };
        let part = parts.swap_remove(k);
        let enough = reached / NEAR;
        for (k, child) in children(&part, mow, at).into_iter().enumerate() {
            // The best choice of the whole is one of the first part's.
            let start = (k == 0).then_some(&part.counts);
            let mut next = solve(child.0, child.1, minutes, price, enough, start);
            // Part of what was proven before.
            next.bound = next.bound.max(part.bound);
            parts.push(next);
        }
    }
    lowest_of(&parts).max(0.0)
}

/// The same visits without pairs: groups whose ways share mows become one.
fn single(mix: &Mix) -> Mix {
    let mut groups: Vec<Group> = Vec::new();
    let mut add = |mows: Vec<usize>, visits: f64| {
        let same = groups.iter_mut().find(|g| {
            g.atoms.len() == mows.len()
                && mows.iter().all(|m| g.atoms.iter().any(|a| a.mows == [*m]))
        });
        match same {
            Some(g) => g.visits += visits,
            None => groups.push(Group {
                visits,
                atoms: mows.into_iter().map(|m| Atom { mows: vec![m] }).collect(),
                caps: Vec::new(),
            }),
        }
    };
    for g in &mix.groups {
        let places = g.atoms.iter().map(|a| a.mows.len()).max().unwrap_or(0);
        for p in 0..places {
            let mut mows: Vec<usize> = g
                .atoms
                .iter()
                .filter_map(|a| a.mows.get(p).copied())
                .collect();
            mows.sort_unstable();
            mows.dedup();
            add(mows, g.visits);
        }
    }
    Mix {
        groups,
        ..mix.clone()
    }
}

/// The part with the mow at most, and at least, so often beyond its floor.
fn children(part: &Part, mow: usize, at: f64) -> Vec<(Mix, Vec<f64>)> {
    let place = |mix: &Mix| {
        mix.groups.iter().enumerate().find_map(|(g, group)| {
            let a = group.atoms.iter().position(|a| a.mows == [mow])?;
            Some((g, a))
        })
    };
    let Some((g, a)) = place(&part.mix) else {
        return Vec::new();
    };
    let caps =
        |group: &Group| -> Vec<f64> { (0..group.atoms.len()).map(|k| group.cap(k)).collect() };
    let mut low = part.mix.clone();
    let mut c = caps(&low.groups[g]);
    c[a] = at;
    low.groups[g].caps = c;

    let mut high = part.mix.clone();
    let mut c = caps(&high.groups[g]);
    c[a] -= at;
    high.groups[g].visits -= at;
    high.groups[g].caps = c;
    let mut base: Column = high.base.clone();
    base.add(&high.mows[mow], at);
    high.base = base;
    let mut floors = part.floors.clone();
    floors[mow] += at;
    vec![(low, part.floors.clone()), (high, floors)]
}

/// Solves a part: roughly, where that is `enough` for the bound; else over all cells.
fn solve(
    mix: Mix,
    floors: Vec<f64>,
    minutes: f64,
    price: f64,
    enough: f64,
    start: Option<&Counts>,
) -> Part {
    // What the worst case of W has of each mow, cell by cell, in order of cells.
    let mut worst: Vec<(usize, usize, f64)> = Vec::new();
    let most = mix.heaviest(|c, m, n| worst.push((c, m, n)));
    let cost: Vec<f64> = mix.minutes.iter().map(|m| price * m).collect();
    let spread = Spread::new(&mix, &most, 0.0);
    let fixed: f64 = floors.iter().zip(&cost).map(|(n, c)| n * c).sum();
    let over = fixed - price * minutes;
    let near = match start {
        Some(counts) => counts.clone(),
        None => {
            let at = places(mix.cells());
            let some = of_cells(&mix, &at);
            let some_most: Vec<f64> = at.iter().map(|&c| most[c]).collect();
            let spread = Spread::new(&some, &some_most, 0.0);
            relax_within(&some, &spread, &cost, None, GAP).counts
        }
    };
    let rough = bound_at(&mix, &spread, &cost, &near) + over;
    let (counts, bound) = if rough >= enough {
        (near, rough)
    } else {
        let r = relax_within(&mix, &spread, &cost, Some(&near), GAP);
        (r.counts, (r.bound + over).max(rough))
    };

    // How much of the bound each mow's worst case costs.
    let times = mix.times(&counts);
    let sums = mix.sums(&counts);
    let mut loss = vec![0.0; mix.mows.len()];
    for (c, m, n) in worst {
        if most[c] > super::mix::MIN_M2 && n > times[m] {
            let u = sums.x[c].hypot(sums.y[c]) / most[c];
            loss[m] += mix.ground_m2[c] * u * (n - times[m]) * mix.mows[m].w[c] / most[c];
        }
    }
    let split = (0..loss.len())
        .filter(|&m| loss[m] > 0.0)
        .max_by(|&a, &b| loss[a].total_cmp(&loss[b]).then(b.cmp(&a)))
        .and_then(|m| {
            let cap = mix.groups.iter().find_map(|g| {
                let a = g.atoms.iter().position(|a| a.mows == [m])?;
                Some(g.cap(a))
            })?;
            // Nearer to the best choice than to the worst case: the other part is soon ruled out.
            let at = times[m] + 0.4 * (cap - times[m]);
            (cap - times[m] > 0.5).then_some((m, at))
        });
    Part {
        mix,
        floors,
        bound,
        counts,
        split,
    }
}

fn places(cells: usize) -> Vec<usize> {
    const GOLDEN: f64 = 0.618_033_988_749_894_9;
    let share = SAMPLE as f64 / cells.max(1) as f64;
    (0..cells)
        .filter(|&n| (n as f64 * GOLDEN).fract() < share)
        .collect()
}

/// The mix on some of its cells.
pub fn of_cells(mix: &Mix, at: &[usize]) -> Mix {
    let pick = |v: &[f64]| -> Vec<f64> { at.iter().map(|&c| v[c]).collect() };
    let column = |c: &Column| Column {
        w: pick(&c.w),
        x: pick(&c.x),
        y: pick(&c.y),
    };
    Mix {
        ground_m2: pick(&mix.ground_m2),
        mows: mix.mows.iter().map(column).collect(),
        base: column(&mix.base),
        minutes: mix.minutes.clone(),
        groups: mix.groups.clone(),
    }
}
