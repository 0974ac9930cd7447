//! The full band of a lane cut by cutting units, proven cell by cell.
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
//! open. So a band found here is proven; it falls short of the exact one by a hair.

use crate::model::mower::CuttingUnit;
use crate::model::pattern::LoopForm;
use crate::patterns::lattice::LoopShape;
use crate::swath::contact::Span;
use std::cell::OnceCell;
use std::ops::Range;

/// Height of a cell, metres.
const CELL_M: f64 = 0.005;
/// How often the open cells beside the band are halved to see how far into them it goes on.
const FINER: u32 = 14;
/// How often a cell is halved along the advance. Twelve halvings of the default 0.40 m leave
/// 0.1 mm: an arm that closes a gap a dozen loops on then loses a millimetre or so.
const HALVINGS: u32 = 12;
/// Nor is a cell halved in height below this, metres.
const FINEST_M: f64 = 0.0005;
/// Heights between samples of the quick look, metres.
pub(super) const LOOK_M: f64 = 0.03;

/// The units of a left-turning mower, ready to ask about heights.
pub struct Deck<'a> {
    units: &'a [CuttingUnit],
    advance_tolerance_m: f64,
    steering_tolerance_m: f64,
    /// Heights about the axle that each cuts on the straight, shortened.
    straight: Vec<Span>,
}

/// A range of advances, and the radii that each unit cuts on both halves at all of them.
#[derive(Clone)]
struct Advances {
    least_m: f64,
    most_m: f64,
    forward: Vec<Span>,
    back: Vec<Span>,
}

/// How far to the left the units of a left-turning mower reach, metres.
pub fn innermost_m(units: &[CuttingUnit]) -> f64 {
    units
        .iter()
        .map(CuttingUnit::left_m)
        .fold(f64::MIN, f64::max)
}

impl<'a> Deck<'a> {
    /// A deck of units as a left-turning mower sees them, and the errors at the wheel that must
    /// leave no gap: of the advance, metres each way, and of steering, metres at each end of the cut.
    pub fn new(
        units: &'a [CuttingUnit],
        advance_tolerance_m: f64,
        steering_tolerance_m: f64,
    ) -> Self {
        let spans: Vec<[f64; 2]> = units.iter().map(|u| [u.right_m(), u.left_m()]).collect();
        let off = |i, end| shortening(steering_tolerance_m, &[&spans], i, end, 1e-9);
        let cut = |i: usize| (spans[i][0] + off(i, 0), spans[i][1] - off(i, 1));
        let straight = (0..spans.len()).map(cut).collect();
        Self {
            units,
            advance_tolerance_m,
            steering_tolerance_m,
            straight,
        }
    }

    /// The tallest contiguous band proven full for every advance within the tolerance, near the
    /// one that a quick look saw: only heights that pass it are worth proving. From and to, metres
    /// from the lane's axis toward the returning half of the loop.
    pub fn proven_within(&self, shape: &LoopShape, seen: Span) -> Option<Span> {
        let ranges = Ranges {
            deck: self,
            shape,
            made: vec![OnceCell::new(); 2 << HALVINGS],
        };
        let cuts = self.cell_edges(seen.0 - LOOK_M, seen.1 + LOOK_M);
        let mut scratch = Vec::new();
        let mut proven = |a: f64, b: f64| {
            let heights = (a.min(b), a.max(b));
            ranges.prove(1, heights, &mut scratch)
        };
        let run = longest_run(cuts.len() - 1, 1, |i| proven(cuts[i], cuts[i + 1]))?;
        let mut farther = |mut full: f64, mut open: f64| {
            for _ in 0..FINER {
                let middle = (full + open) / 2.0;
                if proven(full, middle) {
                    full = middle;
                } else {
                    open = middle;
                }
            }
            full
        };
        let low_m = farther(cuts[run.start], cuts[run.start.saturating_sub(1)]);
        let high_m = farther(cuts[run.end], cuts[(run.end + 1).min(cuts.len() - 1)]);
        Some((low_m, high_m))
    }

    /// A quick look, sampled and not proven: the tallest band at the least, the planned and the
    /// greatest advance, if it is at least `least_m` tall and every unit rolls forward. It tells
    /// which advances are worth proving.
    pub fn look(&self, shape: &LoopShape, least_m: f64) -> Option<Span> {
        let (least, most) = self.advances(shape);
        if least <= 0.0 || shape.with_advance(most).tight_radius_m() < innermost_m(self.units) {
            return None;
        }
        // The greatest leaves gaps most often.
        let ranges = [most, least, shape.advance_m].map(|p| self.range(shape, p, p));
        let radii = ranges.iter().flat_map(|r| r.forward.iter().chain(&r.back));
        let reach = radii.map(|r| r.1).fold(0.0, f64::max);
        let n = (2.0 * reach / LOOK_M).ceil() as usize;
        let mut scratch = Vec::new();
        let height = |i: usize| -reach + LOOK_M * i as f64;
        let full = |i: usize| {
            let y = height(i);
            let mut ranges = ranges.iter();
            ranges.all(|r| self.closes(shape, r, (y, y), &mut scratch))
        };
        // Two samples make a band; rounding must not cost one.
        let samples = (least_m / LOOK_M - 1e-6).max(1.0) as usize + 1;
        let run = longest_run(n + 1, samples, full)?;
        Some((height(run.start), height(run.end - 1)))
    }

    /// The least and the greatest advance within the tolerance.
    fn advances(&self, shape: &LoopShape) -> (f64, f64) {
        let (advance_m, off_m) = (shape.advance_m, self.advance_tolerance_m);
        (advance_m - off_m, advance_m + off_m)
    }

    /// Cell edges: a regular grid and the heights where a unit changes from half to half.
    fn cell_edges(&self, low_m: f64, high_m: f64) -> Vec<f64> {
        let n = ((high_m - low_m) / CELL_M).ceil().max(1.0) as usize;
        let grid = (0..=n).map(|i| low_m + (high_m - low_m) * i as f64 / n as f64);
        let changes = self.units.iter().flat_map(|u| [u.ahead_m, -u.ahead_m]);
        let inner = changes.filter(|x| (low_m..high_m).contains(x));
        let mut cuts: Vec<f64> = grid.chain(inner).collect();
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

    /// What every unit cuts at all radii of the arc between two, shortened: radii from the
    /// inner edge to the outer one.
    fn radii(&self, r0_m: f64, r1_m: f64) -> Vec<Span> {
        let edges = |u: &CuttingUnit, r: f64| {
            [u.left_m(), u.right_m()].map(|across| (r - across).hypot(u.ahead_m))
        };
        let spans = |r: f64| -> Vec<[f64; 2]> { self.units.iter().map(|u| edges(u, r)).collect() };
        let (a, b) = (spans(r0_m), spans(r1_m));
        // A radius grows at most as fast as the arc's, so an overlap this deep at both ends of
        // the range holds throughout.
        let deep = (r1_m - r0_m).abs() + 1e-9;
        let off = |i, end| shortening(self.steering_tolerance_m, &[&a, &b], i, end, deep);
        let cut = |i: usize| {
            let inner = a[i][0].max(b[i][0]) + off(i, 0);
            (inner, (a[i][1].min(b[i][1]) - off(i, 1)).max(0.0))
        };
        (0..a.len()).map(cut).collect()
    }

    /// Whether what is swept at every height and advance of the cell covers the whole line.
    fn closes(
        &self,
        shape: &LoopShape,
        range: &Advances,
        (low_m, high_m): Span,
        cuts: &mut Vec<Span>,
    ) -> bool {
        cuts.clear();
        let middle = (low_m + high_m) / 2.0;
        // Squares of the heights nearest to and farthest from the axis.
        let far = low_m.abs().max(high_m.abs()).powi(2);
        let near = low_m.max(-high_m).max(0.0).powi(2);
        let (p0, p1) = (range.least_m, range.most_m);
        let drift = shape.form == LoopForm::Drift;
        for (i, u) in self.units.iter().enumerate() {
            // The straight piece, below the circle's centre by its radius.
            let (r, (low, high)) = (shape.wide_radius_m(), self.straight[i]);
            if !drift && low_m >= low - r && high_m <= high - r {
                return true;
            }
            for arm in [1.0, -1.0] {
                // The half back turns about a point half an advance farther on.
                let on_forward = !drift || middle <= arm * u.ahead_m;
                let ((inner, outer), c0, c1) = if on_forward {
                    (range.forward[i], 0.0, 0.0)
                } else {
                    (range.back[i], p0 / 2.0, p1 / 2.0)
                };
                if outer * outer <= far {
                    continue;
                }
                let out = (outer * outer - far).sqrt();
                if inner * inner <= near {
                    // Above the inner edge both arms are one.
                    push(cuts, c1 - out, c0 + out, p0, p1);
                    continue;
                }
                let inn = (inner * inner - near).sqrt();
                if arm > 0.0 {
                    push(cuts, c1 + inn, c0 + out, p0, p1);
                } else {
                    push(cuts, c1 - out, c0 - inn, p0, p1);
                }
            }
        }
        cuts.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut to: f64 = 0.0;
        for &(l, r) in cuts.iter() {
            if l > to {
                break;
            }
            to = to.max(r);
        }
        to >= p1
    }
}

/// The range of advances within the tolerance, halved again and again: made when asked for. The
/// first is number 1, the halves of range i are ranges 2 i and 2 i + 1.
struct Ranges<'a> {
    deck: &'a Deck<'a>,
    shape: &'a LoopShape,
    made: Vec<OnceCell<Advances>>,
}

impl Ranges<'_> {
    fn range(&self, i: usize) -> &Advances {
        self.made[i].get_or_init(|| {
            let (least, most) = self.deck.advances(self.shape);
            let n = 1 << i.ilog2();
            let at = |j: usize| {
                let share = j as f64 / n as f64;
                least * (1.0 - share) + most * share
            };
            self.deck.range(self.shape, at(i - n), at(i - n + 1))
        })
    }

    /// Proves one cell, halving the advances and then the heights where needed.
    fn prove(&self, i: usize, heights: Span, scratch: &mut Vec<Span>) -> bool {
        if self
            .deck
            .closes(self.shape, self.range(i), heights, scratch)
        {
            return true;
        }
        let (low, high) = heights;
        let middle = (low + high) / 2.0;
        let halves = if 2 * i < self.made.len() {
            [(2 * i, heights), (2 * i + 1, heights)]
        } else if high - low > FINEST_M {
            [(i, (low, middle)), (i, (middle, high))]
        } else {
            return false;
        };
        let mut halves = halves.into_iter();
        halves.all(|(i, heights)| self.prove(i, heights, scratch))
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
fn push(cuts: &mut Vec<Span>, l: f64, r: f64, p0: f64, p1: f64) {
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
    use super::*;
    use crate::drawn::unit;
    use approx::assert_relative_eq;

    /// The band of a bar on the axle, centred.
    fn bar_band(width_m: f64, shape: &LoopShape, advance_tolerance_m: f64) -> Option<Span> {
        let units = [unit(0.0, 0.0, width_m)];
        let deck = Deck::new(&units, advance_tolerance_m, 0.0);
        deck.proven_within(shape, deck.look(shape, 0.0)?)
    }

    #[test]
    fn the_band_of_a_bar_ends_where_neighbours_cross_and_at_gaps() {
        let of = |advance_m: f64| {
            let shape = LoopShape {
                form: LoopForm::Roll,
                diameter_m: 12.0,
                advance_m,
            };
            bar_band(2.5, &shape, 0.0).unwrap()
        };
        // h = sqrt((R + W/2)^2 - (p/2)^2), derived; R 6, W 2.5, p 2.5 gives 7.1414.
        assert_relative_eq!(of(2.5).1, 7.1414, epsilon = 5e-5);
        assert_relative_eq!(of(2.5).0, -7.25, epsilon = 1e-5);
        assert!(of(3.0).1 - of(3.0).0 < 12.0);
    }

    /// Straight from the definition, for a bar, height by height and advance by advance.
    fn covered(w: f64, shape: &LoopShape, y: f64) -> bool {
        let p = shape.advance_m;
        let r = if y < 0.0 {
            shape.wide_radius_m()
        } else {
            shape.tight_radius_m()
        };
        if shape.form == LoopForm::Roll && (-r - w / 2.0..=-r + w / 2.0).contains(&y) {
            return true;
        }
        let (i, o) = (r - w / 2.0, r + w / 2.0);
        if y.abs() >= o {
            return false;
        }
        let a = (o * o - y * y).sqrt();
        let b = (i * i - y * y).max(0.0).sqrt();
        let arms = |m: i32| {
            let s = f64::from(m) * p;
            [(s - a, s - b), (s + b, s + a)]
        };
        let mut cuts: Vec<Span> = (-40..=40).flat_map(arms).collect();
        cuts.sort_by(|x, y| x.0.total_cmp(&y.0));
        let reached = |x: f64, &(l, r): &Span| if l > x + 1e-9 { x } else { x.max(r) };
        cuts.iter().fold(0.0, reached) >= p - 1e-9
    }

    proptest::proptest! {
        #[test]
        fn every_height_of_the_band_of_a_bar_is_cut_and_none_beyond(
            w in 1.5f64..4.0, d in 5.0f64..16.0, p in 0.5f64..5.0, drift: bool,
            u in 0.0f64..1.0,
        ) {
            const HEIGHTS: i32 = 200;
            let form = if drift { LoopForm::Drift } else { LoopForm::Roll };
            let shape = LoopShape { form, diameter_m: d, advance_m: p };
            for off_m in [0.0, 0.2] {
                let Some(b) = bar_band(w, &shape, off_m) else { continue };
                let q = shape.with_advance(p - off_m + 2.0 * off_m * u);
                for i in 0..=HEIGHTS {
                    let t = f64::from(i) / f64::from(HEIGHTS);
                    let y = b.0 + (b.1 - b.0) * (1e-6 + (1.0 - 2e-6) * t);
                    proptest::prop_assert!(covered(w, &q, y), "{b:?} open at {y} for {q:?}");
                }
                // Just beyond, a bar a millimetre narrower leaves something.
                let open = |y: f64| !covered(w - 1e-3, &shape, y);
                let ends = open(b.0 - 2e-6) && open(b.1 + 2e-6);
                proptest::prop_assert!(off_m > 0.0 || ends, "{b:?} {shape:?}");
            }
        }
    }

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
            for c in all.filter(|c| c.1 > 1e-9 && c.0 < p0 - 1e-9) {
                let near = |k: &Span| (k.0 - c.0).abs() < 1e-9 && (k.1 - c.1).abs() < 1e-9;
                assert!(alone.iter().any(near), "{c:?} of {alone:?}");
            }
        }
    }
}
