//! How much work one plan may take, and a way to call it off.
//!
//! Work is counted in steps, not in time: the same input is planned, or refused, on every machine
//! and at any number of threads. A step is one turn tried between two passes, one look at an end
//! of a pass, or the like: some ten to a hundred microseconds.

use crate::error::PlanError;
use std::cell::Cell;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// Steps that one mow may take unless told otherwise. The mows of a golf fairway take some
/// thousand, among many bunkers and with many units some ten thousand: this is for outlines that
/// no mower sees.
pub const MOST_STEPS: u64 = 150_000;

/// A limit on the work of one mow.
///
/// ```
/// use crossgrain_core::work::WorkLimit;
/// use std::sync::Arc;
/// use std::sync::atomic::{AtomicBool, Ordering};
///
/// // Another thread may call the planning off.
/// let stop = Arc::new(AtomicBool::new(false));
/// let limit = WorkLimit { stop: Some(Arc::clone(&stop)), ..WorkLimit::default() };
/// stop.store(true, Ordering::Relaxed);
/// assert!(limit.stop.is_some_and(|s| s.load(Ordering::Relaxed)));
/// ```
#[derive(Debug, Clone)]
pub struct WorkLimit {
    /// Most steps.
    pub steps: u64,
    /// Planning ends soon after this is set.
    pub stop: Option<Arc<AtomicBool>>,
}

impl Default for WorkLimit {
    fn default() -> Self {
        Self {
            steps: MOST_STEPS,
            stop: None,
        }
    }
}

/// The work on one mow, counted.
///
/// Whoever works long asks [`Work::over`] now and then and comes to an end quickly when it is;
/// what was made by then is thrown away.
#[derive(Debug, Default)]
pub struct Work {
    limit: WorkLimit,
    used: Cell<u64>,
}

impl Work {
    /// No step taken yet.
    pub fn new(limit: WorkLimit) -> Self {
        Self {
            limit,
            used: Cell::new(0),
        }
    }

    /// Begins the count again, for the next mow.
    pub fn begin(&self) {
        self.used.set(0);
    }

    /// Counts steps.
    pub fn spend(&self, steps: u64) {
        self.used.set(self.used.get().saturating_add(steps));
    }

    /// Steps counted.
    pub fn used(&self) -> u64 {
        self.used.get()
    }

    /// Whether to come to an end.
    pub fn over(&self) -> bool {
        self.used.get() > self.limit.steps || self.stopped()
    }

    /// Refuses a plan that came to an end too soon.
    ///
    /// # Errors
    /// [`PlanError::Stopped`] or [`PlanError::TooMuchWork`].
    pub fn check(&self) -> Result<(), PlanError> {
        if self.stopped() {
            return Err(PlanError::Stopped);
        }
        if self.over() {
            return Err(PlanError::TooMuchWork {
                steps: self.limit.steps,
            });
        }
        Ok(())
    }

    fn stopped(&self) -> bool {
        let stop = self.limit.stop.as_ref();
        stop.is_some_and(|s| s.load(Ordering::Relaxed))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_beyond_the_limit_are_refused_and_forgotten_for_the_next_mow() {
        let work = Work::new(WorkLimit {
            steps: 10,
            stop: None,
        });
        work.spend(10);
        assert!(!work.over() && work.check().is_ok());
        work.spend(1);
        assert!(work.over());
        assert_eq!(work.check(), Err(PlanError::TooMuchWork { steps: 10 }));
        work.begin();
        assert_eq!((work.used(), work.check()), (0, Ok(())));
        work.spend(u64::MAX);
        work.spend(u64::MAX);
        assert!(work.over());
    }

    #[test]
    fn a_stop_comes_before_the_limit() {
        let stop = Arc::new(AtomicBool::new(false));
        let work = Work::new(WorkLimit {
            steps: 0,
            stop: Some(Arc::clone(&stop)),
        });
        work.spend(1);
        stop.store(true, Ordering::Relaxed);
        assert_eq!(work.check(), Err(PlanError::Stopped));
    }
}
