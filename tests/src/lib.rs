//! Helpers shared by the whole-job tests.
