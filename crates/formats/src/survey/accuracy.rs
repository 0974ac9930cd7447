//! How far positions, and so the area inside them, can be trusted.
//!
//! The area of a ring of points P_i changes with their errors e_i by the sum of e_i times half
//! the chord between the neighbours, turned by a right angle (the shoelace formula, to first
//! order). Errors of a receiver are alike for some time, but nobody knows for how long: the
//! interval takes the time for which it comes out widest. An error that is the same all round
//! moves the outline and leaves its area, and so it should.

use super::clean::{Point, apart, median};
use super::drive::Drive;
use super::edge::Closed;

/// Error of a receiver of which nothing is known, along each axis (one standard deviation),
/// metres: a phone under the open sky (common practice).
pub const DEFAULT_ERROR_M: f64 = 3.0;
/// Errors farther apart than this are taken as independent when the spread is judged, seconds.
const ALIKE_S: f64 = 20.0;
/// Fewer independent stretches of overlap than this say too little.
const MIN_STRETCHES: f64 = 3.0;
/// What a receiver says of itself is often too good (common practice): taken this much larger.
const MODEST: f64 = 1.25;
/// Times for which errors may be alike, seconds, from independent to slow drift.
const TIMES_S: [f64; 7] = [0.5, 2.0, 5.0, 15.0, 40.0, 100.0, 300.0];
/// Most points that are taken against each other.
const MAX_POINTS: usize = 500;

/// Where an error is known from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ErrorFrom {
    /// The spread where the drive goes over its own beginning.
    Overlap,
    /// What the receiver says of itself.
    Receiver,
    /// Nothing: that of a phone.
    Assumed,
}

/// An error and how wide an interval of 95% is for it.
#[derive(Debug, Clone, Copy)]
pub(super) struct PositionError {
    pub sigma_m: f64,
    pub from: ErrorFrom,
    /// Standard deviations in half an interval.
    pub quantile: f64,
}

pub(super) fn error(closed: &Closed, drive: &Drive) -> PositionError {
    let stretches = closed.overlap_s / ALIKE_S;
    if let Some(spread_m) = closed.spread_m
        && stretches >= MIN_STRETCHES
    {
        return PositionError {
            // Both times are wrong.
            sigma_m: spread_m / 2.0_f64.sqrt(),
            from: ErrorFrom::Overlap,
            // Student's t for 95%, within 4% from three degrees of freedom on.
            quantile: 1.96 + 2.4 / stretches + 2.8 / (stretches * stretches),
        };
    }
    let mut said: Vec<f64> = drive.fixes.iter().filter_map(|f| f.error_m).collect();
    if 2 * said.len() > drive.fixes.len() {
        return PositionError {
            sigma_m: MODEST * median(&mut said),
            from: ErrorFrom::Receiver,
            quantile: 1.96,
        };
    }
    PositionError {
        sigma_m: DEFAULT_ERROR_M,
        from: ErrorFrom::Assumed,
        quantile: 1.96,
    }
}

/// Half the interval of the area, square metres.
pub(super) fn half_interval_m2(closed: &Closed, error: &PositionError) -> f64 {
    let stride = closed.ring.len().div_ceil(MAX_POINTS).max(1);
    let ring: Vec<Point> = closed.ring.iter().step_by(stride).copied().collect();
    let n = ring.len();
    let weights: Vec<(f64, f64)> = (0..n)
        .map(|i| {
            let (a, b) = (ring[(i + n - 1) % n].at, ring[(i + 1) % n].at);
            ((b.x - a.x) / 2.0, (b.y - a.y) / 2.0)
        })
        .collect();
    let widest = TIMES_S
        .iter()
        .map(|&alike_s| {
            let mut sum = 0.0;
            for i in 0..n {
                for j in 0..n {
                    let dot = weights[i].0 * weights[j].0 + weights[i].1 * weights[j].1;
                    let apart_s = (ring[i].time_s - ring[j].time_s).abs();
                    sum += dot * (-apart_s / alike_s).exp();
                }
            }
            sum
        })
        .fold(0.0, f64::max);
    // Chords between positions cut the bends: over a whole turn, 2 pi d^2 / 12 of area.
    let mut steps: Vec<f64> = closed
        .ring
        .windows(2)
        .map(|w| apart(w[0].at, w[1].at))
        .collect();
    let step_m = median(&mut steps);
    error.quantile * error.sigma_m * widest.sqrt() + std::f64::consts::PI / 6.0 * step_m * step_m
}
