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

pub mod bar;
pub mod shape;
pub mod units;

use crate::error::PlanError;
use crate::model::mower::{CuttingUnit, Mower};
use crate::model::pattern::{LoopForm, LoopTrain, Sense};
use bar::Bar;
use shape::{Band, LoopShape, Tolerances, left_turning};
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};
use units::Deck;

/// Steps of the advance for a bar, metres. The cost moves by less than 0.1% in one step.
const BAR_STEP_M: f64 = 0.002;
/// Steps of the advance for cutting units, metres: about what a crew can set by pacing.
const UNITS_STEP_M: f64 = 0.01;
/// Steps of the diameter within a range, metres.
const DIAMETER_STEP_M: f64 = 0.05;
/// Cheaper diameters are looked for within this part of the one asked for.
const NEAR: f64 = 0.10;
/// A search for cheaper diameters judges every fifth advance.
const COARSE: f64 = 5.0;
/// A diameter counts as cheaper when it saves at least this part.
const WORTH_SAYING: f64 = 0.01;

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
    fn new(shape: LoopShape, band: Band, sense: Sense, width_m: f64) -> Self {
        let (left_m, right_m) = match sense {
            Sense::CounterClockwise => (band.high_m, -band.low_m),
            Sense::Clockwise => (-band.low_m, band.high_m),
        };
        Self {
            shape,
            sense,
            lane_spacing_m: band.height_m(),
            left_m,
            right_m,
            mean_cuts: cost(&shape, width_m, band.height_m()),
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

fn cost(shape: &LoopShape, width_m: f64, spacing_m: f64) -> f64 {
    width_m * shape.length_m() / (shape.advance_m * spacing_m)
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
    match with_solver(mower, train, 1.0, |s| s.best(None))? {
        Some(l) => Ok(l),
        None => Err(Solver::new(mower, train, 1.0)?.refusal(train)),
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
    let widest = train.diameter_max_m + mower.cutting_width_m();
    let fewest = (across_m / widest).ceil().max(1.0) as u32;
    let most = (across_m / free.lane_spacing_m).ceil().max(1.0) as u32 + 1;
    // A lane narrower than the free one by more than a few parts wastes driving.
    let fewest = fewest.max(most.saturating_sub(3));
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

/// Solvers kept between calls: a course is planned fairway by fairway with one mower, and what
/// was proven for the first holds for all.
static KEPT: Mutex<Vec<Kept>> = Mutex::new(Vec::new());
/// What a solver was asked for, to the last bit, and the solver.
type Kept = (Vec<u64>, Arc<Mutex<Solver>>);
/// How many solvers are kept: ten decks, each with one train and its two neighbourhoods.
const KEEP: usize = 30;

/// Asks the solver for this mower and train; every number counts to the last bit, so the answer
/// never depends on what was asked before.
fn with_solver<T>(
    mower: &Mower,
    train: &LoopTrain,
    coarse: f64,
    ask: impl FnOnce(&mut Solver) -> T,
) -> Result<T, PlanError> {
    let mut key: Vec<u64> = mower
        .units
        .iter()
        .flat_map(|u| [u.across_m, u.ahead_m, u.width_m])
        .chain([
            mower.turning_radius_m,
            train.diameter_min_m,
            train.diameter_max_m,
            train.advance_tolerance_m,
            train.steering_tolerance_m,
            train.sense.sign(),
            coarse,
        ])
        .map(f64::to_bits)
        .collect();
    key.push(match train.form {
        None => 0,
        Some(LoopForm::Drift) => 1,
        Some(LoopForm::Roll) => 2,
    });
    let mut kept = KEPT.lock().unwrap_or_else(PoisonError::into_inner);
    let solver = match kept.iter().position(|(k, _)| *k == key) {
        Some(i) => {
            // The one asked last is dropped last.
            let found = kept.remove(i);
            kept.push(found);
            Arc::clone(&kept[kept.len() - 1].1)
        }
        None => {
            let solver = Arc::new(Mutex::new(Solver::new(mower, train, coarse)?));
            if kept.len() >= KEEP {
                kept.remove(0);
            }
            kept.push((key, Arc::clone(&solver)));
            solver
        }
    };
    // Others may ask other solvers meanwhile.
    drop(kept);
    let mut solver = solver.lock().unwrap_or_else(PoisonError::into_inner);
    Ok(ask(&mut solver))
}

/// What a quick look said of the tallest band.
#[derive(Debug, Clone, Copy)]
enum Looked {
    /// It is so tall, metres.
    Tall(f64),
    /// It is not as tall as this, metres.
    Below(f64),
}

/// All that a search needs.
struct Solver {
    units: Vec<CuttingUnit>,
    bar: Option<Bar>,
    width_m: f64,
    tightest_m: f64,
    tol: Tolerances,
    sense: Sense,
    /// Loops to judge, cheapest possible first, with the least mean cuts they could give.
    shapes: Vec<(f64, LoopShape)>,
    /// Bands already judged.
    judged: BTreeMap<usize, Option<Band>>,
    /// Heights of the bands seen in a quick look.
    looked: BTreeMap<usize, Looked>,
    /// Answers already given, by the bits of what was asked for.
    answers: BTreeMap<(Option<u64>, u64), Option<Lattice>>,
}

impl Solver {
    /// A solver that judges every `coarse`-th advance, and diameters as coarsely for cutting units.
    fn new(mower: &Mower, train: &LoopTrain, coarse: f64) -> Result<Self, PlanError> {
        if mower.units.is_empty() {
            return Err(PlanError::NoUnits);
        }
        check(
            "loop diameter",
            train.diameter_min_m,
            "above 0 and at most 100 m",
            |v| v > 0.0 && v <= 100.0,
        )?;
        check(
            "largest loop diameter",
            train.diameter_max_m,
            "between the smallest and 100 m",
            |v| v >= train.diameter_min_m && v <= 100.0,
        )?;
        check(
            "advance tolerance",
            train.advance_tolerance_m,
            "0 to 5 m",
            |v| (0.0..=5.0).contains(&v),
        )?;
        check(
            "steering tolerance",
            train.steering_tolerance_m,
            "0 to 1 m",
            |v| (0.0..=1.0).contains(&v),
        )?;
        let units = left_turning(mower, train.sense);
        let bar = match units[..] {
            [u] if u.ahead_m == 0.0 => Some(Bar {
                left_m: u.left_m(),
                right_m: u.right_m(),
            }),
            _ => None,
        };
        let inner = units
            .iter()
            .map(CuttingUnit::left_m)
            .fold(f64::MIN, f64::max);
        let mut solver = Self {
            width_m: mower.cutting_width_m(),
            tightest_m: mower.turning_radius_m.max(inner),
            tol: Tolerances {
                advance_m: train.advance_tolerance_m,
                steering_m: train.steering_tolerance_m,
            },
            sense: train.sense,
            units,
            bar,
            shapes: Vec::new(),
            judged: BTreeMap::new(),
            looked: BTreeMap::new(),
            answers: BTreeMap::new(),
        };
        let span = train.diameter_max_m - train.diameter_min_m;
        // Proofs for cutting units are dear: a coarse search tries fewer diameters too.
        let step = DIAMETER_STEP_M * if solver.bar.is_some() { 1.0 } else { coarse };
        let n = (span / step).ceil() as usize;
        let diameters: Vec<f64> = (0..=n)
            .map(|i| train.diameter_min_m + span * i as f64 / n.max(1) as f64)
            .collect();
        solver.fill(&diameters, train.form, coarse);
        Ok(solver)
    }

    fn step_m(&self) -> f64 {
        if self.bar.is_some() {
            BAR_STEP_M
        } else {
            UNITS_STEP_M
        }
    }

    /// Lists the loops that can be driven, cheapest possible first.
    fn fill(&mut self, diameters: &[f64], form: Option<LoopForm>, coarse: f64) {
        let step = self.step_m() * coarse;
        self.shapes.clear();
        self.judged.clear();
        self.looked.clear();
        self.answers.clear();
        for &diameter_m in diameters {
            for f in [LoopForm::Drift, LoopForm::Roll] {
                if form.is_some_and(|asked| asked != f) {
                    continue;
                }
                // No advance longer than two cutting widths can close near the axis, where
                // each loop brings two arms.
                let longest = 2.0 * self.width_m;
                let first = (self.tol.advance_m / step).floor() as usize + 1;
                for i in first..=(longest / step) as usize {
                    let shape = LoopShape {
                        form: f,
                        diameter_m,
                        advance_m: step * i as f64,
                    };
                    if shape.tight_radius_m() < self.tightest_m {
                        break;
                    }
                    let least = cost(&shape, self.width_m, diameter_m + self.width_m);
                    self.shapes.push((least, shape));
                }
            }
        }
        self.shapes.sort_by(|a, b| a.0.total_cmp(&b.0));
    }

    fn band(&mut self, i: usize) -> Option<Band> {
        if let Some(b) = self.judged.get(&i) {
            return *b;
        }
        let shape = self.shapes[i].1;
        let b = match self.bar {
            Some(bar) => bar::band(bar, &shape, self.tol),
            None => Deck::new(&self.units, self.tol.steering_m).band(&shape, self.tol.advance_m),
        };
        self.judged.insert(i, b);
        b
    }

    /// The cheapest lattice, or the least driving among lanes with a band at least so tall.
    fn best(&mut self, need_m: Option<f64>) -> Option<Lattice> {
        self.search(need_m, f64::INFINITY)
    }

    fn best_below(&mut self, mean_cuts: f64) -> Option<Lattice> {
        self.search(None, mean_cuts)
    }

    fn search(&mut self, need_m: Option<f64>, below: f64) -> Option<Lattice> {
        let asked = (need_m.map(f64::to_bits), below.to_bits());
        if let Some(known) = self.answers.get(&asked) {
            return *known;
        }
        let found = self.searched(need_m, below);
        self.answers.insert(asked, found);
        found
    }

    fn searched(&mut self, need_m: Option<f64>, below: f64) -> Option<Lattice> {
        let mut least = below;
        let mut found = None;
        for i in 0..self.shapes.len() {
            let (bound, shape) = self.shapes[i];
            let bound = match need_m {
                Some(need) => cost(&shape, self.width_m, need),
                None => bound,
            };
            if bound >= least {
                if need_m.is_none() {
                    break;
                }
                continue;
            }
            let Some(band) = self
                .promising(i, need_m, least)
                .then(|| self.band(i))
                .flatten()
            else {
                continue;
            };
            let spacing = match need_m {
                // Rounding in the division of a width by its lanes must not cost a lane.
                Some(need) if band.height_m() >= need - 1e-9 => need,
                Some(_) => continue,
                None => band.height_m(),
            };
            let c = cost(&shape, self.width_m, spacing);
            if c < least {
                least = c;
                found = Some(Lattice::new(shape, band, self.sense, self.width_m));
            }
        }
        found
    }

    /// A quick look before the proof, where the proof is dear.
    fn promising(&mut self, i: usize, need_m: Option<f64>, least: f64) -> bool {
        if self.bar.is_some() || self.judged.contains_key(&i) {
            return true;
        }
        let shape = self.shapes[i].1;
        // The least height that serves; a look may miss as much as lies between two samples.
        let asked = need_m.unwrap_or(cost(&shape, self.width_m, least)) - units::LOOK_M;
        let height = match self.looked.get(&i) {
            Some(Looked::Tall(height)) => *height,
            Some(Looked::Below(height)) if asked >= *height => return false,
            _ => {
                let deck = Deck::new(&self.units, self.tol.steering_m);
                match deck.look(&shape, self.tol.advance_m, asked) {
                    Some(b) => {
                        let height = b.height_m() + units::LOOK_M;
                        self.looked.insert(i, Looked::Tall(height));
                        height
                    }
                    None => {
                        self.looked.insert(i, Looked::Below(asked));
                        return false;
                    }
                }
            }
        };
        match need_m {
            Some(need) => height >= need,
            None => cost(&shape, self.width_m, height) < least,
        }
    }

    /// Why nothing was found, and the nearest diameters that can be done.
    fn refusal(&mut self, train: &LoopTrain) -> PlanError {
        let (lo, hi) = (train.diameter_min_m, train.diameter_max_m);
        let reason = if hi / 2.0 < self.tightest_m {
            format!(
                "the radius would be {:.2} m, and {:.2} m is the tightest this mower can drive \
                 without an inner reel rolling backward",
                hi / 2.0,
                self.tightest_m
            )
        } else if self.shapes.is_empty() {
            "the half-circle back would be tighter than the mower can turn".to_string()
        } else {
            "at every advance something would be left between the loops".to_string()
        };
        let mut nearest_m = Vec::new();
        let floor = 2.0 * self.tightest_m;
        let mut down = (lo / DIAMETER_STEP_M).ceil() * DIAMETER_STEP_M - DIAMETER_STEP_M;
        let mut up = hi.max(floor);
        for _ in 0..REFUSAL_STEPS {
            for (d, is_up) in [(down, false), (up, true)] {
                if d < floor || nearest_m.iter().any(|&(u, _)| u == is_up) {
                    continue;
                }
                self.fill(&[d], train.form, if self.bar.is_some() { 5.0 } else { 2.0 });
                if self.best(None).is_some() {
                    nearest_m.push((is_up, d));
                }
            }
            down -= DIAMETER_STEP_M;
            up += DIAMETER_STEP_M;
        }
        nearest_m.sort_by_key(|&(up, _)| up);
        PlanError::LoopDiameter {
            asked_m: lo,
            reason,
            nearest_m: nearest_m.into_iter().map(|(_, d)| d).collect(),
        }
    }
}

/// How many diameter steps to look for one that can be done: 3 m either way.
const REFUSAL_STEPS: usize = 60;

fn check(
    what: &'static str,
    value: f64,
    expected: &str,
    ok: impl Fn(f64) -> bool,
) -> Result<(), PlanError> {
    if ok(value) {
        return Ok(());
    }
    Err(PlanError::BadValue {
        what,
        value,
        unit: "m",
        expected: expected.to_string(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
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
        let unit = |across_m: f64, ahead_m: f64| CuttingUnit {
            across_m,
            ahead_m,
            width_m: 0.5588,
        };
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
