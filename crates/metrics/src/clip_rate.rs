//! Clip: how far a reel travels between two cuts, on the straight and on a loop.
//!
//! A reel with `b` blades at `n` revolutions a minute cuts `b n / 60` times a second, so the
//! clip is speed x 60 / (n b): in inches 1,056 x mph / (rpm x blades), in millimetres
//! 16,666.7 x km/h / (rpm x blades) (derived: 1 mph is 1,056 inches a minute).
//!
//! On a loop of radius R the mower turns at one rate, so a unit farther out travels farther
//! between two cuts: its speed over that of the axle's midpoint is its own radius over R. The
//! reel's speed does not follow, so the clip differs by the same ratio, outer edge over inner
//! edge (R + W/2) / (R - W/2) for a bar on the axle.

use crossgrain_core::inside::deck::outward_m;
use crossgrain_core::{CuttingUnit, Mower, Reel, Sense};

/// Travel between two cuts at `speed_m_s`, metres. Infinite when the reel stands still.
///
/// ```
/// use crossgrain_core::Reel;
/// use crossgrain_metrics::clip_rate::clip_m;
/// // 6 km/h, 2,200 rpm and 15 cuts a turn: 3.030 mm.
/// let c = clip_m(6.0 / 3.6, &Reel { blades: 15, rpm: 2200.0 });
/// assert_eq!(format!("{:.3}", c * 1000.0), "3.030");
/// ```
pub fn clip_m(speed_m_s: f64, reel: &Reel) -> f64 {
    speed_m_s * 60.0 / (reel.rpm * f64::from(reel.blades))
}

/// What the middle of a unit does on a loop of `radius_m` (path of the axle's midpoint): its speed
/// over the ground, over the speed of the axle's midpoint, and its slip. That is the angle between
/// its travel and the mower's forward axis, radians, 0 to pi: a unit ahead of the axle slides
/// sideways by this much. Above a right angle it moves backward.
pub fn unit_on_loop(unit: &CuttingUnit, radius_m: f64, sense: Sense) -> (f64, f64) {
    let along = radius_m + outward_m(unit.across_m, sense);
    let speed_ratio = along.hypot(unit.ahead_m) / radius_m;
    (speed_ratio, unit.ahead_m.abs().atan2(along))
}

/// Clip of the outermost cut edge over that of the innermost one, the mower's units taken at
/// their own places; infinite when the inner edge stands on the turning centre.
pub fn outer_over_inner(mower: &Mower, radius_m: f64, sense: Sense) -> f64 {
    let (mut low, mut high) = (f64::INFINITY, 0.0f64);
    for unit in &mower.units {
        for across_m in [unit.left_m(), unit.right_m()] {
            let r = (radius_m + outward_m(across_m, sense)).hypot(unit.ahead_m);
            (low, high) = (low.min(r), high.max(r));
        }
    }
    high / low
}

/// Longest clip of any unit's middle, metres: on the straight at the mowing speed and, where a loop
/// is driven (radius of the axle's path, sense), on it at the loops' speed. `None` without a reel.
pub fn longest_clip_m(mower: &Mower, on_loop: Option<(f64, Sense)>) -> Option<f64> {
    let reel = mower.reel.as_ref()?;
    let loops = on_loop.map(|(radius_m, sense)| {
        let ratios = mower
            .units
            .iter()
            .map(|u| unit_on_loop(u, radius_m, sense).0);
        mower.speeds.loops_m_s * ratios.fold(0.0, f64::max)
    });
    Some(clip_m(
        mower.speeds.mowing_m_s.max(loops.unwrap_or(0.0)),
        reel,
    ))
}

/// The longest clip, metres, where it is longer than the height of cut: then the cut shows as
/// waves across the travel. That the clip should be no longer than the height of cut is common
/// practice; no figure of a standard was found.
///
/// ```
/// use crossgrain_core::{Mower, Reel};
/// use crossgrain_metrics::clip_rate::clip_above_height_m;
/// let mut m = Mower::bar(2.54); // 8 km/h
/// m.reel = Some(Reel { blades: 7, rpm: 1500.0 });
/// // 12.7 mm from cut to cut: too long for 10 mm, not for 15 mm.
/// assert!(clip_above_height_m(&m, None, 0.010).is_some());
/// assert!(clip_above_height_m(&m, None, 0.015).is_none());
/// ```
pub fn clip_above_height_m(
    mower: &Mower,
    on_loop: Option<(f64, Sense)>,
    height_m: f64,
) -> Option<f64> {
    longest_clip_m(mower, on_loop).filter(|clip| *clip > height_m)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawn::unit;
    use approx::assert_relative_eq;

    #[test]
    fn the_outer_unit_of_a_loop_clips_longest() {
        let mut m = Mower::bar(2.0);
        m.reel = Some(Reel {
            blades: 11,
            rpm: 2000.0,
        });
        m.units[0].across_m = 1.0;
        let straight = clip_m(m.speeds.mowing_m_s, &m.reel.unwrap());
        assert_eq!(longest_clip_m(&m, None), Some(straight));
        // Turning right at 2 m, the unit a metre left goes half as fast again: 9 km/h, not 8.
        let outside = longest_clip_m(&m, Some((2.0, Sense::Clockwise))).unwrap();
        assert_relative_eq!(outside, straight * 9.0 / 8.0, epsilon = 1e-12);
        assert_eq!(
            longest_clip_m(&m, Some((2.0, Sense::CounterClockwise))),
            Some(straight)
        );
        assert!(clip_above_height_m(&m, None, straight - 1e-9).is_some());
        assert!(clip_above_height_m(&m, None, straight).is_none());
        m.reel = None;
        assert_eq!(longest_clip_m(&m, None), None);
    }

    #[test]
    fn a_unit_ahead_slips_and_one_outside_is_quicker() {
        let beside = unit(1.0, 0.0, 0.8);
        let inside = unit_on_loop(&beside, 4.0, Sense::CounterClockwise);
        assert_eq!(inside, (0.75, 0.0));
        assert_eq!(unit_on_loop(&beside, 4.0, Sense::Clockwise), (1.25, 0.0));
        let (ratio, slip_rad) = unit_on_loop(&unit(0.0, 3.0, 0.8), 4.0, Sense::Clockwise);
        assert_eq!((ratio, slip_rad), (1.25, 0.75f64.atan()));
    }
}
