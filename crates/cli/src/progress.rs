//! Progress on standard error for work that takes more than a second.

use crate::terminal::complain;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc::{RecvTimeoutError, channel};
use std::time::{Duration, Instant};

/// Nothing is said before this: quick work needs no talk.
const QUIET: Duration = Duration::from_secs(1);
/// How often it is said after that.
const EVERY: Duration = Duration::from_millis(500);

/// Runs `work`, which counts what it has done with the function it is given, and tells how far
/// it is as `what 3 of 9`.
pub(crate) fn with_progress<T>(
    what: &str,
    total: usize,
    work: impl FnOnce(&(dyn Fn() + Sync)) -> T,
) -> T {
    let done = AtomicUsize::new(0);
    let (stop, stopped) = channel::<()>();
    std::thread::scope(|scope| {
        let done = &done;
        scope.spawn(move || {
            let start = Instant::now();
            let mut told = None;
            loop {
                match stopped.recv_timeout(EVERY) {
                    Err(RecvTimeoutError::Timeout) => {}
                    Ok(()) | Err(RecvTimeoutError::Disconnected) => return,
                }
                let now = done.load(Ordering::Relaxed);
                if start.elapsed() >= QUIET && told != Some(now) {
                    complain(&format!("{what} {now} of {total} ..."));
                    told = Some(now);
                }
            }
        });
        let out = work(&|| {
            done.fetch_add(1, Ordering::Relaxed);
        });
        drop(stop);
        out
    })
}

#[cfg(test)]
mod tests {
    #[test]
    fn the_result_comes_through() {
        let n = super::with_progress("counted", 3, |tick| {
            for _ in 0..3 {
                tick();
            }
            42
        });
        assert_eq!(n, 42);
    }
}
