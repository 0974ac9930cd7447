//! The loop lattice: how far to advance per loop and how far apart to set the lanes so that
//! nothing is left, whatever the phase between neighbouring lanes.
//!
//! A lane's *full band* is the contiguous range of heights across it at which the loops cut
//! every position along it. Lanes set no farther apart than the band is tall leave nothing,
//! and no phase relation between neighbours can change that, because each height is cut
//! completely by one lane alone. The solver looks for the loop with the least driving per
//! area, W x loop length / (advance x lane spacing), the mean number of cuts.
//!
//! The band must hold for every advance within the operator's tolerance and with every end of
//! the cut shortened by the steering tolerance. Gaps do not open monotonically with the
//! advance: a forward arm may be closed by an arm that returns several loops on. So each
//! advance is judged by itself, for a plain bar in closed form ([`bar`]), for cutting units by
//! proven cells ([`units`]).
//!
//! Lanes whose band has gaps that neighbours fill were tried too (all lanes alike, every
//! spacing at which the bands interlock): for decks of 84 in, 100 in and 11 ft and diameters
//! from 16 to 50 ft none was cheaper than the best contiguous band, so only these are built.
//!
//! Cost: one advance takes O(k) steps for a bar (k about the diameter over the advance), a
//! few thousand cells for cutting units. Advances are tried in the order of the least they
//! could cost (with a lane as wide as the loop itself) until that exceeds the best found.

pub mod answer;
pub mod bar;
pub mod shape;
mod solver;
pub mod units;

use crate::error::PlanError;
use crate::model::mower::Mower;
use crate::model::pattern::LoopTrain;
use solver::{COARSE, DIAMETER_STEP_M, refusal, with_solver};

pub use answer::Lattice;

/// Cheaper diameters are looked for within this part of the one asked for.
const NEAR: f64 = 0.10;
/// A diameter counts as cheaper when it saves at least this part.
const WORTH_SAYING: f64 = 0.01;

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
    match with_solver(mower, train, 1.0, |s| s.best(None))? {
        Some(l) => Ok(l),
        None => Err(refusal(mower, train)?),
    }
}

/// The cheapest lattice for ground `across_m` metres wide, and how many lanes it takes. The
/// lane spacing shrinks so that the lanes share the width evenly, and the advance is solved
/// again for that spacing.
///
/// # Errors
/// As [`solve`].
pub fn solve_across(
    mower: &Mower,
    train: &LoopTrain,
    across_m: f64,
) -> Result<(Lattice, u32), PlanError> {
    let free = solve(mower, train)?;
    let most = (across_m / free.lane_spacing_m).ceil().max(1.0) as u32 + 1;
    // A lane narrower than the free one by more than a few parts wastes driving.
    let fewest = most.saturating_sub(3).max(1);
    let best = with_solver(mower, train, 1.0, |solver| {
        let mut best: Option<(f64, Lattice, u32)> = None;
        for lanes in fewest..=most {
            let Some(l) = solver.best(Some(across_m / f64::from(lanes))) else {
                continue;
            };
            let driving = f64::from(lanes) * l.shape.length_m() / l.shape.advance_m;
            if best.as_ref().is_none_or(|(d, ..)| driving < d - 1e-9) {
                best = Some((driving, l, lanes));
            }
        }
        best
    })?;
    // With one lane more than the free spacing needs, the free lattice itself fits.
    Ok(best.map_or((free, most), |(_, l, n)| (l, n)))
}

/// Cheaper lattices within 10% of a single diameter: the best smaller and the best larger one,
/// where they save at least 1%.
pub fn cheaper_near(mower: &Mower, train: &LoopTrain, answer: &Lattice) -> Vec<Lattice> {
    let asked = answer.shape.diameter_m;
    let bounds = [
        (asked * (1.0 - NEAR), asked - DIAMETER_STEP_M / 2.0),
        (asked + DIAMETER_STEP_M / 2.0, asked * (1.0 + NEAR)),
    ];
    bounds
        .iter()
        .filter_map(|&(from, to)| {
            let near = LoopTrain {
                diameter_min_m: from,
                diameter_max_m: to,
                ..*train
            };
            let most = answer.mean_cuts * (1.0 - WORTH_SAYING);
            with_solver(mower, &near, COARSE, |s| s.best_below(most)).ok()?
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawn::unit;
    use crate::model::pattern::{LoopForm, Sense};
    use crate::model::quantity::{FOOT_M, INCH_M};

    fn train(diameter_ft: f64, form: Option<LoopForm>, advance: f64, steering: f64) -> LoopTrain {
        LoopTrain {
            form,
            advance_tolerance_m: advance,
            steering_tolerance_m: steering,
            ..LoopTrain::new(diameter_ft * FOOT_M, Sense::CounterClockwise)
        }
    }

    #[test]
    fn without_tolerances_the_known_optima_are_met_or_beaten() {
        // Figures of an independent search at a coarser step.
        let deck = |inches: f64| Mower::bar(inches * INCH_M);
        for (inches, ft, form, cuts) in [
            (100.0, 22.0, LoopForm::Drift, 1.91),
            (100.0, 22.0, LoopForm::Roll, 2.34),
            (100.0, 20.0, LoopForm::Drift, 1.96),
            (100.0, 20.0, LoopForm::Roll, 1.84),
            (84.0, 50.0, LoopForm::Drift, 2.49),
        ] {
            let l = solve(&deck(inches), &train(ft, Some(form), 0.0, 0.0)).unwrap();
            assert!(
                l.mean_cuts < cuts + 0.005 && l.mean_cuts > cuts - 0.05,
                "{inches} in at {ft} ft {form:?}: {l:?}"
            );
        }
    }

    #[test]
    fn the_cost_jumps_between_21_and_22_feet() {
        let m = Mower::bar(2.54);
        let a = solve(&m, &LoopTrain::new(21.0 * FOOT_M, Sense::Clockwise)).unwrap();
        let b = solve(&m, &LoopTrain::new(22.0 * FOOT_M, Sense::Clockwise)).unwrap();
        assert!(
            a.mean_cuts < 2.15 && b.mean_cuts > 2.5 && b.mean_cuts < 2.57,
            "{a:?} {b:?}"
        );
        let near = cheaper_near(&m, &LoopTrain::new(22.0 * FOOT_M, Sense::Clockwise), &b);
        assert!(near.iter().any(|l| l.mean_cuts < 2.2), "{near:?}");
        let range = LoopTrain {
            diameter_min_m: 20.0 * FOOT_M,
            ..LoopTrain::new(22.0 * FOOT_M, Sense::Clockwise)
        };
        let c = solve(&m, &range).unwrap();
        assert!(c.mean_cuts <= a.mean_cuts, "{c:?}");
    }

    #[test]
    fn cheaper_loops_near_are_named_on_both_sides() {
        let m = Mower::bar(2.54);
        let (mut smaller, mut larger) = (0, 0);
        for half_ft in 32..50 {
            let t = LoopTrain::new(f64::from(half_ft) * 0.5 * FOOT_M, Sense::Clockwise);
            let asked = solve(&m, &t).unwrap();
            for l in cheaper_near(&m, &t, &asked) {
                let share = l.shape.diameter_m / asked.shape.diameter_m;
                assert!((0.9 - 1e-9..=1.1 + 1e-9).contains(&share), "{share}");
                assert!(l.mean_cuts <= 0.99 * asked.mean_cuts + 1e-9);
                if share < 1.0 {
                    smaller += 1;
                } else {
                    larger += 1;
                }
            }
        }
        assert!(smaller > 0 && larger > 0, "{smaller} {larger}");
    }

    #[test]
    fn senses_mirror_the_band() {
        let m = Mower::bar(2.54);
        let cw = solve(&m, &LoopTrain::new(6.4, Sense::Clockwise)).unwrap();
        let ccw = solve(&m, &LoopTrain::new(6.4, Sense::CounterClockwise)).unwrap();
        assert_eq!((cw.left_m, cw.right_m), (ccw.right_m, ccw.left_m));
    }

    #[test]
    fn too_tight_a_loop_is_refused_with_the_nearest_that_can() {
        let err = solve(&Mower::bar(2.54), &LoopTrain::new(3.0, Sense::Clockwise)).unwrap_err();
        let PlanError::LoopDiameter { nearest_m, .. } = &err else {
            panic!("{err}")
        };
        assert!((nearest_m[0] - 4.0).abs() < 0.06, "{err}");
    }

    #[test]
    fn senseless_numbers_are_refused() {
        for d in [f64::NAN, 0.0, -1.0, f64::INFINITY, 1e9] {
            assert!(solve(&Mower::bar(2.54), &LoopTrain::new(d, Sense::Clockwise)).is_err());
        }
    }

    #[test]
    fn a_width_is_shared_evenly() {
        let m = Mower::bar(2.54);
        let t = LoopTrain::new(22.0 * FOOT_M, Sense::Clockwise);
        for across in [1.0, 8.0, 20.0, 25.0, 40.0] {
            let (l, lanes) = solve_across(&m, &t, across).unwrap();
            assert!(
                l.lane_spacing_m * f64::from(lanes) >= across - 1e-6,
                "{across}: {l:?} {lanes}"
            );
        }
    }

    #[test]
    fn cutting_units_that_turn_cleanly_cost_little_more_than_a_bar() {
        // The layout of the light sample mower: three units ahead, two behind.
        let unit = |across_m: f64, ahead_m: f64| unit(across_m, ahead_m, 0.5588);
        let mut m = Mower::bar(2.54);
        m.turning_radius_m = 1.8;
        m.units = vec![
            unit(0.9906, 0.72),
            unit(0.0, 0.72),
            unit(-0.9906, 0.72),
            unit(0.4953, -0.5),
            unit(-0.4953, -0.5),
        ];
        for sense in [Sense::Clockwise, Sense::CounterClockwise] {
            let train = LoopTrain::new(21.0 * FOOT_M, sense);
            let l = solve(&m, &train).unwrap();
            let bar = solve(&Mower::bar(2.54), &train).unwrap();
            assert!(l.mean_cuts < 1.3 * bar.mean_cuts, "{l:?} against {bar:?}");
            let (l, lanes) = solve_across(&m, &train, 25.0).unwrap();
            assert!(l.lane_spacing_m * f64::from(lanes) >= 25.0 - 1e-6);
        }
    }
}
