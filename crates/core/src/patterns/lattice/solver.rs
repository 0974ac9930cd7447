//! The search for the cheapest lattice of one mower and train, kept from call to call.

use crate::error::PlanError;
use crate::limits::{
    MAX_ADVANCE_TOLERANCE_M, MAX_LOOP_DIAMETER_M, MAX_STEERING_TOLERANCE_M, within,
};
use crate::model::mower::{CuttingUnit, Mower};
use crate::model::pattern::{Guide, Heading, LoopForm, LoopTrain, Sense};
use crate::patterns::lattice::units::{Deck, LOOK_M, innermost_m};
use crate::patterns::lattice::{Lattice, LoopShape};
use crate::swath::contact::Span;
use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError};

/// Steps of the advance for several cutting units, metres: about what a crew can set by pacing.
const UNITS_STEP_M: f64 = 0.01;
/// The same for one, whose loops are soon judged. The cost moves by less than 0.15% in one step.
const BAR_STEP_M: f64 = 0.004;

/// Steps of the diameter within a range, metres.
pub(super) const DIAMETER_STEP_M: f64 = 0.05;
/// A search for cheaper diameters judges every fifth advance.
pub(super) const COARSE: f64 = 5.0;

/// How many diameter steps to look for one that can be done: 3 m either way.
const REFUSAL_STEPS: u32 = 60;

/// What a solver was asked for: units, turning radius, train and how coarsely.
type Asked = (Vec<CuttingUnit>, f64, LoopTrain, f64);

/// Solvers kept between calls, the oldest first: a course is planned fairway by fairway with one
/// mower, and what was proven for the first holds for all.
static KEPT: Mutex<Vec<(Asked, Solver)>> = Mutex::new(Vec::new());

/// How many solvers are kept: ten decks, each with one train and its two neighbourhoods.
const KEEP: usize = 30;

/// Asks the solver for this mower and train. All that the answer hangs on counts, so it never
/// depends on what was asked before.
pub(super) fn with_solver<T>(
    mower: &Mower,
    train: &LoopTrain,
    coarse: f64,
    ask: impl FnOnce(&mut Solver) -> T,
) -> Result<T, PlanError> {
    // Where the lanes lie changes nothing.
    let train = LoopTrain {
        guide: Guide::Straight,
        heading: Heading::Along,
        lane_shift: 0.0,
        ..*train
    };
    let asked = (mower.units.clone(), mower.turning_radius_m, train, coarse);
    let mut kept = KEPT.lock().unwrap_or_else(PoisonError::into_inner);
    let at = match kept.iter().position(|(k, _)| *k == asked) {
        Some(at) => at,
        None => {
            let solver = Solver::new(mower, &train, coarse)?;
            if kept.len() >= KEEP {
                kept.remove(0);
            }
            kept.push((asked, solver));
            kept.len() - 1
        }
    };
    Ok(ask(&mut kept[at].1))
}

/// All that a search needs.
pub(super) struct Solver {
    units: Vec<CuttingUnit>,
    width_m: f64,
    tightest_m: f64,
    /// Errors of the advance and of steering.
    tolerances_m: (f64, f64),
    sense: Sense,
    /// Loops to judge, cheapest possible first, with the least mean cuts they could give.
    shapes: Vec<(f64, LoopShape)>,
    /// Bands already proven.
    proven: BTreeMap<usize, Option<Span>>,
    /// Answers already given, by the bits of what was asked for: a season asks for each fairway.
    answers: BTreeMap<(Option<u64>, u64), Option<Lattice>>,
    /// How tall the bands of others may be, metres, going by a quick look.
    most_m: BTreeMap<usize, f64>,
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
        let range = f64::MIN_POSITIVE..=most;
        within("loop diameter", low, range, "m", expected)?;
        let expected = format!("between the smallest and {most} m");
        within("largest loop diameter", high, low..=most, "m", expected)?;
        let tolerance =
            |what, value, most: f64| within(what, value, 0.0..=most, "m", format!("0 to {most} m"));
        let (advance_m, steering_m) = (train.advance_tolerance_m, train.steering_tolerance_m);
        tolerance("advance tolerance", advance_m, MAX_ADVANCE_TOLERANCE_M)?;
        tolerance("steering tolerance", steering_m, MAX_STEERING_TOLERANCE_M)?;
        // A clockwise train is solved as its mirror image, which turns left.
        let mirrored = |u: &CuttingUnit| CuttingUnit {
            across_m: u.across_m * train.sense.sign(),
            ..*u
        };
        let units: Vec<CuttingUnit> = mower.units.iter().map(mirrored).collect();
        let mut solver = Self {
            width_m: mower.cutting_width_m(),
            tightest_m: mower.turning_radius_m.max(innermost_m(&units)),
            tolerances_m: (advance_m, steering_m),
            sense: train.sense,
            units,
            shapes: Vec::new(),
            proven: BTreeMap::new(),
            answers: BTreeMap::new(),
            most_m: BTreeMap::new(),
        };
        solver.list(train, coarse);
        Ok(solver)
    }

    /// Lists the loops that can be driven, cheapest possible first.
    fn list(&mut self, train: &LoopTrain, coarse: f64) {
        // Proofs for several units are dear: a coarse search tries fewer diameters too.
        let (advance, diameters) = match self.units.len() {
            1 => (BAR_STEP_M * coarse, DIAMETER_STEP_M),
            _ => (UNITS_STEP_M * coarse, DIAMETER_STEP_M * coarse),
        };
        let span = train.diameter_max_m - train.diameter_min_m;
        let n = (span / diameters).ceil() as usize;
        // No advance longer than two cutting widths can close near the axis, where each loop
        // brings two arms.
        let longest = (2.0 * self.width_m / advance) as usize;
        let first = (self.tolerances_m.0 / advance).floor() as usize + 1;
        for i in 0..=n {
            let diameter_m = train.diameter_min_m + span * i as f64 / n.max(1) as f64;
            for form in [LoopForm::Drift, LoopForm::Roll] {
                if train.form.is_some_and(|asked| asked != form) {
                    continue;
                }
                let shapes = (first..=longest).map(|i| LoopShape {
                    form,
                    diameter_m,
                    advance_m: advance * i as f64,
                });
                let drivable = shapes.take_while(|s| s.tight_radius_m() >= self.tightest_m);
                let least = |s: &LoopShape| s.mean_cuts(self.width_m, diameter_m + self.width_m);
                self.shapes.extend(drivable.map(|s| (least(&s), s)));
            }
        }
        self.shapes.sort_by(|a, b| a.0.total_cmp(&b.0));
    }

    /// The band of a loop, where a quick look does not tell that it is lower than asked.
    fn band(&mut self, i: usize, asked_m: f64) -> Option<Span> {
        let shape = &self.shapes[i].1;
        if let Some(band) = self.proven.get(&i) {
            return *band;
        }
        if self.most_m.get(&i).is_some_and(|most| asked_m > *most) {
            return None;
        }
        let deck = Deck::new(&self.units, self.tolerances_m.0, self.tolerances_m.1);
        // A look may miss as much as lies between two samples.
        let seen = deck.look(shape, asked_m - LOOK_M);
        let most_m = seen.map_or(asked_m.next_down(), |s| s.1 - s.0 + LOOK_M);
        if asked_m > most_m {
            self.most_m.insert(i, most_m);
            return None;
        }
        let band = deck.proven_within(shape, seen?);
        self.proven.insert(i, band);
        band
    }

    /// The cheapest lattice below so many mean cuts; with a height needed, the least driving among
    /// lanes with a band at least so tall.
    pub(super) fn best(&mut self, need_m: Option<f64>, below: f64) -> Option<Lattice> {
        let asked = (need_m.map(f64::to_bits), below.to_bits());
        if let Some(known) = self.answers.get(&asked) {
            return *known;
        }
        let mut least = below;
        let mut found = None;
        for i in 0..self.shapes.len() {
            let (bound, shape) = self.shapes[i];
            let bound = need_m.map_or(bound, |need| shape.mean_cuts(self.width_m, need));
            if bound >= least {
                if need_m.is_none() {
                    break;
                }
                continue;
            }
            // The least height that serves.
            let asked_m = need_m.unwrap_or(shape.mean_cuts(self.width_m, least));
            let Some(band) = self.band(i, asked_m) else {
                continue;
            };
            // Rounding in the division of a width by its lanes must not cost a lane.
            let height_m = band.1 - band.0;
            if need_m.is_some_and(|need| height_m < need - 1e-9) {
                continue;
            }
            let spacing = need_m.unwrap_or(height_m);
            let c = shape.mean_cuts(self.width_m, spacing);
            if c < least {
                least = c;
                found = Some(Lattice::new(shape, band, self.sense, self.width_m));
            }
        }
        self.answers.insert(asked, found);
        found
    }
}

/// Why nothing was found, and the nearest diameters that can be done.
pub(super) fn refusal(mower: &Mower, train: &LoopTrain) -> Result<PlanError, PlanError> {
    let solver = Solver::new(mower, train, 1.0)?;
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
    let can_be_done = |diameter_m: &f64| {
        let alone = LoopTrain {
            diameter_min_m: *diameter_m,
            diameter_max_m: *diameter_m,
            ..*train
        };
        let solver = Solver::new(mower, &alone, 2.0);
        solver.is_ok_and(|mut s| s.best(None, f64::INFINITY).is_some())
    };
    let floor = 2.0 * solver.tightest_m;
    let steps = |from: f64, way: f64| {
        (0..REFUSAL_STEPS).map(move |i| from + way * f64::from(i) * DIAMETER_STEP_M)
    };
    let below = (lo / DIAMETER_STEP_M).ceil() * DIAMETER_STEP_M - DIAMETER_STEP_M;
    let mut smaller = steps(below, -1.0).take_while(|d| *d >= floor);
    let mut larger = steps(hi.max(floor), 1.0);
    let nearest = [smaller.find(can_be_done), larger.find(can_be_done)];
    Ok(PlanError::LoopDiameter {
        asked_m: lo,
        reason,
        nearest_m: nearest.into_iter().flatten().collect(),
    })
}
