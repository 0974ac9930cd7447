//! One fairway, chosen: its visits in order of time, its figures, and the plain habits beside it.

use crate::choice::mix::{Column, Mix};
use crate::choice::r2_bound::r2_bound;
use crate::cost::Cost;
use crate::fairway_choice::{Answer, FairwayChoice};
use crate::fairway_dues::FairwayDues;
use crate::fairway_lay::FairwayLay;
use crate::fairway_season::{Habit, Mown, habit};
use crate::grain::{Tally, weight};
use crate::ordering::{Past, order};
use crate::reasons::reason;
use crate::rules::Rules;
use crate::slots::Kind;
use crate::windows::{Panes, directions, windows};
use jiff::civil::Date;

/// A plain habit on one fairway.
pub(crate) struct HabitFigures {
    pub habit: Habit,
    pub grooming: bool,
    pub tally: Tally,
    pub cost: Cost,
    pub r2_28_days: f64,
}

/// One fairway's season.
pub(crate) struct Outcome {
    pub mown: Vec<Mown>,
    pub tally: Tally,
    pub lay: FairwayLay,
    pub habits: Vec<HabitFigures>,
}

/// Deals the chosen mows to the days and takes the figures. `price` is an hour's, of this
/// fairway's objective.
pub(crate) fn outcome(
    rules: &Rules,
    f: &FairwayDues,
    choice: &FairwayChoice,
    answer: &Answer,
    price: f64,
) -> Outcome {
    let stock = &f.stock;
    let dates: Vec<Date> = f.dues.iter().map(|d| d.date).collect();
    let mown = made(rules, f, choice, answer, &dates);

    let about = Figures::new(rules, f, &dates);
    let habits = habits(rules, f, &about, &mown);
    let rotation = habits
        .iter()
        .rfind(|h| h.habit == Habit::ClockRotation)
        .map_or(0.0, |h| h.r2_28_days);

    let own = about.tally(&mown);
    let figures = own.figures();
    // Bounds hold for visits that all count the same.
    let bounded = rules.headings.half_life_days.is_none() && !choice.is_settled();
    let certified = bounded.then(|| choice.certified(answer.minutes, price));
    let objective_bound = certified.map(|c| c.0.max(0.0));
    let r2_mean_bound = certified.map(|(_, price)| {
        let mixes: Vec<&Mix> = choice.candidates.iter().map(|c| &c.mix).collect();
        r2_bound(&mixes, answer.minutes, price / 60.0).clamp(0.0, 1.0)
    });
    let keep_outs = f.has_keep_outs;
    let lay = FairwayLay {
        fairway: f.name.clone(),
        area_m2: stock.cells.ground_m2(),
        cost: about.cost(&mown),
        objective: answer.objective,
        objective_bound,
        r2_mean_bound,
        r2_28_days: about.r2_28_days(&mown),
        clock_rotation_28_days: rotation,
        directions_28_days: directions(
            &about.ground,
            &about.mows,
            &about.panes,
            &mown.iter().map(|m| m.job).collect::<Vec<_>>(),
        ),
        reason: reason(stock, choice, &mown, figures.r2_mean, keep_outs),
        lay: figures,
    };
    Outcome {
        mown,
        tally: own,
        lay,
        habits,
    }
}

/// What is needed to take the figures of any schedule on one fairway.
struct Figures<'a> {
    rules: &'a Rules,
    f: &'a FairwayDues,
    /// Weight of each visit on the last day.
    weights: Vec<f64>,
    /// Ground of each cell, square metres.
    ground: Vec<f64>,
    /// Weight and doubled-angle sums of each mow, cell by cell.
    mows: Vec<Vec<[f32; 3]>>,
    /// The visits of each four weeks.
    panes: Vec<std::ops::Range<usize>>,
}

impl<'a> Figures<'a> {
    fn new(rules: &'a Rules, f: &'a FairwayDues, dates: &[Date]) -> Self {
        let half_life = rules.headings.half_life_days;
        let column = |j: usize| {
            let c = f.stock.column(j);
            (0..c.w.len())
                .map(|i| [c.w[i] as f32, c.x[i] as f32, c.y[i] as f32])
                .collect()
        };
        Self {
            weights: dates
                .iter()
                .map(|d| weight(half_life, *d, rules.to))
                .collect(),
            ground: f.stock.cells.cells.iter().map(|c| c.ground_m2).collect(),
            mows: (0..f.stock.planned.len()).map(column).collect(),
            panes: windows(dates, rules.from, rules.to),
            rules,
            f,
        }
    }

    fn tally(&self, mown: &[Mown]) -> Tally {
        let weighted = mown.iter().copied().zip(self.weights.iter().copied());
        let sums = self.f.stock.lay(weighted);
        let mut t = Tally::default();
        t.take(&self.f.stock.cells, &sums);
        t
    }

    fn cost(&self, mown: &[Mown]) -> Cost {
        Cost::of(
            &self.rules.rates,
            self.rules.crew.between_min,
            self.f.shift_efficiency,
            mown.iter().map(|m| {
                let p = &self.f.stock.planned[m.job];
                (p.minutes, p.mowing_m + p.transport_m)
            }),
        )
    }

    fn r2_28_days(&self, mown: &[Mown]) -> f64 {
        let made: Vec<usize> = mown.iter().map(|m| m.job).collect();
        Panes::new(&self.ground, &self.mows, self.panes.clone(), &made).value()
    }
}

/// The plain habits on the same visits, without grooming and with it.
fn habits(rules: &Rules, f: &FairwayDues, about: &Figures<'_>, mown: &[Mown]) -> Vec<HabitFigures> {
    let plain = f.plain(rules);
    let mut out = Vec::new();
    for h in Habit::ALL {
        let both: &[bool] = match h {
            // It is its grooming that alternates, when there is any.
            Habit::FixedAlternation if rules.grooms() => &[true],
            _ if rules.grooms() => &[false, true],
            _ => &[false],
        };
        for &grooming in both {
            let own = if h == Habit::FixedAlternation {
                &plain
            } else {
                mown
            };
            let visits = habit(h, grooming, rules, &f.stock, &f.dues, own);
            out.push(HabitFigures {
                habit: h,
                grooming,
                tally: about.tally(&visits),
                cost: about.cost(&visits),
                r2_28_days: about.r2_28_days(&visits),
            });
        }
    }
    out
}

/// The chosen mows in order of time.
fn made(
    rules: &Rules,
    f: &FairwayDues,
    choice: &FairwayChoice,
    answer: &Answer,
    dates: &[Date],
) -> Vec<Mown> {
    let stock = &f.stock;
    let k = &choice.candidates[answer.candidate];
    // Mows of the past come after those of the choice.
    let mut extra: Vec<usize> = Vec::new();
    let past: Vec<Option<usize>> = f
        .dues
        .iter()
        .map(|d| {
            d.done.map(|m| {
                extra.push(m.job);
                k.mix.mows.len() + extra.len() - 1
            })
        })
        .collect();
    let columns: Vec<Column> = extra.iter().map(|&j| stock.column(j)).collect();
    let loops = choice
        .units
        .iter()
        .find(|u| f.dues[u.dues[0]].kind == Kind::Loops)
        .map(|u| u.group);
    let ways = order(
        &k.mix,
        &answer.counts,
        &choice.units,
        dates,
        (rules.from, rules.to),
        &Past { made: &past },
        &columns,
        loops,
    );
    let mut out: Vec<Mown> = f.plain(rules);
    for (unit, way) in choice.units.iter().zip(ways) {
        let Some(atom) = k.mix.groups[unit.group].atoms.get(way) else {
            continue;
        };
        for (&d, &m) in unit.dues.iter().zip(&atom.mows) {
            out[d].job = k.jobs[m];
        }
    }
    let first = f.dues.iter().take_while(|d| d.done.is_some()).count();
    crate::ways::choose(stock, &mut out, first);
    out
}
