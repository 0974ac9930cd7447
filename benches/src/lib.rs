//! Fixed plans for the benchmarks: the same shapes every time, with no planner involved.

pub mod clock;
pub mod export;
pub mod plans;
