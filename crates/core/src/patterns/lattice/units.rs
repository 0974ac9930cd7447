//! The full band of a lane cut by real cutting units, proven cell by cell.
//!
//! On an arc of radius R about a centre to the left, a point a to the left and x ahead of the
//! axle runs on the radius sqrt((R - a)^2 + x^2). A unit therefore sweeps an annular piece.
//! Where the two half-circles of a drift meet, the mower heads straight across the lane, so a
//! unit x ahead changes from one half to the other exactly at height +x on the arm that leaves
//! and -x on the arm that comes back: its leading angle asks for nothing more.
//!
//! The heights and the advances within the tolerance are cut into cells. For a cell every
//! swept interval is replaced by the part that is swept for *every* height and advance of the
//! cell (end values of monotone functions, so no sampling between them), and the cell counts
//! as covered when these inner parts, repeated by the advance, close. A cell that does not
//! close is halved along the advance, a few times; one that still does not close counts as
//! open. So a band found here is proven; it may fall short of the exact one by about a cell.

use crate::model::mower::CuttingUnit;
use crate::model::pattern::LoopForm;
use crate::patterns::lattice::shape::{Band, LoopShape};
use std::ops::Range;

/// Height of a cell, metres: the proven band falls short by about this much at each end.
const CELL_M: f64 = 0.005;
/// How often a cell is halved along the advance. Nine halvings of the default 0.40 m leave
/// under 1 mm: an arm that closes a gap a dozen loops on then loses 1 cm at most.
const HALVINGS: u32 = 9;
/// Heights between samples of the quick look, metres.
pub(super) const LOOK_M: f64 = 0.03;

/// Edges of a unit's cut on one arc, over an advance range.
#[derive(Debug, Clone, Copy)]
struct Radii {
    inner_most_m: f64,
    outer_least_m: f64,
}

/// The units of a left-turning mower, ready to ask about heights.
pub struct Deck<'a> {
    units: &'a [CuttingUnit],
    steering_m: f64,
    /// Heights about the axle that each cuts on the straight, shortened.
    straight: Vec<(f64, f64)>,
}

/// All that depends on the advance range but not on the height: radii unit by unit.
struct Advances {
    least_m: f64,
    most_m: f64,
    forward: Vec<Option<Radii>>,
    back: Vec<Option<Radii>>,
}

/// How far to the left the units of a left-turning mower reach, metres.
pub fn innermost_m(units: &[CuttingUnit]) -> f64 {
    let left = units.iter().map(CuttingUnit::left_m);
    left.fold(f64::MIN, f64::max)
}

impl<'a> Deck<'a> {
    /// A deck of units as a left-turning mower sees them.
    pub fn new(units: &'a [CuttingUnit], steering_m: f64) -> Self {
        let spans: Vec<[f64; 2]> = units.iter().map(|u| [u.right_m(), u.left_m()]).collect();
        let off = |i: usize, end: usize| shortening(steering_m, &[&spans], i, end, 1e-9);
        let cut = |i: usize| (spans[i][0] + off(i, 0), spans[i][1] - off(i, 1));
        let straight = (0..spans.len()).map(cut).collect();
        Self {
            units,
            steering_m,
            straight,
        }
    }

    /// The tallest contiguous band proven full for every advance within the tolerance, near the
    /// one that a quick look saw: only heights that pass it are worth proving.
    pub fn proven_within(
        &self,
        shape: &LoopShape,
        advance_tolerance_m: f64,
        seen: Band,
    ) -> Option<Band> {
        let least = shape.advance_m - advance_tolerance_m;
        let most = shape.advance_m + advance_tolerance_m;
        let halved = |h: u32| -> Vec<Advances> {
            let n = 1usize << h;
            let step = (most - least) / n as f64;
            let at = |i: usize| {
                if i == n {
                    most
                } else {
                    least + step * i as f64
                }
            };
            (0..n)
                .map(|i| self.range(shape, at(i), at(i + 1)))
                .collect()
        };
        let ranges: Vec<Vec<Advances>> = (0..=HALVINGS).map(halved).collect();
        let cuts = self.cell_edges(seen.low_m - LOOK_M, seen.high_m + LOOK_M);
        let mut scratch = Vec::new();
        let mut best: Option<Band> = None;
        let mut from: Option<f64> = None;
        for w in cuts.windows(2) {
            let (low, high_m) = (w[0], w[1]);
            if self.proven(shape, &ranges, 0, 0, (low, high_m), &mut scratch) {
                let low_m = *from.get_or_insert(low);
                best = Band::taller(best, Band { low_m, high_m });
            } else {
                from = None;
            }
        }
        best
    }

    /// A quick look, sampled and not proven: the tallest band at the least, the planned and the
    /// greatest advance, if it is at least `least_m` tall and every unit rolls forward. It tells
    /// which advances are worth proving.
    pub fn look(&self, shape: &LoopShape, advance_tolerance_m: f64, least_m: f64) -> Option<Band> {
        let least = shape.advance_m - advance_tolerance_m;
        let most = shape.advance_m + advance_tolerance_m;
        if least <= 0.0 || shape.with_advance(most).tight_radius_m() < innermost_m(self.units) {
            return None;
        }
        // The greatest leaves gaps most often.
        let ranges = [most, least, shape.advance_m].map(|p| self.range(shape, p, p));
        let radii = ranges.iter().flat_map(|r| r.forward.iter().chain(&r.back));
        let outer = radii.flatten().map(|r| r.outer_least_m);
        let reach = outer.fold(0.0, f64::max);
        let n = (2.0 * reach / LOOK_M).ceil() as usize;
        let mut scratch = Vec::new();
        let height = |i: usize| -reach + LOOK_M * i as f64;
        let mut full = |i: usize| {
            let y = height(i);
            let mut ranges = ranges.iter();
            ranges.all(|r| self.closes(shape, r, (y, y), &mut scratch))
        };
        // Two samples make a band; rounding must not cost one.
        let samples = (least_m / LOOK_M - 1e-6).max(1.0) as usize + 1;
        let run = longest_run(n + 1, samples, &mut full)?;
        Some(Band {
            low_m: height(run.start),
            high_m: height(run.end - 1),
        })
    }

    /// Cell edges: a regular grid and the heights where a unit changes from half to half.
    fn cell_edges(&self, low_m: f64, high_m: f64) -> Vec<f64> {
        let n = ((high_m - low_m) / CELL_M).ceil().max(1.0) as usize;
        let grid = (0..=n).map(|i| low_m + (high_m - low_m) * i as f64 / n as f64);
        let changes = self.units.iter().flat_map(|u| [u.ahead_m, -u.ahead_m]);
        let mut cuts: Vec<f64> = grid
            .chain(changes.filter(|x| (low_m..high_m).contains(x)))
            .collect();
        cuts.sort_by(f64::total_cmp);
        cuts.dedup_by(|a, b| *a - *b < 1e-9);
        cuts
    }

    fn range(&self, shape: &LoopShape, least_m: f64, most_m: f64) -> Advances {
        let (a, b) = (shape.with_advance(least_m), shape.with_advance(most_m));
        Advances {
            least_m,
            most_m,
            forward: self.radii(a.wide_radius_m(), b.wide_radius_m()),
            back: self.radii(a.tight_radius_m(), b.tight_radius_m()),
        }
    }

    /// Edge radii of every unit while the arc's radius lies between two values, shortened.
    fn radii(&self, r0_m: f64, r1_m: f64) -> Vec<Option<Radii>> {
        let edges = |u: &CuttingUnit, r: f64| {
            [u.left_m(), u.right_m()].map(|across| (r - across).hypot(u.ahead_m))
        };
        let spans = |r: f64| -> Vec<[f64; 2]> { self.units.iter().map(|u| edges(u, r)).collect() };
        let (a, b) = (spans(r0_m), spans(r1_m));
        // A radius grows at most as fast as the arc's, so an overlap this deep at both ends of
        // the range holds throughout.
        let deep = (r1_m - r0_m).abs() + 1e-9;
        let off = |i: usize, end: usize| shortening(self.steering_m, &[&a, &b], i, end, deep);
        (0..a.len())
            .map(|i| {
                let r = Radii {
                    inner_most_m: a[i][0].max(b[i][0]) + off(i, 0),
                    outer_least_m: a[i][1].min(b[i][1]) - off(i, 1),
                };
                (r.outer_least_m > r.inner_most_m).then_some(r)
            })
            .collect()
    }

    /// Proves one cell, halving the advance range where needed.
    fn proven(
        &self,
        shape: &LoopShape,
        ranges: &[Vec<Advances>],
        level: usize,
        index: usize,
        heights: (f64, f64),
        scratch: &mut Vec<(f64, f64)>,
    ) -> bool {
        if self.closes(shape, &ranges[level][index], heights, scratch) {
            return true;
        }
        level + 1 < ranges.len()
            && (0..2).all(|half| {
                self.proven(shape, ranges, level + 1, 2 * index + half, heights, scratch)
            })
    }

    /// Whether what is swept at every height and advance of the cell covers the whole line.
    fn closes(
        &self,
        shape: &LoopShape,
        range: &Advances,
        (low_m, high_m): (f64, f64),
        cuts: &mut Vec<(f64, f64)>,
    ) -> bool {
        cuts.clear();
        let middle = (low_m + high_m) / 2.0;
        // Squares of the heights nearest to and farthest from the axis.
        let far = low_m.abs().max(high_m.abs()).powi(2);
        let near = if low_m <= 0.0 && high_m >= 0.0 {
            0.0
        } else {
            low_m.abs().min(high_m.abs()).powi(2)
        };
        let (p0, p1) = (range.least_m, range.most_m);
        let drift = shape.form == LoopForm::Drift;
        for (i, u) in self.units.iter().enumerate() {
            // The straight piece, below the circle's centre by its radius.
            let (r, (low, high)) = (shape.wide_radius_m(), self.straight[i]);
            if !drift && low_m >= low - r && high_m <= high - r {
                return true;
            }
            for arm in [1.0, -1.0] {
                let on_forward = !drift || middle <= arm * u.ahead_m;
                let radii = if on_forward {
                    &range.forward
                } else {
                    &range.back
                };
                let Some(r) = radii[i] else { continue };
                if r.outer_least_m * r.outer_least_m <= far {
                    continue;
                }
                // The half back turns about a point half an advance farther on.
                let (c0, c1) = if on_forward || !drift {
                    (0.0, 0.0)
                } else {
                    (p0 / 2.0, p1 / 2.0)
                };
                let out = (r.outer_least_m * r.outer_least_m - far).sqrt();
                if r.inner_most_m * r.inner_most_m <= near {
                    // Above the inner edge both arms are one.
                    push(cuts, c1 - out, c0 + out, p0, p1);
                    continue;
                }
                let inn = (r.inner_most_m * r.inner_most_m - near).sqrt();
                if arm > 0.0 {
                    push(cuts, c1 + inn, c0 + out, p0, p1);
                } else {
                    push(cuts, c1 - out, c0 - inn, p0, p1);
                }
            }
        }
        cuts.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut to = 0.0;
        for &(l, r) in cuts.iter() {
            if l > to {
                return false;
            }
            if r > to {
                to = r;
                if to >= p1 {
                    return true;
                }
            }
        }
        false
    }
}

/// By how much an end of a unit's cut is shortened: not at all where another unit overlaps it by so
/// much at both looks. Units are bolted together, so an error at the wheel opens nothing between two.
fn shortening(steering_m: f64, looks: &[&[[f64; 2]]], unit: usize, end: usize, deep_m: f64) -> f64 {
    let over = |j: usize, spans: &[[f64; 2]]| {
        let at = spans[unit][end];
        at >= spans[j][0] + deep_m && at <= spans[j][1] - deep_m
    };
    let mut others = (0..looks[0].len()).filter(|&j| j != unit);
    if others.any(|j| looks.iter().all(|spans| over(j, spans))) {
        0.0
    } else {
        steering_m
    }
}

/// The longest run below `n` on which all `holds`, the first of equals; none shorter than `least`.
/// Looks at the far end of each possible run first, and so not at all of them (after R. S. Boyer
/// and J S. Moore, *Communications of the ACM* 20, 1977).
fn longest_run(
    n: usize,
    least: usize,
    mut holds: impl FnMut(usize) -> bool,
) -> Option<Range<usize>> {
    let (mut best, mut least) = (None, least.max(1));
    // All from `from` up to `known` hold.
    let (mut from, mut known) = (0, 0);
    while from + least <= n {
        let end = from + least;
        if let Some(gap) = (known..end).rev().find(|&i| !holds(i)) {
            (from, known) = (gap + 1, end);
            continue;
        }
        let to = (end..n).find(|&i| !holds(i)).unwrap_or(n);
        best = Some(from..to);
        least = to - from + 1;
        (from, known) = (to + 1, to + 1);
    }
    best
}

/// Adds an interval and its repeats by every advance between `p0` and `p1` that can meet the
/// window from 0 to `p1`, each cut down to what all those advances share.
fn push(cuts: &mut Vec<(f64, f64)>, l: f64, r: f64, p0: f64, p1: f64) {
    if r <= l {
        return;
    }
    let first = (-r / p0).ceil().min((-r / p1).ceil()) as i64;
    let last = ((p1 - l) / p0).floor().max(((p1 - l) / p1).floor()) as i64;
    for m in first..=last {
        let m = m as f64;
        let (a, b) = if m >= 0.0 {
            (l + m * p1, r + m * p0)
        } else {
            (l + m * p0, r + m * p1)
        };
        if b > a && b > 0.0 && a < p1 {
            cuts.push((a, b));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::bar::{self, Bar};
    use super::super::shape::Tolerances;
    use super::*;
    use crate::drawn::unit;

    #[test]
    fn the_longest_run_is_found_whatever_is_asked_for_at_least() {
        let row = [1, 1, 0, 1, 1, 1, 0, 1, 0, 1, 1, 1, 1];
        let run = |n: usize, least: usize| longest_run(n, least, |i| row[i] == 1);
        for least in 0..=4 {
            assert_eq!(run(13, least), Some(9..13));
        }
        assert_eq!(run(13, 5), None);
        assert_eq!(run(12, 2), Some(3..6), "the first of two");
        assert_eq!((run(0, 1), run(3, 2)), (None, Some(0..2)));
    }

    #[test]
    fn one_unit_on_the_axle_agrees_with_the_closed_form() {
        let tol = Tolerances {
            advance_m: 0.2,
            steering_m: 0.05,
        };
        for form in [LoopForm::Drift, LoopForm::Roll] {
            for (w, d, p) in [(2.54, 6.4, 2.9), (2.54, 6.7, 2.3), (2.1336, 15.24, 1.8)] {
                let shape = LoopShape {
                    form,
                    diameter_m: d,
                    advance_m: p,
                };
                let whole = Bar {
                    left_m: w / 2.0,
                    right_m: -w / 2.0,
                };
                let exact = bar::band(whole, &shape, tol);
                let units = [unit(0.0, 0.0, w)];
                let deck = Deck::new(&units, tol.steering_m);
                let seen = deck.look(&shape, tol.advance_m, 0.0);
                let proven = seen.and_then(|s| deck.proven_within(&shape, tol.advance_m, s));
                let [e, p] = [exact, proven].map(|b| b.unwrap().height_m());
                assert!(
                    p <= e + 1e-9 && p > e - 0.03,
                    "{form:?} {w} {d}: exact {e}, proven {p}"
                );
            }
        }
    }

    #[test]
    fn repeats_are_cut_for_every_advance_and_none_is_forgotten() {
        let mut next = crate::drawn::spread(11);
        for _ in 0..2000 {
            let (l, p0) = (next(12.0) - 6.0, 0.8 + next(2.0));
            let (r, p1) = (l + next(2.0), p0 + next(0.2));
            let mut cuts = Vec::new();
            push(&mut cuts, l, r, p0, p1);
            for &(a, b) in &cuts {
                for (x, p) in [(a, p0), (b, p0), (a, p1), (b, p1)] {
                    let on = |m: i32| (x - f64::from(m) * p - l, r - x + f64::from(m) * p);
                    let cut = |m: i32| on(m).0 >= -1e-9 && on(m).1 >= -1e-9;
                    assert!((-20..=20).any(cut), "{x} at {p}: {l} {r} {p0} {p1}");
                }
            }
            // Of one advance alone every repeat in the window is there, whole.
            let mut alone = Vec::new();
            push(&mut alone, l, r, p0, p0);
            let all = (-20..=20).map(|m| (l + f64::from(m) * p0, r + f64::from(m) * p0));
            let met = all.filter(|c| c.1 > 1e-9 && c.0 < p0 - 1e-9);
            for c in met {
                let near = |k: &(f64, f64)| (k.0 - c.0).abs() < 1e-9 && (k.1 - c.1).abs() < 1e-9;
                assert!(alone.iter().any(near), "{c:?} of {alone:?}");
            }
        }
    }
}
