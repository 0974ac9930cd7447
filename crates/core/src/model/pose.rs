//! Where the mower stands and which way it points.

use geo_types::Coord;
use std::f64::consts::{PI, TAU};

/// The midpoint of the fixed axle and the direction of travel.
#[derive(Debug, Clone, Copy, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Pose {
    /// Position in the course's plane, metres, x east and y north.
    pub at: Coord<f64>,
    /// Mathematical direction, radians counter-clockwise from x east.
    pub heading_rad: f64,
}

impl Pose {
    /// At the origin, heading east.
    #[doc(hidden)]
    pub fn origin() -> Self {
        Self::new(Coord { x: 0.0, y: 0.0 }, 0.0)
    }

    /// A pose at `at` pointing `heading_rad` radians counter-clockwise from east.
    pub fn new(at: Coord<f64>, heading_rad: f64) -> Self {
        Self { at, heading_rad }
    }

    /// The point `ahead_m` metres forward and `across_m` metres to the left (ISO 8855 axes).
    ///
    /// ```
    /// use crossgrain_core::Pose;
    /// use geo_types::coord;
    /// let facing_north = Pose::new(coord! { x: 0.0, y: 0.0 }, std::f64::consts::FRAC_PI_2);
    /// let p = facing_north.offset(2.0, 1.0);
    /// assert!((p.x + 1.0).abs() < 1e-12 && (p.y - 2.0).abs() < 1e-12);
    /// ```
    pub fn offset(&self, ahead_m: f64, across_m: f64) -> Coord<f64> {
        let [point] = self.offsets(ahead_m, [across_m]);
        point
    }

    /// The points `ahead_m` metres forward and so far to the left each, metres.
    #[doc(hidden)]
    pub fn offsets<const N: usize>(&self, ahead_m: f64, across_m: [f64; N]) -> [Coord<f64>; N] {
        let (s, c) = self.heading_rad.sin_cos();
        across_m.map(|across_m| Coord {
            x: self.at.x + ahead_m * c - across_m * s,
            y: self.at.y + ahead_m * s + across_m * c,
        })
    }

    /// The pose `by_m` metres farther along its heading; before it, if below zero.
    #[doc(hidden)]
    pub fn ahead(self, by_m: f64) -> Self {
        if by_m == 0.0 {
            return self;
        }
        Self::new(self.offset(by_m, 0.0), self.heading_rad)
    }

    /// The same place, facing the other way.
    pub fn reversed(&self) -> Self {
        Self::new(self.at, self.heading_rad + PI)
    }
}

/// An angle folded into (-pi, pi], radians.
pub fn fold_rad(angle_rad: f64) -> f64 {
    let t = turn_rad(angle_rad);
    if t > PI { t - TAU } else { t }
}

/// An angle folded into [0, 2 pi), radians.
pub fn turn_rad(angle_rad: f64) -> f64 {
    // Most angles are less than a turn off; dividing would take 3% of a whole plan.
    let t = if (0.0..TAU).contains(&angle_rad) {
        return angle_rad;
    } else if (TAU..2.0 * TAU).contains(&angle_rad) {
        angle_rad - TAU
    } else if (-TAU..0.0).contains(&angle_rad) {
        angle_rad + TAU
    } else {
        angle_rad.rem_euclid(TAU)
    };
    // rem_euclid may round up to the modulus itself for tiny negative angles.
    if t >= TAU { 0.0 } else { t }
}
