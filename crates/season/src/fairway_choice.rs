//! One fairway's choice: the visits that are due as groups, and how often each mow is made.
//!
//! Visits that may be made in the same ways are one group: regular visits, visits with fewer
//! clean-up passes, loops. A cross cut and the stripes it crosses are one visit of a group of
//! pairs, so that the rule that it crosses them holds in every choice. The number of clean-up
//! passes is not split: each number is tried ([`Candidate`]).

use crate::bundles::{Builder, Bundle, units};
use crate::choice::mix::{Column, Counts, Mix};
use crate::choice::r2_bound::{least_r2, of_cells};
use crate::choice::relax::{Relaxed, bound_at, relax};
use crate::choice::round::{Aim, exchange, whole};
use crate::choice::spread::{Spread, TAIL_WEIGHT};
use crate::fairway_season::{Due, Stock};
use crate::rules::Rules;

/// Cells that prices are looked for with; what is reported is taken over all cells.
const SAMPLE: usize = 640;

/// Steps towards the price at which a fairway's own hours are just right.
const OWN_PRICE_STEPS: usize = 9;

/// The choice with given numbers of clean-up passes.
#[derive(Debug, Clone, PartialEq)]
pub struct Candidate {
    /// Mows of the mix, as indices into the stock's.
    pub jobs: Vec<usize>,
    /// What may be chosen, over all cells.
    pub mix: Mix,
    /// What is minimised, over all cells.
    pub spread: Spread,
    /// Cuts of the reference mix in each cell.
    pub cuts: Vec<f64>,
    /// What a bound on mean R2 is taken of.
    pub least: Spread,
    /// The function over a sample of cells.
    quick: Spread,
}

/// All of one fairway's choice.
#[derive(Debug, Clone, PartialEq)]
pub struct FairwayChoice {
    /// The visits, or pairs of visits.
    pub units: Vec<Bundle>,
    /// With each number of clean-up passes that is allowed.
    pub candidates: Vec<Candidate>,
    /// Ground, square metres.
    pub area_m2: f64,
    /// The angle at which cross cuts cross, where the allowed headings have none that do.
    pub no_crossing_deg: Option<f64>,
}

/// The best of a fairway at some price.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// Which candidate.
    pub candidate: usize,
    /// How often in which way.
    pub counts: Counts,
    /// Objective.
    pub objective: f64,
    /// Minutes of the visits that are free.
    pub minutes: f64,
    /// No choice has a lower objective and price times minutes together.
    pub bound: f64,
}

impl FairwayChoice {
    /// The choice for visits that are due; those in the past are what they are.
    pub fn new(rules: &Rules, stock: &Stock, dues: &[Due]) -> Self {
        let (units, keys) = units(rules, dues);
        let mut no_crossing_deg = None;
        let mut candidates = Vec::new();
        for &full in &rules.clean_up.rings {
            let mut b = Builder {
                stock,
                jobs: Vec::new(),
                no_crossing_deg: None,
            };
            let groups = keys
                .iter()
                .enumerate()
                .map(|(g, key)| {
                    let visits = units.iter().filter(|u| u.group == g).count() as f64;
                    b.group(rules, *key, visits, full)
                })
                .collect();
            no_crossing_deg = no_crossing_deg.or(b.no_crossing_deg);
            let mut base = Column::zeros(stock.cells.cells.len());
            for d in dues.iter().filter_map(|d| d.done) {
                base.add(&stock.column(d.job), 1.0);
            }
            let mix = Mix {
                ground_m2: stock.cells.cells.iter().map(|c| c.ground_m2).collect(),
                mows: b.jobs.iter().map(|&j| stock.column(j)).collect(),
                minutes: b.jobs.iter().map(|&j| stock.planned[j].minutes).collect(),
                groups,
                base,
            };
            candidates.push(Candidate::new(b.jobs, mix));
        }
        Self {
            units,
            candidates,
            area_m2: stock.cells.ground_m2(),
            no_crossing_deg,
        }
    }

    /// Nothing is left to choose.
    pub fn is_settled(&self) -> bool {
        self.units.is_empty()
    }

    /// The best when visits may be split, over a sample of cells: for each candidate its counts.
    pub fn quick(&self, price: f64, from: Option<&[Counts]>) -> Vec<Relaxed> {
        self.candidates
            .iter()
            .enumerate()
            .map(|(k, c)| relax(&c.mix, &c.quick, &c.cost(price), from.map(|f| &f[k])))
            .collect()
    }

    /// The best bound on the objective of every choice that takes no longer than `minutes`, and
    /// the price an hour that proves it. Any price proves something; the best is where the best
    /// split visits take just as long.
    pub fn certified(&self, minutes: f64, price: f64) -> (f64, f64) {
        let mut from: Option<Vec<Counts>> = None;
        let (mut low, mut high) = (0.0, f64::INFINITY);
        let mut at = price;
        for _ in 0..OWN_PRICE_STEPS {
            let relaxed = self.quick(at, from.as_deref());
            let best = relaxed
                .iter()
                .zip(&self.candidates)
                .min_by(|a, b| a.0.value.total_cmp(&b.0.value));
            let Some((r, c)) = best else { break };
            if c.mix.minutes_of(&r.counts) > minutes {
                low = at;
            } else {
                high = at;
            }
            from = Some(relaxed.into_iter().map(|r| r.counts).collect());
            at = match (low > 0.0, high.is_finite()) {
                (_, false) => (3.0 * at).max(1e-4),
                (false, true) => 0.3 * at,
                (true, true) => (low * high).sqrt(),
            };
        }
        // The lowest of all candidates counts: the one that seems lowest is settled over all
        // cells, until the lowest is one that is.
        let proven = |p: f64| {
            let start = from.clone().unwrap_or_default();
            let mut bounds: Vec<(f64, bool)> = self
                .candidates
                .iter()
                .zip(&start)
                .map(|(c, f)| (bound_at(&c.mix, &c.spread, &c.cost(p), f), false))
                .collect();
            loop {
                let lowest = (0..bounds.len())
                    .min_by(|&a, &b| bounds[a].0.total_cmp(&bounds[b].0).then(a.cmp(&b)));
                let Some(k) = lowest else { break 0.0 };
                if bounds[k].1 {
                    break bounds[k].0 - p * minutes / 60.0;
                }
                let c = &self.candidates[k];
                let r = relax(&c.mix, &c.spread, &c.cost(p), Some(&start[k]));
                bounds[k] = (r.bound.max(bounds[k].0), true);
            }
        };
        let own = if high.is_finite() { high } else { low };
        [price, own]
            .into_iter()
            .map(|p| (proven(p), p))
            .max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.total_cmp(&a.1)))
            .unwrap_or((0.0, price))
    }

    /// The best whole visits at a price an hour of this fairway's objective, over all cells.
    pub fn answer(&self, price: f64, from: &[Counts]) -> Answer {
        let relaxed: Vec<Relaxed> = self
            .candidates
            .iter()
            .zip(from)
            .map(|(c, f)| relax(&c.mix, &c.spread, &c.cost(price), Some(f)))
            .collect();
        let bound = relaxed
            .iter()
            .map(|r| r.bound)
            .fold(f64::INFINITY, f64::min);
        let mut best: Option<(f64, Answer)> = None;
        for (k, (c, r)) in self.candidates.iter().zip(&relaxed).enumerate() {
            // A candidate whose bound is no better than what there is cannot win.
            if best.as_ref().is_some_and(|b| r.bound >= b.0) {
                continue;
            }
            let cost = c.cost(price);
            let counts = exchange(
                &c.mix,
                &c.spread,
                &cost,
                &whole(&c.mix, &r.counts),
                Aim::Spread,
                f64::INFINITY,
            );
            let minutes = c.mix.minutes_of(&counts);
            let objective = c.spread.value(&c.mix.times(&counts));
            let value = objective + price * minutes / 60.0;
            if best.as_ref().is_none_or(|b| value < b.0) {
                best = Some((
                    value,
                    Answer {
                        candidate: k,
                        counts,
                        objective,
                        minutes,
                        bound,
                    },
                ));
            }
        }
        best.map_or(
            Answer {
                candidate: 0,
                counts: Vec::new(),
                objective: 0.0,
                minutes: 0.0,
                bound: 0.0,
            },
            |b| b.1,
        )
    }

    /// Exchanges on from an answer at another price.
    pub fn nudged(&self, answer: &Answer, price: f64) -> Answer {
        let c = &self.candidates[answer.candidate];
        let counts = exchange(
            &c.mix,
            &c.spread,
            &c.cost(price),
            &answer.counts,
            Aim::Spread,
            f64::INFINITY,
        );
        self.with_counts(answer, counts)
    }

    /// Every visit made in the way that takes least time.
    pub fn cheapest(&self, answer: &Answer) -> Answer {
        let mix = &self.candidates[answer.candidate].mix;
        let counts = mix
            .groups
            .iter()
            .map(|g| {
                let mut n = vec![0.0; g.atoms.len()];
                let time =
                    |a: usize| -> f64 { g.atoms[a].mows.iter().map(|&m| mix.minutes[m]).sum() };
                let least =
                    (0..n.len()).min_by(|&a, &b| time(a).total_cmp(&time(b)).then(a.cmp(&b)));
                if let Some(a) = least {
                    n[a] = g.visits;
                }
                n
            })
            .collect();
        self.with_counts(answer, counts)
    }

    /// The answer with other counts; its bound is kept.
    pub fn with_counts(&self, answer: &Answer, counts: Counts) -> Answer {
        let c = &self.candidates[answer.candidate];
        Answer {
            objective: c.spread.value(&c.mix.times(&counts)),
            minutes: c.mix.minutes_of(&counts),
            counts,
            ..answer.clone()
        }
    }
}

impl Candidate {
    fn new(jobs: Vec<usize>, mix: Mix) -> Self {
        let cuts = mix.sums(&mix.even()).w;
        let spread = Spread::new(&mix, &cuts, TAIL_WEIGHT);
        let quick = Spread::new(
            &of_cells(&mix, &places(mix.cells())),
            &sampled_of(&mix, &cuts),
            TAIL_WEIGHT,
        );
        Self {
            jobs,
            spread,
            least: least_r2(&mix),
            quick,
            cuts,
            mix,
        }
    }

    /// Cost of each mow at a price an hour.
    pub fn cost(&self, price: f64) -> Vec<f64> {
        self.mix.minutes.iter().map(|m| price * m / 60.0).collect()
    }
}

/// Cells spread evenly over the fairway: multiples of the golden ratio hit no pattern of rows
/// (Weyl's sequence).
fn places(cells: usize) -> Vec<usize> {
    const GOLDEN: f64 = 0.618_033_988_749_894_9;
    let share = SAMPLE as f64 / cells.max(1) as f64;
    (0..cells)
        .filter(|&n| (n as f64 * GOLDEN).fract() < share)
        .collect()
}

fn sampled_of(mix: &Mix, values: &[f64]) -> Vec<f64> {
    places(mix.cells()).iter().map(|&c| values[c]).collect()
}
