//! The table that areas are added to.

use crate::swath::edge::{Edges, Layer};

/// Winding numbers of one place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct State {
    /// Times cut.
    pub cut: i32,
    ground: i32,
    pub(crate) filled: i32,
    pub(crate) keep: i32,
    pub(crate) reach: i32,
}

impl State {
    /// Steps across an edge of `layer` that changes its count by `delta`.
    #[inline]
    pub(crate) fn step(&mut self, layer: Layer, delta: i32) {
        // Wrapping: senseless input may count past any number, and must not stop the program.
        let add = |count: &mut i32| *count = count.wrapping_add(delta);
        match layer {
            Layer::Cut => add(&mut self.cut),
            Layer::Outer => {
                add(&mut self.ground);
                add(&mut self.filled);
            }
            Layer::Hole => add(&mut self.ground),
            Layer::Keep => add(&mut self.keep),
            Layer::Reach => add(&mut self.reach),
        }
    }

    /// On the ground, inside the reach, and never cut.
    #[inline]
    pub fn is_missed(&self) -> bool {
        self.cut <= 0 && self.ground > 0 && self.reach > 0
    }
}

/// Ground cut more often is booked as cut this often: a senseless track (a million turns on the spot)
/// must not ask for a table of that length.
const MAX_CUTS: i32 = 65_535;

/// Areas cut, in square metres.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Coverage {
    /// Area of the ground cut exactly k times, k = 0, 1, 2 ...; they add up to its area.
    pub times_cut_m2: Vec<f64>,
    /// Area of the ground inside the reach, never cut.
    pub missed_m2: f64,
    /// Area of the ground outside the reach, cut or not.
    pub trim_m2: f64,
    /// Area cut outside the filled outline and all keep-outs.
    pub overrun_m2: f64,
    /// Area cut inside keep-outs and holes of the ground.
    pub keepout_cut_m2: f64,
    /// Area cut at least once, wherever it lies.
    pub cut_m2: f64,
    /// Area swept, wherever it lies, each pass over a point counted.
    pub swept_m2: f64,
    /// Bound on the error of each of these areas. Infinite when a track or ring was left out because
    /// it held a number that is not finite or too large.
    pub error_bound_m2: f64,
    /// Areas added, for the bound.
    terms: u64,
    /// Whether winding did not come back to zero: a fault in the input that nothing else caught.
    pub(crate) open: bool,
}

impl Coverage {
    /// Area of the ground.
    pub fn ground_m2(&self) -> f64 {
        self.times_cut_m2.iter().sum()
    }

    /// Area of the ground never cut.
    pub fn uncut_m2(&self) -> f64 {
        self.times_cut_m2.first().copied().unwrap_or(0.0)
    }

    /// Area swept within the ground, each pass over a point counted.
    pub fn swept_on_ground_m2(&self) -> f64 {
        self.by_count(|k| k)
    }

    /// Sum over k >= 2 of (k - 1) times the area cut k times.
    pub fn overlap_m2(&self) -> f64 {
        self.by_count(|k| k.saturating_sub(1))
    }

    fn by_count(&self, weight: impl Fn(usize) -> usize) -> f64 {
        let areas = self.times_cut_m2.iter().enumerate();
        areas.map(|(k, a)| weight(k) as f64 * a).sum()
    }

    /// Adds `area_m2` of ground in `state`.
    #[inline]
    pub(crate) fn add(&mut self, state: &State, area_m2: f64) {
        self.terms += 1;
        let k = state.cut.clamp(0, MAX_CUTS) as usize;
        if state.cut < 0 {
            // Only in slivers where rounding has swapped two edges.
            self.error_bound_m2 += area_m2.abs();
        }
        if state.ground > 0 {
            if k >= self.times_cut_m2.len() {
                self.times_cut_m2.resize(k + 1, 0.0);
            }
            self.times_cut_m2[k] += area_m2;
            if state.reach <= 0 {
                self.trim_m2 += area_m2;
            } else if k == 0 {
                self.missed_m2 += area_m2;
            }
        }
        if k > 0 {
            self.cut_m2 += area_m2;
            self.swept_m2 += k as f64 * area_m2;
            if state.keep > 0 || (state.filled > 0 && state.ground <= 0) {
                self.keepout_cut_m2 += area_m2;
            } else if state.filled <= 0 {
                self.overrun_m2 += area_m2;
            }
        }
    }

    /// The table of all rows. Its sums are the same whichever row was done first.
    pub(crate) fn of_rows(rows: &[Coverage], edges: &Edges) -> Self {
        let mut all = Coverage::default();
        for row in rows {
            let counts = row.times_cut_m2.len().max(all.times_cut_m2.len());
            all.times_cut_m2.resize(counts, 0.0);
            for (a, b) in all.times_cut_m2.iter_mut().zip(&row.times_cut_m2) {
                *a += b;
            }
            all.missed_m2 += row.missed_m2;
            all.trim_m2 += row.trim_m2;
            all.overrun_m2 += row.overrun_m2;
            all.keepout_cut_m2 += row.keepout_cut_m2;
            all.cut_m2 += row.cut_m2;
            all.swept_m2 += row.swept_m2;
            all.error_bound_m2 += row.error_bound_m2;
            all.terms += row.terms;
            all.open |= row.open;
        }
        let rounding_m2 = all.rounding_m2(edges, rows.len().max(1) as f64);
        let bound_m2 = all.error_bound_m2 + edges.weld_m2 + rounding_m2;
        all.drop_specks(bound_m2);
        let sound = !edges.broken && !all.open && bound_m2.is_finite();
        all.error_bound_m2 = if sound { bound_m2 } else { f64::INFINITY };
        all
    }

    /// Every x in the sweep is off by a few units in the last place of the largest coordinate or
    /// radius, which moves an edge's area by that times its length; and every sum of n terms is
    /// off by n units of its own size at most.
    fn rounding_m2(&self, edges: &Edges, rows: f64) -> f64 {
        let (mut size, mut length) = (0.0_f64, 0.0);
        for e in &edges.list {
            let numbers = [e.lo.x, e.lo.y, e.hi.x, e.hi.y, e.r];
            size = numbers.iter().fold(size, |most, v| most.max(v.abs()));
            length += (e.hi.x - e.lo.x).abs() + (e.hi.y - e.lo.y);
        }
        let terms = self.terms as f64 / rows + rows;
        f64::EPSILON * (8.0 * size * length + terms * (self.swept_m2 + self.ground_m2()))
    }

    /// Books slivers that only rounding made, where a circle ends on its own start, one count lower,
    /// so that the sum stays.
    fn drop_specks(&mut self, bound_m2: f64) {
        while let [.., below, last] = self.times_cut_m2.as_mut_slice() {
            if *last > bound_m2 || bound_m2.is_nan() {
                break;
            }
            *below += *last;
            self.times_cut_m2.pop();
        }
        if self.times_cut_m2.is_empty() {
            self.times_cut_m2.push(0.0);
        }
    }
}
