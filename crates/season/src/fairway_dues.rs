//! One fairway's visits that are due, and what a season mows on them that does not choose.

use crate::catalogue::{What, first_loop_train};
use crate::fairway_season::{Due, Habit, Mown, Stock, habit, minutes};
use crate::past::Done;
use crate::rules::{CLOCK_ROTATION, EDGE_RINGS, Rules, Sky};
use crate::scalping::Verdict;
use crate::slots::Kind;
use jiff::civil::Date;

/// What else is known of a visit that is due.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Circumstances {
    /// The day it was moved from, and why.
    pub from: Option<(Date, Sky)>,
    /// Minutes that frost delays the start.
    pub later_min: u32,
    /// What the log of scalping makes of it.
    pub verdict: Verdict,
    /// The row of the log, when it is past.
    pub logged: Option<Done>,
}

/// One fairway's visits.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct FairwayDues {
    pub name: String,
    pub stock: Stock,
    /// In order of time.
    pub dues: Vec<Due>,
    pub about: Vec<Circumstances>,
    /// Whether keep-outs lie on it or at its edge.
    pub has_keep_outs: bool,
    /// Share of a shift that its machine drives.
    pub shift_efficiency: f64,
}

impl FairwayDues {
    /// Minutes of what is past.
    pub fn past_min(&self) -> f64 {
        self.dues
            .iter()
            .filter_map(|d| d.done)
            .map(|m| self.stock.minutes(&m))
            .sum()
    }

    /// What the fixed weekly alternation is laid over, with so many clean-up passes where all are
    /// driven.
    fn plain_with(&self, rules: &Rules, full: u32) -> Vec<Mown> {
        self.dues
            .iter()
            .map(|d| {
                if let Some(done) = d.done {
                    return done;
                }
                let (what, rings) = match d.kind {
                    Kind::Loops => (first_loop_train(rules), rules.loop_rings()),
                    _ => (
                        What::Stripes(CLOCK_ROTATION[0]),
                        if d.full { full } else { EDGE_RINGS },
                    ),
                };
                Mown {
                    job: self.stock.find(what, rings).unwrap_or(0),
                    back: false,
                    ccw: false,
                }
            })
            .collect()
    }

    fn alternation_with(&self, rules: &Rules, plain: &[Mown]) -> f64 {
        let of = habit(
            Habit::FixedAlternation,
            true,
            rules,
            &self.stock,
            &self.dues,
            plain,
        );
        minutes(&self.stock, &of)
    }

    /// The same with the number of clean-up passes that takes least time.
    pub fn plain(&self, rules: &Rules) -> Vec<Mown> {
        rules
            .clean_up
            .rings
            .iter()
            .map(|&n| self.plain_with(rules, n))
            .min_by(|a, b| {
                self.alternation_with(rules, a)
                    .total_cmp(&self.alternation_with(rules, b))
            })
            .unwrap_or_default()
    }

    /// Minutes of the fixed weekly alternation: what extra hours are counted from.
    pub fn alternation_min(&self, rules: &Rules) -> f64 {
        self.alternation_with(rules, &self.plain(rules))
    }
}
