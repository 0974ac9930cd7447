//! What a mower drives: lines and circular arcs, reels down or up.

use crate::model::pose::Pose;
use geo_types::Coord;
use std::f64::consts::{FRAC_PI_2, PI};

/// Whether the reels touch the grass.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum Reels {
    /// Lowered and cutting.
    Down,
    /// Lifted; nothing is cut.
    Up,
}

/// Which way the mower rolls along a track. Reels are only ever down going forward.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum Gear {
    /// The mower points where it goes.
    Forward,
    /// The mower backs up.
    Reverse,
}

/// A circular arc: `from_rad` and `sweep_rad` are mathematical angles seen from the centre.
#[derive(Debug, Clone, Copy, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct CircularArc {
    /// Centre, metres.
    pub centre: Coord<f64>,
    /// Radius, metres, above zero.
    pub radius_m: f64,
    /// Angle of the first point, radians counter-clockwise from east.
    pub from_rad: f64,
    /// Signed angle swept, radians; above zero turns left (counter-clockwise).
    pub sweep_rad: f64,
}

/// The shape of a track.
#[derive(Debug, Clone, Copy, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum Segment {
    /// A straight line.
    Line {
        /// First point, metres.
        from: Coord<f64>,
        /// Last point, metres.
        to: Coord<f64>,
    },
    /// A circular arc.
    Arc(CircularArc),
}

/// One line or arc of a drive: the path of the fixed axle's midpoint.
#[derive(Debug, Clone, Copy, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Track {
    /// Its shape, in the order of travel.
    pub path: Segment,
    /// Reels down or up.
    pub reels: Reels,
    /// Forward or backing.
    pub gear: Gear,
}

impl CircularArc {
    /// The point at angle `at_rad` seen from the centre.
    #[doc(hidden)]
    pub fn point(&self, at_rad: f64) -> Coord<f64> {
        let (s, c) = at_rad.sin_cos();
        Coord {
            x: self.centre.x + self.radius_m * c,
            y: self.centre.y + self.radius_m * s,
        }
    }

    /// Angle of the last point, radians.
    pub fn to_rad(&self) -> f64 {
        self.from_rad + self.sweep_rad
    }

    /// +1 where it turns left, -1 where it turns right.
    fn side(&self) -> f64 {
        if self.sweep_rad >= 0.0 { 1.0 } else { -1.0 }
    }

    /// The angle `s_m` metres along it, radians.
    fn rad_at(&self, s_m: f64) -> f64 {
        self.from_rad + self.side() * s_m / self.radius_m
    }

    /// An arc that leaves `pose` tangentially: `sweep_rad` above zero turns left.
    #[doc(hidden)]
    pub fn leaving(pose: Pose, radius_m: f64, sweep_rad: f64) -> Self {
        let side = if sweep_rad >= 0.0 { 1.0 } else { -1.0 };
        let centre = pose.offset(0.0, side * radius_m);
        Self {
            centre,
            radius_m,
            from_rad: pose.heading_rad - side * FRAC_PI_2,
            sweep_rad,
        }
    }
}

impl Segment {
    /// Length, metres.
    pub fn length_m(&self) -> f64 {
        match self {
            // Coordinates of a course are far from where squares overflow.
            Segment::Line { from, to } => {
                let (dx, dy) = (to.x - from.x, to.y - from.y);
                (dx * dx + dy * dy).sqrt()
            }
            Segment::Arc(a) => a.radius_m * a.sweep_rad.abs(),
        }
    }

    /// Position and direction of travel `s_m` metres along the path.
    pub fn pose_at(&self, s_m: f64) -> Pose {
        let at = self.point_at(s_m, self.length_m());
        match self {
            Segment::Line { from, to } => Pose::new(at, (to.y - from.y).atan2(to.x - from.x)),
            Segment::Arc(a) => Pose::new(at, a.rad_at(s_m) + a.side() * FRAC_PI_2),
        }
    }

    /// The position alone, for whoever asks often; `length_m` is [`Segment::length_m`].
    pub(crate) fn point_at(&self, s_m: f64, length_m: f64) -> Coord<f64> {
        match self {
            Segment::Line { from, to } => {
                let t = if length_m > 0.0 { s_m / length_m } else { 0.0 };
                // The exact end, so that chains meet to the bit.
                if t == 1.0 {
                    return *to;
                }
                Coord {
                    x: from.x + t * (to.x - from.x),
                    y: from.y + t * (to.y - from.y),
                }
            }
            Segment::Arc(a) => a.point(a.rad_at(s_m)),
        }
    }

    /// First pose.
    pub fn start(&self) -> Pose {
        self.pose_at(0.0)
    }

    /// Last pose.
    pub fn end(&self) -> Pose {
        self.pose_at(self.length_m())
    }

    /// Signed curvature, 1/m: above zero turns left, zero is straight.
    #[doc(hidden)]
    pub fn curvature_per_m(&self) -> f64 {
        match self {
            Segment::Line { .. } => 0.0,
            Segment::Arc(a) => a.sweep_rad.signum() / a.radius_m,
        }
    }

    /// The piece between `from_m` and `to_m` metres along the path.
    #[doc(hidden)]
    pub fn part(&self, from_m: f64, to_m: f64) -> Segment {
        match self {
            Segment::Line { .. } => Segment::Line {
                from: self.pose_at(from_m).at,
                to: self.pose_at(to_m).at,
            },
            Segment::Arc(a) => Segment::Arc(CircularArc {
                from_rad: a.rad_at(from_m),
                sweep_rad: a.side() * (to_m - from_m) / a.radius_m,
                ..*a
            }),
        }
    }

    /// The same shape driven the other way.
    #[doc(hidden)]
    pub fn reversed(&self) -> Segment {
        match self {
            Segment::Line { from, to } => Segment::Line {
                from: *to,
                to: *from,
            },
            Segment::Arc(a) => Segment::Arc(CircularArc {
                from_rad: a.to_rad(),
                sweep_rad: -a.sweep_rad,
                ..*a
            }),
        }
    }

    /// Points along the path whose chords stay within `tolerance_m` of it, both ends included.
    pub fn points(&self, tolerance_m: f64) -> Vec<Coord<f64>> {
        match self {
            Segment::Line { from, to } => vec![*from, *to],
            Segment::Arc(a) => {
                let n = arc_steps(a.radius_m, a.sweep_rad, tolerance_m);
                (0..=n)
                    .map(|i| a.point(a.from_rad + a.sweep_rad * i as f64 / n as f64))
                    .collect()
            }
        }
    }
}

/// How many chords keep within `tolerance_m` of an arc (sagitta r (1 - cos(step / 2))).
pub fn arc_steps(radius_m: f64, sweep_rad: f64, tolerance_m: f64) -> usize {
    let ratio = (1.0 - tolerance_m / radius_m).clamp(-1.0, 1.0);
    let step = (2.0 * ratio.acos()).clamp(1e-4, PI / 4.0);
    ((sweep_rad.abs() / step).ceil() as usize).max(1)
}

impl Track {
    /// A forward track with the reels down.
    pub fn down(path: Segment) -> Self {
        Self {
            path,
            reels: Reels::Down,
            gear: Gear::Forward,
        }
    }

    /// A forward track with the reels up.
    pub fn up(path: Segment) -> Self {
        Self {
            reels: Reels::Up,
            ..Self::down(path)
        }
    }

    /// The mower's pose at the start: it points backward along the path when backing.
    pub fn start(&self) -> Pose {
        self.facing(self.path.start())
    }

    /// The mower's pose at the end.
    pub fn end(&self) -> Pose {
        self.facing(self.path.end())
    }

    fn facing(&self, p: Pose) -> Pose {
        match self.gear {
            Gear::Forward => p,
            Gear::Reverse => p.reversed(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawn::{line, pose};
    use approx::assert_relative_eq;

    #[test]
    fn a_left_quarter_ends_where_geometry_says() {
        let path = Segment::Arc(CircularArc::leaving(pose(1.0, 2.0, 0.0), 3.0, FRAC_PI_2));
        let Pose { at, heading_rad } = path.end();
        assert!((at.x - 4.0).hypot(at.y - 5.0) < 1e-12, "{at:?}");
        assert_relative_eq!(heading_rad, FRAC_PI_2, epsilon = 1e-12);
        assert_relative_eq!(path.length_m(), 3.0 * FRAC_PI_2, epsilon = 1e-12);
    }

    #[test]
    fn a_reversed_path_swaps_its_ends() {
        for path in [
            line(0.0, 0.0, 3.0, 4.0),
            Segment::Arc(CircularArc::leaving(pose(0.0, 0.0, 0.3), 5.0, -1.2)),
        ] {
            let back = path.reversed();
            assert_relative_eq!(back.start().at.x, path.end().at.x, epsilon = 1e-12);
            assert_relative_eq!(back.end().at.y, path.start().at.y, epsilon = 1e-12);
            assert_relative_eq!(back.length_m(), path.length_m(), epsilon = 1e-12);
        }
    }
}
