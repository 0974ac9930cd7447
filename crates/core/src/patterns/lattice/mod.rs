//! The loop lattice: how far to advance per loop and how far apart to set the lanes so that
//! nothing is left, whatever the phase between neighbouring lanes.
//!
//! A lane's *full band* is the contiguous range of heights across it at which the loops cut
//! every position along it. Lanes set no farther apart than the band is tall leave nothing at any
//! phase between neighbours: each height is cut completely by one lane alone. The solver looks for
//! the loop with the least driving per area, the mean number of cuts.
//!
//! The band must hold for every advance within the operator's tolerance and with every end of
//! the cut shortened by the steering tolerance. Gaps do not open monotonically with the
//! advance: a forward arm may be closed by an arm that returns several loops on. So each
//! advance is judged by itself, by a few thousand proven cells ([`units`]). Advances are tried in
//! the order of the least they could cost (with a lane as wide as the loop itself) until that
//! exceeds the best found.

mod solver;
pub mod units;

use crate::error::PlanError;
use crate::model::mower::Mower;
use crate::model::pattern::{LoopForm, LoopTrain, Sense};
use crate::swath::contact::Span;
use solver::{COARSE, DIAMETER_STEP_M, refusal, with_solver};
use std::f64::consts::PI;

/// Cheaper diameters are looked for within this part of the one asked for.
const NEAR: f64 = 0.10;
/// A diameter counts as cheaper when it saves at least this part.
const WORTH_SAYING: f64 = 0.01;

/// One loop of a train, told apart from its neighbours only by the advance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LoopShape {
    /// How the loop is closed.
    pub form: LoopForm,
    /// Mean diameter, metres.
    pub diameter_m: f64,
    /// Advance per loop, metres.
    pub advance_m: f64,
}

impl LoopShape {
    /// Radius of the half-circle forward, metres. For a roll, of the whole circle.
    #[doc(hidden)]
    pub fn wide_radius_m(&self) -> f64 {
        self.diameter_m / 2.0 + self.uneven_m()
    }

    /// Radius of the half-circle back, metres: the tightest arc of the loop.
    pub fn tight_radius_m(&self) -> f64 {
        self.diameter_m / 2.0 - self.uneven_m()
    }

    fn uneven_m(&self) -> f64 {
        match self.form {
            LoopForm::Drift => self.advance_m / 4.0,
            LoopForm::Roll => 0.0,
        }
    }

    /// Distance driven in one loop, metres.
    #[doc(hidden)]
    pub fn length_m(&self) -> f64 {
        match self.form {
            LoopForm::Drift => PI * self.diameter_m,
            LoopForm::Roll => PI * self.diameter_m + self.advance_m,
        }
    }

    /// How often ground is cut in the mean by lanes so far apart: the driving per area, W x loop
    /// length / (advance x lane spacing).
    pub(crate) fn mean_cuts(&self, width_m: f64, spacing_m: f64) -> f64 {
        width_m * self.length_m() / (self.advance_m * spacing_m)
    }

    /// The same loop with another advance: the operator keeps the mean diameter.
    #[doc(hidden)]
    pub fn with_advance(&self, advance_m: f64) -> Self {
        Self { advance_m, ..*self }
    }
}

/// A lattice of loops that leaves nothing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lattice {
    /// The loop.
    pub shape: LoopShape,
    /// Which way round.
    pub sense: Sense,
    /// Widest lane spacing, metres: the height of the full band.
    pub lane_spacing_m: f64,
    /// The full band to the left of the lane's axis, looking along the lane, metres.
    pub left_m: f64,
    /// The full band to the right of the axis, metres.
    pub right_m: f64,
    /// Mean number of cuts: cutting width x loop length / (advance x lane spacing).
    pub mean_cuts: f64,
}

impl Lattice {
    fn new(shape: LoopShape, (low_m, high_m): Span, sense: Sense, width_m: f64) -> Self {
        let (left_m, right_m) = match sense {
            Sense::CounterClockwise => (high_m, -low_m),
            Sense::Clockwise => (-low_m, high_m),
        };
        let lane_spacing_m = high_m - low_m;
        Self {
            shape,
            sense,
            lane_spacing_m,
            left_m,
            right_m,
            mean_cuts: shape.mean_cuts(width_m, lane_spacing_m),
        }
    }

    /// Speed of the outermost cut edge over that of the innermost on the tightest arc.
    /// Infinite when the inner edge stands still.
    pub fn speed_ratio(&self, mower: &Mower) -> f64 {
        let r = self.shape.tight_radius_m();
        let (inner, outer) = match self.sense {
            Sense::CounterClockwise => (r - mower.left_m(), r - mower.right_m()),
            Sense::Clockwise => (r + mower.right_m(), r + mower.left_m()),
        };
        if inner > 0.0 {
            outer / inner
        } else {
            f64::INFINITY
        }
    }
}

/// The cheapest lattice of the diameters asked for.
///
/// # Errors
/// [`PlanError::LoopDiameter`] when no loop of these diameters can be driven without leaving
/// something, with the nearest that can; [`PlanError::BadValue`] for senseless numbers.
///
/// ```
/// use crossgrain_core::{LoopTrain, Mower, Sense};
/// use crossgrain_core::inside::patterns::lattice;
///
/// let train = LoopTrain::new(21.0 * 0.3048, Sense::Clockwise);
/// let l = lattice::solve(&Mower::bar(2.54), &train).unwrap();
/// assert!(l.mean_cuts < 2.16 && l.shape.advance_m > 2.54);
/// ```
pub fn solve(mower: &Mower, train: &LoopTrain) -> Result<Lattice, PlanError> {
    match with_solver(mower, train, 1.0, |s| s.best(None, f64::INFINITY))? {
        Some(l) => Ok(l),
        None => Err(refusal(mower, train)?),
    }
}

/// The cheapest lattice for ground `across_m` metres wide, and how many lanes it takes. The
/// lane spacing shrinks so that the lanes share the width evenly, and the advance is solved
/// again for that spacing. [`PlanError`] as from [`solve`].
pub fn solve_across(
    mower: &Mower,
    train: &LoopTrain,
    across_m: f64,
) -> Result<(Lattice, u32), PlanError> {
    let free = solve(mower, train)?;
    let most = (across_m / free.lane_spacing_m).ceil().max(1.0) as u32 + 1;
    // A lane narrower than the free one by more than a few parts wastes driving.
    let fewest = most.saturating_sub(3).max(1);
    let mut least = f64::INFINITY;
    // With one lane more than the free spacing needs, the free lattice itself fits.
    let mut found = (free, most);
    with_solver(mower, train, 1.0, |solver| {
        for lanes in fewest..=most {
            let shared_m = across_m / f64::from(lanes);
            let Some(l) = solver.best(Some(shared_m), f64::INFINITY) else {
                continue;
            };
            let driving = f64::from(lanes) * l.shape.length_m() / l.shape.advance_m;
            if driving < least - 1e-9 {
                (least, found) = (driving, (l, lanes));
            }
        }
    })?;
    Ok(found)
}

/// Cheaper lattices within 10% of a single diameter: the best smaller and the best larger one,
/// where they save at least 1%.
pub fn cheaper_near(mower: &Mower, train: &LoopTrain, answer: &Lattice) -> Vec<Lattice> {
    let asked = answer.shape.diameter_m;
    let bounds = [
        (asked * (1.0 - NEAR), asked - DIAMETER_STEP_M / 2.0),
        (asked + DIAMETER_STEP_M / 2.0, asked * (1.0 + NEAR)),
    ];
    let most = answer.mean_cuts * (1.0 - WORTH_SAYING);
    let cheaper = |(diameter_min_m, diameter_max_m)| {
        let near = LoopTrain {
            diameter_min_m,
            diameter_max_m,
            ..*train
        };
        with_solver(mower, &near, COARSE, |s| s.best(None, most)).ok()?
    };
    bounds.into_iter().filter_map(cheaper).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawn::five_units;
    use crate::model::quantity::{FOOT_M, INCH_M};
    use Sense::{Clockwise, CounterClockwise};

    fn train(diameter_ft: f64) -> LoopTrain {
        LoopTrain::new(diameter_ft * FOOT_M, Clockwise)
    }

    #[test]
    fn without_tolerances_the_known_optima_are_met_or_beaten() {
        // Figures of an independent search at a coarser step.
        for (inches, ft, form, cuts) in [
            (100.0, 22.0, LoopForm::Drift, 1.91),
            (100.0, 22.0, LoopForm::Roll, 2.34),
            (100.0, 20.0, LoopForm::Drift, 1.96),
            (100.0, 20.0, LoopForm::Roll, 1.84),
            (84.0, 50.0, LoopForm::Drift, 2.49),
        ] {
            let exact = LoopTrain {
                form: Some(form),
                advance_tolerance_m: 0.0,
                steering_tolerance_m: 0.0,
                ..train(ft)
            };
            let l = solve(&Mower::bar(inches * INCH_M), &exact).unwrap();
            let near = cuts - 0.05..cuts + 0.005;
            assert!(near.contains(&l.mean_cuts), "{inches} in at {ft} ft: {l:?}");
        }
    }

    #[test]
    fn the_cost_jumps_between_21_and_22_feet_and_cheaper_loops_near_are_named_on_both_sides() {
        let m = Mower::bar(2.54);
        let [a, b] = [21.0, 22.0].map(|ft| solve(&m, &train(ft)).unwrap().mean_cuts);
        assert!(a < 2.15 && b > 2.5 && b < 2.57, "{a} {b}");
        let range = LoopTrain {
            diameter_min_m: 20.0 * FOOT_M,
            ..train(22.0)
        };
        assert!(solve(&m, &range).unwrap().mean_cuts <= a);
        let (mut smaller, mut larger) = (0, 0);
        for half_ft in 32..50 {
            let t = train(f64::from(half_ft) * 0.5);
            let asked = solve(&m, &t).unwrap();
            let near = cheaper_near(&m, &t, &asked);
            assert!(half_ft != 44 || near.iter().any(|l| l.mean_cuts < 2.2));
            for l in near {
                let share = l.shape.diameter_m / asked.shape.diameter_m;
                assert!((0.9 - 1e-9..=1.1 + 1e-9).contains(&share), "{share}");
                assert!(l.mean_cuts <= 0.99 * asked.mean_cuts + 1e-9);
                smaller += i32::from(share < 1.0);
                larger += i32::from(share > 1.0);
            }
        }
        assert!(smaller > 0 && larger > 0, "{smaller} {larger}");
    }

    #[test]
    fn what_cannot_be_is_refused_a_loop_too_tight_with_the_nearest_that_can() {
        let refused = |d: f64| solve(&Mower::bar(2.54), &LoopTrain::new(d, Clockwise)).unwrap_err();
        for d in [f64::NAN, 0.0, -1.0, f64::INFINITY, 1e9] {
            assert!(matches!(refused(d), PlanError::BadValue { .. }), "{d}");
        }
        let PlanError::LoopDiameter { nearest_m, .. } = refused(3.0) else {
            panic!("too tight");
        };
        assert!((nearest_m[0] - 4.0).abs() < 0.06, "{nearest_m:?}");
    }

    #[test]
    fn a_width_is_shared_evenly_units_cost_little_more_than_a_bar_and_senses_mirror_the_band() {
        let shared = |mower: &Mower, t: &LoopTrain, across: f64| {
            let (l, lanes) = solve_across(mower, t, across).unwrap();
            let served = l.lane_spacing_m * f64::from(lanes);
            assert!(served >= across - 1e-6, "{across}: {l:?} {lanes}");
        };
        for across in [1.0, 8.0, 20.0, 25.0, 40.0] {
            shared(&Mower::bar(2.54), &train(22.0), across);
        }
        let [cw, ccw] = [Clockwise, CounterClockwise].map(|sense| {
            let train = LoopTrain::new(21.0 * FOOT_M, sense);
            shared(&five_units(), &train, 25.0);
            // Units that turn cleanly cost little more than a bar.
            let [l, bar] = [five_units(), Mower::bar(2.54)].map(|m| solve(&m, &train).unwrap());
            assert!(l.mean_cuts < 1.3 * bar.mean_cuts, "{l:?} against {bar:?}");
            bar
        });
        assert_eq!((cw.left_m, cw.right_m), (ccw.right_m, ccw.left_m));
    }
}
