//! A bound on mean R2 itself, which is not convex.
//!
//! R2 of a cell is |S| over its cuts W, and W depends on the choice too. Two things can be said of
//! a cell that hold for every choice. With the most that W can be below the line, R2 is no less
//! than |S| / W_most, which is convex: near enough where R2 is small. Where it is not, S leans one
//! way whatever is chosen (a clean-up pass follows the edge there on every visit), and R2 is no
//! less than p.S / W with p that way. About a choice of reference, which is marked with a star,
//! let d = W / W* - 1, r = p.S* / W* and v = (p.S - r W) / W*: two linear functions that are 0 at
//! the reference. Because 1 / (1 + d) is 1 - d and d^2 / (1 + d), and R2 is not below 0,
//!
//! R2 >= r + v (1 - d) - r d^2 as long as d <= 1.
//!
//! So the mean over these cells is no less than a linear function less the quadratic form
//! sum of a (v d + r d^2), a the cells' shares of the ground. Taken over all cells together its
//! parts all but cancel; its positive part is convex, so it is greatest where each group makes all
//! its visits in one way (a corner), and that much is taken off. Or a linear function is taken off
//! that it is never above: with the groups' parts y_g of the change and weights a_g that add up to
//! 1, Q(sum of y_g) <= sum of Q(y_g) / a_g, and Q(y_g) is no more than the mean of Q over the ways
//! of the group, each as often as it is taken (both because Q is convex). What remains, linear in
//! some cells and convex in the others, is minimised with its certificate ([`super::relax`]); the
//! better of the two is the bound.
//!
//! The reference is where mean R2 is least as far as steps of convex models lead; the bound holds
//! for any other, only less near. Which cells are taken in which way is tried.
//!
//! The rule that cross cuts cross the last stripes is left out here: visits of a pair count as
//! single visits. That can only lower the bound.

use super::eigen::eigen;
use super::mix::{Atom, Column, Counts, Group, MIN_M2, Mix};
use super::relax::{bound_at, relax_within};
use super::spread::{Spread, dot};

/// Gap that the convex parts may be left with, of R2's range.
const GAP: f64 = 2e-4;
/// Cells that the reference is looked for with; what is proven is proven on all cells.
const SAMPLE: usize = 500;
/// Steps towards the reference.
const STEPS: usize = 5;
/// Steps towards the price at which the reference takes just as long as it may.
const PRICE_STEPS: usize = 6;
/// R2 at the reference from which on a cell counts as leaning one way: each is tried, and the one
/// with the best guess proven.
const LEANING: [f64; 9] = [0.02, 0.05, 0.08, 0.1, 0.13, 0.17, 0.25, 0.35, 2.0];
/// Corners that are gone through one by one; beyond, a bound on them is taken.
const CORNERS: usize = 4096;
/// No group's weight is less: at the reference some groups make all their visits in one way, and
/// what they add is little there but not elsewhere.
const MIN_WEIGHT: f64 = 0.1;

/// |S| over the most that W can be: what a quick bound on mean R2 is taken of.
pub fn least_r2(mix: &Mix) -> Spread {
    Spread::new(mix, &mix.heaviest(), 0.0)
}

/// A lower bound on the mean R2 of every choice of `mix` that takes at most so many minutes, by
/// the slopes at some counts of [`least_r2`], with `price` a minute: quick, and not as near.
pub fn r2_bound_at(mix: &Mix, least: &Spread, counts: &Counts, price: f64, minutes: f64) -> f64 {
    let cost: Vec<f64> = mix.minutes.iter().map(|m| price * m).collect();
    bound_at(mix, least, &cost, counts) - price * minutes
}

/// A lower bound on the mean R2 of every choice of any of `mixes` that takes at most `minutes`.
/// `price` is a minute's, to begin with.
pub fn r2_bound(mixes: &[&Mix], minutes: f64, price: f64) -> f64 {
    let each = mixes.iter().map(|m| {
        let mix = single(m);
        let (reference, price) = reference(&mix, minutes, price);
        proven(&mix, &reference, price, minutes)
    });
    each.fold(f64::INFINITY, f64::min).max(0.0)
}

/// The same visits without pairs: groups whose ways are the same become one.
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

/// A choice whose mean R2 is about the least for its minutes, and the price a minute at which it
/// is: that of the limit, where there must be one.
fn reference(mix: &Mix, minutes: f64, price: f64) -> (Counts, f64) {
    let some = of_cells(mix, &places(mix.cells()));
    let free = descended(&some, 0.0, &some.even());
    if price <= 0.0 || some.minutes_of(&free) <= minutes {
        return (free, 0.0);
    }
    let (mut low, mut high) = (0.0, f64::INFINITY);
    let mut at = price;
    let mut best = (free, 0.0);
    for _ in 0..PRICE_STEPS {
        let counts = descended(&some, at, &best.0);
        if some.minutes_of(&counts) > minutes {
            low = at;
        } else {
            high = at;
        }
        best = (counts, at);
        at = match (low > 0.0, high.is_finite()) {
            (_, false) => 3.0 * at,
            (false, true) => 0.3 * at,
            (true, true) => (low * high).sqrt(),
        };
    }
    best
}

/// Steps that lower mean R2 and price times minutes together: each minimises the convex model
/// that has the same value and slopes where it starts.
fn descended(mix: &Mix, price: f64, start: &Counts) -> Counts {
    let total: f64 = mix.ground_m2.iter().sum();
    let value = |counts: &Counts| mix.r2_mean(counts) + price * mix.minutes_of(counts);
    let mut best = (value(start), start.clone());
    for _ in 0..STEPS {
        let sums = mix.sums(&best.1);
        let model = Spread::new(mix, &sums.w, 0.0);
        let share: Vec<f64> = (0..mix.cells())
            .map(|c| {
                let w = sums.w[c].max(MIN_M2);
                mix.ground_m2[c] / total * sums.x[c].hypot(sums.y[c]) / (w * w)
            })
            .collect();
        let cost: Vec<f64> = mix
            .mows
            .iter()
            .zip(&mix.minutes)
            .map(|(m, t)| price * t - m.w.iter().zip(&share).map(|(w, s)| w * s).sum::<f64>())
            .collect();
        let next = relax_within(mix, &model, &cost, Some(&best.1), GAP).counts;
        let reached = value(&next);
        if reached >= best.0 - 1e-5 {
            break;
        }
        best = (reached, next);
    }
    best.1
}

/// A reference, and what is known of each cell there.
struct Reference<'a> {
    mix: &'a Mix,
    /// How often each mow is made.
    times: Vec<f64>,
    sums: Column,
    /// The most that W can be.
    most: Vec<f64>,
    /// Share of the ground.
    share: Vec<f64>,
    /// Whether the quadratic form says anything of it: W can be neither twice what it is, nor
    /// nothing.
    near: Vec<bool>,
}

/// Cells that lean one way, and what is said of them.
struct Leaning {
    /// Which cells do.
    cells: Vec<bool>,
    /// Their part of mean R2 at the reference.
    at_reference: f64,
    /// For each mow what the linear function gains by making it once more.
    slopes: Vec<f64>,
    /// The most that the quadratic form can be.
    most: f64,
    /// A linear function that it is never above: what each mow adds each time. None where groups
    /// share mows.
    above: Option<Vec<f64>>,
    /// A guess at the bound.
    guess: f64,
}

impl<'a> Reference<'a> {
    fn new(mix: &'a Mix, counts: &Counts) -> Self {
        let (most, least) = (mix.heaviest(), mix.lightest());
        let sums = mix.sums(counts);
        let cut = |c: usize| most[c] > MIN_M2;
        let total: f64 = (0..mix.cells())
            .filter(|&c| cut(c))
            .map(|c| mix.ground_m2[c])
            .sum();
        Self {
            times: mix.times(counts),
            share: (0..mix.cells())
                .map(|c| {
                    if cut(c) {
                        mix.ground_m2[c] / total
                    } else {
                        0.0
                    }
                })
                .collect(),
            near: (0..mix.cells())
                .map(|c| cut(c) && least[c] > MIN_M2 && most[c] <= 2.0 * sums.w[c])
                .collect(),
            mix,
            sums,
            most,
        }
    }

    /// What can be said of the cells whose R2 is at least `from`.
    fn leaning(&self, from: f64) -> Leaning {
        let (mix, sums) = (self.mix, &self.sums);
        let k = mix.mows.len();
        let mut out = Leaning {
            cells: vec![false; mix.cells()],
            at_reference: 0.0,
            slopes: vec![0.0; k],
            most: 0.0,
            above: None,
            guess: 0.0,
        };
        let mut form = vec![0.0; k * k];
        let (mut v, mut d) = (vec![0.0; k], vec![0.0; k]);
        for (c, &a) in self.share.iter().enumerate().filter(|(_, a)| **a > 0.0) {
            let (w, s) = (sums.w[c], sums.x[c].hypot(sums.y[c]));
            let r = s / w.max(MIN_M2);
            if r < from || !self.near[c] {
                out.guess += a * s / self.most[c];
                continue;
            }
            out.cells[c] = true;
            out.at_reference += a * r;
            let (px, py) = (sums.x[c] / s, sums.y[c] / s);
            for (m, mow) in mix.mows.iter().enumerate() {
                d[m] = mow.w[c] / w;
                v[m] = (px * mow.x[c] + py * mow.y[c]) / w - r * d[m];
                out.slopes[m] += a * v[m];
            }
            for i in 0..k {
                for j in 0..=i {
                    form[i * k + j] += a * (0.5 * (v[i] * d[j] + v[j] * d[i]) + r * d[i] * d[j]);
                }
            }
        }
        for i in 0..k {
            for j in 0..i {
                form[j * k + i] = form[i * k + j];
            }
        }
        (out.most, out.above) = most_of(mix, &self.times, &form);
        let above: Option<f64> = (out.above.as_ref()).map(|a| dot(a, &self.times));
        out.guess += out.at_reference - above.map_or(out.most, |a| a.min(out.most));
        out
    }

    /// The bound with some of the cells taken as leaning one way.
    fn proven(&self, way: &Leaning, reference: &Counts, price: f64, minutes: f64) -> f64 {
        let mix = self.mix;
        let others: Vec<f64> = (self.most.iter().zip(&way.cells))
            .map(|(m, leans)| if *leans { 0.0 } else { *m })
            .collect();
        let spread = Spread::new(mix, &others, 0.0);
        let part: f64 = (self.share.iter().zip(&others))
            .filter(|(_, m)| **m > MIN_M2)
            .map(|(a, _)| a)
            .sum();
        let part = if part > 0.0 { part } else { 1.0 };
        let cost: Vec<f64> = (way.slopes.iter().zip(&mix.minutes))
            .map(|(s, t)| (s + price * t) / part)
            .collect();
        let fixed = way.at_reference - dot(&way.slopes, &self.times) - price * minutes;
        let least =
            |cost: &[f64]| part * relax_within(mix, &spread, cost, Some(reference), GAP).bound;
        let by_corners = fixed + least(&cost) - way.most;
        way.above.as_ref().map_or(by_corners, |above| {
            let cost: Vec<f64> = (cost.iter().zip(above))
                .map(|(c, a)| c - a / part)
                .collect();
            by_corners.max(fixed + least(&cost))
        })
    }
}

/// The bound that a reference proves, with `price` a minute.
fn proven(mix: &Mix, reference: &Counts, price: f64, minutes: f64) -> f64 {
    let at = Reference::new(mix, reference);
    let ways = LEANING.iter().map(|from| at.leaning(*from));
    let way = ways.max_by(|a, b| a.guess.total_cmp(&b.guess));
    way.map_or(0.0, |way| at.proven(&way, reference, price, minutes))
}

/// The most that a quadratic form of the change from `times` can be over all choices, or more, and a
/// linear function that it is never above.
fn most_of(mix: &Mix, times: &[f64], form: &[f64]) -> (f64, Option<Vec<f64>>) {
    let k = mix.mows.len();
    // Each group's visits are as many as they are: only changes that add up to 0 count.
    let mut hull = vec![0.0; k * k];
    for g in &mix.groups {
        let n = g.atoms.len() as f64;
        let mows = || g.atoms.iter().flat_map(|a| a.mows.iter().copied());
        for i in mows() {
            hull[i * k + i] += 1.0;
            for j in mows() {
                hull[i * k + j] -= 1.0 / n;
            }
        }
    }
    let product = |a: &[f64], b: &[f64]| -> Vec<f64> {
        let mut out = vec![0.0; k * k];
        for i in 0..k {
            for l in 0..k {
                for j in 0..k {
                    out[i * k + j] += a[i * k + l] * b[l * k + j];
                }
            }
        }
        out
    };
    let disjoint = (0..k).all(|m| {
        let holds = |g: &&Group| g.atoms.iter().any(|a| a.mows == [m]);
        mix.groups.iter().filter(holds).count() <= 1
    });
    // Groups that share mows add their changes: then the form is taken as it is.
    let flat = if disjoint {
        product(&hull, &product(form, &hull))
    } else {
        form.to_vec()
    };
    let axes: Vec<Vec<f64>> = eigen(&flat, k)
        .into_iter()
        .filter(|(value, _)| *value > 0.0)
        .map(|(value, axis)| axis.iter().map(|x| x * value.sqrt()).collect())
        .collect();
    // Where each way of a group leads along the axes, from the group's share of the reference.
    let at: Vec<f64> = axes
        .iter()
        .map(|a| a.iter().zip(times).map(|(a, n)| a * n).sum())
        .collect();
    let corners: Vec<Vec<Vec<f64>>> = mix
        .groups
        .iter()
        .map(|g| {
            let way = |a: &Atom| {
                let along = |axis: &Vec<f64>| -> f64 { a.mows.iter().map(|&m| axis[m]).sum() };
                axes.iter().map(|x| g.visits * along(x)).collect()
            };
            g.atoms.iter().map(way).collect()
        })
        .collect();
    let many = corners
        .iter()
        .try_fold(1_usize, |n, g: &Vec<_>| n.checked_mul(g.len().max(1)));
    let most = if many.is_some_and(|n| n <= CORNERS) {
        let start: Vec<f64> = at.iter().map(|x| -x).collect();
        farthest(&corners, &start)
    } else {
        (0..axes.len())
            .map(|x| {
                let end = |pick: fn(f64, f64) -> f64| -> f64 {
                    let of = |g: &Vec<Vec<f64>>| g.iter().map(|w| w[x]).reduce(pick);
                    corners.iter().filter_map(of).sum::<f64>() - at[x]
                };
                end(f64::min).powi(2).max(end(f64::max).powi(2))
            })
            .sum()
    };
    (most, disjoint.then(|| above(mix, times, &axes)))
}

/// For each mow what it adds each time to a linear function of the choice that the sum of the
/// squares along the axes, of the change from `times`, is never above. No mow is in two groups.
fn above(mix: &Mix, times: &[f64], axes: &[Vec<f64>]) -> Vec<f64> {
    let mut out = vec![0.0; times.len()];
    let groups: Vec<Vec<usize>> = (mix.groups.iter())
        .map(|g| g.atoms.iter().flat_map(|a| a.mows.clone()).collect())
        .collect();
    // How much each group adds at the reference, square rooted: so weighed, the sum is least there.
    let mut weights = Vec::with_capacity(groups.len());
    for (g, mows) in mix.groups.iter().zip(&groups) {
        let at = |x: &Vec<f64>| -> f64 { mows.iter().map(|&i| x[i] * times[i]).sum() };
        for &m in mows {
            let squares = axes.iter().map(|x| (x[m] * g.visits - at(x)).powi(2));
            out[m] = squares.sum::<f64>() / g.visits.max(f64::MIN_POSITIVE);
        }
        let mean: f64 = mows.iter().map(|&m| out[m] * times[m]).sum();
        weights.push(mean.max(0.0).sqrt());
    }
    let scale = |w: &mut Vec<f64>, least: f64| {
        let all = w.iter().sum::<f64>().max(f64::MIN_POSITIVE);
        w.iter_mut().for_each(|w| *w = (*w / all).max(least));
    };
    scale(&mut weights, MIN_WEIGHT);
    scale(&mut weights, 0.0);
    for (mows, weight) in groups.iter().zip(&weights) {
        mows.iter().for_each(|&m| out[m] /= weight);
    }
    out
}

/// The greatest square of the distance over all corners.
fn farthest(corners: &[Vec<Vec<f64>>], from: &[f64]) -> f64 {
    let Some((first, rest)) = corners.split_first() else {
        return from.iter().map(|x| x * x).sum();
    };
    let mut most: f64 = 0.0;
    for way in first {
        let next: Vec<f64> = from.iter().zip(way).map(|(a, b)| a + b).collect();
        most = most.max(farthest(rest, &next));
    }
    most
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::choice::tests::{Numbers, case};

    #[test]
    fn a_sum_of_squares_is_never_above_its_linear_function_and_meets_it_at_corners_of_one_group() {
        for k in 0..12 {
            let (mut mix, _) = case(k);
            let (mut r, mows) = (Numbers::new(k), mix.mows.len());
            for split in [mows, 2] {
                let singles = |m: std::ops::Range<usize>| Group {
                    visits: 1.0 + m.start as f64,
                    atoms: m.map(|m| Atom { mows: vec![m] }).collect(),
                };
                mix.groups = vec![singles(0..split), singles(split..mows)];
                mix.groups.retain(|g| !g.atoms.is_empty());
                let mut drawn = |corner: bool| -> Vec<f64> {
                    let mut out = vec![0.0; mows];
                    for g in &mix.groups {
                        let mut of: Vec<f64> = g.atoms.iter().map(|_| r.next()).collect();
                        if corner {
                            let at = (r.next() * of.len() as f64) as usize;
                            of = (0..of.len()).map(|i| f64::from(i == at)).collect();
                        }
                        let all: f64 = of.iter().sum();
                        for (a, n) in g.atoms.iter().zip(of) {
                            out[a.mows[0]] = n / all * g.visits;
                        }
                    }
                    out
                };
                let (times, axes) = (drawn(false), [drawn(true), drawn(false)]);
                let above = above(&mix, &times, &axes);
                for corner in [true, false].repeat(20) {
                    let n = drawn(corner);
                    let squares = axes.iter().map(|x| (dot(x, &n) - dot(x, &times)).powi(2));
                    let (q, line) = (squares.sum::<f64>(), dot(&above, &n));
                    assert!(q <= line + 1e-9 * (1.0 + q), "case {k}: {q} above {line}");
                    if corner && mix.groups.len() == 1 {
                        assert!((q - line).abs() < 1e-9 * (1.0 + q), "case {k}: {q} {line}");
                    }
                }
            }
        }
    }
}
