//! Statistics of directions: mean, concentration, axes, and the test for no preferred direction.
//!
//! Directions do not average as numbers do: the mean of 350 and 10 degrees is 0, not 180. Each
//! becomes a unit vector; the mean vector's angle is the mean direction and its length R is how
//! well the directions agree (Fisher, *Statistical Analysis of Circular Data*, 1993; Mardia &
//! Jupp, *Directional Statistics*, 2000). Axes (a pass and its return are one axis) are first
//! doubled, and the mean angle is halved again.
//!
//! ```
//! use crossgrain_metrics::circular::Resultant;
//! let cross_cut = [0.0_f64, 90.0].map(f64::to_radians);
//! assert!(Resultant::of_axes(cross_cut).length() < 1e-12); // no grain
//! let out_and_back = [10.0_f64, 190.0].map(f64::to_radians);
//! assert!((Resultant::of_axes(out_and_back).length() - 1.0).abs() < 1e-12); // all grain
//! assert!(Resultant::of_directions(out_and_back).length() < 1e-12); // no polar lay
//! ```

use std::f64::consts::{PI, TAU};

/// The weighted sum of unit vectors at a multiple of the angles given.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Resultant {
    /// Sum of the weights.
    pub weight: f64,
    /// Weighted sum of cosines.
    pub cos: f64,
    /// Weighted sum of sines.
    pub sin: f64,
    /// 1 for directions, 2 for axes.
    fold: u8,
}

/// The shortest mean vector that still has a direction, per unit of weight: below it only
/// rounding is left.
const LEAST_LENGTH: f64 = 1e-12;

impl Resultant {
    /// Of directions in radians, each counted once. Its length is R1.
    pub fn of_directions(angles_rad: impl IntoIterator<Item = f64>) -> Self {
        Self::weighted(angles_rad.into_iter().map(|a| (a, 1.0)), 1)
    }

    /// Of axes in radians, each counted once. Its length is R2.
    pub fn of_axes(angles_rad: impl IntoIterator<Item = f64>) -> Self {
        Self::weighted(angles_rad.into_iter().map(|a| (a, 1.0)), 2)
    }

    /// Of directions in radians with weights (or counts of a class of angles).
    pub fn of_weighted_directions(angles: impl IntoIterator<Item = (f64, f64)>) -> Self {
        Self::weighted(angles, 1)
    }

    /// Of axes in radians with weights.
    pub fn of_weighted_axes(angles: impl IntoIterator<Item = (f64, f64)>) -> Self {
        Self::weighted(angles, 2)
    }

    fn weighted(angles: impl IntoIterator<Item = (f64, f64)>, fold: u8) -> Self {
        let mut r = Self {
            fold,
            ..Self::default()
        };
        for (angle, weight) in angles {
            let (s, c) = (f64::from(fold) * angle).sin_cos();
            r.weight += weight;
            r.cos += weight * c;
            r.sin += weight * s;
        }
        r
    }

    /// Length of the mean vector, 0 (balanced) to 1 (all the same). 0 without any weight.
    pub fn length(&self) -> f64 {
        if self.weight > 0.0 {
            (self.cos.hypot(self.sin) / self.weight).min(1.0)
        } else {
            0.0
        }
    }

    /// Mean direction in [0, 2 pi), or mean axis in [0, pi), radians. `None` when balanced.
    pub fn mean_rad(&self) -> Option<f64> {
        if self.length() < LEAST_LENGTH {
            return None;
        }
        let fold = f64::from(self.fold.max(1));
        let full = TAU / fold;
        let a = (self.sin.atan2(self.cos) / fold).rem_euclid(full);
        // rem_euclid may round up to the modulus for a tiny negative angle.
        Some(if a >= full { 0.0 } else { a })
    }

    /// Circular variance, 1 - R, 0 to 1 (Mardia & Jupp, section 2.3.1).
    pub fn variance(&self) -> f64 {
        1.0 - self.length()
    }

    /// Circular standard deviation, sqrt(-2 ln R), radians (Mardia & Jupp, section 2.3.2).
    /// `None` when the directions are balanced.
    pub fn standard_deviation_rad(&self) -> Option<f64> {
        let r = self.length();
        (r >= LEAST_LENGTH).then(|| (-2.0 * r.ln()).max(0.0).sqrt() / f64::from(self.fold.max(1)))
    }

    /// Rayleigh's test against directions spread evenly round the circle: how likely a mean
    /// vector this long is by chance. The weights must be counts.
    pub fn rayleigh(&self) -> Rayleigh {
        let n = self.weight;
        let r = self.length();
        // Approximation of Zar, Biostatistical Analysis, eq. 27.4 (Greenwood & Durand 1955).
        let p = if n > 0.0 {
            ((1.0 + 4.0 * n + 4.0 * n * n * (1.0 - r * r)).sqrt() - (1.0 + 2.0 * n)).exp()
        } else {
            1.0
        };
        Rayleigh {
            z: n * r * r,
            p: p.clamp(0.0, 1.0),
        }
    }
}

/// Result of Rayleigh's test.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rayleigh {
    /// n R squared.
    pub z: f64,
    /// Probability of so long a mean vector when there is no preferred direction.
    pub p: f64,
}

/// The angle from one axis to another, radians, 0 to pi / 2.
pub fn between_axes_rad(a_rad: f64, b_rad: f64) -> f64 {
    let d = (a_rad - b_rad).rem_euclid(PI);
    d.min(PI - d)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::{assert_abs_diff_eq, assert_relative_eq};

    fn rad<const N: usize>(deg: [f64; N]) -> [f64; N] {
        deg.map(f64::to_radians)
    }

    #[test]
    fn a_balanced_set_has_no_mean() {
        assert_eq!(
            Resultant::of_directions(rad([0.0, 120.0, 240.0])).mean_rad(),
            None
        );
        assert_eq!(Resultant::default().mean_rad(), None);
        assert_eq!(Resultant::default().length(), 0.0);
        assert_eq!(Resultant::default().rayleigh().p, 1.0);
    }

    #[test]
    fn the_mean_goes_round_north() {
        let r = Resultant::of_directions(rad([350.0, 10.0]));
        let mean = r.mean_rad().unwrap();
        assert!(mean < 1e-9 || TAU - mean < 1e-9);
        assert_relative_eq!(
            r.length(),
            10.0_f64.to_radians().cos(),
            max_relative = 1e-12
        );
        assert_relative_eq!(r.variance(), 1.0 - r.length());
    }

    #[test]
    fn the_spread_of_an_axis_is_half_that_of_its_double() {
        let axes = rad([5.0, 12.0, 190.0]);
        let doubled = axes.map(|a| 2.0 * a);
        assert_relative_eq!(
            Resultant::of_axes(axes).standard_deviation_rad().unwrap(),
            Resultant::of_directions(doubled)
                .standard_deviation_rad()
                .unwrap()
                / 2.0,
            max_relative = 1e-12
        );
    }

    #[test]
    fn axes_differ_by_a_right_angle_at_most() {
        let d = |a: f64, b: f64| between_axes_rad(a.to_radians(), b.to_radians()).to_degrees();
        assert_abs_diff_eq!(d(10.0, 190.0), 0.0, epsilon = 1e-9);
        assert_abs_diff_eq!(d(170.0, 10.0), 20.0, epsilon = 1e-9);
        assert_abs_diff_eq!(d(0.0, -90.0), 90.0, epsilon = 1e-9);
    }
}
