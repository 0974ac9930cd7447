//! The search for the cheapest lattice of one mower and train, kept from call to call.

use crate::error::PlanError;
use crate::limits::{
    MAX_ADVANCE_TOLERANCE_M, MAX_LOOP_DIAMETER_M, MAX_STEERING_TOLERANCE_M, within,
};
use crate::model::mower::{CuttingUnit, Mower};
use crate::model::pattern::{LoopForm, LoopTrain, Sense};
use crate::patterns::lattice::answer::{Lattice, cost};
use crate::patterns::lattice::bar::{self, Bar};
use crate::patterns::lattice::shape::{Band, LoopShape, Tolerances, left_turning};
use crate::patterns::lattice::units::{self, Deck};
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

/// Steps of the advance for a bar, metres. The cost moves by less than 0.1% in one step.
const BAR_STEP_M: f64 = 0.002;
/// Steps of the advance for cutting units, metres: about what a crew can set by pacing.
const UNITS_STEP_M: f64 = 0.01;

/// Steps of the diameter within a range, metres.
pub(super) const DIAMETER_STEP_M: f64 = 0.05;
/// A search for cheaper diameters judges every fifth advance.
pub(super) const COARSE: f64 = 5.0;

/// Solvers kept between calls: a course is planned fairway by fairway with one mower, and what
/// was proven for the first holds for all.
static KEPT: Mutex<Vec<Kept>> = Mutex::new(Vec::new());

/// What a solver was asked for, to the last bit, and the solver.
type Kept = (Vec<u64>, Arc<Mutex<Solver>>);

/// How many solvers are kept: ten decks, each with one train and its two neighbourhoods.
const KEEP: usize = 30;

/// Asks the solver for this mower and train; every number counts to the last bit, so the answer
/// never depends on what was asked before.
pub(super) fn with_solver<T>(
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
pub(super) struct Solver {
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
        let (low, high) = (train.diameter_min_m, train.diameter_max_m);
        let most = MAX_LOOP_DIAMETER_M;
        let expected = format!("above 0 and at most {most} m");
        within(
            "loop diameter",
            low,
            f64::MIN_POSITIVE..=most,
            "m",
            expected,
        )?;
        let expected = format!("between the smallest and {most} m");
        within("largest loop diameter", high, low..=most, "m", expected)?;
        let tolerance =
            |what, value, most: f64| within(what, value, 0.0..=most, "m", format!("0 to {most} m"));
        let (advance_m, steering_m) = (train.advance_tolerance_m, train.steering_tolerance_m);
        tolerance("advance tolerance", advance_m, MAX_ADVANCE_TOLERANCE_M)?;
        tolerance("steering tolerance", steering_m, MAX_STEERING_TOLERANCE_M)?;
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
                advance_m,
                steering_m,
            },
            sense: train.sense,
            units,
            bar,
            shapes: Vec::new(),
            judged: BTreeMap::new(),
            looked: BTreeMap::new(),
            answers: BTreeMap::new(),
        };
        let span = high - low;
        // Proofs for cutting units are dear: a coarse search tries fewer diameters too.
        let step = DIAMETER_STEP_M * if solver.bar.is_some() { 1.0 } else { coarse };
        let n = (span / step).ceil() as usize;
        let diameters: Vec<f64> = (0..=n)
            .map(|i| low + span * i as f64 / n.max(1) as f64)
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
    pub(super) fn best(&mut self, need_m: Option<f64>) -> Option<Lattice> {
        self.search(need_m, f64::INFINITY)
    }

    pub(super) fn best_below(&mut self, mean_cuts: f64) -> Option<Lattice> {
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
}

/// Why nothing was found, and the nearest diameters that can be done.
pub(super) fn refusal(mower: &Mower, train: &LoopTrain) -> Result<PlanError, PlanError> {
    let mut solver = Solver::new(mower, train, 1.0)?;
    let (lo, hi) = (train.diameter_min_m, train.diameter_max_m);
    let reason = if hi / 2.0 < solver.tightest_m {
        format!(
            "the radius would be {:.2} m, and {:.2} m is the tightest this mower can drive \
             without an inner reel rolling backward",
            hi / 2.0,
            solver.tightest_m
        )
    } else if solver.shapes.is_empty() {
        "the half-circle back would be tighter than the mower can turn".to_string()
    } else {
        "at every advance something would be left between the loops".to_string()
    };
    let mut nearest_m = Vec::new();
    let floor = 2.0 * solver.tightest_m;
    let mut down = (lo / DIAMETER_STEP_M).ceil() * DIAMETER_STEP_M - DIAMETER_STEP_M;
    let mut up = hi.max(floor);
    for _ in 0..REFUSAL_STEPS {
        for (d, is_up) in [(down, false), (up, true)] {
            if d < floor || nearest_m.iter().any(|&(u, _)| u == is_up) {
                continue;
            }
            solver.fill(
                &[d],
                train.form,
                if solver.bar.is_some() { 5.0 } else { 2.0 },
            );
            if solver.best(None).is_some() {
                nearest_m.push((is_up, d));
            }
        }
        down -= DIAMETER_STEP_M;
        up += DIAMETER_STEP_M;
    }
    nearest_m.sort_by_key(|&(up, _)| up);
    Ok(PlanError::LoopDiameter {
        asked_m: lo,
        reason,
        nearest_m: nearest_m.into_iter().map(|(_, d)| d).collect(),
    })
}

/// How many diameter steps to look for one that can be done: 3 m either way.
const REFUSAL_STEPS: usize = 60;
