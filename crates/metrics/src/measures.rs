//! All measures of one mow, by the names of the plan file.

use crate::capacity;
use crate::coverage::{self, Coverage, OUTLINE_TOLERANCE_M, Scene};
use crate::lay::LayGrid;
use crossgrain_core::inside::ground::reach::reach;
use crossgrain_core::inside::polygon::overlay::merged;
use crossgrain_core::inside::swath::contact::{Prepared, touch_spans};
use crossgrain_core::{Fairway, Gear, Mow, Mower, Reels, Role, Segment};
use geo_types::MultiPolygon;

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
    /// Way over keep-outs that are no paths, with the reels up or down.
    pub keepout_crossed_m: f64,
    /// Bound on the error of each area.
    pub area_error_bound_m2: f64,
    /// Maximal runs with the reels down.
    pub passes: usize,
    /// Fewest passes a set of parallel stripes could need.
    pub pass_floor: usize,
    /// Steps that the drive is told in.
    pub steps: usize,
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
    /// Time of a shift that holds the drive, minutes: stops, emptying, the way there
    /// ([`capacity::shift_minutes`] at the mower's shift efficiency).
    pub shift_minutes: f64,
    /// Effective over theoretical field capacity (ASABE EP496).
    pub field_efficiency: f64,
    /// Polar lay, area-weighted mean over the cells, 0 to 1.
    pub lay_r1: f64,
    /// Axial grain, area-weighted mean over the cells, 0 to 1.
    pub lay_r2: f64,
}

impl Measures {
    /// Ground that the deck can reach, square metres.
    pub fn reach_m2(&self) -> f64 {
        (self.fairway_m2 - self.trim_m2).max(0.0)
    }
}

/// Cell size of the lay grid behind `lay_r1` and `lay_r2`, metres.
pub const LAY_CELL_M: f64 = 1.0;

/// Measures one mow of one fairway.
pub fn measure(fairway: &Fairway, mower: &Mower, mow: &Mow) -> Measures {
    let reach = reach(fairway.ground(), mower.cutting_width_m());
    measure_and_missed(fairway, mower, mow, &reach).0
}

/// The measures of one mow and the outlines of what it missed, by one sweep. `reach` is the ground
/// that the mower reaches: [`reach`], or [`crossgrain_core::Groundwork::reach`] where
/// there is one.
pub fn measure_and_missed(
    fairway: &Fairway,
    mower: &Mower,
    mow: &Mow,
    reach: &MultiPolygon<f64>,
) -> (Measures, MultiPolygon<f64>) {
    let (mut all, missed) = swept(fairway, mower, mow, reach, coverage::cover_and_missed);
    let lay = LayGrid::of_tracks(fairway, mower, mow.tracks().as_slice(), LAY_CELL_M);
    (all.lay_r1, all.lay_r2) = lay.means();
    (all, missed)
}

/// The same without the lay, for whoever compares many mows by area and time: `lay_r1` and
/// `lay_r2` are not numbers.
pub fn measure_without_lay(
    fairway: &Fairway,
    mower: &Mower,
    mow: &Mow,
    reach: &MultiPolygon<f64>,
) -> Measures {
    swept(fairway, mower, mow, reach, coverage::cover_and_missed).0
}

/// What says whether a mow is fit to be driven, without the lay. The strips that neighbouring cutting
/// units share count once in `times_cut_m2`, `overlap_m2` and `mean_cuts`, so that a sweep over a
/// deck of several units takes little longer than one over a plain deck.
pub fn strays_and_missed(
    fairway: &Fairway,
    mower: &Mower,
    mow: &Mow,
    reach: &MultiPolygon<f64>,
) -> (Measures, MultiPolygon<f64>) {
    swept(fairway, mower, mow, reach, coverage::cut_and_missed)
}

/// The measures without the lay, and the outlines of what was missed.
fn swept(
    fairway: &Fairway,
    mower: &Mower,
    mow: &Mow,
    reach: &MultiPolygon<f64>,
    sweep: fn(&Scene<'_>, f64) -> (Coverage, MultiPolygon<f64>),
) -> (Measures, MultiPolygon<f64>) {
    let scene = Scene {
        ground: fairway.ground(),
        reach,
        keep_outs: &fairway.keep_out_area(),
        mower,
        tracks: mow.tracks().as_slice(),
    };
    let (cover, missed) = sweep(&scene, OUTLINE_TOLERANCE_M);
    let fairway_m2 = cover.ground_m2();
    let width_m = mower.cutting_width_m();
    let over = |a: f64, b: f64| if b > 0.0 { a / b } else { 0.0 };
    let mowing_m = mow.mowing_m();
    let distance_floor_m = over(fairway_m2, width_m);
    let total_s = drive_minutes(mower, mow) * 60.0;
    // Theoretical capacity is taken at the speed that the reels-down driving was done at.
    let mowing_m_s = over(mowing_m, driving_s(mower, mow).0);
    let minutes = total_s / 60.0;
    let measures = Measures {
        fairway_m2,
        uncut_m2: cover.uncut_m2(),
        missed_m2: cover.missed_m2,
        trim_m2: cover.trim_m2,
        overlap_m2: cover.overlap_m2(),
        mean_cuts: over(cover.swept_on_ground_m2(), fairway_m2),
        overrun_m2: cover.overrun_m2,
        keepout_cut_m2: cover.keepout_cut_m2,
        keepout_crossed_m: crossed_m(fairway, mow),
        area_error_bound_m2: cover.error_bound_m2,
        passes: mow.passes().count(),
        pass_floor: mow.settings().pass_floor as usize,
        steps: mow.steps().len(),
        turns: mow.turns(),
        mowing_m,
        transport_m: mow.transport_m(),
        distance_floor_m,
        distance_ratio: over(mowing_m, distance_floor_m),
        minutes,
        shift_minutes: capacity::shift_minutes(minutes, mower.shift_efficiency),
        field_efficiency: capacity::field_efficiency(fairway_m2, total_s, width_m, mowing_m_s),
        lay_r1: f64::NAN,
        lay_r2: f64::NAN,
        times_cut_m2: cover.times_cut_m2,
    };
    (measures, missed)
}

/// How far the drive leads over keep-outs that the mower must go round: the path of the fixed
/// axle's middle, reels up or down.
fn crossed_m(fairway: &Fairway, mow: &Mow) -> f64 {
    let area: MultiPolygon<f64> = fairway.barriers().map(|k| k.area.clone()).collect();
    if area.0.is_empty() {
        return 0.0;
    }
    let area = Prepared::new(&merged(&area.0));
    // The path itself: a cutting line of no width to speak of.
    let path = Mower::bar(1e-6).units;
    let tracks = mow.tracks();
    let spans = tracks.flat_map(|t| touch_spans(&t.path, &path, &area));
    // Adding to 0 keeps an empty sum from being minus zero.
    0.0 + spans.map(|(from, to)| to - from).sum::<f64>()
}

/// Time for the whole drive, minutes: every track at its speed, a lift and a lowering for each pass.
pub fn drive_minutes(mower: &Mower, mow: &Mow) -> f64 {
    let (mowing_s, idle_s) = driving_s(mower, mow);
    (mowing_s + idle_s + 2.0 * mow.passes().count() as f64 * mower.lift_lower_s) / 60.0
}

/// Seconds driven with the reels down and up. Lanes of loops go at the loops' speed, other
/// reels-down tracks at the mowing speed; reels up, arcs and backing go at the turning speed
/// and lines at the transport speed.
fn driving_s(mower: &Mower, mow: &Mow) -> (f64, f64) {
    let mut lanes = mow.legs().to_vec();
    lanes.retain(|l| matches!(l.role, Role::Lane { .. }));
    let s = &mower.speeds;
    let (mut down_s, mut up_s) = (0.0, 0.0);
    for (i, track) in mow.tracks().enumerate() {
        let m = track.path.length_m();
        match (track.reels, track.path, track.gear) {
            (Reels::Down, ..) if lanes.iter().any(|l| l.tracks.contains(&i)) => {
                down_s += m / s.loops_m_s;
            }
            (Reels::Down, ..) => down_s += m / s.mowing_m_s,
            (Reels::Up, Segment::Line { .. }, Gear::Forward) => up_s += m / s.transport_m_s,
            (Reels::Up, ..) => up_s += m / s.turning_m_s,
        }
    }
    (down_s, up_s)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawn::{arc, line, unit};
    use approx::assert_relative_eq;
    use crossgrain_core::{Heading, KeepOutKind, LoopTrain, Pattern, Settings, plan};
    use crossgrain_core::{MowParts, PatternKind, PlacedLeg, Sense, Track, UsedSettings};
    use geo::Area;
    use geo_types::polygon;
    use std::f64::consts::{FRAC_PI_2, PI};

    fn strip_mow() -> (Fairway, MowParts) {
        let outline =
            polygon![(x: 0.0, y: 0.0), (x: 40.0, y: 0.0), (x: 40.0, y: 4.0), (x: 0.0, y: 4.0)];
        let fairway = Fairway::builder("1").outline(outline).build().unwrap();
        let turn = arc(40.0, 2.0, 1.0, -FRAC_PI_2, PI).path;
        let leg = |tracks, role| PlacedLeg {
            tracks,
            role,
            step: 0,
            line: None,
        };
        let mut settings = UsedSettings::default();
        settings.pass_floor = 2;
        let mow = MowParts {
            fairway: "1".to_string(),
            pattern: PatternKind::Stripes,
            heading_deg: Some(90.0),
            sense: Sense::Clockwise,
            settings,
            tracks: vec![
                line(0.0, 1.0, 40.0, 1.0),
                Track::up(turn),
                line(40.0, 3.0, 0.0, 3.0),
                Track::up(line(0.0, 3.0, 0.0, 8.0).path),
            ],
            legs: vec![
                leg(0..1, Role::Stripe { set: 0, index: 0 }),
                leg(2..3, Role::Lane { lane: 0 }),
            ],
            steps: Vec::new(),
            notes: vec![],
        };
        (fairway, mow)
    }

    #[test]
    fn two_stripes_by_hand_one_of_no_number_and_none() {
        let (fairway, mow) = strip_mow();
        let mut mower = Mower::bar(2.0);
        mower.speeds.mowing_m_s = 2.0;
        mower.speeds.loops_m_s = 1.6;
        mower.speeds.turning_m_s = 0.5;
        mower.speeds.transport_m_s = 2.5;
        mower.lift_lower_s = 3.0;
        let m = measure(&fairway, &mower, &mow.clone().mow());
        assert!(m.missed_m2 < 1e-9 && m.overrun_m2 < 1e-9 && m.overlap_m2 < 1e-9);
        assert_eq!((m.passes, m.turns, m.pass_floor), (2, 1, 2));
        // Down 40 m at 2 m/s and, on a lane, 40 m at 1.6; a turn at 0.5; 5 m at 2.5;
        // two lowers and two lifts of 3 s.
        let seconds = 20.0 + 25.0 + 2.0 * PI + 2.0 + 12.0;
        // Theory: 2 m at 80 m in 45 s.
        let theory = 2.0 * 80.0 / 45.0;
        for (figure, known) in [
            (m.fairway_m2, 160.0),
            (m.times_cut_m2[1], 160.0),
            (m.mean_cuts, 1.0),
            (m.mowing_m, 80.0),
            (m.transport_m, PI + 5.0),
            (m.distance_floor_m, 80.0),
            (m.distance_ratio, 1.0),
            (m.minutes, seconds / 60.0),
            (m.shift_minutes, seconds / 48.0),
            (m.field_efficiency, 160.0 / seconds / theory),
            // Out and back: no polar lay over the seam's cells only; axial grain everywhere.
            (m.lay_r2, 1.0),
        ] {
            assert_relative_eq!(figure, known, max_relative = 1e-9);
        }
        // A number that is none is owned up to.
        let mut unsound = mow.clone();
        unsound.tracks[0] = line(0.0, f64::NAN, 40.0, 1.0);
        let m = measure(&fairway, &mower, &unsound.mow());
        assert!(m.area_error_bound_m2.is_infinite());
        assert_relative_eq!(m.fairway_m2, 160.0, max_relative = 1e-12);
        let none = MowParts {
            tracks: Vec::new(),
            legs: Vec::new(),
            ..mow
        };
        let m = measure(&fairway, &Mower::bar(2.0), &none.mow());
        assert_relative_eq!(m.uncut_m2, 160.0, max_relative = 1e-12);
        assert_eq!(m.times_cut_m2.len(), 1);
        assert_eq!(
            (m.minutes, m.field_efficiency, m.mean_cuts),
            (0.0, 0.0, 0.0)
        );
    }

    #[test]
    fn several_units_stray_as_all_measures_say() {
        let outline =
            polygon![(x: 0.0, y: 0.0), (x: 90.0, y: 8.0), (x: 84.0, y: 40.0), (x: -3.0, y: 31.0)];
        let bunker = polygon![(x: 30.0, y: 20.0), (x: 36.0, y: 20.0), (x: 36.0, y: 27.0), (x: 30.0, y: 27.0)];
        let f = Fairway::builder("1")
            .outline(outline)
            .keep_out(KeepOutKind::Bunker, bunker)
            .build()
            .unwrap();
        let ahead = |i: i32| if i % 2 == 0 { 0.72 } else { -0.5 };
        let units = (-2..=2).map(|i| unit(0.5 * f64::from(i), ahead(i), 0.56));
        let mower = Mower::of_units("five", units.collect());
        let within = reach(f.ground(), mower.cutting_width_m());
        let heading = Heading::Along;
        let loops = Pattern::Loops(LoopTrain::new(6.4, Sense::Clockwise));
        for pattern in [Pattern::Stripes { heading }, loops] {
            let mow = plan(&f, &mower, &Settings::new(pattern)).unwrap();
            let (all, missed) = measure_and_missed(&f, &mower, &mow, &within);
            let (strays, places) = strays_and_missed(&f, &mower, &mow, &within);
            assert!(all.overrun_m2 > 0.1, "{all:?}");
            let ground = |m: &Measures| [m.fairway_m2, m.trim_m2, m.missed_m2];
            let astray = |m: &Measures| [m.overrun_m2, m.keepout_cut_m2, m.keepout_crossed_m];
            for figures in [ground, astray] {
                for (a, b) in figures(&all).into_iter().zip(figures(&strays)) {
                    assert!((a - b).abs() <= 1e-8, "{all:?} {strays:?}");
                }
            }
            assert!(strays.area_error_bound_m2 < 1e-6 * strays.fairway_m2);
            assert!((missed.unsigned_area() - places.unsigned_area()).abs() < 0.05);
        }
    }
}
