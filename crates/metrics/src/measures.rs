//! All measures of one mow, by the names of the plan file.

/// The measures of one mow on one fairway. Areas in square metres, lengths in metres.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Measures {
    /// Area of the ground to mow, A.
    pub fairway_m2: f64,
    /// Area cut exactly k times, k = 0, 1, 2 ...; they add up to A.
    pub times_cut_m2: Vec<f64>,
    /// Area cut 0 times.
    pub uncut_m2: f64,
    /// Area cut 0 times inside the reach.
    pub missed_m2: f64,
    /// Area outside the reach, cut or not.
    pub trim_m2: f64,
    /// Sum over k >= 2 of (k - 1) times the area cut k times.
    pub overlap_m2: f64,
    /// Sum of k times area, over A.
    pub mean_cuts: f64,
    /// Area outside the outline (keep-outs aside) under a lowered reel.
    pub overrun_m2: f64,
    /// Area inside keep-outs under a lowered reel.
    pub keepout_cut_m2: f64,
    /// Bound on the error of each area.
    pub area_error_bound_m2: f64,
    /// Maximal runs with the reels down.
    pub passes: usize,
    /// Fewest passes a set of parallel stripes could need.
    pub pass_floor: usize,
    /// Turns with the reels up.
    pub turns: usize,
    /// Driven with the reels down.
    pub mowing_m: f64,
    /// Driven with the reels up inside this mow.
    pub transport_m: f64,
    /// A / W.
    pub distance_floor_m: f64,
    /// `mowing_m` over `distance_floor_m`.
    pub distance_ratio: f64,
    /// Time for the whole drive, minutes.
    pub minutes: f64,
    /// Effective over theoretical field capacity (ASABE EP496).
    pub field_efficiency: f64,
    /// Polar lay, area-weighted mean over the cells, 0 to 1.
    pub lay_r1: f64,
    /// Axial grain, area-weighted mean over the cells, 0 to 1.
    pub lay_r2: f64,
}
