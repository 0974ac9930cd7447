//! Fixed plans for the benchmarks.
