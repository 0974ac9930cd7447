//! What is known while a course is put together.

use super::account::Ledger;
use super::drawings::{Drawing, Sorting};
use super::error::CourseError;
use super::feature::Feature;
use super::notice::Notice;
use super::problem::Problem;

/// What is known while a course is put together.
pub(crate) struct Reading<'a> {
    pub file: &'a str,
    pub features: &'a [Feature],
    pub ledger: Ledger,
    pub notices: Vec<Notice>,
    pub problems: Vec<Problem>,
    pub drawings: Vec<Drawing>,
}

impl<'a> Reading<'a> {
    pub fn new(file: &'a str, features: &'a [Feature], sorting: Sorting, ledger: Ledger) -> Self {
        Self {
            file,
            features,
            ledger,
            notices: sorting.notices,
            problems: sorting.problems,
            drawings: sorting.drawings,
        }
    }

    pub fn stop_on_problems(&mut self) -> Result<(), CourseError> {
        if self.problems.is_empty() {
            return Ok(());
        }
        Err(CourseError::Problems {
            file: self.file.to_string(),
            problems: std::mem::take(&mut self.problems),
        })
    }
}
