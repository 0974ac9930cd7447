//! Lay and cost of the whole course, summed over its fairways: the programme's and each habit's.

use crate::cost::Cost;
use crate::fairway_season::Habit;
use crate::grain::{LayFigures, Tally};
use crate::outcome::Outcome;

/// Lay and cost of the whole course under one schedule.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// The habit; none for the programme itself.
    pub habit: Option<Habit>,
    /// Whether it has the grooming mows.
    pub grooming: bool,
    /// R1 and R2 per cell over all fairways.
    pub lay: LayFigures,
    /// Mean R2 over any 28 days, averaged by week.
    pub r2_28_days: f64,
    /// Cost.
    pub cost: Cost,
}

/// One schedule on the fairways so far.
#[derive(Default)]
struct Schedule {
    tally: Tally,
    cost: Option<Cost>,
    /// R2 over 28 days times the ground, square metres.
    days28: f64,
}

/// All schedules on the fairways so far.
#[derive(Default)]
pub(crate) struct Totals {
    area_m2: f64,
    own: Schedule,
    habits: Vec<(Habit, bool, Schedule)>,
}

impl Schedule {
    fn take(&mut self, tally: &Tally, cost: &Cost, days28: f64) {
        self.tally.join(tally);
        self.cost = Some(self.cost.as_ref().map_or(*cost, |c| c.plus(cost)));
        self.days28 += days28;
    }

    fn row(&self, habit: Option<Habit>, grooming: bool, area_m2: f64) -> Row {
        Row {
            habit,
            grooming,
            lay: self.tally.figures(),
            r2_28_days: self.days28 / area_m2.max(f64::MIN_POSITIVE),
            cost: self.cost.unwrap_or_default(),
        }
    }
}

impl Totals {
    /// Adds a fairway.
    pub fn take(&mut self, o: &Outcome) {
        let area_m2 = o.lay.area_m2;
        self.area_m2 += area_m2;
        self.own
            .take(&o.tally, &o.lay.cost, area_m2 * o.lay.r2_28_days);
        for (k, h) in o.habits.iter().enumerate() {
            if self.habits.len() == k {
                self.habits.push((h.habit, h.grooming, Schedule::default()));
            }
            self.habits[k]
                .2
                .take(&h.tally, &h.cost, area_m2 * h.r2_28_days);
        }
    }

    /// The programme's row, and those of the habits.
    pub fn rows(&self, grooms: bool) -> (Row, Vec<Row>) {
        let habits = self
            .habits
            .iter()
            .map(|(h, grooming, s)| s.row(Some(*h), *grooming, self.area_m2))
            .collect();
        (self.own.row(None, grooms, self.area_m2), habits)
    }
}
