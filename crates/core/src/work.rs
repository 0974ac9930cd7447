//! How much work one plan takes, and a way to call it off.
//!
//! Work is counted as effort, not in time, so that the same input gives the same plan on every
//! machine. One unit is one turn tried between two passes or one look at an end of a pass: some ten
//! to a hundred microseconds. No plan is refused for its work.

use crate::error::PlanError;
use std::cell::Cell;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// Set by another thread to call planning off.
pub type Stop = Arc<AtomicBool>;

/// The work on one mow, counted. Whoever works long asks [`Work::over`] now and then.
#[derive(Debug, Default)]
pub struct Work {
    stop: Option<Stop>,
    used: Cell<u64>,
}

impl Work {
    /// Nothing done yet.
    pub fn new(stop: Option<Stop>) -> Self {
        let used = Cell::new(0);
        Self { stop, used }
    }

    /// Begins the count again, for the next mow.
    pub fn begin(&self) {
        self.used.set(0);
    }

    /// Counts effort.
    pub fn spend(&self, effort: u64) {
        self.used.set(self.used.get().saturating_add(effort));
    }

    /// Effort counted.
    pub fn used(&self) -> u64 {
        self.used.get()
    }

    /// Whether it was called off: to come to an end.
    pub fn over(&self) -> bool {
        self.stop
            .as_ref()
            .is_some_and(|s| s.load(Ordering::Relaxed))
    }

    /// Refuses a plan that was called off.
    ///
    /// # Errors
    /// [`PlanError::Stopped`].
    pub fn check(&self) -> Result<(), PlanError> {
        (!self.over()).then_some(()).ok_or(PlanError::Stopped)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn work_is_counted_anew_for_each_mow() {
        let work = Work::default();
        work.spend(7);
        assert_eq!(work.used(), 7);
        assert!(!work.over() && work.check().is_ok());
        work.begin();
        assert_eq!(work.used(), 0);
        work.spend(u64::MAX);
        work.spend(u64::MAX);
        assert_eq!(work.used(), u64::MAX);
    }

    #[test]
    fn a_plan_that_is_called_off_is_refused() {
        let stop = Stop::default();
        let work = Work::new(Some(Arc::clone(&stop)));
        assert!(!work.over());
        stop.store(true, Ordering::Relaxed);
        assert!(work.over());
        assert_eq!(work.check(), Err(PlanError::Stopped));
    }
}
