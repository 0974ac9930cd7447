//! The operator sheet: one fairway, one mow, one page; more only where the drive has more steps
//! than a page can tell.
//!
//! A page answers, in order: which fairway, which pattern, which way (from across the shed); what
//! to set (before leaving); where to come in (on arrival); what comes next (at the wheel); what is
//! left (at the end); and keeps the cautions in sight.

mod blocks;
mod checks;
mod clock_hours;
mod frame;
mod header;
mod job;
mod key;
mod left;
mod map_frame;
mod settings;
mod step_list;
mod words_column;

pub use clock_hours::clock_hours;
pub use header::first_pass_hours;
pub(crate) use header::{pattern_sign, way_of};
pub use left::{Left, MIN_MISSED_M2, left_of};
pub use settings::clean_up_rings;

use crate::crew::ForCrew;
use crate::drawing::Drawing;
use crate::page::Paper;
use crate::words::Words;
use crossgrain_core::{Course, Fairway, Mow, Mower};
use crossgrain_metrics::Measures;

/// Everything a sheet shows.
#[derive(Debug, Clone)]
pub struct SheetInput<'a> {
    /// The course.
    pub course: &'a Course,
    /// The fairway.
    pub fairway: &'a Fairway,
    /// The mower.
    pub mower: &'a Mower,
    /// The mow.
    pub mow: &'a Mow,
    /// Its measures.
    pub measures: &'a Measures,
    /// What the mow leaves, when it has been worked out already.
    pub left: Option<&'a Left>,
    /// Paper.
    pub paper: Paper,
    /// Language and units.
    pub words: &'a Words,
    /// Height of cut, metres; a line to write on without.
    pub height_of_cut_m: Option<f64>,
    /// Date as it is to stand on the sheet; a line to write on without.
    pub date: Option<&'a str>,
    /// The crew's name or number of the machine; without, no such field.
    pub machine: Option<&'a str>,
    /// The plan's number and the day it was planned.
    pub plan: Option<(&'a str, &'a str)>,
    /// Whom to call, when play begins, what stands in the turf.
    pub crew: ForCrew<'a>,
    /// Whether the fairway's name is the file's own; a provisional one is marked.
    pub name_confirmed: bool,
}

impl<'a> SheetInput<'a> {
    /// A sheet without date and height of cut.
    pub fn new(
        course: &'a Course,
        fairway: &'a Fairway,
        mower: &'a Mower,
        mow: &'a Mow,
        measures: &'a Measures,
        paper: Paper,
        words: &'a Words,
    ) -> Self {
        Self {
            course,
            fairway,
            mower,
            mow,
            measures,
            left: None,
            paper,
            words,
            height_of_cut_m: mower.bench_height_m,
            date: None,
            machine: None,
            plan: None,
            crew: ForCrew::default(),
            name_confirmed: true,
        }
    }
}

/// Steps on one page: a page that tells more of them needs another column, or is not the last.
pub const STEPS_A_PAGE: usize = 9;

/// Draws the sheet of one mow: one page as a rule, never none.
pub fn sheet(input: &SheetInput<'_>) -> Vec<Drawing> {
    let own;
    let left = match input.left {
        Some(l) => l,
        None => {
            own = left_of(input.fairway, input.mower, input.mow, input.measures);
            &own
        }
    };
    job::Job::of(input, left).pages()
}
