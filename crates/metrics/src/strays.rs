//! What a mow leaves and where it strays: all that says whether it is fit to be driven.
//!
//! It does not matter here how often ground is cut. So the strips that neighbouring cutting units
//! share are counted once, and a sweep over a deck of several units takes little longer than one
//! over a plain deck.

use crate::Measures;
use crate::coverage::{self, OUTLINE_TOLERANCE_M};
use crate::measures::crossed_m;
use crossgrain_core::{Fairway, Mow, Mower};
use geo_types::MultiPolygon;

/// What a mow leaves and where it strays, as in [`Measures`]. Areas in square metres.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Strays {
    /// Area of the ground to mow.
    pub fairway_m2: f64,
    /// Area outside the reach.
    pub trim_m2: f64,
    /// Area never cut inside the reach.
    pub missed_m2: f64,
    /// Area outside the outline (keep-outs aside) under a lowered reel.
    pub overrun_m2: f64,
    /// Area inside keep-outs under a lowered reel.
    pub keepout_cut_m2: f64,
    /// Way over keep-outs that are no paths, metres.
    pub keepout_crossed_m: f64,
    /// Bound on the error of each area.
    pub area_error_bound_m2: f64,
}

impl From<&Measures> for Strays {
    fn from(m: &Measures) -> Self {
        Self {
            fairway_m2: m.fairway_m2,
            trim_m2: m.trim_m2,
            missed_m2: m.missed_m2,
            overrun_m2: m.overrun_m2,
            keepout_cut_m2: m.keepout_cut_m2,
            keepout_crossed_m: m.keepout_crossed_m,
            area_error_bound_m2: m.area_error_bound_m2,
        }
    }
}

impl Strays {
    /// Ground that the deck can reach, square metres.
    pub fn reach_m2(&self) -> f64 {
        (self.fairway_m2 - self.trim_m2).max(0.0)
    }
}

/// What a mow leaves and where it strays, and the outlines of what it misses. `reach` is the ground
/// that the mower reaches.
pub fn strays_and_missed(
    fairway: &Fairway,
    mower: &Mower,
    mow: &Mow,
    reach: &MultiPolygon<f64>,
) -> (Strays, MultiPolygon<f64>) {
    let keep_outs = fairway.keep_out_area();
    let scene = coverage::scene(fairway, mower, mow, reach, &keep_outs);
    let (cover, missed) = coverage::cut_and_missed(&scene, OUTLINE_TOLERANCE_M);
    let strays = Strays {
        fairway_m2: cover.ground_m2(),
        trim_m2: cover.trim_m2,
        missed_m2: cover.missed_m2,
        overrun_m2: cover.overrun_m2,
        keepout_cut_m2: cover.keepout_cut_m2,
        keepout_crossed_m: crossed_m(fairway, mow),
        area_error_bound_m2: cover.error_bound_m2,
    };
    (strays, missed)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measures::measure_and_missed;
    use crossgrain_core::inside::ground::reach::reach;
    use crossgrain_core::{
        CuttingUnit, Heading, KeepOutKind, LoopTrain, Pattern, Sense, Settings, plan,
    };
    use geo::Area;
    use geo_types::polygon;

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
        let unit = |i: i32| CuttingUnit {
            across_m: 0.5 * f64::from(i),
            ahead_m: if i % 2 == 0 { 0.72 } else { -0.5 },
            width_m: 0.56,
        };
        let mower = Mower::of_units("five", (-2..=2).map(unit).collect());
        let within = reach(f.ground(), mower.cutting_width_m());
        for pattern in [
            Pattern::Stripes {
                heading: Heading::Along,
            },
            Pattern::Loops(LoopTrain::new(6.4, Sense::Clockwise)),
        ] {
            let mow = plan(&f, &mower, &Settings::new(pattern)).unwrap();
            let (all, missed) = measure_and_missed(&f, &mower, &mow, &within);
            let (strays, places) = strays_and_missed(&f, &mower, &mow, &within);
            let far = |a: f64, b: f64| (a - b).abs() > 1e-8;
            let known = Strays::from(&all);
            assert!(known.overrun_m2 > 0.1, "{known:?}");
            for (a, b) in [
                (known.fairway_m2, strays.fairway_m2),
                (known.trim_m2, strays.trim_m2),
                (known.missed_m2, strays.missed_m2),
                (known.overrun_m2, strays.overrun_m2),
                (known.keepout_cut_m2, strays.keepout_cut_m2),
                (known.keepout_crossed_m, strays.keepout_crossed_m),
            ] {
                assert!(!far(a, b), "{known:?} {strays:?}");
            }
            assert!(strays.area_error_bound_m2 < 1e-6 * strays.fairway_m2);
            assert!((missed.unsigned_area() - places.unsigned_area()).abs() < 0.05);
        }
    }
}
