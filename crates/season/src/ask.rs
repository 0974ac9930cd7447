//! What a season is planned from, and who does the work.

use crate::past::Done;
use crate::rules::Rules;
use crate::scalping::Observation;
use crossgrain_core::{Course, Mower};

/// Cell size of the lay, metres: finer than a deck, coarse enough for a season of 27 holes.
pub const CELL_M: f64 = 2.0;

/// Does the same work on many things; several at a time, if the caller likes.
///
/// The answers come back in order, so the programme is the same whoever does the work.
pub trait Workers {
    /// Applies `work` to each of `items`. `stage` names what is being done, for progress.
    fn each<T: Sync, R: Send>(
        &self,
        stage: Stage,
        items: &[T],
        work: impl Fn(&T) -> R + Sync,
    ) -> Vec<R>;
}

/// What is being done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stage {
    /// The mows of each fairway are planned.
    Mows,
    /// Hours are weighed against grain.
    Headings,
    /// The price of an hour is found.
    Price,
    /// Visits are dealt to the days, and bounds proven.
    Days,
}

/// One thing after the other.
#[derive(Debug, Clone, Copy, Default)]
pub struct OneByOne;

impl Workers for OneByOne {
    fn each<T: Sync, R: Send>(
        &self,
        _: Stage,
        items: &[T],
        work: impl Fn(&T) -> R + Sync,
    ) -> Vec<R> {
        items.iter().map(work).collect()
    }
}

/// What a season is planned from.
#[derive(Debug, Clone, Copy)]
pub struct Ask<'a> {
    /// The course.
    pub course: &'a Course,
    /// The mower of each machine in the rules, in their order; one when they name none.
    pub mowers: &'a [Mower],
    /// The rules.
    pub rules: &'a Rules,
    /// The scalping log.
    pub observations: &'a [Observation],
    /// What was mown already: up to its last day the season is what the log says.
    pub done: &'a [Done],
}
