//! All that a mechanic asks of a mower before the crew drives circles with it, in one place.
//!
//! Widths and overlaps on the straight, the smallest clean loop in each sense and pair by
//! pair, the strips left at a chosen diameter, speed and clip at every unit.
//!
//! The *clip* is how far a reel travels between two cuts. A reel with `b` blades at `n` revolutions
//! a minute cuts `b n / 60` times a second, so the clip is speed x 60 / (n b): in inches
//! 1,056 x mph / (rpm x blades), in millimetres 16,666.7 x km/h / (rpm x blades) (derived: 1 mph is
//! 1,056 inches a minute). On a loop of radius R a unit farther out travels farther between two cuts:
//! its speed over that of the axle's midpoint is its own radius over R. For a bar on the axle the clip
//! differs, outer edge over inner edge, by (R + W/2) / (R - W/2).

use crossgrain_core::inside::deck::{
    Neighbours, Strip, Striped, clean_from_radius_m, gaps_on_the_straight, neighbours, outward_m,
    striped_radii, strips,
};
use crossgrain_core::{CuttingUnit, Mower, Reel, Sense};

/// What the deck leaves on loops in one sense.
#[derive(Debug, Clone, PartialEq)]
pub struct OneSense {
    /// Which.
    pub sense: Sense,
    /// Diameter from which on no strip is left, metres; zero when never, `None` when always.
    pub clean_from_diameter_m: Option<f64>,
    /// All stretches of radii (not diameters) that leave strips, from the smallest up, metres.
    pub striped: Vec<Striped>,
    /// Strips at the diameter asked for, from the inside out.
    pub strips: Vec<Strip>,
}

/// One cutting unit at work.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UnitAtWork {
    /// Travel between two cuts on the straight at the mowing speed, metres, when the reel is known.
    pub clip_straight_m: Option<f64>,
    /// The same on the loop at the loop speed, in the middle of the unit.
    pub clip_loop_m: Option<f64>,
    /// Speed of the unit's middle over that of the axle's midpoint on the loop.
    pub speed_ratio_loop: f64,
    /// Speed of the unit's middle on the loop, metres per second.
    pub speed_loop_m_s: f64,
    /// Angle between the unit's travel and the mower's axis on the loop, radians.
    pub slip_rad: f64,
}

/// The whole report.
#[derive(Debug, Clone, PartialEq)]
pub struct DeckReport {
    /// From the outermost cut edge to the outermost cut edge, metres.
    pub cutting_width_m: f64,
    /// Gaps on the straight, from right to left.
    pub gaps: Vec<Strip>,
    /// Side by side on the straight, from right to left.
    pub neighbours: Vec<Neighbours>,
    /// Diameter the loop figures are for (path of the axle's midpoint), metres.
    pub loop_diameter_m: f64,
    /// Sense the unit figures are for.
    pub sense: Sense,
    /// Turning right.
    pub cw: OneSense,
    /// Turning left.
    pub ccw: OneSense,
    /// The units, in the order of the mower.
    pub units: Vec<UnitAtWork>,
    /// Clip of the outermost cut edge over that of the innermost.
    pub outer_over_inner: f64,
}

impl DeckReport {
    /// The figures of one sense.
    pub fn of(&self, sense: Sense) -> &OneSense {
        match sense {
            Sense::Clockwise => &self.cw,
            Sense::CounterClockwise => &self.ccw,
        }
    }
}

/// Reports on a mower at one loop diameter; the unit figures are for loops in `sense`.
///
/// The diameter must be above zero. The mower is taken as it is; the reader of mower files
/// refuses units that stand in each other, that cut nothing of their own or that leave gaps.
///
/// ```
/// use crossgrain_core::{Mower, Sense};
/// let r = crossgrain_metrics::deck_report::deck_report(&Mower::bar(2.54), 6.7, Sense::Clockwise);
/// assert_eq!(r.cw.clean_from_diameter_m, Some(0.0));
/// assert!(r.cw.strips.is_empty());
/// assert_eq!(r.units[0].speed_ratio_loop, 1.0);
/// ```
pub fn deck_report(mower: &Mower, loop_diameter_m: f64, sense: Sense) -> DeckReport {
    let radius_m = loop_diameter_m / 2.0;
    let one = |sense| OneSense {
        sense,
        clean_from_diameter_m: clean_from_radius_m(&mower.units, sense).map(|r| 2.0 * r),
        striped: striped_radii(&mower.units, sense),
        strips: strips(&mower.units, radius_m, sense),
    };
    let of_unit = |u: &CuttingUnit| {
        let (speed_ratio_loop, slip_rad) = unit_on_loop(u, radius_m, sense);
        let speed_loop_m_s = mower.speeds.loops_m_s * speed_ratio_loop;
        let clip = |speed_m_s| mower.reel.as_ref().map(|reel| clip_m(speed_m_s, reel));
        UnitAtWork {
            clip_straight_m: clip(mower.speeds.mowing_m_s),
            clip_loop_m: clip(speed_loop_m_s),
            speed_ratio_loop,
            speed_loop_m_s,
            slip_rad,
        }
    };
    DeckReport {
        cutting_width_m: mower.cutting_width_m(),
        gaps: gaps_on_the_straight(&mower.units),
        neighbours: neighbours(&mower.units),
        loop_diameter_m,
        sense,
        cw: one(Sense::Clockwise),
        ccw: one(Sense::CounterClockwise),
        units: mower.units.iter().map(of_unit).collect(),
        outer_over_inner: outer_over_inner(mower, radius_m, sense),
    }
}

/// Travel between two cuts, metres. Infinite when the reel stands still.
fn clip_m(speed_m_s: f64, reel: &Reel) -> f64 {
    speed_m_s * 60.0 / (reel.rpm * f64::from(reel.blades))
}

/// What the middle of a unit does on a loop: its speed over that of the axle's midpoint, and its
/// slip. A unit ahead of the axle slides sideways by this much; above a right angle it moves backward.
fn unit_on_loop(unit: &CuttingUnit, radius_m: f64, sense: Sense) -> (f64, f64) {
    let along = radius_m + outward_m(unit.across_m, sense);
    let speed_ratio = along.hypot(unit.ahead_m) / radius_m;
    (speed_ratio, unit.ahead_m.abs().atan2(along))
}

/// Clip of the outermost cut edge over that of the innermost one, the mower's units taken at
/// their own places; infinite when the inner edge stands on the turning centre.
fn outer_over_inner(mower: &Mower, radius_m: f64, sense: Sense) -> f64 {
    let ends = |u: &CuttingUnit| [u.left_m(), u.right_m()].map(|a| (a, u.ahead_m));
    let radii = mower.units.iter().flat_map(ends);
    let radii = radii.map(|(a, ahead)| (radius_m + outward_m(a, sense)).hypot(ahead));
    radii.clone().fold(0.0, f64::max) / radii.fold(f64::INFINITY, f64::min)
}

/// Longest clip of any unit's middle, metres: on the straight at the mowing speed and, where a loop
/// is driven (radius of the axle's path, sense), on it at the loops' speed. `None` without a reel.
pub fn longest_clip_m(mower: &Mower, on_loop: Option<(f64, Sense)>) -> Option<f64> {
    let reel = mower.reel.as_ref()?;
    let loops_m_s = on_loop.map_or(0.0, |(radius_m, sense)| {
        let units = mower.units.iter();
        let ratios = units.map(|u| unit_on_loop(u, radius_m, sense).0);
        mower.speeds.loops_m_s * ratios.fold(0.0, f64::max)
    });
    Some(clip_m(mower.speeds.mowing_m_s.max(loops_m_s), reel))
}

/// The longest clip, metres, where it is longer than the height of cut: then the cut shows as
/// waves across the travel. That the clip should be no longer than the height of cut is common
/// practice; no figure of a standard was found.
///
/// ```
/// use crossgrain_core::{Mower, Reel};
/// use crossgrain_metrics::deck_report::clip_above_height_m;
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

    /// Three units ahead, two behind, 0.06 m of overlap.
    fn five() -> Mower {
        let ahead = [1.0, 0.0, -1.0].map(|across| unit(across, 0.8, 0.56));
        let behind = [0.5, -0.5].map(|across| unit(across, -0.4, 0.56));
        Mower::of_units("five", [&ahead[..], &behind].concat())
    }

    const REEL: Reel = Reel {
        blades: 11,
        rpm: 2000.0,
    };

    #[test]
    fn at_the_clean_diameter_nothing_is_left_and_just_below_something_is() {
        let report = |d: f64| deck_report(&five(), d, Sense::Clockwise);
        let r = report(4.0);
        let clean = r.cw.clean_from_diameter_m.unwrap();
        assert!(report(clean + 1e-6).cw.strips.is_empty());
        assert!(!report(clean - 1e-3).cw.strips.is_empty());
        // The widest of the neighbours' own limits is the deck's.
        assert_eq!(r.neighbours.len(), 4);
        let widest = r.neighbours.iter().map(|n| n.opens_below_cw_m.unwrap());
        assert_relative_eq!(2.0 * widest.fold(0.0, f64::max), clean, epsilon = 1e-9);
        // The deck is its own mirror image.
        let other_way = r.ccw.clean_from_diameter_m.unwrap();
        assert_relative_eq!(clean, other_way, epsilon = 1e-9);
        assert_eq!(r.cw.strips.len(), r.ccw.strips.len());
        assert!(!r.cw.strips.is_empty());
    }

    #[test]
    fn outer_units_are_quicker_and_clip_longer_and_units_ahead_slip() {
        let mut five = five();
        five.reel = Some(REEL);
        let r = deck_report(&five, 6.7, Sense::Clockwise);
        // Turning right, the left unit is outside.
        assert!(r.units[0].speed_ratio_loop > 1.2 && r.units[2].speed_ratio_loop < 0.8);
        for u in &r.units {
            // Same reel: the clip goes with the speed.
            let longer = u.clip_loop_m.unwrap() / u.clip_straight_m.unwrap();
            assert_relative_eq!(longer, u.speed_ratio_loop * (6.0 / 8.0), epsilon = 1e-12);
        }
        let on_loop = |across_m, ahead_m| {
            let sense = Sense::CounterClockwise;
            unit_on_loop(&unit(across_m, ahead_m, 0.8), 4.0, sense)
        };
        assert_eq!(on_loop(1.0, 0.0), (0.75, 0.0));
        assert_eq!(on_loop(-1.0, 0.0), (1.25, 0.0));
        assert_eq!(on_loop(0.0, 3.0), (1.25, 0.75f64.atan()));
    }

    #[test]
    fn the_outer_unit_of_a_loop_clips_longest() {
        let mut m = Mower::bar(2.0);
        assert_eq!(longest_clip_m(&m, None), None);
        m.reel = Some(REEL);
        m.units[0].across_m = 1.0;
        let straight = clip_m(m.speeds.mowing_m_s, &REEL);
        let longest = |sense| longest_clip_m(&m, Some((2.0, sense))).unwrap();
        assert_eq!(longest_clip_m(&m, None), Some(straight));
        assert_eq!(longest(Sense::CounterClockwise), straight);
        // Turning right at 2 m, the unit a metre left goes half as fast again: 9 km/h, not 8.
        let outside = longest(Sense::Clockwise);
        assert_relative_eq!(outside, straight * 9.0 / 8.0, epsilon = 1e-12);
        assert!(clip_above_height_m(&m, None, straight - 1e-9).is_some());
        assert!(clip_above_height_m(&m, None, straight).is_none());
    }
}
