//! The table that areas are added to.

use crate::swath::edge::Layer;

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

    /// On the ground to mow.
    #[inline]
    pub(crate) fn on_ground(&self) -> bool {
        self.ground > 0
    }

    /// On the ground, inside the reach, and never cut.
    #[inline]
    pub fn is_missed(&self) -> bool {
        self.cut <= 0 && self.ground > 0 && self.reach > 0
    }

    /// Cut, outside the filled outline and outside every keep-out.
    #[inline]
    pub fn is_overrun(&self) -> bool {
        self.cut > 0 && self.filled <= 0 && self.keep <= 0
    }

    /// Cut inside a keep-out, or in a hole of the ground.
    #[inline]
    pub fn is_keepout_cut(&self) -> bool {
        self.cut > 0 && (self.keep > 0 || (self.filled > 0 && self.ground <= 0))
    }
}

/// Ground cut more often than this is booked as cut this often: no mow comes near it, and a
/// senseless track (a million turns on the spot) must not ask for a table of that length.
const MAX_CUTS: i32 = 65_535;

/// Areas in square metres, added in a fixed order.
#[derive(Debug, Clone, Default)]
pub struct Tally {
    /// Ground cut exactly k times, k = 0, 1, 2 ...
    pub times_cut_m2: Vec<f64>,
    /// Ground inside the reach, never cut.
    pub missed_m2: f64,
    /// Ground outside the reach.
    pub trim_m2: f64,
    /// Cut outside the filled outline and all keep-outs.
    pub overrun_m2: f64,
    /// Cut inside keep-outs and holes of the ground.
    pub keepout_cut_m2: f64,
    /// Cut at least once, wherever it lies.
    pub cut_once_m2: f64,
    /// Swept, each pass counted, wherever it lies.
    pub swept_m2: f64,
    /// Bound on what a wrong order of edges misjudged.
    pub disorder_m2: f64,
    /// Areas added, for the rounding bound.
    pub terms: u64,
    /// Winding did not come back to zero: a fault in the input that nothing else caught.
    pub open: bool,
}

impl Tally {
    /// Adds `area_m2` of ground in `state`.
    #[inline]
    pub(crate) fn add(&mut self, state: &State, area_m2: f64) {
        self.terms += 1;
        let k = state.cut.clamp(0, MAX_CUTS) as usize;
        if state.cut < 0 {
            // Only in slivers where rounding has swapped two edges.
            self.disorder_m2 += area_m2.abs();
        }
        if state.on_ground() {
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
            self.cut_once_m2 += area_m2;
            self.swept_m2 += k as f64 * area_m2;
            if state.is_keepout_cut() {
                self.keepout_cut_m2 += area_m2;
            } else if state.is_overrun() {
                self.overrun_m2 += area_m2;
            }
        }
    }

    /// Adds another table to this one.
    pub(crate) fn merge(&mut self, other: &Tally) {
        if other.times_cut_m2.len() > self.times_cut_m2.len() {
            self.times_cut_m2.resize(other.times_cut_m2.len(), 0.0);
        }
        for (a, b) in self.times_cut_m2.iter_mut().zip(&other.times_cut_m2) {
            *a += b;
        }
        self.missed_m2 += other.missed_m2;
        self.trim_m2 += other.trim_m2;
        self.overrun_m2 += other.overrun_m2;
        self.keepout_cut_m2 += other.keepout_cut_m2;
        self.cut_once_m2 += other.cut_once_m2;
        self.swept_m2 += other.swept_m2;
        self.disorder_m2 += other.disorder_m2;
        self.terms += other.terms;
        self.open |= other.open;
    }
}
